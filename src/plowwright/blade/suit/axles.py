"""What stands on the axles with the blade carried low and at its furthest, and the ballast that mends it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.suit import formulas
from plowwright.blade.suit.judging import judged, span_of, unknown
from plowwright.blade.suit.places import Reach, kind_of, of_spread
from plowwright.blade.suit.results import AxleRow, AxlesShown, BallastShown, Check
from plowwright.findings import Basis, Finding
from plowwright.physics.lifting import FRONT_SHARE, REAR_SHARE
from plowwright.rulebook.suit import Suit
from plowwright.units.constants import LB

TWO_AXLES = ("front_axle", "rear_axle", "wheelbase")
ROUND: Final = 25.0 * LB
"""Ballast is hung in weights of this size [kg]."""
BEHIND: Final = "hung behind the rear axle"
"""What ballast of a machine must be to lift its front axle."""
_NONE: Final = Span.sure(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Axled:
    """What came of the axles.

    Attributes:
        checks: Front axle, rear axle, ballast, steering.
        shown: Loads in every position, None while they are not known.
        ballast: Ballast, None where none is asked for or nothing is known.
    """

    checks: tuple[Check, ...]
    shown: AxlesShown | None
    ballast: BallastShown | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _On:
    """The machine, with what hangs on its rear already, and the blade on it."""

    mass: float
    empty: float
    base: Span
    front: Span
    rear: Span
    low: Span
    lifted: Span
    behind: Span

    def front_with(self, ahead: Span, ballast: Span) -> Span:
        def load(f: float, a: float, w: float, b: float, c: float) -> float:
            return formulas.front_axle(self.mass, a, w, f, b, c)

        return _ordered(
            load(self.front.low, ahead.low, self.base.high, ballast.high, self.behind.high),
            load(self.front.likely, ahead.likely, self.base.likely, ballast.likely, self.behind.likely),
            load(self.front.high, ahead.high, self.base.low, ballast.low, self.behind.low),
        )

    def rear_with(self, ahead: Span, ballast: Span) -> Span:
        def load(r: float, a: float, w: float, b: float, c: float) -> float:
            return formulas.rear_axle(self.mass, a, w, r, b, c)

        return _ordered(
            load(self.rear.low, ahead.high, self.base.low, ballast.low, self.behind.low),
            load(self.rear.likely, ahead.likely, self.base.likely, ballast.likely, self.behind.likely),
            load(self.rear.high, ahead.low, self.base.high, ballast.high, self.behind.high),
        )


def _ordered(low: float, likely: float, high: float) -> Span:
    return Span(low=min(low, likely), likely=likely, high=max(likely, high))


def axles_of(build: Build, carrier: Carrier, reach: Reach, settings: Suit) -> Axled:
    """Axle loads, ballast and what is said of them.

    Args:
        build: The blade.
        carrier: The machine.
        reach: Where the blade's weight acts.
        settings: suit.toml.
    """
    tractor = kind_of(build, carrier) == "tractor"
    facts = [carrier.known(name) for name in TWO_AXLES]
    missing = [name for name, fact in zip(TWO_AXLES, facts, strict=True) if fact is None]
    if reach.low is None or reach.lifted is None:
        missing.append("pins_ahead")
    if missing or reach.low is None or reach.lifted is None:
        # Loaders on wheels are held against their rated load; nobody knows their axles, and nothing hangs on them.
        if not tractor:
            return Axled(checks=(), shown=None, ballast=None)
        checks = tuple(
            unknown(key, title, missing, kind="mass", basis=_basis(None, reach))
            for key, title in (("front_axle", "front axle"), ("rear_axle", "rear axle"))
        )
        return Axled(checks=checks, shown=None, ballast=None)
    front, rear, base = (span_of(f) for f in facts if f is not None)
    on = _On(mass=build.mass, empty=front.likely + rear.likely, base=base, front=front, rear=rear, low=reach.low,
             lifted=reach.lifted, behind=of_spread(settings.ballast.behind))  # fmt: skip
    hung = carrier.known("ballast")
    known = tuple(f for f in (*facts, *reach.facts, hung) if f is not None)
    if hung is not None:
        on = _with_hung(on, hung)
    return _tractor(on, carrier, known, reach, settings) if tractor else _loader(on, carrier, known, reach, settings)


def _with_hung(on: _On, hung: Fact) -> _On:
    """The machine with ballast it has already; in the wheels, or nobody knows where, it lifts nothing off the front."""
    there = span_of(hung)
    nothing = replace(on, mass=0.0, behind=on.behind if hung.what == BEHIND else _NONE)
    return replace(on, front=nothing.front_with(on.low, there), rear=nothing.rear_with(on.low, there))


def _basis(on: _On | None, reach: Reach, ballast: Span = _NONE) -> Basis:
    inputs: dict[str, str] = {}
    if on is not None:
        inputs = {
            "W, blade": units.say(on.mass, "mass"),
            "a, its centre of gravity ahead of the front axle": f"{on.low.said('length')} low, "
            f"{on.lifted.said('length')} with the arms level",
            "WB, wheelbase": on.base.said("length"),
            "T, no blade on": f"{on.front.said('mass')} front, {on.rear.said('mass')} rear",
        }
        if ballast.likely > 0.0:
            inputs |= {"B, ballast": ballast.said("mass"), "c, behind the rear axle": on.behind.said("length")}
    return Basis(
        kind="handbook",
        formula="front = T_f + W (a + WB) / WB - B c / WB; rear = T_r - W a / WB + B (c + WB) / WB",
        inputs=inputs,
        source="moments about either axle; plate_ahead_of_pins, swing_out and ballast of suit.toml",
    )


def _rows(on: _On, ballast: Span | None) -> tuple[AxleRow, ...]:
    def row(key: str, title: str, ahead: Span | None, more: Span) -> AxleRow:
        if ahead is None:
            return AxleRow(key=key, title=title, front=on.front, rear=on.rear)
        return AxleRow(key=key, title=title, front=on.front_with(ahead, more), rear=on.rear_with(ahead, more))

    rows = [
        row("bare", "nothing attached", None, _NONE),
        row("low", "carried low", on.low, _NONE),
        row("lifted", "arms level", on.lifted, _NONE),
    ]
    if ballast is not None:
        rows += [
            row("low ballasted", "low, with ballast", on.low, ballast),
            row("lifted ballasted", "arms level, with ballast", on.lifted, ballast),
        ]
    return tuple(rows)


def _tractor(on: _On, carrier: Carrier, known: tuple[Fact, ...], reach: Reach, settings: Suit) -> Axled:
    limit = carrier.known("front_axle_limit")
    needs = {"rear axle keeps 45 % of the empty tractor": _by_rear(on)}
    if limit is not None:
        needs["front axle within its limit"] = _by_front(on, span_of(limit))
    by = max(needs, key=lambda rule: needs[rule].likely)
    need = needs[by]
    hung_already = carrier.known("ballast", BEHIND)
    greatest = settings.ballast.greatest.value * on.empty - (0.0 if hung_already is None else hung_already.likely)
    hung = need if 0.0 < need.likely <= greatest else None
    # Whoever hangs ballast hangs a round weight, so it is worked with as one, not as a spread.
    ballast = None if hung is None else Span.sure(ceil(hung.likely / ROUND - 1e-9) * ROUND)
    with_ = ballast or _NONE
    words = "" if ballast is None else f", with {units.say(ballast.likely, 'mass')} of ballast"
    basis = _basis(on, reach, with_)
    checks: list[Check] = []
    if limit is None:
        checks.append(unknown("front_axle", "front axle", ("front_axle_limit",), kind="mass", basis=basis,
                              value=on.front_with(on.lifted, with_)))  # fmt: skip
    else:
        checks.append(
            judged("front_axle", f"front axle, arms level{words}", on.front_with(on.lifted, with_), span_of(limit),
                   kind="mass", facts=(*known, limit), basis=basis)
        )  # fmt: skip
    least = Span.sure(REAR_SHARE * on.empty)
    checks.append(
        judged("rear_axle", f"rear axle, arms level{words}", on.rear_with(on.lifted, with_), least, kind="mass",
               facts=known, basis=basis, least=True, binds=ballast is not None or need.likely > greatest)
    )  # fmt: skip
    checks += _rear_limit(on, carrier, known, with_, words, basis)
    checks += _ballast_checks(on, need, by, greatest, with_, known, basis)
    limits = None if limit is None else span_of(limit)
    shown = AxlesShown(rows=_rows(on, ballast), front_limit=limits, front_finding=checks[0].finding,
                       rear_finding=checks[1].finding)  # fmt: skip
    finding = next((c.finding for c in checks if c.key == "ballast"), None)
    hangs = None
    if hung is not None and finding is not None:
        hangs = BallastShown(mass=ballast or hung, behind=on.behind, by=by, finding=finding)
    return Axled(checks=tuple(checks), shown=shown, ballast=hangs)


def _rear_limit(
    on: _On, carrier: Carrier, known: tuple[Fact, ...], ballast: Span, words: str, basis: Basis
) -> list[Check]:
    """Rear axle against its own limit, worst with the blade on the ground; seldom known, so not asked for."""
    limit = carrier.known("rear_axle_limit")
    if limit is None:
        return []
    grounded = replace(on, mass=0.0).rear_with(on.low, ballast)
    title = f"rear axle, blade on the ground{words}"
    return [judged("rear_limit", title, grounded, span_of(limit), kind="mass", facts=(*known, limit), basis=basis)]


def _by_rear(on: _On) -> Span:
    ends = [
        float(formulas.ballast_by_rear(on.mass, a, w, on.empty - on.rear.likely, r, c, REAR_SHARE))
        for a, w, r, c in (
            (on.low.low, on.base.high, on.rear.high, on.behind.high),
            (on.lifted.likely, on.base.likely, on.rear.likely, on.behind.likely),
            (on.lifted.high, on.base.low, on.rear.low, on.behind.low),
        )
    ]
    return _ordered(*ends)


def _by_front(on: _On, limit: Span) -> Span:
    ends = [
        float(formulas.ballast_by_front(on.mass, a, w, f, most, c))
        for a, w, f, most, c in (
            (on.low.low, on.base.high, on.front.low, limit.high, on.behind.high),
            (on.lifted.likely, on.base.likely, on.front.likely, limit.likely, on.behind.likely),
            (on.lifted.high, on.base.low, on.front.high, limit.low, on.behind.low),
        )
    ]
    return _ordered(*ends)


def _ballast_checks(
    on: _On, need: Span, by: str, greatest: float, hung: Span, known: tuple[Fact, ...], basis: Basis
) -> list[Check]:
    found: list[Check] = []
    if need.likely > 0.0:
        because = f"Asked for by the rule: {by}. Hang it on the hitch, not in the bucket."
        if need.likely > greatest:
            because = f"Asked for by the rule: {by}. No box weighs that much on this machine: take a lighter blade."
        found.append(
            judged("ballast", "ballast at the rear", need, Span.sure(greatest), kind="mass", facts=known, basis=basis,
                   because=because)
        )  # fmt: skip
    # Blade down and floating: its weight is on the ground, the ballast still lifts the front.
    down = replace(on, mass=0.0).front_with(on.low, hung)
    found.append(
        judged("steering", "front axle with the blade on the ground, to steer", down,
               Span.sure(FRONT_SHARE * on.empty), kind="mass", facts=known, basis=basis, least=True, binds=False)
    )  # fmt: skip
    return found


def _loader(on: _On, carrier: Carrier, known: tuple[Fact, ...], reach: Reach, settings: Suit) -> Axled:
    front, rear = on.front_with(on.lifted, _NONE), on.rear_with(on.lifted, _NONE)
    total = front.likely + rear.likely
    kept = Span(low=rear.low / total, likely=rear.likely / total, high=rear.high / total)
    least = Span.sure(settings.rear_least.value)
    basis = _basis(on, reach)
    check = judged("rear_axle", "share of the whole left on the rear axle, arms level", kept, least, kind="-",
                   facts=known, basis=basis, least=True, binds=False)  # fmt: skip
    limit = carrier.known("front_axle_limit")
    if limit is not None:
        first = judged("front_axle", "front axle, arms level", front, span_of(limit), kind="mass",
                       facts=(*known, limit), basis=basis)  # fmt: skip
    else:
        first = None
    note = first.finding if first is not None else _no_limit(front, basis)
    shown = AxlesShown(rows=_rows(on, None), front_limit=None if limit is None else span_of(limit), front_finding=note,
                       rear_finding=check.finding)  # fmt: skip
    checks = (check,) if first is None else (first, check)
    return Axled(checks=checks, shown=shown, ballast=None)


def _no_limit(front: Span, basis: Basis) -> Finding:
    return Finding(
        title="front axle",
        sentence=f"front axle: {front.said('mass')} with the arms level; its limit is not known and seldom asked for",
        value=front.said("mass"),
        limit="",
        margin="",
        verdict="not checked",
        basis=basis,
        place="carrier",
    )
