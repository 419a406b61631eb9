"""The hydraulic diagram: every symbol with its value, nothing on top of another, nothing off the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.moving.swinging import swinging
from plowwright.blade.plumbing.plumb import plumb
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.spec import Spec
from plowwright.desk.desk import Desk
from plowwright.errors import EntryError
from plowwright.papers import diagram, fonts, svg
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Group, Label, Mark
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def demo_rules(desk: Desk) -> Rulebook:
    return desk.rulebook


def build_of(rules: Rulebook, **asked: Any) -> Build:
    spec = {"series": "basalt", "width": 84 * INCH, "mount": "loader", "carrier_kind": "skid steer"} | asked
    return work_out(Spec(**{"hoses": "flat-face", **spec}), rules, level=0)


def plumbed(build: Build) -> Plumbing:
    found = plumb(build)
    assert found is not None
    return found


def labels(marks: Sequence[Mark]) -> Iterator[Label]:
    for mark in marks:
        if isinstance(mark, Label):
            yield mark
        elif isinstance(mark, Group):
            yield from labels(mark.marks)


def words(page: Picture) -> str:
    return "\n".join(label.text for label in labels(page.marks))


def box(label: Label) -> tuple[float, float, float, float]:
    wide = fonts.text_width(label.text, size=label.size, weight=label.weight)
    left = label.x - {"left": 0.0, "middle": wide / 2, "right": wide}[label.anchor]
    low = label.y - {"base": 0.2, "centre": 0.5, "top": 0.8}[label.stand] * label.size
    return left, low, left + wide, low + 0.9 * label.size


def crowded(page: Picture) -> list[tuple[str, str]]:
    placed = [(label.text, box(label)) for label in labels(page.marks) if not label.rotate]
    found: list[tuple[str, str]] = []
    for i, (one, a) in enumerate(placed):
        for other, b in placed[i + 1 :]:
            if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]:
                found.append((one, other))
    return found


CASES: list[dict[str, Any]] = [
    {"outlets": "left"},
    {"outlets": "right"},
    {"hoses": "none"},
    {"hoses": "hoses-only"},
    {"series": "reed", "width": 60 * INCH, "mount": "pin-on", "carrier_kind": "tractor", "hoses": "poppet"},
]


@pytest.mark.parametrize("asked", CASES)
@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("width", [178.0, 184.0])
def test_no_words_lie_on_others_or_off_the_sheet(
    demo_rules: Rulebook, asked: dict[str, Any], system: Any, width: float
) -> None:
    build = build_of(demo_rules, **asked)
    page = diagram.picture(build, plumbed(build), swinging(build), width=width, system=system)
    assert crowded(page) == []
    for label in labels(page.marks):
        left, low, right, high = box(label)
        assert left >= 0 and low >= 0 and right <= width + 0.1 and high <= page.height, label.text


def test_every_symbol_has_its_value(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    found, moves = plumbed(build), swinging(build)
    assert moves is not None and moves.relief is not None
    said = words(diagram.picture(build, found, moves))
    assert moves.fitted.drill.text in said
    assert "set to 2,500 psi" in said
    for hose in found.hoses:
        assert f"{hose.name}, {hose.cut_length / INCH:.0f} in" in said
    assert "flat-face 1/2 (ISO 16028)" in said and "cylinder 3 x 1-1/2 x 12" in said
    assert "cylinder, relief, restrictors, hoses" in said


def test_what_nobody_knows_of_the_machine_is_asked_for(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    said = words(diagram.picture(build, plumbed(build)))
    assert said.count("not known: ask") == 2
    assert "float or lock not known" in said


def test_hoses_are_drawn_crossed_where_they_cross(demo_rules: Rulebook) -> None:
    left, right = (build_of(demo_rules, outlets=side) for side in ("left", "right"))
    assert "crossed" in words(diagram.picture(left, plumbed(left)))
    assert "crossed" not in words(diagram.picture(right, plumbed(right)))


def test_a_bare_blade_shows_plugs_and_no_machine(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules, hoses="none")
    said = words(diagram.picture(build, plumbed(build), swinging(build)))
    assert "bare: no hoses" in said and "cap port plugged" in said
    assert "pump" not in said and "drilled" not in said


def test_too_narrow_a_sheet_is_refused_with_the_least_width(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    with pytest.raises(EntryError, match=r"no room for its labels.*100 mm.*at least 178 mm"):
        diagram.picture(build, plumbed(build), width=100.0)


def test_the_same_blade_gives_the_same_bytes(demo_rules: Rulebook) -> None:
    build = build_of(demo_rules)
    one, two = (svg.write(diagram.picture(build, plumbed(build)), title="diagram") for _ in range(2))
    assert one == two
