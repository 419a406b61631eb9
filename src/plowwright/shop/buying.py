"""Buying advice: which sticks to order by when, whether 20 or 24 ft, and a price break against the money it ties up."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from plowwright.errors import PlanInputError
from plowwright.shop.cutting import plan as plan_cuts
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Stick, Stop
from plowwright.units import tape

YEAR = 365.0
"""Days in a year, for interest [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyLine:
    """Sticks of one length to order.

    Attributes:
        stick: What to order.
        count: How many [-].
        cost: Of all of them [money].
        needed_by: Day on which the saw wants the first of them, None where no order has a day.
        order_by: Last day to order, None likewise.
        late: Whether that day has passed.
        orders: Orders that wait for them.
    """

    stick: Stick
    count: int
    cost: float
    needed_by: date | None
    order_by: date | None
    late: bool
    orders: tuple[str, ...]

    def in_words(self) -> str:
        """One sentence for the buyer."""
        text = f"{self.count} of {self.stick.in_words()}"
        if self.order_by and self.needed_by:
            text += f", order by {self.order_by:%d %b} for the saw on {self.needed_by:%d %b}"
        return text + (", too late for that day" if self.late else "")


def to_order(
    plan: CutPlan, *, saw_days: Mapping[str, date], lead_days: Mapping[str, int], today: date,
    closed: Collection[date] = (),
) -> tuple[BuyLine, ...]:
    """What a plan needs beyond the rack, the most urgent first.

    What lies in the rack goes to the sticks that are wanted first.

    Args:
        plan: The plan.
        saw_days: Day on which each order is cut; orders without one wait for none.
        lead_days: Working days to get a section [-].
        today: The day of asking.
        closed: Days the shop is closed.

    Raises:
        PlanInputError: A section has no lead time.
    """
    wants: dict[Stick, list[tuple[date, tuple[str, ...]]]] = {}
    for c in plan.sticks:
        if c.stick.buyable:
            orders = tuple(sorted({p.piece.order for p in c.placed if p.piece.order}))
            day = min((saw_days[o] for o in orders if o in saw_days), default=date.max)
            wants.setdefault(c.stick, []).append((day, orders))
    out: list[BuyLine] = []
    for stick, list_of in wants.items():
        short = sorted(list_of)[stick.on_hand :]
        if not short:
            continue
        if stick.stock not in lead_days:
            raise PlanInputError(
                "no lead time is known for a section that must be bought", value=stick.stock,
                limit=f"known: {', '.join(sorted(lead_days)) or 'none'}", way_out="Give its working days.",
            )  # fmt: skip
        needed = short[0][0] if short[0][0] != date.max else None
        order_by = working_days_before(needed, lead_days[stick.stock], closed=closed) if needed else None
        out.append(
            BuyLine(
                stick=stick,
                count=len(short),
                cost=len(short) * stick.price,
                needed_by=needed,
                order_by=order_by,
                late=order_by is not None and order_by < today,
                orders=tuple(sorted({o for _, orders in short for o in orders})),
            )
        )
    return tuple(sorted(out, key=lambda b: (b.order_by or date.max, b.stick.stock, b.stick.length)))


def working_days_before(day: date, count: int, *, closed: Collection[date] = ()) -> date:
    """The day so many working days earlier; Saturdays, Sundays and days the shop is closed are not counted.

    Args:
        day: The day.
        count: Working days [-].
        closed: Days the shop is closed.
    """
    while count > 0:
        day -= timedelta(days=1)
        if day.weekday() < 5 and day not in closed:
            count -= 1
    return day


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthChoice:
    """What the same pieces cost from one choice of stick lengths.

    Attributes:
        lengths: Stick lengths that may be bought [m].
        plan: The plan from them.
    """

    lengths: tuple[float, ...]
    plan: CutPlan

    def in_words(self) -> str:
        """One sentence for the buyer."""
        named = " and ".join(tape(length, feet=True) for length in self.lengths)
        sure = "" if self.plan.status == "proved best" else f", at most {100 * self.plan.gap:.1f} % above the best"
        return f"{named}: {self.plan.cost:,.2f}{sure}"


def compare_lengths(
    pieces: Sequence[Piece],
    sticks: Sequence[Stick],
    kerf: float,
    trim: float,
    remnant_rule: RemnantRule,
    seconds: float,
    *,
    stop: Stop | None = None,
) -> tuple[LengthChoice, ...]:
    """The pieces from each buyable stick length alone and from all of them, the cheapest first.

    Lengths that cannot hold the longest piece of a section are left out of the comparison by themselves.

    Args:
        pieces: What is to be cut.
        sticks: Sticks of every length in question, and remnants.
        kerf: Width of a cut [m].
        trim: Off each trimmed end [m].
        remnant_rule: Which drops are kept [-].
        seconds: Time given to all plans together [s].
        stop: Asked now and then; True ends the search.
    """
    lengths = sorted({s.length for s in sticks if s.buyable})
    choices: list[tuple[float, ...]] = [(length,) for length in lengths]
    if len(lengths) > 1:
        choices.append(tuple(lengths))
    longest = max((p.length for p in pieces), default=0.0)
    choices = [c for c in choices if max(c) - 2 * trim >= longest]
    out = [
        LengthChoice(
            lengths=choice,
            plan=plan_cuts(pieces, [s for s in sticks if not s.buyable or s.length in choice], kerf, trim,
                           remnant_rule, seconds / len(choices), stop=stop),
        )
        for choice in choices
    ]  # fmt: skip
    return tuple(sorted(out, key=lambda c: (c.plan.cost, len(c.lengths))))


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBreak:
    """What a larger lot saves, and what it costs to have it lie there.

    Attributes:
        saved: On what would be used anyway, over the time the lot lasts [money].
        tied_up: Money in the lot when it arrives beyond what is needed now [money].
        interest: What that money costs until the lot is used up [money].
        lasts: How long the lot lasts [days].
    """

    saved: float
    tied_up: float
    interest: float
    lasts: float

    @property
    def gain(self) -> float:
        """Saved less interest; below zero it does not pay [money]."""
        return self.saved - self.interest

    def in_words(self) -> str:
        """One sentence for the buyer."""
        verb = "pays" if self.gain > 0 else "does not pay"
        return (
            f"The larger lot {verb}: it saves {self.saved:,.2f}, lasts {self.lasts:.0f} days and ties up "
            f"{self.tied_up:,.2f}, which costs {self.interest:,.2f}."
        )


def price_break(
    *, price: float, break_price: float, break_count: int, needed: int, used_per_year: float, rate: float
) -> PriceBreak:
    """Weigh a price break: the lot at the lower price against buying as needed.

    What is needed now is used at once; the rest goes evenly, so half of it lies on average. Basis: common practice.

    Args:
        price: Of one stick bought as needed [money].
        break_price: Of one stick in the lot [money].
        break_count: Sticks in the lot [-].
        needed: Sticks needed now [-].
        used_per_year: Sticks used in a year [-].
        rate: What money costs in a year, racking and rust included [-].

    Raises:
        PlanInputError: A price, count or rate makes no sense.

    >>> b = price_break(price=100.0, break_price=92.0, break_count=40, needed=10, used_per_year=60.0, rate=0.12)
    >>> round(b.saved, 2), round(b.tied_up, 2), round(b.lasts, 1), round(b.interest, 2)
    (320.0, 2760.0, 182.5, 82.8)
    """
    if min(price, break_price, used_per_year) <= 0 or break_count < 1 or needed < 0 or rate < 0:
        raise PlanInputError(
            "a price break needs prices, a lot and a yearly use above zero",
            value=f"{price:g}, {break_price:g}, {break_count}, {used_per_year:g} a year, rate {rate:g}",
            limit="above 0; needed and rate 0 or more", way_out="Count what was used last year.",
        )  # fmt: skip
    rest = max(0, break_count - needed)
    lasts = rest / used_per_year * YEAR
    tied_up = rest * break_price
    return PriceBreak(
        saved=break_count * (price - break_price),
        tied_up=tied_up,
        interest=0.5 * tied_up * rate * lasts / YEAR,
        lasts=lasts,
    )
