"""What goes with the load: packing list, bill of lading, the three readings at loading, and the pack for a claim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from plowwright.blade.build import Build
from plowwright.errors import EntryError
from plowwright.findings import Basis, Finding
from plowwright.shop.dock import PACKING
from plowwright.shop.dock_freight import FreightClass, Packed
from plowwright.shop.orders_numbers import check_number
from plowwright.units import counted, say

_LOOSE: Final = ("hoses", "extras")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingRow:
    """One line to tick at loading.

    Attributes:
        count: Pieces [-].
        name: What.
        where: On the blade, or loose in the box.
        note: What to look at.
    """

    count: int
    name: str
    where: Literal["on the blade", "loose"]
    note: str = ""


def packing_list(build: Build, *, serial: str, spares: Sequence[tuple[str, int]] = ()) -> tuple[PackingRow, ...]:
    """What leaves with one blade.

    Args:
        build: The blade.
        serial: Its serial number, as stamped.
        spares: Spares that go along, each with its count [-].
    """
    notches = counted(build.series.notches, "notch", "notches")
    stamped = f"serial {serial}" if serial else "no serial yet"
    rows = [PackingRow(count=1, name=f"{build.name}, {build.series.duty_class}", where="on the blade",
                       note=f"{stamped}, {notches}")]  # fmt: skip
    wanted = [("cutting edge", "edge"), ("springs", "trip spring"), ("cylinder", "angle cylinder")]
    for row in build.bill.rows:
        if (row.group, row.mark) in wanted:
            rows.append(PackingRow(count=row.quantity, name=row.name, where="on the blade", note=row.stock))
        elif row.group == PACKING:
            rows.append(PackingRow(count=row.quantity, name=row.name, where="on the blade", note="round it"))
        elif row.group in _LOOSE and row.kind == "bought":
            rows.append(PackingRow(count=row.quantity, name=row.name, where="loose", note=row.stock))
    of = f"of {serial}" if serial else stamped
    rows.append(PackingRow(count=1, name="owner's booklet and wear card", where="loose", note=of))
    rows += [PackingRow(count=count, name=name, where="loose", note="spare") for name, count in spares]
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class LadingRow:
    """One line of the bill.

    Attributes:
        pieces: Handling units [-].
        packing: Crate or skid.
        goods: What they are.
        piece: Size and mass of one.
        freight_class: Class by density [-].
        marks: What is written on them.
    """

    pieces: int
    packing: str
    goods: str
    piece: Packed
    freight_class: float
    marks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BillOfLading:
    """What the bill of lading says.

    Attributes:
        number: Order number; the bill carries the same.
        on: Day.
        ship_from: Shop and place.
        ship_to: Who gets it and where.
        rows: What goes.
        pieces: Handling units in all [-].
        mass: In all [kg].
        terms: Who pays the freight.
        notes: What the driver must know.
        missing: What has to be filled in before it is signed.
    """

    number: str
    on: date
    ship_from: str
    ship_to: str
    rows: tuple[LadingRow, ...]
    pieces: int
    mass: float
    terms: str
    notes: tuple[str, ...]
    missing: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The bill for a machine."""
        return {
            "number": self.number,
            "on": self.on.isoformat(),
            "ship_from": self.ship_from,
            "ship_to": self.ship_to,
            "rows": [
                {"pieces": r.pieces, "packing": r.packing, "goods": r.goods, "class": r.freight_class, "marks": r.marks,
                 **r.piece.as_dict()}
                for r in self.rows
            ],
            "pieces": self.pieces,
            "mass": say(self.mass, "mass"),
            "terms": self.terms,
            "notes": list(self.notes),
            "missing": list(self.missing),
        }  # fmt: skip


