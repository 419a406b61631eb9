"""Spare parts that fit an old blade: by the rules it was built by, superseded parts followed to what is sold today."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.blade.datum import work_out
from plowwright.blade.edge_bars import tape_list
from plowwright.blade.edge_blanks import meets
from plowwright.errors import ModelError
from plowwright.findings import Basis, Finding, Verdict, not_checked
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import BoughtPart, Section
from plowwright.shop.service import Life
from plowwright.units import say

_WEARS: Final = ("cutting edge", "springs", "cylinder", "hoses", "extras")
_SIZES: Final = ("bore", "rod", "stroke", "retracted", "coil", "wire", "active_coils", "free_length", "length", "width",
                 "height", "wall", "diameter", "countersink", "port")  # fmt: skip
_PLAIN: Final = ("active_coils", "port")
RESTRICTORS: Final = "restrictor pair"
SEALS: Final = "seal kit"
"""Spares that no bill lists: the pair comes with the hoses, the kit goes into the cylinder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """One part of an old blade, and what is sold for it today.

    Attributes:
        mark: What the shop writes on it.
        name: What it is.
        count: How many the blade has [-].
        was: As it was built with, or as it was last fitted.
        now: What is sold today, or "" where nothing is.
        steps: Every name on the way from then to now.
        differs: Sizes that are not the same, in words.
        fit: Whether it fits, with its reason.
    """

    mark: str
    name: str
    count: int
    was: str
    now: str
    steps: tuple[str, ...]
    differs: tuple[str, ...]
    fit: Finding

    def as_dict(self) -> dict[str, Any]:
        """The spare for a machine."""
        return {
            "mark": self.mark,
            "name": self.name,
            "count": self.count,
            "was": self.was,
            "now": self.now,
            "steps": list(self.steps),
            "differs": list(self.differs),
            "fit": self.fit.as_dict(),
        }


def spares_for(build: Build, today: Rulebook, *, life: Life | None = None) -> tuple[Spare, ...]:
    """The parts that wear or are bought for one blade, each with what fits it today.

    Args:
        build: The blade, worked out by its own rules.
        today: Today's rules.
        life: Its life record: what was fitted later counts before what it was built with.

    Raises:
        ModelError: A part is superseded by one that leads back to itself.
    """
    later = _fitted_later(life) if life else dict[str, str]()
    rows: list[Spare] = []
    for row in build.bill.rows:
        if row.group not in _WEARS or (row.kind != "bought" and row.mark != "edge"):
            continue
        was = later.get(row.mark, row.stock)
        rows.append(_edge(build, row.quantity, was, today) if row.mark == "edge" else _part(
            build, row.mark, row.name, row.quantity, was, today))  # fmt: skip
    return (*rows, *_kept_for(build, rows, today, life))


def mark_of(place: str) -> str:
    """The mark of the part that sits at a place: its place without lot, side or number.

    >>> mark_of("trip spring, 2nd lot")
    'trip spring'

    Args:
        place: Where on the blade, as a chapter has it.
    """
    return place.partition(",")[0].strip()


def _kept_for(build: Build, rows: list[Spare], today: Rulebook, life: Life | None) -> tuple[Spare, ...]:
    """Restrictors by their stamp, seals by the cylinder that is on."""
    found: list[Spare] = []
    if RESTRICTORS in today.bought:
        stamp, where = life.stamp if life else ("", "nobody noted it")
        if stamp:
            fit = _finding(f"stamped {stamp} ({where}); both are the same", "holds", RESTRICTORS, stamp, build)
        else:
            fit = not_checked(
                title="restrictor stamp", basis=_basis(build),
                because=f"the stamp is not known: {where}. Read it off the old ones; none is drilled by eye",
            )  # fmt: skip
        found.append(_plain("restrictor", RESTRICTORS, fit))
    cylinder = next((row.was for row in rows if row.mark == "angle cylinder"), "")
    if SEALS in today.bought and cylinder:
        said = f"for {cylinder}; read bore and rod off the old seals before it is sent"
        found.append(_plain("seals", SEALS, _finding(said, "holds", SEALS, cylinder, build)))
    return tuple(found)


def _plain(mark: str, name: str, fit: Finding) -> Spare:
    return Spare(mark=mark, name=name, count=1, was=name, now=name, steps=(name,), differs=(), fit=fit)


