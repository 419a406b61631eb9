"""Whether two blades can be told apart by standing in front of them, and by what means if not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from plowwright.blade.build import Build
from plowwright.blade.spec import option
from plowwright.blade.wording import Wording
from plowwright.rulebook.schema import ClassRow, EdgeRow
from plowwright.units import System, pounds
from plowwright.units.constants import INCH

SEEN = 0.25 * INCH
"""Difference of a size from which an eye without a tape is taken to see it, assumed [m]."""

_MEASURE = "measure"
_TUBES = (("leg", "leg"), ("cross member", "cross"), ("hinge beam", "hinge_beam"), ("tower", "tower"))
_PLATES = (("web", "web"), ("ear", "ear"), ("king-pin plate", "pin_plate"), ("mount plate", "mount_plate"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """Whether two builds can be told apart.

    Attributes:
        first: Name of the one.
        second: Name of the other.
        by_eye: What an eye sees that differs, in words; empty when nothing does.
        by_tool: What a caliper, a count or the scale shows, in words.
        sentence: All of it in one sentence.
    """

    first: str
    second: str
    by_eye: tuple[str, ...]
    by_tool: tuple[str, ...]
    sentence: str

    @property
    def told_apart(self) -> bool:
        """Whether an eye tells them apart."""
        return bool(self.by_eye)

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine."""
        return {
            "first": self.first,
            "second": self.second,
            "told_apart_by_eye": self.told_apart,
            "by_eye": list(self.by_eye),
            "by_tool": list(self.by_tool),
            "sentence": self.sentence,
        }


def label(build: Build) -> str:
    """What a build is called beside another: order number, series and width.

    Args:
        build: The build.
    """
    return f"{build.spec.number} {build.name}".strip()


def class_row(build: Build) -> ClassRow:
    """The row of walls and plates that serves a build's width.

    Args:
        build: The build.
    """
    return next(row for row in build.series.rows if row.serves(build.spec.width))


def edge_row(build: Build) -> EdgeRow:
    """The edge row that serves a build's width.

    Args:
        build: The build.
    """
    return next(row for row in build.series.edges if row.serves(build.spec.width))


def looks(first: Build, second: Build, *, system: System = "us") -> Looks:
    """Whether two builds can be told apart by eye, else by what.

    Args:
        first: The one.
        second: The other.
        system: The reader's units.
    """
    words = Wording(system=system)
    seen = tuple(_by_eye(first, second, words))
    tools = tuple(_by_tool(first, second, words))
    if seen:
        sentence = f"can be told apart by eye: {'; '.join(seen)}"
    elif tools:
        # One measurement is enough to tell; the rest stands in by_tool.
        few = [t for t in tools if t.startswith(_MEASURE)][:1] + [t for t in tools if not t.startswith(_MEASURE)]
        several = f"{', '.join(few[:-1])}, or {few[-1]}" if len(few) > 1 else few[0]
        sentence = f"cannot be told apart by eye: {several}"
    else:
        sentence = "cannot be told apart: the same blade"
    return Looks(first=label(first), second=label(second), by_eye=seen, by_tool=tools, sentence=sentence)


def _by_eye(a: Build, b: Build, words: Wording) -> Iterator[str]:
    sizes_a, sizes_b = _sizes(a), _sizes(b)
    for name, one in sizes_a.items():
        other = sizes_b.get(name, 0.0)
        larger = name.replace("smaller", "larger")
        if larger != name and one == sizes_a[larger] and other == sizes_b[larger]:
            continue  # both square: said once
        if abs(one - other) >= SEEN - 1e-9:
            yield f"{name} {words.size(one)} against {words.size(other)}"
    counts_a, counts_b = _counts(a), _counts(b)
    for name in dict.fromkeys([*counts_a, *counts_b]):
        one, other = counts_a.get(name, 0), counts_b.get(name, 0)
        if one != other:
            yield f"{one or 'no'} {name} against {other or 'none'}"
    words_a, words_b = _words(a), _words(b)
    for name, said in words_a.items():
        if said != words_b[name]:
            yield f"{name}: {said} against {words_b[name]}"
    shown_a, shown_b = _shown(a), _shown(b)
    for name, extra in shown_a.items():
        if name not in shown_b:
            yield f"only the first has {extra}"
    for name, extra in shown_b.items():
        if name not in shown_a:
            yield f"only the second has {extra}"


