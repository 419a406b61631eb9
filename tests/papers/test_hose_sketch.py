"""The hose sketch: to scale from the parts, each hose with tag and cut length, nothing on top of another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.plumbing.plumb import plumb
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.spec import Spec
from plowwright.desk.desk import Desk
from plowwright.errors import EntryError
from plowwright.papers import fonts, hose_sketch
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Group, Label, Mark, Path
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

CASES: list[dict[str, Any]] = [
    {"outlets": "left"},
    {"outlets": "right"},
    {"outlets": "left", "hoses": "none"},
    {"outlets": "right", "hoses": "none"},
    {"hoses": "hoses-only", "mount": "hook", "carrier_kind": "wheel loader"},
    {"series": "basalt", "width": 54 * INCH, "mount": "mini", "carrier_kind": "compact loader"},
    {
        "series": "reed", "width": 60 * INCH, "mount": "pin-on", "carrier_kind": "tractor", "hoses": "poppet",
        "outlets": "right",
    },
]  # fmt: skip


@pytest.fixture(scope="module")
def demo_rules(desk: Desk) -> Rulebook:
    return desk.rulebook


def build_of(rules: Rulebook, **asked: Any) -> Build:
    spec = {"series": "flint", "width": 84 * INCH, "mount": "loader", "carrier_kind": "skid steer"} | asked
    return work_out(Spec(**{"hoses": "flat-face", **spec}), rules, level=0)


def plumbed(build: Build) -> Plumbing:
    found = plumb(build)
    assert found is not None
    return found


def inside(marks: Sequence[Mark]) -> Iterator[Mark]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from inside(mark.marks)
        else:
            yield mark


def labels(page: Picture) -> list[Label]:
    return [mark for mark in inside(page.marks) if isinstance(mark, Label)]


def words(page: Picture) -> str:
    return " ".join(label.text for label in labels(page))


def box(label: Label) -> tuple[float, float, float, float]:
    wide = fonts.text_width(label.text, size=label.size, weight=label.weight)
    left = label.x - {"left": 0.0, "middle": wide / 2, "right": wide}[label.anchor]
    low = label.y - {"base": 0.2, "centre": 0.5, "top": 0.8}[label.stand] * label.size
    return left, low, left + wide, low + 0.9 * label.size


@pytest.mark.parametrize("asked", CASES)
@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("width", [170.0, 184.0])
def test_no_words_lie_on_others_or_off_the_sheet(
    demo_rules: Rulebook, asked: dict[str, Any], system: Any, width: float
) -> None:
    build = build_of(demo_rules, **asked)
    page = hose_sketch.picture(build, plumbed(build), width=width, system=system)
    placed = [(label.text, box(label)) for label in labels(page)]
    for i, (one, a) in enumerate(placed):
        assert a[0] >= 0 and a[1] >= 0 and a[2] <= width + 0.1 and a[3] <= page.height, one
        for other, b in placed[i + 1 :]:
            apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, (one, other)


@pytest.mark.parametrize("asked", CASES)
def test_hoses_and_outlets_stay_on_the_sheet(demo_rules: Rulebook, asked: dict[str, Any]) -> None:
    build = build_of(demo_rules, **asked)
    page = hose_sketch.picture(build, plumbed(build))
    for mark in inside(page.marks):
        if isinstance(mark, Path):
            for x, y, _ in mark.vertices:
                assert -0.1 <= x <= page.width + 0.1 and -0.1 <= y <= page.height + 0.1


def test_each_hose_has_tag_and_cut_length(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    found = plumbed(build)
    page = hose_sketch.picture(build, found)
    said = words(page)
    for hose in found.hoses:
        assert f"{hose.name}: {hose.cut_length / INCH:.0f} in" in said
        assert hose.name[-1] in [label.text for label in labels(page)]


def test_lever_order_and_cautions_stand_on_it(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    found = plumbed(build)
    said = words(hose_sketch.picture(build, found))
    assert found.lever_sense in said
    assert found.order in said
    for caution in found.cautions:
        assert caution in said


def test_it_says_that_nobody_measured_the_outlets_and_which_half_goes_where(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    said = words(hose_sketch.picture(build, plumbed(build)))
    assert "Outlets of the skid steer assumed, not measured" in said
    assert "A: female on hose 1, male on the machine" in said


def test_a_bare_blade_asks_for_plugs_and_restrictors(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules, hoses="none")
    said = words(hose_sketch.picture(build, plumbed(build)))
    assert "Plug every port: 8 plugs" in said
    assert "Fit both restrictors in the carrier ports before any hose" in said
    assert "hose 1" not in said


def test_long_hoses_are_drawn_short_and_say_so(demo_rules: Rulebook) -> None:
    tractor, loader = build_of(demo_rules, **CASES[-1]), build_of(demo_rules)
    assert "hoses drawn short at the strokes" in words(hose_sketch.picture(tractor, plumbed(tractor)))
    assert "drawn short" not in words(hose_sketch.picture(loader, plumbed(loader)))


def test_the_right_hand_sketch_is_the_left_one_turned_over(demo_rules: Rulebook) -> None:
    left, right = (build_of(demo_rules, outlets=side) for side in ("left", "right"))
    one, other = (hose_sketch.picture(b, plumbed(b)) for b in (left, right))
    assert one.height == pytest.approx(other.height, abs=8.0)
    letters = [{label.text: label.x for label in labels(page) if label.text in ("A", "B")} for page in (one, other)]
    assert letters[0]["A"] < letters[0]["B"] and letters[1]["A"] > letters[1]["B"]


def test_too_narrow_a_sheet_is_refused_with_the_least_width(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    with pytest.raises(EntryError, match=r"no room for its words.*120 mm.*at least 170 mm"):
        hose_sketch.picture(build, plumbed(build), width=120.0)
