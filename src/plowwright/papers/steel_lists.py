"""Lists of pieces and sticks in, and a cut plan out as a list: CSV or XLSX, read back by what wrote them."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees
from pathlib import Path

from plowwright.errors import EntryError
from plowwright.papers.lists import Column, Row, Sheet
from plowwright.papers.tables_in import Entry, read
from plowwright.shop.cutting_model import CutPlan, Mitre, Piece, Stick
from plowwright.units import inches

PIECES_NEED = ("stock", "length")
PIECES_KNOW = (
    "quantity", "order", "mark", "tag", "left mitre", "right mitre", "mitre depth", "mitre side", "may be turned",
    "rush",
)  # fmt: skip
STICKS_NEED = ("stock", "length", "price")
STICKS_KNOW = ("on hand", "may be bought", "tag", "sawn ends")


def pieces_from(path: Path | str) -> tuple[Piece, ...]:
    """Pieces of a list; a row with a quantity becomes that many, each with a tag of its own.

    Args:
        path: A .csv or .xlsx file with the columns of `PIECES_NEED`, and as many of `PIECES_KNOW` as there are.

    Raises:
        NotFoundError: There is no such file.
        EntryError: A heading or a value cannot be taken; names file and line.
        UnitError: A size without a unit.
    """
    found: list[Piece] = []
    seen: dict[str, str] = {}
    for row, entry in enumerate(read(path, needs=PIECES_NEED, knows=PIECES_KNOW), 1):
        count = entry.count("quantity")
        base = entry.text("tag") or " ".join(w for w in (entry.text("order"), entry.text("mark")) if w) or f"row {row}"
        for number in range(1, count + 1):
            tag = f"{base} {number}/{count}" if count > 1 else base
            if tag in seen:
                raise EntryError(
                    "two pieces have one tag", where=entry.where, value=tag, limit=f"already in {seen[tag]}",
                    way_out="Give each row a mark of its own, or one row a quantity.",
                )  # fmt: skip
            seen[tag] = entry.where
            found.append(_piece(entry, tag))
    return tuple(found)


def _piece(entry: Entry, tag: str) -> Piece:
    depth = entry.quantity("mitre depth", "length", 0.0)
    left, right = (_mitre(entry, name, depth) for name in ("left mitre", "right mitre"))
    return Piece(
        stock=_stock(entry),
        length=entry.quantity("length", "length"),
        tag=tag,
        order=entry.text("order"),
        mark=entry.text("mark"),
        ends=(left, right),
        flips=entry.yes("may be turned", default=True),
        rush=entry.yes("rush"),
    )


def _mitre(entry: Entry, name: str, depth: float) -> Mitre | None:
    angle = entry.quantity(name, "angle", 0.0)
    if abs(angle) < 1e-9:
        return None
    if depth <= 0.0:
        raise EntryError(
            f"a {name} needs the size it is cut across", where=entry.where, value=entry.text(name),
            way_out='Fill in mitre depth, as "2-1/2 in".',
        )  # fmt: skip
    return Mitre(angle=angle, depth=depth, side=entry.text("mitre side"))


def sticks_from(path: Path | str) -> tuple[Stick, ...]:
    """Sticks of a list: lengths that can be bought, sticks in the rack, tagged remnants.

    Args:
        path: A .csv or .xlsx file with the columns of `STICKS_NEED`, and as many of `STICKS_KNOW` as there are.

    Raises:
        NotFoundError: There is no such file.
        EntryError: A heading or a value cannot be taken; names file and line.
        UnitError: A size or a price without a unit.
    """
    found: list[Stick] = []
    for entry in read(path, needs=STICKS_NEED, knows=STICKS_KNOW):
        tag = entry.text("tag")
        found.append(
            Stick(
                stock=_stock(entry),
                length=entry.quantity("length", "length"),
                price=entry.quantity("price", "money"),
                on_hand=entry.count("on hand", 1 if tag else 0),
                buyable=entry.yes("may be bought", default=not tag),
                tag=tag,
                trimmed_ends=2 - min(2, entry.count("sawn ends", 0)),
            )
        )
    return tuple(found)


def _stock(entry: Entry) -> str:
    stock = entry.text("stock")
    if not stock:
        raise EntryError("no stock here", where=entry.where, way_out='Name the section, as "tube 3 x 3 x 1/4".')
    return stock


PLAN_COLUMNS = (
    Column(field="number", heading="stick"),
    Column(field="stock", heading="stock"),
    Column(field="stick", heading="stick length", unit="in"),
    Column(field="remnant", heading="remnant"),
    Column(field="tag", heading="tag"),
    Column(field="order", heading="order"),
    Column(field="mark", heading="mark"),
    Column(field="length", heading="length", unit="in", decimals=4),
    Column(field="start", heading="from", unit="in", decimals=4),
    Column(field="end", heading="to", unit="in", decimals=4),
    Column(field="left", heading="left end", unit="deg", decimals=2),
    Column(field="right", heading="right end", unit="deg", decimals=2),
    Column(field="drop", heading="drop", unit="in", decimals=4),
    Column(field="drop_tag", heading="drop's tag"),
)


def plan_rows(plan: CutPlan) -> list[Row]:
    """A cut plan as rows, one for each piece in the order in which it is cut.

    Args:
        plan: The plan.
    """
    return [
        {
            "number": c.number,
            "stock": c.stick.stock,
            "stick": inches(c.stick.length),
            "remnant": c.stick.tag,
            "tag": p.piece.tag,
            "order": p.piece.order,
            "mark": p.piece.mark,
            "length": inches(p.piece.length),
            "start": inches(p.from_to[0]),
            "end": inches(p.from_to[1]),
            "left": degrees(p.ends[0]),
            "right": degrees(p.ends[1]),
            "drop": inches(c.drop) if p is c.placed[-1] else None,
            "drop_tag": c.drop_tag if p is c.placed[-1] else "",
        }
        for c in plan.sticks
        for p in c.placed
    ]


SUM_COLUMNS = (
    Column(field="stock", heading="stock"),
    Column(field="sticks", heading="sticks"),
    Column(field="cost", heading="cost", decimals=2),
    Column(field="bound", heading="no plan costs less than", decimals=2),
    Column(field="status", heading="status"),
    Column(field="method", heading="how it was found"),
)


def plan_sheets(plan: CutPlan) -> Sequence[Sheet]:
    """A cut plan as the pages of a workbook.

    Args:
        plan: The plan.
    """
    sums: list[Row] = [
        {"stock": s.stock, "sticks": len(s.sticks), "cost": s.cost, "bound": s.bound, "status": s.status,
         "method": s.method}
        for s in plan.sections
    ]  # fmt: skip
    return (
        Sheet(name="pieces by stick", columns=PLAN_COLUMNS, rows=plan_rows(plan)),
        Sheet(name="sections", columns=SUM_COLUMNS, rows=sums),
    )
