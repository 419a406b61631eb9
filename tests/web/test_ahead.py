"""Blades one choice away are ready before they are asked for, and never in the way of one that is."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from plowwright.desk.desk import Desk
from plowwright.web import ahead, pages
from plowwright.web.ahead import Ahead, one_choice_away


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, float]]:
    """Which blades were drawn, by series and width [in], in order."""
    told: list[tuple[str, float]] = []

    def draw(worked, system):
        told.append((worked.build.spec.series, round(worked.build.spec.width / 0.0254, 3)))
        return {"name": worked.build.name}

    monkeypatch.setattr(pages, "build_view", draw)
    return told


@pytest.fixture
def blades() -> Iterator[Ahead]:
    """Of the demo shop; what it draws ahead ends with the test, or the next test would count it."""
    made = Ahead(Desk.demo())
    yield made
    made.close()


def _until(done, *, seconds: float = 10.0) -> None:
    end = time.monotonic() + seconds
    while not done() and time.monotonic() < end:
        time.sleep(0.01)
    assert done()


def test_the_next_widths_come_first_and_then_every_other_choice() -> None:
    desk = Desk.demo()
    spec, _ = desk.spec_of("421M")
    near = list(one_choice_away(spec, desk.rulebook))
    assert [round(s.width / 0.0254) for s in near[:2]] == [90, 78]
    assert {s.series for s in near} == set(desk.rulebook.series)
    assert {s.mount for s in near} == set(desk.rulebook.mounts)
    assert {s.outlets for s in near} == {"left", "right"}
    assert {s.width for s in near if s.series == spec.series} == set(desk.rulebook.series[spec.series].widths())


def test_a_wider_blade_is_ready_once_the_person_has_looked_for_a_moment(
    drawn: list[tuple[str, float]], blades: Ahead
) -> None:
    desk = Desk.demo()
    spec, _ = desk.spec_of("421M")
    blades.blade(spec, "us")
    _until(lambda: ("basalt", 90.0) in drawn)
    count = drawn.count(("basalt", 90.0))
    wider = next(one_choice_away(spec, desk.rulebook))
    blades.blade(wider, "us")
    assert drawn.count(("basalt", 90.0)) == count, "it is not drawn a second time"


def test_who_presses_on_is_not_held_up_by_blades_nobody_asked_for(
    drawn: list[tuple[str, float]], blades: Ahead, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ahead, "QUIET", 1.0)
    desk = Desk.demo()
    spec, _ = desk.spec_of("421M")
    near = one_choice_away(spec, desk.rulebook)
    for one in (spec, next(near), next(near)):
        blades.blade(one, "us")
    assert drawn == [("basalt", 84.0), ("basalt", 90.0), ("basalt", 78.0)]
    blades.blade(spec, "us")
    assert len(drawn) == 3


def test_closed_it_looks_no_further_ahead(drawn: list[tuple[str, float]], blades: Ahead) -> None:
    spec, _ = Desk.demo().spec_of("421M")
    blades.blade(spec, "us")
    _until(lambda: len(drawn) > 1)
    blades.close()
    count = len(drawn)
    time.sleep(1.0)
    assert len(drawn) == count
