"""Which blanks to stock, as a picture: what steel wasted and edges drilled here cost with one length, two, three."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from plowwright import units
from plowwright.errors import EntryError
from plowwright.papers.charts import Curve, curves
from plowwright.papers.drawing import Picture
from plowwright.shop.edge_planning import Stocking


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """What one choice of lengths costs over the forecast.

    Attributes:
        point: The choice.
        waste: Steel that does not become edge [money].
        drilling: Edges drilled here because no blank serves [money].
    """

    point: Stocking
    waste: float
    drilling: float

    @property
    def whole(self) -> float:
        """Both [money]."""
        return self.waste + self.drilling


def costs_of(curve: Sequence[Stocking], *, price: float, drilling: float) -> tuple[Costs, ...]:
    """Money for each point of the curve.

    Args:
        curve: From `shop.edge_planning.stocking_curve`.
        price: Of the bar per length [money/m].
        drilling: Of one undrilled bar [money].
    """
    return tuple(Costs(point=p, waste=p.waste * price, drilling=p.undrilled * drilling) for p in curve)


def picture(costs: Sequence[Costs], *, width: float, height: float = 78.0, currency: str = "USD") -> Picture:
    """Cost over the number of lengths stocked.

    Args:
        costs: Point by point.
        width: Room across [mm].
        height: Room upwards [mm].
        currency: Of the money.

    Raises:
        EntryError: Fewer than two points, which make no curve.
    """
    if len(costs) < 2:
        raise EntryError("one choice of lengths makes no curve", value=f"{len(costs)} points",
                         way_out="Forecast more than one width.")  # fmt: skip
    xs = [float(len(c.point.lengths)) for c in costs]
    lines = (
        Curve(name="both", points=tuple(zip(xs, (c.whole for c in costs), strict=True))),
        Curve(name="steel wasted", points=tuple(zip(xs, (c.waste for c in costs), strict=True)), line="broken"),
        Curve(name="drilled here", points=tuple(zip(xs, (c.drilling for c in costs), strict=True)), line="dotted"),
    )
    return curves(
        width=width,
        height=height,
        along="blank lengths stocked",
        up=f"{currency} over the forecast",
        lines=lines,
        along_ticks=xs,
    )


def sentence(costs: Sequence[Costs], *, currency: str, system: units.System = "us") -> str:
    """What the curve says in one sentence: where another length stops paying.

    Args:
        costs: Point by point.
        currency: Of the money.
        system: US or metric.
    """
    first, last = costs[0], costs[-1]
    steps = [(a.whole - b.whole, b) for a, b in pairwise(costs)]
    # The knee: the last length that still saves a tenth of what one length alone costs.
    knee = next((b for saved, b in reversed(steps) if saved >= 0.1 * first.whole), first)
    said = ", ".join(units.say(x, "length", system=system) for x in knee.point.lengths)
    return (
        f"{len(knee.point.lengths)} lengths ({said}) cost {currency} {knee.whole:,.0f} over the forecast, one length "
        f"alone {currency} {first.whole:,.0f}; {len(last.point.lengths)} bring it to {currency} {last.whole:,.0f}."
    )
