"""Bill of materials: alike pieces in one row; the saw's, the plate table's and the buyer's lists come from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import degrees
from typing import Any

from plowwright.blade.parts import Assembly, EndCut, Hole, Kind, Part
from plowwright.errors import ModelError
from plowwright.rulebook.schema import BoughtPart
from plowwright.units import System, inches, pounds, tape

_FINE = 6
"""Decimals of a metre to which two pieces must agree to be alike [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BillRow:
    """Alike pieces of one blade.

    Attributes:
        mark: What the shop writes on them.
        name: What they are.
        group: Part group.
        kind: Bar, plate, rolled or bought.
        material: Material or grade.
        stock: Section, plate or bought part of the rulebook.
        length: Over the long points, or developed [m].
        width: Other side of a plate's blank [m].
        thickness: Of a plate or sheet [m].
        quantity: How many pieces [-].
        mass_each: Mass of one [kg].
        cuts: End cuts of a bar in words, "" where there are none to make.
        holes: Holes in words.
        operations: What is done to each, in order.
        finish: Which paint they get.
        ids: The pieces, by part id.
    """

    mark: str
    name: str
    group: str
    kind: Kind
    material: str
    stock: str
    length: float
    width: float
    thickness: float
    quantity: int
    mass_each: float
    cuts: str
    holes: str
    operations: tuple[str, ...]
    finish: str
    ids: tuple[str, ...]

    @property
    def mass_total(self) -> float:
        """Mass of all of them [kg]."""
        return self.mass_each * self.quantity

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine and for lists, trade units in the names."""
        return {
            "mark": self.mark,
            "name": self.name,
            "group": self.group,
            "kind": self.kind,
            "material": self.material,
            "stock": self.stock,
            "length_in": round(inches(self.length), 4),
            "width_in": round(inches(self.width), 4),
            "thickness_in": round(inches(self.thickness), 4),
            "quantity": self.quantity,
            "mass_lb_each": round(pounds(self.mass_each), 3),
            "mass_lb_total": round(pounds(self.mass_total), 3),
            "cuts": self.cuts,
            "holes": self.holes,
            "operations": list(self.operations),
            "finish": self.finish,
            "pieces": list(self.ids),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class BoughtRow:
    """A bought part the blade takes.

    Attributes:
        stock: Name in the rulebook.
        name: What it is on the blade.
        quantity: How many [-].
        mass_each: Mass of one [kg].
        lead_time_days: Working days to get one [-].
        superseded_by: What is bought instead now, or "".
    """

    stock: str
    name: str
    quantity: int
    mass_each: float
    lead_time_days: int
    superseded_by: str

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine and for lists."""
        return {
            "stock": self.stock,
            "name": self.name,
            "quantity": self.quantity,
            "mass_lb_each": round(pounds(self.mass_each), 3),
            "lead_time_days": self.lead_time_days,
            "superseded_by": self.superseded_by,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """Everything one blade is made of.

    Attributes:
        rows: Alike pieces, in the order in which the blade is built up.
    """

    rows: tuple[BillRow, ...]

    @property
    def mass(self) -> float:
        """Mass of all pieces, without weld metal and paint [kg]."""
        return sum(row.mass_total for row in self.rows)

    def cut_list(self) -> tuple[BillRow, ...]:
        """What the saw cuts: bars by section, the longest first."""
        bars = [row for row in self.rows if row.kind == "bar"]
        return tuple(sorted(bars, key=lambda row: (row.stock, -row.length, row.mark)))

    def plate_list(self) -> tuple[BillRow, ...]:
        """What is cut from plate and sheet, by stock, the largest blank first."""
        plates = [row for row in self.rows if row.kind in ("plate", "rolled")]
        return tuple(sorted(plates, key=lambda row: (row.stock, -row.length * row.width, row.mark)))

    def bought_list(self, bought: Mapping[str, BoughtPart]) -> tuple[BoughtRow, ...]:
        """What comes in a box, the longest lead time first.

        Args:
            bought: The rulebook's bought parts by name.
        """
        counts: dict[str, int] = {}
        first: dict[str, BillRow] = {}
        for row in self.rows:
            if row.kind == "bought":
                counts[row.stock] = counts.get(row.stock, 0) + row.quantity
                first.setdefault(row.stock, row)
        rows = [
            BoughtRow(
                stock=stock,
                name=first[stock].name,
                quantity=count,
                mass_each=first[stock].mass_each,
                lead_time_days=bought[stock].lead_time_days,
                superseded_by=bought[stock].superseded_by or "",
            )
            for stock, count in counts.items()
        ]
        return tuple(sorted(rows, key=lambda row: (-row.lead_time_days, row.stock)))

    def as_dict(self) -> dict[str, Any]:
        """The bill for a machine."""
        return {"rows": [row.as_dict() for row in self.rows], "mass_lb": round(pounds(self.mass), 1)}


def bill(assembly: Assembly) -> Bill:
    """Gather alike pieces of a blade into rows.

    Args:
        assembly: Parts and joints.
    """
    rows: dict[object, list[Part]] = {}
    for part in assembly.parts:
        rows.setdefault((part.mark, likeness(part)), []).append(part)
    return Bill(rows=tuple(_row(parts) for parts in rows.values()))


def check_letters(assembly: Assembly) -> None:
    """Make sure that no two different pieces carry the same mark.

    Args:
        assembly: Parts and joints.

    Raises:
        ModelError: Two pieces that are not alike share a mark.
    """
    seen: dict[str, tuple[object, Part]] = {}
    for part in assembly.parts:
        like = likeness(part)
        other, first = seen.setdefault(part.mark, (like, part))
        if like != other:
            raise ModelError(
                f"two different pieces carry the mark '{part.mark}'",
                value=f"{first.id} ({_said(first)}) and {part.id} ({_said(part)})",
                limit="one mark, one piece",
                way_out="Give each its own mark, or make them alike.",
            )


def likeness(part: Part) -> object:
    """What two pieces must agree in to be alike: stock, sizes, cuts, holes, bends, shape and paint.

    Args:
        part: The piece.
    """
    if part.kind == "bought":
        return part.stock
    shapes = tuple(
        (
            _rounded(s.region.outer),
            tuple(_rounded(loop) for loop in s.region.inner),
            round(s.end - s.start, _FINE),
            *(round(x, _FINE) + 0.0 for x in (*s.start_slope, *s.end_slope)),
        )
        for s in part.solids
    )
    holes = tuple((round(h.along, _FINE), round(h.across, _FINE), round(h.diameter, _FINE), h.kind) for h in part.holes)
    sizes = tuple(round(x, _FINE) for x in (part.length, part.width, part.thickness, part.mass()))
    return (
        part.stock,
        part.material,
        sizes,
        part.cuts,
        holes,
        part.bends,
        part.operations,
        part.finish,
        shapes,
    )


def cuts_in_words(part: Part) -> str:
    """End cuts as the saw is told: "both ends square", "22.5 deg over the wide side; other end square".

    Args:
        part: The piece; only bars have end cuts.
    """
    if part.kind != "bar":
        return ""
    if part.cuts is None:
        return "both ends square"
    first, last = (_cut(cut) for cut in part.cuts)
    if first == last:
        return f"both ends {first}"
    return f"{first}; other end {last}"


def holes_in_words(holes: tuple[Hole, ...], system: System = "us") -> str:
    """Holes as a sheet lists them: "8 plow bolt holes 21/32 in", "8 plow bolt holes 16.7 mm".

    Args:
        holes: The holes of one piece.
        system: US or metric.
    """
    counts: dict[tuple[str, float], int] = {}
    for hole in holes:
        key = (hole.kind, round(hole.diameter, _FINE))
        counts[key] = counts.get(key, 0) + 1
    said: list[str] = []
    for (kind, size), count in counts.items():
        name = "slot" if kind == "slot" else f"{kind} hole"
        wide = tape(size, denominator=32) if system == "us" else f"{size * 1000:.1f} mm"
        said.append(f"{count} {name}{'s' if count > 1 else ''} {wide}")
    return ", ".join(said)


def _row(parts: list[Part]) -> BillRow:
    one = parts[0]
    names = {p.name for p in parts}
    # A bought part may be drawn in several pieces, each with a name of its own: "angle cylinder, rod".
    pieces = len(names) if one.kind == "bought" else 1
    quantity = max(1, len(parts) // pieces)
    return BillRow(
        mark=one.mark,
        name=one.name.partition(",")[0] if pieces > 1 else one.name,
        group=one.group,
        kind=one.kind,
        material=one.material,
        stock=one.stock,
        length=one.length,
        width=one.width,
        thickness=one.thickness,
        quantity=quantity,
        mass_each=sum(p.mass() for p in parts) / quantity,
        cuts=cuts_in_words(one),
        holes=holes_in_words(one.holes),
        operations=one.operations,
        finish=one.finish,
        ids=tuple(p.id for p in parts),
    )


def _cut(cut: EndCut) -> str:
    if abs(cut.angle) < 1e-6:
        return "square"
    over = f" over {cut.across}" if cut.across else ""
    return f"{degrees(abs(cut.angle)):.1f}".removesuffix(".0") + f" deg{over}"


def _said(part: Part) -> str:
    return f"{part.stock}, {tape(part.length)}" if part.kind != "bought" else part.stock


@lru_cache(maxsize=20000)
def _rounded(loop: tuple[tuple[float, float, float], ...]) -> tuple[tuple[float, float, float], ...]:
    # Adding nothing turns -0 into 0, which compares alike but reads otherwise.
    return tuple((round(a, _FINE) + 0.0, round(b, _FINE) + 0.0, round(c, _FINE) + 0.0) for a, b, c in loop)
