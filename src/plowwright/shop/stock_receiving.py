"""The receiving sheet: caliper, weight per foot and hole template against the rulebook, before anything is racked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plowwright.blade.edge_layouts import HoleLayout
from plowwright.errors import EntryError, NotFoundError
from plowwright.findings import Basis, Finding, Verdict
from plowwright.rulebook.dock import Dock, Receiving
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.rulebook.schema import Section
from plowwright.shop.dock_causes import look_alikes
from plowwright.units import inches, say, tape

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
    """

    stock: str
    findings: tuple[Finding, ...]
    looks_like: tuple[str, ...]
    verdict: Verdict

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
            return f"{self.stock}: not racked before wall or weight per foot is measured"
        like = f"; it measures as {' or '.join(self.looks_like)}" if self.looks_like else ""
        bad = "; ".join(one.sentence for one in self.findings if one.verdict == "fails")
        return f"{self.stock}: sent back. {bad}{like}"


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
    found = {one.verdict for one in findings}
    verdict: Verdict = next(one for one in _ORDER if one in found)
    if not known and verdict != "fails":
        verdict = "not checked"
    like: list[str] = []
    if verdict == "fails":
        like = [
            name for name, other in look_alikes(book, measured.stock, dock)
            if all(f.verdict in ("holds", "near limit", "not checked") for f in _held(measured, other, dock.receiving))
        ]  # fmt: skip
    return Received(stock=measured.stock, findings=findings, looks_like=tuple(like), verdict=verdict)


def _held(measured: Measured, own: Section, settings: Receiving) -> tuple[Finding, ...]:
    wall = own.wall
    rows = [
        _against("wall", measured.wall, wall, (wall or 0.0) * settings.wall.value, "length", settings.wall.note),
        _against("width", measured.width, own.width or own.diameter, settings.size.value, "length", settings.size.note),
        _against("height", measured.height, own.height, settings.size.value, "length", settings.size.note),
        _against("weight per length", measured.mass_per_length, own.mass, own.mass * settings.mass.value, "linear_mass",
                 settings.mass.note),
    ]  # fmt: skip
    return tuple(row for row in rows if row is not None)


def _against(
    title: str, found: float | None, listed: float | None, allowed: float, kind: str, note: str
) -> Finding | None:
    if listed is None:
        return None
    basis = Basis(kind="shop rule", formula="|measured - listed| <= allowed", source=note)
    should, band = say(listed, kind), _fine(allowed, kind)
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
    return f"{inches(value):.3f} in" if kind == "length" else say(value, kind)


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