def bill_of_lading(
    build: Build, piece: Packed, by: FreightClass, *, number: str, serial: str, on: date, ship_to: str,
    terms: Literal["prepaid", "collect", "not said"] = "not said",
) -> BillOfLading:  # fmt: skip
    """The bill for one blade. A hand signs it; this only fills it in.

    Args:
        build: The blade.
        piece: As packed.
        by: Its class.
        number: Order number.
        serial: Serial number.
        on: Day.
        ship_to: Name and place of who gets it.
        terms: Who pays the freight.
    """
    shop = build.rulebook.shop
    row = LadingRow(
        pieces=1, packing="crate" if piece.crated else "skid", goods=f"snow blade attachment, {build.name}, steel, new",
        piece=piece, freight_class=by.freight_class, marks=f"{number}, serial {serial}" if serial else number,
    )  # fmt: skip
    missing = [
        *([] if ship_to.strip() else ["who gets it"]),
        *([] if terms != "not said" else ["who pays the freight"]),
        *([] if piece.stated else ["size and mass, taken on the packed piece"]),
        *(["class: too near the next one"] if by.finding.verdict == "near limit" else []),
    ]
    return BillOfLading(
        number=number, on=on, ship_from=f"{shop.name}, {shop.place}", ship_to=ship_to.strip(), rows=(row,), pieces=1,
        mass=piece.mass, terms=terms,
        notes=("Oil is drained and hoses are capped.", "Forks from the mount side; do not lift by the skin.",
               "Do not stack on it.", by.finding.sentence + "."),
        missing=tuple(missing),
    )  # fmt: skip


def match(order: str, stamp: str, label: str, *, issued: Sequence[str] = ()) -> Finding:
    """Three readings at loading: the load slip's order, the stamp on the blade, the label on its box.

    Args:
        order: As on the load slip.
        stamp: As read off the blade.
        label: As read off the label.
        issued: Numbers issued so far.
    """
    said = {"order": order, "stamp": stamp, "label": label}
    read = {name: check_number(text, issued) for name, text in said.items()}
    wrong = [
        f"{name} {check.said}: {check.reason}" + (f", near it {', '.join(check.near)}" if check.near else "")
        for name, check in read.items()
        if not check.holds
    ]
    numbers = {check.number for check in read.values()}
    same = not wrong and len(numbers) == 1
    shown = ", ".join(f"{name} {text.strip().upper()}" for name, text in said.items())
    if same:
        sentence = f"order, stamp and label all say {order.strip().upper()}"
    elif wrong:
        sentence = f"not loaded: {'; '.join(wrong)}"
    else:
        sentence = f"not loaded: {shown}. Take the blade the order names"
    return Finding(
        title="three-way match", sentence=sentence, value=shown, limit="one number, three times", margin="",
        verdict="holds" if same else "fails",
        basis=Basis(kind="shop rule", formula="order = stamp = label, each with its own check letter"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimPiece:
    """One thing a claim rests on.

    Attributes:
        what: What.
        why: What it proves.
        there: Whether the shop has it.
    """

    what: str
    why: str
    there: bool


CLAIMS: Final = ("damage", "reweigh", "missing")
"""What a claim against the freight carrier can be about."""
_CLAIM: Final = {
    "damage": (
        ("bill of lading", "what was handed over"),
        ("signed copy of the bill", "that the driver took it over, and how"),
        ("packing list", "what was in it"),
        ("scale ticket", "what it weighed when it left"),
        ("photos at loading", "how it looked when it left"),
        ("photos at delivery", "how it looked when it came"),
        ("delivery receipt", "whether damage was written on it before it was signed"),
        ("price of the blade", "what it was worth"),
        ("repair estimate", "what it costs to put right"),
    ),
    "reweigh": (
        ("bill of lading", "size, mass and class as billed"),
        ("scale ticket", "our weight"),
        ("photos on the scale", "the scale's face and the number on the blade"),
        ("photos at loading", "its size, with a tape"),
        ("carrier's reweigh notice", "their weight and class"),
    ),
    "missing": (
        ("bill of lading", "how many pieces left"),
        ("signed copy of the bill", "that the driver took them over"),
        ("packing list", "what was in them, ticked"),
        ("photos at loading", "that it was there"),
        ("delivery receipt", "how many pieces came"),
        ("price of the blade", "what it was worth"),
    ),
}


def photographed(kind: str) -> tuple[str, ...]:
    """What of a claim comes as a photo or a scan, to be kept with the order.

    Args:
        kind: damage, reweigh or missing.
    """
    own = ("bill of lading", "packing list", "scale ticket", "price of the blade")
    return tuple(what for what, _ in _CLAIM[kind] if what not in own)


def claim_pack(kind: str, have: Sequence[str]) -> tuple[ClaimPiece, ...]:
    """What a claim against the freight carrier takes, and what of it is missing; *common practice*.

    Args:
        kind: damage, reweigh or missing.
        have: What the shop has.

    Raises:
        EntryError: No such kind of claim.
    """
    if kind not in _CLAIM:
        raise EntryError("no claim is called that", value=kind, limit=", ".join(_CLAIM))
    return tuple(ClaimPiece(what=what, why=why, there=what in have) for what, why in _CLAIM[kind])
