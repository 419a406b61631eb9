"""Lessons: failures grouped by class, width, carrier kind, place and winters, against how many blades were out there.

Three cracks on a class of which a hundred are out are fewer than two on a class of ten. So a group is shown as a rate
per hundred blade-winters with the band its count allows, and is told apart from the rest only where chance alone would
hardly give it (one in forty, each way). Of forty groups looked at, one or two will be called so by chance: look again.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, cast, get_args

from plowwright.errors import EntryError
from plowwright.shop.service import Life, winters
from plowwright.units import inches

By = Literal["class", "width", "carrier kind", "place", "winters"]
GROUPINGS: Final[tuple[By, ...]] = get_args(By)
_BAND: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Out:
    """A blade that is out there.

    Attributes:
        serial: Serial number.
        duty_class: Its series, by name.
        width: Of the edge [m].
        carrier_kind: What carries it.
        built: Day it left.
        life: Its record.
    """

    serial: str
    duty_class: str
    width: float
    carrier_kind: str
    built: date
    life: Life


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What happened in one group.

    Attributes:
        name: The group.
        failures: How many [-].
        blades: On which serials.
        exposure: Blade-winters they are counted against [-].
        rate: Failures in a hundred blade-winters [-].
        low: Low end of the band in which 95 of 100 true rates lie [-].
        high: High end [-].
        verdict: "more than the rest", "fewer than the rest", or "cannot be told apart".
    """

    name: str
    failures: int
    blades: tuple[str, ...]
    exposure: int
    rate: float
    low: float
    high: float
    verdict: str

    @property
    def text(self) -> str:
        """The row in words."""
        if not self.exposure:
            return f"{self.name}: no winter yet, so nothing can be told"
        return (
            f"{self.name}: {self.failures} in {self.exposure} blade-winters, {self.rate:.1f} in a hundred "
            f"({self.low:.1f} to {self.high:.1f}); {self.verdict}"
        )

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "name": self.name,
            "failures": self.failures,
            "blades": list(self.blades),
            "blade_winters": self.exposure,
            "rate_per_hundred": round(self.rate, 3),
            "low": round(self.low, 3),
            "high": round(self.high, 3),
            "verdict": self.verdict,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Failure:
    serial: str
    name: str


def grouped(blades: Sequence[Out], by: str, *, today: date) -> tuple[Group, ...]:
    """Failures of one grouping, the highest rate first.

    By place, every place is held against all blade-winters; by winters, the first winter against first winters only.

    Args:
        blades: Every blade out there, those without a failure too: without them a rate means nothing.
        by: class, width, carrier kind, place or winters.
        today: Until when winters count.

    Raises:
        EntryError: No such grouping.
    """
    if by not in GROUPINGS:
        raise EntryError("failures are not grouped by that", value=by, limit=", ".join(GROUPINGS))
    failures: list[_Failure] = []
    exposure: dict[str, int] = {}
    whole = 0
    for blade in blades:
        seen = winters(blade.built, today)
        whole += seen
        if by == "winters":
            for winter in range(1, seen + 1):
                exposure[_winter(winter)] = exposure.get(_winter(winter), 0) + 1
        elif by != "place":
            name = _NAMES[by](blade)
            exposure[name] = exposure.get(name, 0) + seen
        for chapter in blade.life.standing:
            if chapter.kind == "failure" and chapter.day <= today:
                name = (
                    chapter.place if by == "place"
                    else _winter(winters(blade.built, chapter.day)) if by == "winters" else _NAMES[by](blade)
                )  # fmt: skip
                failures.append(_Failure(serial=blade.serial, name=name))
    if by == "place":
        exposure = {one.name: whole for one in failures}
    rows = [_group(name, failures, exposure) for name in exposure]
    return tuple(sorted(rows, key=lambda row: (-row.rate, row.name)))


def before_and_after(
    blades: Sequence[Out], day: date, at: Collection[str], *, today: date
) -> tuple[Group, Group]:  # fmt: skip
    """Failures at some places on blades built before a change of rules and on those built since.

    Younger blades have seen fewer winters, and some failures take years: a group with few blade-winters tells little,
    and is called so.

    Args:
        blades: Every blade out there.
        day: From when the new rules counted.
        at: Places the change was made for.
        today: Until when winters count.
    """
    names = ("built before", "built since")
    failures: list[_Failure] = []
    exposure: dict[str, int] = dict.fromkeys(names, 0)
    for blade in blades:
        name = names[blade.built >= day]
        exposure[name] += winters(blade.built, today)
        failures += [
            _Failure(serial=blade.serial, name=name)
            for chapter in blade.life.standing
            if chapter.kind == "failure" and chapter.day <= today and chapter.place in at
        ]
    before, after = (_group(name, failures, exposure) for name in names)
    return before, after


def _winter(number: int) -> str:
    return f"winter {number}"


_NAMES: Final[dict[str, Callable[[Out], str]]] = {
    "class": lambda blade: blade.duty_class,
    "width": lambda blade: f"{inches(blade.width):g} in",
    "carrier kind": lambda blade: blade.carrier_kind,
}


def _group(name: str, failures: Sequence[_Failure], exposure: dict[str, int]) -> Group:
    own = [one for one in failures if one.name == name]
    seen = exposure[name]
    low, high = poisson_band(len(own))
    # Held against the others, not against a whole it is part of.
    rest = sum(count for other, count in exposure.items() if other != name)
    verdict = _told_apart(len(own), len(failures), seen, rest)
    per = 100.0 / seen if seen else 0.0
    return Group(
        name=name, failures=len(own), blades=tuple(sorted({one.serial for one in own})), exposure=seen,
        rate=len(own) * per, low=low * per, high=high * per, verdict=verdict,
    )  # fmt: skip


def _told_apart(own: int, whole: int, seen: int, rest: int) -> str:
    """Exact: were all alike, each failure would fall on this group by its share of the blade-winters."""
    from scipy.stats import binom

    if seen and rest and whole:
        law, share, tail = cast(Any, binom), seen / (seen + rest), (1.0 - _BAND) / 2
        if float(law.sf(own - 1, whole, share)) < tail:
            return "more than the rest"
        if float(law.cdf(own, whole, share)) < tail:
            return "fewer than the rest"
    return "cannot be told apart"


def poisson_band(count: int) -> tuple[float, float]:
    """Band in which 95 of 100 true means lie for a count of rare events [-], exact (Garwood, from memory).

    >>> [round(end, 2) for end in poisson_band(3)]
    [0.62, 8.77]

    Args:
        count: How many were counted [-].
    """
    from scipy.stats import chi2

    law = cast(Any, chi2)
    tail = (1.0 - _BAND) / 2
    low = 0.0 if count == 0 else 0.5 * float(law.ppf(tail, 2 * count))
    return low, 0.5 * float(law.ppf(1.0 - tail, 2 * count + 2))


def places(blades: Iterable[Out]) -> tuple[str, ...]:
    """Every place a failure was noted at, so that a new one is called by the same name.

    Args:
        blades: Blades out there.
    """
    found = {chapter.place for blade in blades for chapter in blade.life.standing if chapter.kind == "failure"}
    return tuple(sorted(found))