def _sizes(build: Build) -> dict[str, float]:
    """Sizes that make up the silhouette, by name [m]."""
    rules, row, facts = build.rulebook, class_row(build), build.assembly.facts
    found = {
        "width": build.spec.width,
        "body height": facts["body height"],
        "frame length": facts["frame length"],
        "hinge beam length": facts["hinge beam length"],
        "edge height": facts["edge height"],
        "edge thickness": facts["edge thickness"],
    }
    for name, stock in (
        ("leg", row.leg),
        ("cross member", row.cross),
        ("hinge beam", row.hinge_beam),
        ("tower", row.tower),
    ):
        section = rules.sections[stock]
        large = max(section.width or section.diameter or 0.0, section.height or 0.0)
        small = min(section.width or section.diameter or 0.0, section.height or section.diameter or large)
        found[f"{name} larger side"], found[f"{name} smaller side"] = large, small
    for part in build.parts:
        if part.kind == "bought":
            entry = rules.bought[part.stock]
            if entry.barrel:
                found["cylinder outside"] = entry.barrel
            if entry.coil:
                found["spring outside"] = entry.coil
    angle = rules.sections[build.series.moldboard.bottom_angle]
    found["bottom angle larger leg"] = max(angle.width or 0.0, angle.height or 0.0)
    return found


def _counts(build: Build) -> dict[str, int]:
    marks: dict[str, int] = {}
    for part in build.parts:
        marks[part.mark] = marks.get(part.mark, 0) + 1
    names = {"web": "webs", "trip spring": "springs", "hinge pin": "hinge pins", "edge bolt": "edge bolts"}
    return {plural: marks[mark] for mark, plural in names.items() if mark in marks}


def _words(build: Build) -> dict[str, str]:
    return {
        "mount": build.rulebook.mounts[build.spec.mount].name,
        "hose outlets": f"on the {build.spec.outlets}",
    }


def _shown(build: Build) -> dict[str, str]:
    """Options that can be seen on the finished blade: those that add a part to it, and colours."""
    found: dict[str, str] = {}
    for choice in build.spec.choices():
        rule = option(build.rulebook, choice)
        if rule and (any(added.place != "packing" for added in rule.adds) or "colour" in choice):
            found[choice] = rule.name
    return found


def _by_tool(a: Build, b: Build, words: Wording) -> Iterator[str]:
    row_a, row_b = class_row(a), class_row(b)
    for name, field in _TUBES:
        one = a.rulebook.sections[getattr(row_a, field)].wall or 0.0
        other = b.rulebook.sections[getattr(row_b, field)].wall or 0.0
        if abs(one - other) > 1e-6:
            yield f"{_MEASURE} the {name}'s wall with a caliper ({words.wall(one)} against {words.wall(other)})"
    for name, field in _PLATES:
        one = a.rulebook.plates[getattr(row_a, field)].thickness
        other = b.rulebook.plates[getattr(row_b, field)].thickness
        if abs(one - other) > 1e-6:
            yield f"{_MEASURE} the {name}'s thickness with a caliper ({words.wall(one)} against {words.wall(other)})"
    if a.series.notches != b.series.notches:
        yield f"count the notches ({a.series.notches} against {b.series.notches})"
    heavier = abs(a.mass - b.mass)
    if pounds(heavier) >= 0.5:
        yield f"weigh (expect {words.whole_mass(heavier)} between them)"
