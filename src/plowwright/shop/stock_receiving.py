"""The receiving sheet: caliper, weight per foot and hole template against the rulebook, before anything is racked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from plowwright.blade.edge_layouts import HoleLayout
from plowwright.errors import EntryError, NotFoundError
from plowwright.findings import Basis, Finding, Verdict
from plowwright.rulebook.dock import Dock, Receiving
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.rulebook.schema import Section
from plowwright.shop.dock_causes import look_alikes
from plowwright.units import say, tape

_ORDER: tuple[Verdict, ...] = ("fails", "near limit", "holds", "not checked")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured on a bar that came in.

    Attributes:
        stock: What was ordered, as the rulebook calls it.
        wall: Wall or thickness by caliper, None where nobody measured [m].
        width: Larger outside size, None likewise [m].
        height: Smaller outside size, None likewise [m].
        mass_per_length: By a cut foot on the bench scale, None likewise [kg/m].
        lot: Heat or lot, off the tag.
    """

    stock: str
    wall: float | None = None
    width: float | None = None
    height: float | None = None
    mass_per_length: float | None = None
    lot: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What the receiving sheet says of one bar.

    Attributes:
        stock: What was ordered.
        findings: Each measurement held against the rulebook.
        looks_like: Sections it measures as instead, the nearest first.
        verdict: Of all of them together.
        ask: What must be done before it may be racked, where too little was measured.
    """

    stock: str
    findings: tuple[Finding, ...]
    looks_like: tuple[str, ...]
    verdict: Verdict
    ask: str = "wall or weight per foot is measured"

    @property
    def racked(self) -> bool:
        """Whether it may go into the rack: measured, and nothing fails."""
        return self.verdict in ("holds", "near limit")

    @property
    def text(self) -> str:
        """What to tell the driver."""
        if self.racked:
            return f"{self.stock}: as ordered"
        if self.verdict == "not checked":
            return f"{self.stock}: not racked before {self.ask}"
        like = f"; it measures as {' or '.join(self.looks_like)}" if self.looks_like else ""
        bad = "; ".join(one.sentence for one in self.findings if one.verdict == "fails")
        return f"{self.stock}: sent back. {bad}{like}"

    def as_dict(self) -> dict[str, Any]:
        """The sheet for a machine."""
        return {
            "stock": self.stock,
            "racked": self.racked,
            "verdict": self.verdict,
            "looks_like": list(self.looks_like),
            "findings": [one.as_dict() for one in self.findings],
            "text": self.text,
        }


def receive(measured: Measured, book: Rulebook, dock: Dock) -> Received:
    """Hold what was measured against what was ordered.

    Args:
        measured: The measurements.
        book: The rulebook.
        dock: The dock's settings.

    Raises:
        NotFoundError: No such section.
        EntryError: A measurement of nothing.
    """
    if measured.stock not in book.sections:
        raise NotFoundError("no such section in the rulebook", value=measured.stock,
                            way_out=near_names(measured.stock, list(book.sections)))  # fmt: skip
    own = book.sections[measured.stock]
    findings = _held(measured, own, dock.receiving)
    told = [one for one in findings if one.title in ("wall", "weight per length")]
    known = any(one.verdict != "not checked" for one in told)
    verdict = worst(one.verdict for one in findings)
    if not known and verdict != "fails":
        verdict = "not checked"
    like: list[str] = []
    if verdict == "fails":
        like = [
            name for name, other in look_alikes(book, measured.stock, dock)
            if all(f.verdict in ("holds", "near limit", "not checked") for f in _held(measured, other, dock.receiving))
        ]  # fmt: skip
    return Received(stock=measured.stock, findings=findings, looks_like=tuple(like), verdict=verdict)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict of several together.

    Args:
        verdicts: Of each.
    """
    return min(verdicts, key=_ORDER.index)