def follow(stock: str, book: Rulebook) -> list[str]:
    """Every name from a part to the one that is sold today; just itself where nothing replaced it.

    Args:
        stock: As it was called then.
        book: Today's rules.

    Raises:
        ModelError: It leads back to itself.
    """
    steps = [stock]
    while (entry := _entry(steps[-1], book)) is not None and entry.superseded_by:
        if entry.superseded_by in steps:
            raise ModelError("superseded parts lead in a circle", value=" to ".join((*steps, entry.superseded_by)),
                             way_out="Take one superseded_by line out of the rulebook.")  # fmt: skip
        steps.append(entry.superseded_by)
    return steps


def _entry(stock: str, book: Rulebook) -> BoughtPart | Section | None:
    return book.bought.get(stock) or book.sections.get(stock)


def _fitted_later(life: Life) -> dict[str, str]:
    """What chapters after the first say was put on, by the mark of the part."""
    found: dict[str, str] = {}
    for chapter in life.standing:
        if chapter.kind != "as-built":
            found.update({mark_of(part.place): part.item for part in chapter.fitted})
    return found


def _part(build: Build, mark: str, name: str, count: int, was: str, today: Rulebook) -> Spare:
    steps = follow(was, today)
    now, then = _entry(steps[-1], today), _entry(was, build.rulebook) or _entry(was, today)
    differs = _differences(then, now) if then is not None and now is not None else ()
    if now is None:
        verdict, sentence = "fails", f"{was} is not in today's rulebook and nothing is named in its place"
    elif differs:
        verdict = "near limit"
        sentence = f"{steps[-1]} takes its place; hold it against the old one: {'; '.join(differs)}"
    elif len(steps) > 1:
        verdict, sentence = "holds", f"{steps[-1]} takes its place, same sizes"
    else:
        verdict, sentence = "holds", f"{was}, as built"
    return Spare(
        mark=mark, name=name, count=count, was=was, now=steps[-1] if now is not None else "", steps=tuple(steps),
        differs=differs, fit=_finding(sentence, verdict, was, steps[-1], build),
    )  # fmt: skip


def _edge(build: Build, count: int, was: str, today: Rulebook) -> Spare:
    """An edge fits where its holes meet the old bottom angle's, whatever today's rule would drill."""
    steps = follow(was, today)
    layout = build.datum.layout
    now = today.sections.get(steps[-1])
    differs: tuple[str, ...] = ()
    verdict: Verdict = "holds"
    sentence = f"{steps[-1]}, holes as built: {tape_list(layout.positions)}"
    if now is None:
        verdict, sentence = "fails", f"{was} is not in today's rulebook and nothing is named in its place"
    elif build.spec.series not in today.series:
        verdict = "near limit"
        sentence = f"no such series today; drill by the old layout: {tape_list(layout.positions)}"
    else:
        found = meets(work_out(build.spec, today).layout, layout)
        old = build.rulebook.sections.get(was)
        differs = _differences(old, now) if old is not None else ()
        if not found.fits:
            verdict = "near limit"
            sentence = f"not off today's pile: {found.in_words()}. "
            sentence += f"Drill it by the old layout: {tape_list(layout.positions)}"
        elif differs:
            verdict, sentence = "near limit", f"{steps[-1]} meets the old holes; {'; '.join(differs)}: bolts to suit"
    return Spare(
        mark="edge", name="cutting edge", count=count, was=was, now=steps[-1] if now is not None else "",
        steps=tuple(steps), differs=differs, fit=_finding(sentence, verdict, was, steps[-1], build),
    )  # fmt: skip


def _differences(then: BoughtPart | Section, now: BoughtPart | Section) -> tuple[str, ...]:
    out: list[str] = []
    for name in _SIZES:
        a, b = getattr(then, name, None), getattr(now, name, None)
        # A size the old entry did not give cannot be said to differ.
        if a is not None and b is not None and a != b:
            one, other = (str(a), str(b)) if name in _PLAIN else (say(a, "length"), say(b, "length"))
            out.append(f"{name.replace('_', ' ')} {other}, was {one}")
    return tuple(out)


def _finding(sentence: str, verdict: str, was: str, now: str, build: Build) -> Finding:
    said: Verdict = "holds" if verdict == "holds" else "fails" if verdict == "fails" else "near limit"
    return Finding(
        title="spare fits", sentence=sentence, value=now, limit=was, margin="", verdict=said,
        basis=_basis(build),
    )


def _basis(build: Build) -> Basis:
    return Basis(kind="shop rule", formula="by the rules the blade was built by, superseded parts followed",
                 source=f"rulebook of {build.rulebook.version.date:%d %b %Y}")  # fmt: skip
