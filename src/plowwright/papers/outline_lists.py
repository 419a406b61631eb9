"""Outlines and sheets read in: rectangles and DXF drawings by a CSV or XLSX list, or drawings alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from plowwright.errors import EntryError
from plowwright.papers.dxf_in import DxfRead, Unit
from plowwright.papers.dxf_in import read as read_dxf
from plowwright.papers.lists import Column, Row
from plowwright.papers.tables_in import Entry, read
from plowwright.physics.regions import Region, rectangle
from plowwright.shop.nesting_model import NestPlan, Outline, Sheet
from plowwright.units import inches

PARTS_NEED = ("stock",)
PARTS_KNOW = ("length", "width", "drawing", "quantity", "order", "mark", "tag", "grain", "rush")
SHEETS_NEED = ("stock", "length", "width", "price")
SHEETS_KNOW = ("on hand", "may be bought", "tag")


def outlines_from(
    path: Path | str, *, stock: str = "", count: int = 1, unit: Unit | None = None
) -> tuple[tuple[Outline, ...], tuple[DxfRead, ...]]:
    """Parts to be nested, and the audit of every drawing they come from.

    Args:
        path: A .dxf drawing, or a .csv or .xlsx list whose rows are rectangles (length, width) or name a drawing.
        stock: Sheet or plate of a drawing given alone.
        count: How many of each part of a drawing given alone [-].
        unit: What drawings are in where they do not say.

    Raises:
        EntryError: A row or a drawing cannot be taken: no unit, no closed outline, no stock.
    """
    file = Path(path)
    if file.suffix.lower() == ".dxf":
        found = _sound(read_dxf(file, unit))
        return tuple(_copies(found.parts, stock or _no_stock(file.name), count, file.stem)), (found,)
    out: list[Outline] = []
    audits: list[DxfRead] = []
    for number, entry in enumerate(read(file, needs=PARTS_NEED, knows=PARTS_KNOW), 1):
        regions, base = _regions(entry, file.parent, unit, audits, f"row {number}")
        out += _copies(
            regions, entry.text("stock") or _no_stock(entry.where), entry.count("quantity"), base,
            order=entry.text("order"), mark=entry.text("mark"), grain=entry.yes("grain"), rush=entry.yes("rush"),
        )  # fmt: skip
    twice = sorted(tag for tag, count in Counter(o.tag for o in out).items() if count > 1)
    if twice:
        raise EntryError("two parts have one tag", where=file.name, value=", ".join(twice[:3]),
                         way_out="Give each row a mark of its own, or one row a quantity.")  # fmt: skip
    return tuple(out), tuple(audits)


def _no_stock(where: str) -> str:
    raise EntryError("no stock here", where=where, way_out='Name the sheet, as "plate 1/4".')


def _sound(found: DxfRead) -> DxfRead:
    bad = [p.sentence for p in found.not_fixed if p.kind in ("unit", "not an outline")]
    if bad:
        raise EntryError(
            "nothing can be cut from this drawing as it is", where=found.name, value="; ".join(bad),
            way_out="Say its unit with --unit, or have it drawn again.",
        )  # fmt: skip
    return found


def _regions(
    entry: Entry, folder: Path, unit: Unit | None, audits: list[DxfRead], fallback: str
) -> tuple[Sequence[Region], str]:
    drawing = entry.text("drawing")
    named = entry.text("tag") or " ".join(w for w in (entry.text("order"), entry.text("mark")) if w)
    if drawing:
        found = _sound(read_dxf(folder / drawing, unit))
        audits.append(found)
        return found.parts, named or Path(drawing).stem
    length, width = entry.quantity("length", "length"), entry.quantity("width", "length")
    if not (length > 0.0 and width > 0.0):
        raise EntryError("a part has a length and a width", where=entry.where, value=f"{length:g} m x {width:g} m",
                         limit="above zero", way_out="Fill both in, or name a drawing.")  # fmt: skip
    return [Region(outer=rectangle(0.0, 0.0, length, width))], named or fallback


def _copies(
    regions: Sequence[Region], stock: str, count: int, base: str, *, order: str = "", mark: str = "",
    grain: bool = False, rush: bool = False,
) -> list[Outline]:  # fmt: skip
    out: list[Outline] = []
    for at, region in enumerate(regions, 1):
        name = (
            f"{base} {chr(96 + at)}" if len(regions) > 1 and at <= 26 else base if len(regions) == 1 else f"{base} {at}"
        )
        out += [
            Outline(stock=stock, outer=region.outer, inner=region.inner, order=order, mark=mark or base, grain=grain,
                    rush=rush, tag=f"{name} {n}/{count}" if count > 1 else name)
            for n in range(1, count + 1)
        ]  # fmt: skip
    return out


def sheets_from(path: Path | str) -> tuple[Sheet, ...]:
    """Sheets of a list: sizes that can be bought, sheets on hand, tagged remnants.

    Args:
        path: A .csv or .xlsx file with the columns of `SHEETS_NEED`.

    Raises:
        EntryError: A heading or a value cannot be taken; names file and line.
    """
    found: list[Sheet] = []
    for entry in read(path, needs=SHEETS_NEED, knows=SHEETS_KNOW):
        tag = entry.text("tag")
        one, other = entry.quantity("length", "length"), entry.quantity("width", "length")
        found.append(
            Sheet(
                stock=entry.text("stock") or _no_stock(entry.where), length=max(one, other), width=min(one, other),
                price=entry.quantity("price", "money"), on_hand=entry.count("on hand", 1 if tag else 0),
                buyable=entry.yes("may be bought", default=not tag), tag=tag,
            )
        )  # fmt: skip
    return tuple(found)


NEST_COLUMNS = (
    Column(field="number", heading="sheet"),
    Column(field="stock", heading="stock"),
    Column(field="sheet_length", heading="sheet length", unit="in"),
    Column(field="sheet_width", heading="sheet width", unit="in"),
    Column(field="remnant", heading="remnant"),
    Column(field="tag", heading="tag"),
    Column(field="order", heading="order"),
    Column(field="x", heading="along", unit="in", decimals=4),
    Column(field="y", heading="across", unit="in", decimals=4),
    Column(field="turn", heading="turned", unit="deg", decimals=2),
    Column(field="inside", heading="in the opening of"),
)


def nest_rows(plan: NestPlan) -> list[Row]:
    """A nest as rows, one for each part in the order in which it is cut.

    Args:
        plan: The nest.
    """
    rows: list[Row] = []
    for nest in plan.sheets:
        for placed in nest.placed:
            said = placed.as_dict()
            rows.append({
                "number": nest.number, "stock": nest.sheet.stock, "sheet_length": inches(nest.sheet.length),
                "sheet_width": inches(nest.sheet.width), "remnant": nest.sheet.tag, "tag": placed.outline.tag,
                "order": placed.outline.order, "x": said["x_in"], "y": said["y_in"], "turn": said["turn_deg"],
                "inside": placed.inside,
            })  # fmt: skip
    return rows