def _held(measured: Measured, own: Section, settings: Receiving) -> tuple[Finding, ...]:
    wall = own.wall
    rows = [
        against("wall", measured.wall, wall, (wall or 0.0) * settings.wall.value, "length", settings.wall.note),
        against("width", measured.width, own.width or own.diameter, settings.size.value, "length", settings.size.note),
        against("height", measured.height, own.height, settings.size.value, "length", settings.size.note),
        against("weight per length", measured.mass_per_length, own.mass, own.mass * settings.mass.value, "linear_mass",
                 settings.mass.note),
    ]  # fmt: skip
    return tuple(row for row in rows if row is not None)


def against(
    title: str, found: float | None, listed: float | None, allowed: float, kind: str, note: str
) -> Finding | None:
    """One measurement held against what was ordered; None where the list has no such size.

    Args:
        title: What was measured.
        found: The measurement, None where nobody took it [SI].
        listed: As ordered [SI].
        allowed: Difference that is taken [SI].
        kind: Kind of quantity of all three.
        note: What the allowance rests on.

    Raises:
        EntryError: A measurement of nothing.
    """
    if listed is None:
        return None
    basis = Basis(kind="shop rule", formula="|measured - listed| <= allowed", source=note)
    should, band = _listed(listed, kind), _fine(allowed, kind)
    if found is None:
        return Finding(
            title=title, sentence=f"{title} not checked because nobody measured it: {should} ordered", value="",
            limit=should, margin="", verdict="not checked", basis=basis,
        )  # fmt: skip
    if not found > 0:
        raise EntryError(f"a {title} of nothing was not measured", value=say(found, kind), limit="above 0",
                         way_out="Leave it out.")  # fmt: skip
    used = abs(found - listed) / allowed
    verdict: Verdict = "fails" if used > 1 + 1e-9 else "near limit" if used > 0.9 else "holds"
    shown = _fine(found, kind)
    return Finding(
        title=title, sentence=f"{title} {shown}, {should} ordered, {band} either way allowed", value=shown,
        limit=f"{should}, {band} either way", margin=f"{100 * abs(1 - used):.0f} % {'over' if used > 1 else 'left'}",
        verdict=verdict, used=used, basis=basis,
    )  # fmt: skip


def _fine(value: float, kind: str) -> str:
    """A caliper's thousandths, where a tape would say nothing."""
    return say(value, kind, style="decimal", digits=3) if kind == "length" else say(value, kind)


def _listed(value: float, kind: str) -> str:
    """As it is sold, in inches; in millimetres as the caliper reads it, where a whole number would be another wall."""
    said = say(value, kind)
    return say(value, kind, digits=2) if said.endswith(" mm") else said


def template(layout: HoleLayout, holes: Sequence[float], settings: Receiving) -> Finding:
    """A delivered edge laid on the hole template, from one end and from the other: the supplier may have turned it.

    Args:
        layout: Where the holes should be.
        holes: Where they are, from the left end [m].
        settings: Receiving's settings.
    """
    slack = settings.template.value
    basis = Basis(kind="shop rule", formula="every pin of the template drops in", source=settings.template.note)
    wanted = layout.positions
    if len(holes) != len(wanted):
        return Finding(
            title="hole template", sentence=f"{len(holes)} holes, {len(wanted)} on the template", value=str(len(holes)),
            limit=str(len(wanted)), margin="", verdict="fails", basis=basis,
        )  # fmt: skip
    places = sorted(holes)
    turned = sorted(layout.length - one for one in places)
    worst, at, way = min(
        (
            (*max((abs(a - b), b) for a, b in zip(laid, wanted, strict=True)), said)
            for laid, said in ((places, "as it lies"), (turned, "turned end for end"))
        ),
        key=lambda row: row[0],
    )
    used = worst / slack
    holds = used <= 1 + 1e-9
    shown, bound = _fine(worst, "length"), _fine(slack, "length")
    sentence = f"every pin drops in, {way}" if holds else f"the hole at {tape(at)} is {shown} off, {bound} allowed"
    return Finding(
        title="hole template", sentence=sentence, value=f"{shown} off", limit=f"at most {bound}",
        margin="", verdict="holds" if holds else "fails", used=used, basis=basis,
    )  # fmt: skip
