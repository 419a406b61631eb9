"""What a nest is made from and what it says: outlines, sheets, the rule for rests, and the plan itself.

A sheet lies with its lower left corner at zero, x along its length, y along its width. An outline keeps its own axes u
and v; it is turned counter-clockwise about their origin and then moved, never turned over.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, degrees, sin
from typing import Any, Literal

from plowwright.physics.regions import Loop, Region
from plowwright.units import inches, tape

Status = Literal["proved best", "not proved", "stopped"]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Outline:
    """One piece to be cut from sheet or plate, once.

    Attributes:
        stock: Sheet or plate it is cut from; another thickness is another stock.
        outer: Outer boundary [m].
        tag: What is written on it; no two pieces share one.
        inner: Openings the table cuts [m].
        drilled: Round holes the drill makes, which the table leaves alone [m].
        order: Order number with its check letter.
        mark: The mark on the order's drawing.
        turns: Angles it may lie at [rad], None for those the plan is given.
        grain: Whether its u axis must lie along the sheet's length, which leaves 0 and 180 deg.
        rush: Whether it is cut before the others.
    """

    stock: str
    outer: Loop
    tag: str
    inner: tuple[Loop, ...] = ()
    drilled: tuple[Loop, ...] = ()
    order: str = ""
    mark: str = ""
    turns: tuple[float, ...] | None = None
    grain: bool = False
    rush: bool = False

    @cached_property
    def area(self) -> float:
        """Area of what is left when its openings are cut and its holes drilled [m2]."""
        return Region(outer=self.outer, inner=(*self.inner, *self.drilled)).properties().area

    @property
    def size(self) -> tuple[float, float]:
        """Extent along u and v [m]."""
        a, b, c, d = Region(outer=self.outer).bounds()
        return c - a, d - b

    @cached_property
    def cut_length(self) -> float:
        """Length of its outer boundary and its openings [m]."""
        return sum(Region(outer=loop).properties().perimeter for loop in (self.outer, *self.inner))

    def in_words(self) -> str:
        """The piece as a person names it, with its size."""
        across, up = self.size
        return f"{self.tag}, {tape(across)} x {tape(up)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Sheets of one size and price, or one remnant behind the table.

    Attributes:
        stock: Sheet or plate.
        length: Longer side, along which the grain runs [m].
        width: Shorter side [m].
        price: What one costs, or the book value of a remnant [money].
        on_hand: How many there are [-].
        buyable: Whether more can be bought at this price.
        tag: Tag of a remnant, "" for whole sheets.
    """

    stock: str
    length: float
    width: float
    price: float
    on_hand: int = 0
    buyable: bool = True
    tag: str = ""

    @property
    def area(self) -> float:
        """Length by width [m2]."""
        return self.length * self.width

    @property
    def limit(self) -> int | None:
        """How many can be used, None where more can be bought."""
        return None if self.buyable else self.on_hand

    def in_words(self) -> str:
        """The sheet as a person names it."""
        size = f"{tape(self.width)} x {tape(self.length)}"
        return f"remnant {self.tag}, {size}" if self.tag else f"{self.stock}, {size}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestRule:
    """Which rests of a sheet go back behind the table and what they are worth there; the owner's settings.

    Attributes:
        least: Least shorter side of a rest worth keeping [m].
        value_share: Worth of a kept rest by area, as a share of what its sheet cost by area [-].
        handling: What tagging and putting away one costs [money].
    """

    least: float
    value_share: float = 0.0
    handling: float = 0.0

    def worth(self, length: float, width: float, sheet: Sheet) -> float:
        """Worth of a rest, nothing where it is too narrow to keep [money].

        Args:
            length: One side [m].
            width: Other side [m].
            sheet: What it is left of.
        """
        if min(length, width) < self.least - 1e-9:
            return 0.0
        return max(0.0, self.value_share * sheet.price * length * width / sheet.area - self.handling)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A rectangle of a sheet that goes back behind the table.

    Attributes:
        box: Least x, least y, greatest x, greatest y on the sheet [m].
        worth: What it counts for [money].
        tag: Tag it gets.
    """

    box: Box
    worth: float
    tag: str = ""

    @property
    def area(self) -> float:
        """Its area [m2]."""
        a, b, c, d = self.box
        return (c - a) * (d - b)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedOutline:
    """A piece on its sheet.

    Attributes:
        outline: The piece.
        turn: Turned counter-clockwise about its own origin [rad].
        x: Where its own origin then lies along the sheet [m].
        y: Where its own origin then lies across the sheet [m].
        inside: Tag of the piece in whose opening it lies, "" where it lies free.
    """

    outline: Outline
    turn: float
    x: float
    y: float
    inside: str = ""

    def loop(self, loop: Loop) -> Loop:
        """A loop of the piece, arcs kept, as it lies on the sheet [m].

        Args:
            loop: Outer boundary, opening or hole in the piece's own axes [m].
        """
        c, s = cos(self.turn), sin(self.turn)
        return tuple((self.x + c * u - s * v, self.y + s * u + c * v, bulge) for u, v, bulge in loop)

    def as_dict(self) -> dict[str, Any]:
        """The piece for a machine; inches and degrees."""
        return {
            "tag": self.outline.tag,
            "order": self.outline.order,
            "mark": self.outline.mark,
            "turn_deg": round(degrees(self.turn), 4) + 0.0,
            "x_in": round(inches(self.x), 4),
            "y_in": round(inches(self.y), 4),
            "inside": self.inside,
            "rush": self.outline.rush,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedSheet:
    """One sheet with its pieces.

    Attributes:
        sheet: What it is.
        placed: The pieces on it.
        rests: What goes back behind the table.
        cost: Price less the worth of its rests [money].
        number: Place in the table's order, from 1 [-].
    """

    sheet: Sheet
    placed: tuple[PlacedOutline, ...]
    rests: tuple[Rest, ...]
    cost: float
    number: int = 0

    @property
    def rush(self) -> bool:
        """Whether a rush piece is on it."""
        return any(p.outline.rush for p in self.placed)

    @property
    def parts_area(self) -> float:
        """Area of its pieces [m2]."""
        return sum(p.outline.area for p in self.placed)

    @property
    def used_area(self) -> float:
        """Area of the sheet less that of its rests [m2]."""
        return self.sheet.area - sum(r.area for r in self.rests)

    @property
    def utilisation(self) -> float:
        """Area of its pieces as a share of the sheet less its rests [-]."""
        return self.parts_area / self.used_area

    @property
    def pierces(self) -> int:
        """How often the torch goes through: for each outline, each opening, and each cut that frees a rest [-]."""
        return sum(1 + len(p.outline.inner) for p in self.placed) + len(self.freeing())

    @property
    def cut_length(self) -> float:
        """Length of all cuts: outlines, openings, and the cuts that free the rests [m]."""
        return sum(p.outline.cut_length for p in self.placed) + sum(b - a for a, b, _, _ in self.freeing())

    def freeing(self) -> tuple[tuple[float, float, bool, float], ...]:
        """The straight cuts that free its rests: from, to, whether it runs across the sheet, and where [m]."""
        cuts: list[tuple[float, float, bool, float]] = []
        for a, b, c, d in (r.box for r in self.rests):
            sides = ((b, d, True, a), (b, d, True, c), (a, c, False, b), (a, c, False, d))
            for low, high, across, at in sides:
                on_edge = at < 1e-9 or at > (self.sheet.length if across else self.sheet.width) - 1e-9
                cut_already = any(x == across and abs(y - at) < 1e-9 for _, _, x, y in cuts)
                if not on_edge and not cut_already:
                    cuts.append((low, high, across, at))
        return tuple(cuts)

    def as_dict(self) -> dict[str, Any]:
        """The sheet for a machine; lengths in inches."""
        return {
            "number": self.number,
            "stock": self.sheet.stock,
            "length_in": round(inches(self.sheet.length), 4),
            "width_in": round(inches(self.sheet.width), 4),
            "remnant": self.sheet.tag,
            "cost": round(self.cost, 2),
            "utilisation": round(self.utilisation, 4),
            "pierces": self.pierces,
            "cut_length_in": round(inches(self.cut_length), 2),
            "rests": [
                {"tag": r.tag, "box_in": [round(inches(x), 4) for x in r.box], "worth": round(r.worth, 2)}
                for r in self.rests
            ],
            "pieces": [p.as_dict() for p in self.placed],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class StockNest:
    """The sheets of one stock.

    Attributes:
        stock: Sheet or plate.
        sheets: Its sheets in the table's order.
        cost: Sheets less the worth of their rests [money].
        bound: No nest can cost less, by area [money].
        status: Proved best, not proved, or stopped.
        seconds: Time it took [s].
        method: How it was found, in words.
    """

    stock: str
    sheets: tuple[NestedSheet, ...]
    cost: float
    bound: float
    status: Status
    seconds: float
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPlan:
    """Which pieces lie where on which sheet.

    Attributes:
        stocks: One nest for each stock.
        gap: Least distance between two pieces, kerf counted [m].
        edge: Least distance from a piece to the sheet's edge [m].
        rest_rule: Which rests are kept.
        seconds: Time it took [s].
    """

    stocks: tuple[StockNest, ...]
    gap: float
    edge: float
    rest_rule: RestRule
    seconds: float

    @property
    def cost(self) -> float:
        """Sheets consumed less the worth of kept rests [money]."""
        return sum(s.cost for s in self.stocks)

    @property
    def bound(self) -> float:
        """No nest can cost less [money]; by area, with the gap counted."""
        return sum(s.bound for s in self.stocks)

    @property
    def over_bound(self) -> float:
        """How far above the bound the cost lies, as a share of the bound [-]."""
        over = self.cost - self.bound
        return over / self.bound if self.bound > 0 and over > 1e-9 else 0.0

    @property
    def status(self) -> Status:
        """Proved best if every stock is; stopped if any was."""
        kinds = {s.status for s in self.stocks}
        if "stopped" in kinds:
            return "stopped"
        return "not proved" if "not proved" in kinds else "proved best"

    @property
    def sheets(self) -> tuple[NestedSheet, ...]:
        """All sheets in the table's order: those with rush pieces first, then by number."""
        return tuple(sorted((n for s in self.stocks for n in s.sheets), key=lambda n: (not n.rush, n.number)))

    @property
    def sheets_used(self) -> int:
        """How many sheets and remnants are cut [-]."""
        return len(self.sheets)

    @property
    def pieces(self) -> tuple[Outline, ...]:
        """Every piece of the plan."""
        return tuple(p.outline for n in self.sheets for p in n.placed)

    @property
    def utilisation(self) -> float:
        """Area of all pieces as a share of the sheets less their kept rests [-]."""
        used = sum(n.used_area for n in self.sheets)
        return sum(n.parts_area for n in self.sheets) / used if used > 0 else 0.0

    def as_dict(self) -> dict[str, Any]:
        """The plan for a machine."""
        return {
            "cost": round(self.cost, 2),
            "bound": round(self.bound, 2),
            "over_bound": round(self.over_bound, 6),
            "sheets_used": self.sheets_used,
            "utilisation": round(self.utilisation, 4),
            "status": self.status,
            "seconds": round(self.seconds, 3),
            "stocks": [
                {"stock": s.stock, "sheets": len(s.sheets), "cost": round(s.cost, 2), "bound": round(s.bound, 2),
                 "status": s.status, "method": s.method}
                for s in self.stocks
            ],
            "sheets": [n.as_dict() for n in self.sheets],
        }  # fmt: skip
