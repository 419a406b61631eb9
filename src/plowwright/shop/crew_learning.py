"""What an operation really takes in this shop, from the hours that were worked, beside what the rulebook says.

Working times are spread by shares, not by hours: a blade that goes badly takes half as long again, not three hours
more. So the logarithm of worked over rulebook hours is looked at, x = ln(worked / rulebook), one value for each blade.
It is taken as normal with unknown mean and unknown spread, and the rulebook counts as blades already seen: the prior is
the conjugate one, normal-inverse-chi-square, with mean 0 (the rulebook is right),

    k_n = k_0 + n                            n_n = n_0 + n
    m_n = n xbar / k_n                       n_n s_n^2 = n_0 s_0^2 + sum (x - xbar)^2 + k_0 n xbar^2 / k_n

and what the median blade takes is rulebook x exp(m_n), with ln of it Student-t of n_n degrees, centre m_n and scale
s_n / sqrt(k_n). Source: Gelman and others, Bayesian Data Analysis, third edition, 2013, section 3.3. Before that, with
five blades or more, a value farther than 3 x 1.4826 x MAD from the median is drawn in to that bound, so that one blade
on which somebody stood waiting does not make the plan (the usual robust scale; Huber and Ronchetti, Robust Statistics,
second edition, 2009, winsorizing). k_0, n_0 and s_0 are assumed: the rulebook counts as two blades, spread by a fifth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import fmean, median
from typing import Any, Final, Literal

from scipy.special import stdtrit

from plowwright.errors import PlanInputError
from plowwright.shop.crew_jobs import in_words

Told = Literal["takes longer", "takes less", "cannot be told apart", "too few blades", "no hours yet"]

BLADES: Final = 2.0
"""As how many blades the rulebook's hours count (k_0) [-]; assumed."""
SPREAD: Final = 0.2
"""Spread of ln(worked / rulebook) before anything is known (s_0) [-]; assumed."""
SPREAD_BLADES: Final = 4.0
"""As how many blades that spread counts (n_0) [-]; assumed."""
LEAST: Final = 3
"""Blades below which nothing is said [-]."""
SURE: Final = 0.95
"""Share of the interval that is held against the rulebook [-]."""
_CLIP_FROM: Final = 5
_CLIP: Final = 3.0 * 1.4826
_LEAST_MAD: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Actual:
    """Time one blade took at one operation.

    Attributes:
        order: Order number.
        series: Its series.
        operation: As hours.toml names it.
        time: Worked on it in all [s].
    """

    order: str
    series: str
    operation: str
    time: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What one operation takes for one series.

    Attributes:
        series: Key of the series.
        operation: As hours.toml names it.
        rulebook: What the rulebook says [s].
        hours: What the median blade takes, as far as is known [s].
        low: Below it the median lies in one case of forty [s].
        high: Above it likewise [s].
        usual: Between these two take two blades of three [s].
        blades: How many were worked [-].
        told: What can be said against the rulebook.
        drawn_in: Orders whose time was drawn in because it lies far out.
    """

    series: str
    operation: str
    rulebook: float
    hours: float
    low: float
    high: float
    usual: tuple[float, float]
    blades: int
    told: Told
    drawn_in: tuple[str, ...] = ()

    @property
    def planned(self) -> float:
        """What a plan by learned hours takes: the rulebook's wherever the two cannot be told apart [s]."""
        return self.hours if self.told in ("takes longer", "takes less") else self.rulebook

    @property
    def text(self) -> str:
        """One sentence."""
        name, book = in_words(self.operation), _h(self.rulebook)
        many = f"{self.blades} blade{'s' if self.blades != 1 else ''}"
        if self.told == "no hours yet":
            return f"{name}: no hours noted yet; the rulebook says {book}"
        if self.told == "too few blades":
            return f"{name}: {many}, too few to say anything; the rulebook says {book}"
        held = f"{_h(self.hours)} by {many} (median between {_h(self.low)} and {_h(self.high)})"
        if self.told == "cannot be told apart":
            return f"{name}: {held} cannot be told apart from the rulebook's {book}"
        return f"{name}: {self.told} than the rulebook's {book}: {held}"

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine, in hours."""
        return {
            "series": self.series, "operation": self.operation, "rulebook_h": round(self.rulebook / 3600, 2),
            "hours_h": round(self.hours / 3600, 2), "low_h": round(self.low / 3600, 2),
            "high_h": round(self.high / 3600, 2), "usual_h": [round(t / 3600, 2) for t in self.usual],
            "blades": self.blades, "told": self.told, "planned_h": round(self.planned / 3600, 2),
            "drawn_in": list(self.drawn_in), "text": self.text,
        }  # fmt: skip


def _h(seconds: float) -> str:
    return f"{seconds / 3600:.1f} h"


def learn(rulebook: Mapping[str, Mapping[str, float]], actuals: Iterable[Actual]) -> tuple[Learned, ...]:
    """What each operation of each series takes.

    Args:
        rulebook: Hours of the rulebook by series and operation [s].
        actuals: Time that blades took; each operation of a blade once, and only when it was finished.

    Raises:
        PlanInputError: A time that is none, or one blade twice.
    """
    rows: dict[tuple[str, str], dict[str, float]] = {}
    for one in actuals:
        if not one.time > 0.0:
            raise PlanInputError("a time worked that is none", where=f"{one.order}, {one.operation}",
                                 value=f"{one.time / 60:g} min", limit="above 0",
                                 way_out="Leave it out, or reverse it.")  # fmt: skip
        blades = rows.setdefault((one.series, one.operation), {})
        if one.order in blades:
            raise PlanInputError("a blade is counted twice", where=one.operation, value=one.order,
                                 way_out="Add its times up first.")  # fmt: skip
        blades[one.order] = one.time
    return tuple(
        _learned(series, operation, time, rows.get((series, operation), {}))
        for series, hours in rulebook.items()
        for operation, time in hours.items()
        if time > 0.0
    )


def _learned(series: str, operation: str, rulebook: float, worked: Mapping[str, float]) -> Learned:
    logs = {order: log(time / rulebook) for order, time in worked.items()}
    values, drawn_in = drawn(logs)
    centre, spread, freedom, weight = posterior(list(values.values()))
    half = float(stdtrit(freedom, 0.5 + SURE / 2)) * spread / sqrt(weight)
    low, high = centre - half, centre + half
    told: Told = (
        "no hours yet" if not worked else "too few blades" if len(worked) < LEAST
        else "takes longer" if low > 0.0 else "takes less" if high < 0.0 else "cannot be told apart"
    )  # fmt: skip
    return Learned(
        series=series, operation=operation, rulebook=rulebook, hours=rulebook * exp(centre), low=rulebook * exp(low),
        high=rulebook * exp(high), usual=(rulebook * exp(centre - spread), rulebook * exp(centre + spread)),
        blades=len(worked), told=told, drawn_in=drawn_in,
    )  # fmt: skip


def drawn(logs: Mapping[str, float]) -> tuple[dict[str, float], tuple[str, ...]]:
    """Values drawn in to three robust spreads round their median, and which they were; below five all stay.

    Args:
        logs: ln(worked / rulebook) by order [-].
    """
    if len(logs) < _CLIP_FROM:
        return dict(logs), ()
    middle = median(logs.values())
    # A handful of equal times has no spread at all; a twentieth is what a stopwatch leaves open.
    reach = _CLIP * max(_LEAST_MAD, median(abs(x - middle) for x in logs.values()))
    held = {order: min(max(x, middle - reach), middle + reach) for order, x in logs.items()}
    return held, tuple(order for order, x in logs.items() if held[order] != x)


def posterior(values: Sequence[float]) -> tuple[float, float, float, float]:
    """Centre m_n, spread s_n, degrees n_n and weight k_n of what is known after these values [-].

    Args:
        values: ln(worked / rulebook) of each blade [-].
    """
    count = len(values)
    mean = fmean(values) if values else 0.0
    weight, freedom = BLADES + count, SPREAD_BLADES + count
    squares = sum((x - mean) ** 2 for x in values)
    sum_of = SPREAD_BLADES * SPREAD**2 + squares + BLADES * count * mean**2 / weight
    return count * mean / weight, sqrt(sum_of / freedom), freedom, weight


def hours_of(learned: Iterable[Learned], series: str) -> dict[str, float]:
    """Hours a plan takes for one series by what was learned [s]; what stays by the rulebook is left out.

    Args:
        learned: As `learn` gives it.
        series: Key of the series.
    """
    return {
        one.operation: one.planned for one in learned if one.series == series and one.planned != one.rulebook
    }
