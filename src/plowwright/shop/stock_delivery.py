"""What came with the truck, judged before it is racked: bars and sheets by caliper or weight, blanks on a template."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

from plowwright.blade.datum import hole_rule
from plowwright.blade.edge_layouts import HoleLayout
from plowwright.blade.edges import layout
from plowwright.blade.making import Maker
from plowwright.errors import EntryError, ModelError, NotFoundError
from plowwright.findings import Basis, Finding
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.rulebook.schema import Plate
from plowwright.shop.stock_items import Item, item_of
from plowwright.shop.stock_receiving import Measured, Received, against, receive, template, worst
from plowwright.units import inches, say, tape

UNDRILLED: Final = " bar, undrilled"
"""How the name of an undrilled bar of edge steel ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What came, and what was measured on it.

    Attributes:
        item: What was ordered, as the ledger calls it.
        count: Pieces that came [-].
        lot: Heat, lot or tag.
        wall: Wall or thickness by caliper, None where nobody measured [m].
        width: Larger outside size, None likewise [m].
        height: Smaller outside size, None likewise [m].
        mass_per_length: By a cut foot on the bench scale, None likewise [kg/m].
        holes: Holes of a blank from one end, as the template reads; empty where it was not laid on [m].
        bad: What is wrong with it to the eye, "" where nothing is.
    """

    item: str
    count: int
    lot: str = ""
    wall: float | None = None
    width: float | None = None
    height: float | None = None
    mass_per_length: float | None = None
    holes: tuple[float, ...] = ()
    bad: str = ""

    def facts(self) -> dict[str, Any]:
        """What was measured, as the ledger keeps it; what was not is left out."""
        told: dict[str, Any] = {
            "wall_m": self.wall, "width_m": self.width, "height_m": self.height,
            "mass_per_length_kg_m": self.mass_per_length, "holes_m": list(self.holes) or None, "bad": self.bad or None,
        }  # fmt: skip
        return {name: value for name, value in told.items() if value is not None}

    def words(self) -> str:
        """What was measured, in words."""
        said = [
            f"{name} {inches(value):.3f} in"
            for name, value in (("wall", self.wall), ("width", self.width), ("height", self.height))
            if value is not None
        ]
        if self.mass_per_length is not None:
            said.append(say(self.mass_per_length, "linear_mass"))
        if self.holes:
            said.append("holes at " + ", ".join(tape(hole) for hole in self.holes))
        return "; ".join([*said, *([self.bad] if self.bad else [])])


def judge(delivery: Delivery, book: Rulebook, dock: Dock) -> Received:
    """Hold a delivery against what was ordered, by the kind of thing it is.

    Args:
        delivery: What came.
        book: The rulebook.
        dock: The dock's settings.

    Raises:
        NotFoundError: The rulebook knows no such section, sheet or part.
        EntryError: A count below one, or a measurement of nothing.
    """
    if delivery.count < 1:
        raise EntryError("a delivery of no pieces", value=str(delivery.count), limit="1 or more", where=delivery.item,
                         way_out="Leave it out; it stays expected.")  # fmt: skip
    item = item_of(delivery.item)
    match item.sort:
        case "stick" | "remnant":
            found = _bar(delivery, item.stock, book, dock)
        case "blank":
            found = _blank(delivery, item, book, dock)
        case "sheet" | "sheet remnant":
            found = _sheet(delivery, item, book, dock)
        case "part":
            bar = item.stock.removesuffix(UNDRILLED)
            found = _part(delivery, book) if bar == item.stock else _bar(delivery, bar, book, dock)
    return _seen(delivery, found)


def _bar(delivery: Delivery, stock: str, book: Rulebook, dock: Dock) -> Received:
    found = receive(
        Measured(stock=stock, wall=delivery.wall, width=delivery.width, height=delivery.height,
                 mass_per_length=delivery.mass_per_length, lot=delivery.lot),
        book, dock,
    )  # fmt: skip
    return replace(found, stock=delivery.item)


def _blank(delivery: Delivery, item: Item, book: Rulebook, dock: Dock) -> Received:
    bar = _bar(delivery, item.stock, book, dock)
    laid = on_template(delivery, item, book, dock)
    both = (*bar.findings, laid)
    verdict = worst(one.verdict for one in both)
    if verdict != "fails" and laid.verdict == "not checked":
        verdict = "not checked"
    elif verdict == "not checked" or bar.verdict == "not checked":
        # The template is what a blank is bought for; its thickness a caliper tells at the saw as well.
        verdict = laid.verdict
    return replace(bar, findings=both, verdict=verdict, ask="it is laid on the hole template")


def on_template(delivery: Delivery, item: Item, book: Rulebook, dock: Dock) -> Finding:
    """A blank laid on the hole template of its length.

    Args:
        delivery: With the holes as read.
        item: The blank.
        book: The rulebook.
        dock: The dock's settings.

    Raises:
        NotFoundError: No series has an edge of this bar.
    """
    layouts = list(layouts_of(item, book))
    if not layouts:
        raise NotFoundError("no series has an edge of this bar", value=item.stock, where=delivery.item,
                            way_out="Look at the name again.")  # fmt: skip
    if not delivery.holes:
        places = ", ".join(tape(one) for one in layouts[0].positions)
        return Finding(
            title="hole template", sentence="hole template not checked because nobody laid it on", value="",
            limit=f"holes at {places}", margin="", verdict="not checked",
            basis=Basis(kind="shop rule", formula="every pin of the template drops in",
                        source=dock.receiving.template.note),
        )  # fmt: skip
    laid = [template(one, delivery.holes, dock.receiving) for one in layouts]
    return min(laid, key=lambda one: (one.used is None, one.used or 0.0))


def layouts_of(item: Item, book: Rulebook) -> Iterator[HoleLayout]:
    """The hole layouts a blank of this bar and length may have, one for each hole rule.

    Args:
        item: The blank.
        book: The rulebook.
    """
    seen: list[tuple[float, ...]] = []
    for series in book.series.values():
        for edge in series.edges:
            if edge.edge != item.stock:
                continue
            try:
                found = layout(item.length, hole_rule(series, edge, Maker(rulebook=book)))
            except ModelError:
                continue
            if found.positions not in seen:
                seen.append(found.positions)
                yield found


def _sheet(delivery: Delivery, item: Item, book: Rulebook, dock: Dock) -> Received:
    plate = book.plates.get(item.stock)
    if plate is None:
        raise NotFoundError("no such sheet in the rulebook", value=item.stock,
                            way_out=near_names(item.stock, list(book.plates)))  # fmt: skip
    settings = dock.receiving
    found = against("thickness", delivery.wall, plate.thickness, plate.thickness * settings.wall.value, "length",
                    settings.wall.note)  # fmt: skip
    assert found is not None, "a plate has a thickness"
    like = [
        name for name, other in book.plates.items()
        if found.verdict == "fails" and name != item.stock and _as_heavy(other, plate)
        and delivery.wall is not None and abs(delivery.wall - other.thickness) <= other.thickness * settings.wall.value
    ]  # fmt: skip
    return Received(stock=delivery.item, findings=(found,), looks_like=tuple(like), verdict=found.verdict,
                    ask="its thickness is measured")  # fmt: skip


def _as_heavy(one: Plate, other: Plate) -> bool:
    """Whether both are of the same stuff, whatever its grade: nobody takes belting for plate."""
    return abs(one.mass / one.thickness - other.mass / other.thickness) < 0.1 * other.mass / other.thickness


def _part(delivery: Delivery, book: Rulebook) -> Received:
    if delivery.item not in book.bought:
        raise NotFoundError("no such section, sheet or part in the rulebook", value=delivery.item,
                            way_out=near_names(delivery.item, list(book.bought)))  # fmt: skip
    count = f"{delivery.count} counted"
    looked = Finding(
        title="counted and looked at", sentence=f"{count}, nothing wrong to the eye", value=count, limit="", margin="",
        verdict="holds",
        basis=Basis(kind="shop rule", formula="a part in a box is counted and looked at", source=""),
    )  # fmt: skip
    return Received(stock=delivery.item, findings=(looked,), looks_like=(), verdict="holds")


def _seen(delivery: Delivery, found: Received) -> Received:
    """The same with what the eye found wrong."""
    if not delivery.bad:
        return found
    seen = Finding(
        title="looked at", sentence=delivery.bad, value=delivery.bad, limit="nothing wrong to the eye", margin="",
        verdict="fails", basis=Basis(kind="shop rule", formula="what is damaged or wrong is sent back", source=""),
    )  # fmt: skip
    rest = tuple(one for one in found.findings if one.title != "counted and looked at")
    return replace(found, findings=(*rest, seen), verdict="fails")
