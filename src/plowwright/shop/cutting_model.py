"""What a cut plan is made from and what it says: pieces, sticks, the remnant rule, and the plan itself.

A stick lies with its left end at zero; places on it are metres from there. A bar that is mitred has a near face and a
far face (the two sides the saw's swing runs between); an end leans by the angle of its `Mitre`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, tan
from typing import Any, Literal

from plowwright.units import inches, tape

Status = Literal["proved best", "not proved", "stopped"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mitre:
    """How one end of a piece is cut when it is not square.

    Attributes:
        angle: Away from a square cut [rad]; above zero where the far face is the longer, below where the near face is.
        depth: Size of the bar between the near and the far face [m].
        side: The face over which the saw swings, in words ("the wide side").
    """

    angle: float
    depth: float
    side: str = ""

    @property
    def overhang(self) -> float:
        """How far the long point stands beyond the centre-line's end [m]."""
        return 0.5 * self.depth * abs(tan(self.angle))


Ends = tuple[Mitre | None, Mitre | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece to be cut, once.

    Attributes:
        stock: Section it is cut from; another wall is another section.
        length: Over the long points [m].
        tag: What is written on it; no two pieces share one.
        order: Order number with its check letter.
        mark: The mark on the order's drawing.
        ends: Left and right end cut, None where square.
        flips: Whether it may be turned on the saw, so that two like mitres can share one cut (tube, flat; never angle).
        rush: Whether it is cut before the others.
    """

    stock: str
    length: float
    tag: str
    order: str = ""
    mark: str = ""
    ends: Ends = (None, None)
    flips: bool = False
    rush: bool = False

    @property
    def centre_line(self) -> float:
        """Length of its centre-line [m]."""
        return self.length - sum(end.overhang for end in self.ends if end)

    def as_dict(self) -> dict[str, Any]:
        """The piece for a machine; length in inches, angles in degrees as signed."""
        return {
            "stock": self.stock,
            "length_in": round(inches(self.length), 4),
            "tag": self.tag,
            "order": self.order,
            "mark": self.mark,
            "rush": self.rush,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Stick:
    """Sticks of one length and price, or one remnant of the rack.

    Attributes:
        stock: Section.
        length: As it lies there, ends untrimmed [m].
        price: What one costs, or the book value of a remnant [money].
        on_hand: How many lie in the rack [-].
        buyable: Whether more can be bought at this price.
        tag: Tag of a remnant, "" for whole sticks.
        trimmed_ends: How many of its ends are trimmed: 2, or 1 for a remnant with a sawn end [-].
    """

    stock: str
    length: float
    price: float
    on_hand: int = 0
    buyable: bool = True
    tag: str = ""
    trimmed_ends: int = 2

    @property
    def limit(self) -> int | None:
        """How many can be used, None where more can be bought."""
        return None if self.buyable else self.on_hand

    def in_words(self) -> str:
        """The stick as a person names it."""
        return f"remnant {self.tag}, {tape(self.length)}" if self.tag else f"{self.stock}, {tape(self.length)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemnantRule:
    """Which drops go back to the rack and what they are worth there; the owner's settings.

    Attributes:
        least: Least useful length [m].
        value_share: Worth of a kept drop per length, as a share of what its stick cost per length [-].
        handling: What tagging and racking one costs [money].
        places: How many more of one section the rack takes, None for no limit [-].
    """

    least: float
    value_share: float = 0.0
    handling: float = 0.0
    places: int | None = None

    def worth(self, drop: float, stick: Stick) -> float:
        """Worth of a drop, nothing below the least length [money].

        Args:
            drop: Length from the last cut to the stick's end [m].
            stick: What it is left of.
        """
        if drop < self.least - 1e-9:
            return 0.0
        return max(0.0, self.value_share * stick.price * drop / stick.length - self.handling)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A piece on its stick.

    Attributes:
        piece: The piece.
        start: Left end of its centre-line, from the stick's left end [m].
        turned: Whether its two ends have changed places.
        flipped: Whether its far face lies near.
    """

    piece: Piece
    start: float
    turned: bool = False
    flipped: bool = False

    @property
    def ends(self) -> tuple[float, float]:
        """Angles of its left and right end as it lies; above zero where the far face is the longer [rad]."""
        left, right = (end.angle if end else 0.0 for end in self.piece.ends)
        if self.turned:
            left, right = right, left
        return (-left, -right) if self.flipped else (left, right)

    @property
    def depth(self) -> float:
        """Size of the bar between near and far face, 0 for a square-cut piece [m]."""
        return max((end.depth for end in self.piece.ends if end), default=0.0)

    @property
    def from_to(self) -> tuple[float, float]:
        """Its outermost points from the stick's left end [m]."""
        left, right = (0.5 * self.depth * abs(tan(angle)) for angle in self.ends)
        return self.start - left, self.start + self.piece.centre_line + right

    def shares_cut_with(self, following: Placed) -> bool:
        """Whether one mitre cut parts this piece from the one that follows it.

        Args:
            following: The next piece to the right.
        """
        angle = self.ends[1]
        return abs(angle) > 1e-9 and abs(angle + following.ends[0]) < 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStick:
    """One stick with its pieces, left to right.

    Attributes:
        stick: What it is.
        placed: The pieces in the order in which they are cut.
        drop: Length from the last cut to the stick's end [m].
        kept: Whether the drop goes to the rack.
        cost: Price less the worth of the kept drop [money].
        number: Place in the saw's order, from 1; kept through later changes [-].
        drop_tag: Tag for the kept drop, "" where none is kept.
    """

    stick: Stick
    placed: tuple[Placed, ...]
    drop: float
    kept: bool
    cost: float
    number: int = 0
    drop_tag: str = ""

    @property
    def rush(self) -> bool:
        """Whether a rush piece is on it."""
        return any(p.piece.rush for p in self.placed)

    @property
    def shared_cuts(self) -> int:
        """How many of its mitre cuts serve two pieces [-]."""
        return sum(a.shares_cut_with(b) for a, b in zip(self.placed, self.placed[1:], strict=False))

    def as_dict(self) -> dict[str, Any]:
        """The stick for a machine; lengths in inches."""
        return {
            "number": self.number,
            "stock": self.stick.stock,
            "stick_in": round(inches(self.stick.length), 4),
            "remnant": self.stick.tag,
            "cost": round(self.cost, 2),
            "drop_in": round(inches(self.drop), 4),
            "drop_tag": self.drop_tag,
            "shared_cuts": self.shared_cuts,
            "pieces": [
                {
                    **p.piece.as_dict(),
                    "from_in": round(inches(p.from_to[0]), 4),
                    "to_in": round(inches(p.from_to[1]), 4),
                    "turned": p.turned,
                    "flipped": p.flipped,
                }
                for p in self.placed
            ],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPlan:
    """The sticks of one section.

    Attributes:
        stock: Section.
        sticks: Sticks in the saw's order.
        cost: Sticks less the worth of kept drops [money].
        bound: No plan can cost less [money].
        linear_bound: What the linear relaxation alone proves [money].
        status: Proved best, not proved, or stopped.
        seconds: Time it took [s].
        method: How it was found, in words.
    """

    stock: str
    sticks: tuple[CutStick, ...]
    cost: float
    bound: float
    linear_bound: float
    status: Status
    seconds: float
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """Which pieces come from which stick.

    Attributes:
        sections: One plan for each section.
        kerf: Width of a cut [m].
        trim: Taken off each end that is trimmed, its cut included [m].
        remnant_rule: Which drops are kept.
        share_mitres: Whether two like mitres may share a cut.
        seconds: Time it took [s].
    """

    sections: tuple[SectionPlan, ...]
    kerf: float
    trim: float
    remnant_rule: RemnantRule
    share_mitres: bool
    seconds: float

    @property
    def cost(self) -> float:
        """Sticks consumed less the worth of kept drops [money]."""
        return sum(s.cost for s in self.sections)

    @property
    def bound(self) -> float:
        """No plan can cost less [money]."""
        return sum(s.bound for s in self.sections)

    @property
    def gap(self) -> float:
        """How far above the bound the cost lies, as a share of the bound [-]."""
        over = self.cost - self.bound
        return over / self.bound if self.bound > 0 and over > 1e-9 else 0.0

    @property
    def status(self) -> Status:
        """Proved best if every section is; stopped if any was."""
        kinds = {s.status for s in self.sections}
        if "stopped" in kinds:
            return "stopped"
        return "not proved" if "not proved" in kinds else "proved best"

    @property
    def sticks(self) -> tuple[CutStick, ...]:
        """All sticks in the saw's order: those with rush pieces first, then by number."""
        return tuple(sorted((c for s in self.sections for c in s.sticks), key=lambda c: (not c.rush, c.number)))

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Every piece of the plan."""
        return tuple(p.piece for c in self.sticks for p in c.placed)

    def as_dict(self) -> dict[str, Any]:
        """The plan for a machine."""
        return {
            "cost": round(self.cost, 2),
            "bound": round(self.bound, 2),
            "gap": round(self.gap, 6),
            "status": self.status,
            "seconds": round(self.seconds, 3),
            "sections": [
                {"stock": s.stock, "cost": round(s.cost, 2), "bound": round(s.bound, 2),
                 "linear_bound": round(s.linear_bound, 2), "status": s.status, "method": s.method}
                for s in self.sections
            ],
            "sticks": [c.as_dict() for c in self.sticks],
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a plan has come.

    Attributes:
        stock: Section being planned.
        cost: Best cost of that section so far [money].
        bound: Its bound so far [money].
        seconds: Since the start of the whole plan [s].
        stage: What is being tried, in words.
        done: Sections finished [-].
        total: Sections in all [-].
    """

    stock: str
    cost: float
    bound: float
    seconds: float
    stage: str
    done: int
    total: int


Report = Callable[[Progress], None]
"""Called now and then with how far it has come."""
Stop = Callable[[], bool]
"""Asked now and then; True ends the search, and the best so far is handed back."""


def cut_width(kerf: float, angle: float) -> float:
    """Length of bar that a cut removes, measured along the bar [m].

    Args:
        kerf: Width of the cut square to itself [m].
        angle: Away from a square cut [rad].
    """
    return kerf / cos(angle)
