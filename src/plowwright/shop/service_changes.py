"""What a change of rules does to every blade the shop builds: mass, price, edge holes, verdicts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from plowwright.blade.edge_blanks import meets
from plowwright.blade.spec import CARRIER_KINDS, CarrierKind, Spec
from plowwright.errors import PlowwrightError, RefusedError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import Worked, work_out
from plowwright.units import inches, pounds, say

_SAME: Final = 1e-6
_LEAST_MASS: Final = 0.05
"""Less than this is no difference a scale shows [kg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What the new rules make of one blade.

    Attributes:
        series: Its series, by name.
        width: [m].
        only: "before" or "since" where only one of the two builds it, else "".
        mass: How much heavier it is since [kg].
        price: How much dearer it is since [money].
        other_holes: Whether an edge by today's rule misses holes of the old bottom angle.
        verdicts: Checks whose verdict is another since, in words.
    """

    series: str
    width: float
    only: str = ""
    mass: float = 0.0
    price: float = 0.0
    other_holes: bool = False
    verdicts: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether it is the same blade for the same money."""
        same = abs(self.mass) < _LEAST_MASS and abs(self.price) < _SAME
        return same and not (self.only or self.other_holes or self.verdicts)

    @property
    def text(self) -> str:
        """The effect in words."""
        name = f"{self.series} {inches(self.width):g} in"
        if self.only:
            return f"{name}: built only {self.only} the change"
        said: list[str] = []
        if abs(self.mass) >= _LEAST_MASS:
            heavier = "heavier" if self.mass > 0 else "lighter"
            said.append(f"{say(abs(self.mass), 'mass', digits=1)} {heavier}")
        if abs(self.price) >= _SAME:
            said.append(f"{abs(self.price):,.0f} {'dearer' if self.price > 0 else 'cheaper'}")
        if self.other_holes:
            said.append("edge drilled otherwise: spares for older ones by their own layout")
        return f"{name}: {'; '.join([*said, *self.verdicts]) or 'the same'}"

    def as_dict(self) -> dict[str, Any]:
        """The effect for a machine."""
        return {
            "series": self.series,
            "width_in": round(inches(self.width), 3),
            "only": self.only,
            "mass_lb": round(pounds(self.mass), 2),
            "price": round(self.price, 2),
            "other_holes": self.other_holes,
            "verdicts": list(self.verdicts),
            "text": self.text,
        }


def effects(
    before: Rulebook, since: Rulebook, *, progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[Effect, ...]:  # fmt: skip
    """Every blade of either rulebook, with what the change does to it; those it leaves alone are left out.

    Each is taken plain: the first mount and hoses both rulebooks know, no extras.

    Args:
        before: The old rules.
        since: The new ones.
        progress: Told how many of how many blades are done [-].
        stop: Asked before each blade; True ends it.

    Raises:
        RefusedError: It was stopped: half a list would read as a whole one.
    """
    every = [(key, width) for key in dict.fromkeys((*before.series, *since.series))
             for width in _widths(key, before, since)]  # fmt: skip
    found: list[Effect] = []
    for at, (key, width) in enumerate(every):
        if stop is not None and stop():
            raise RefusedError("stopped before every blade was looked at", value=f"{at} of {len(every)}",
                               way_out="Ask for it again.")  # fmt: skip
        one = _effect(key, width, before, since)
        if one is not None and not one.nothing:
            found.append(one)
        if progress is not None:
            progress(at + 1, len(every))
    return tuple(found)


def in_groups(found: Sequence[Effect]) -> tuple[str, ...]:
    """Effects in few lines: neighbouring widths of one series whose edge, verdicts and range go the same way.

    Args:
        found: As `effects` gives them.
    """
    groups: list[list[Effect]] = []
    for one in found:
        last = groups[-1][-1] if groups else None
        if last is not None and _alike(last) == _alike(one):
            groups[-1].append(one)
        else:
            groups.append([one])
    return tuple(_group_said(group) for group in groups)


def _alike(one: Effect) -> tuple[object, ...]:
    return one.series, one.only, one.other_holes, one.verdicts, one.mass > 0, one.price > 0


def _group_said(group: list[Effect]) -> str:
    if len(group) == 1:
        return group[0].text
    first, last = group[0], group[-1]
    name = f"{first.series} {inches(first.width):g} to {inches(last.width):g} in"
    if first.only:
        return f"{name}: built only {first.only} the change"
    said: list[str] = []
    masses, prices = sorted(one.mass for one in group), sorted(one.price for one in group)
    if max(abs(masses[0]), abs(masses[-1])) >= _LEAST_MASS:
        said.append(f"{_from_to(*(say(m, 'mass', digits=1) for m in (masses[0], masses[-1])))} more")
    if max(abs(prices[0]), abs(prices[-1])) >= _SAME:
        said.append(f"{_from_to(*(f'{p:,.0f}' for p in (prices[0], prices[-1])))} dearer")
    if first.other_holes:
        said.append("edge drilled otherwise: spares for older ones by their own layout")
    return f"{name}: {'; '.join([*said, *first.verdicts])}"


def _from_to(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def _widths(key: str, before: Rulebook, since: Rulebook) -> Iterator[float]:
    widths = [w for book in (before, since) if key in book.series for w in book.series[key].widths()]
    last = -1.0
    for width in sorted(widths):
        if width - last > 1e-4:
            yield width
        last = width


def _effect(key: str, width: float, before: Rulebook, since: Rulebook) -> Effect | None:
    name = (since.series.get(key) or before.series[key]).name
    one, two = _plain(key, width, before, since), _plain(key, width, since, before)
    if one is None and two is None:
        return None
    if one is None or two is None:
        return Effect(series=name, width=width, only="since" if one is None else "before")
    return Effect(
        series=name, width=width, mass=two.build.mass - one.build.mass, price=two.price.total - one.price.total,
        other_holes=not meets(two.build.datum.layout, one.build.datum.layout).fits,
        verdicts=tuple(_turned(one, two)),
    )  # fmt: skip


def _turned(one: Worked, two: Worked) -> Iterator[str]:
    was = {finding.title: finding.verdict for finding in one.build.findings}
    for finding in two.build.findings:
        then = was.get(finding.title)
        if then is not None and then != finding.verdict:
            yield f"{finding.title}: {then} before, {finding.verdict} since"


def _plain(key: str, width: float, book: Rulebook, other: Rulebook) -> Worked | None:
    if key not in book.series:
        return None
    mount = next(iter(name for name in book.mounts if name in other.mounts), next(iter(book.mounts)))
    hoses = next(iter(name for name in book.options["hoses"] if name in other.options["hoses"]), "")
    kind: CarrierKind = next(kind for kind in CARRIER_KINDS if kind in book.mounts[mount].carriers)
    spec = Spec(series=key, width=width, mount=mount, carrier_kind=kind, hoses=hoses)
    try:
        return work_out(spec, book, level=0)
    except PlowwrightError:
        return None
