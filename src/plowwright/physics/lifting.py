"""Whether the carrier lifts and carries the blade: loads at the real centre of gravity, axles, ballast.

Distances along the carrier are ahead of the front axle, positive forward; wheelbase backward from it. Masses stand for
weights: every figure is in kilograms as on a scale.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos
from typing import Final, Literal

from plowwright import units
from plowwright.errors import ModelError

Undercarriage = Literal["wheels", "tracks"]

RATED_SHARE: Final[dict[Undercarriage, float]] = {"wheels": 0.50, "tracks": 0.35}
"""Rated operating load over tipping load, buckets: ISO 14397-1 / SAE J818 [-]. Its scope is buckets and forks, so for a
blade this is a comparison, not a rating."""

OPERATOR: Final = 75.0
"""Mass of the operator in the standards' operating mass (ISO 7131) [kg]."""

REAR_SHARE: Final = 0.45
"""Share of the empty tractor's mass the rear axle keeps with a front attachment; tractor handbooks, from memory [-]."""

FRONT_SHARE: Final = 0.20
"""Share of the empty tractor's mass the front axle keeps, to steer; rule of tractor handbooks, from memory [-]."""


def at_center(rated: float, reach: float, ahead: float) -> float:
    """What a rating is worth further out: rated x R / (R + a).

    Args:
        rated: Load at the rated point [kg].
        reach: From what it turns about (loader pivot, or front axle for tipping) to the rated point, R [m].
        ahead: Of the rated point to the blade's centre of gravity, a; negative when behind [m].

    Returns:
        Load at the centre of gravity [kg].

    Raises:
        ModelError: No reach, or a centre of gravity behind the pivot.

    Source: moments about the pivot.

    >>> at_center(1000.0, 1.5, 0.5)
    750.0
    """
    if not (reach > 0.0 and reach + ahead > 0.0):
        raise ModelError(
            "a load behind the loader's pivot is not lifted by it",
            value=f"reach {units.tape(reach)}, centre of gravity {ahead / 0.0254:.1f} in ahead of the rated point",
            limit="both ahead of the pivot",
        )
    return rated * reach / (reach + ahead)


def tipping_needed(load: float, undercarriage: Undercarriage) -> float:
    """Tipping load that gives a rated operating load: load / share.

    Args:
        load: Rated operating load [kg].
        undercarriage: wheels or tracks.

    Returns:
        Tipping load [kg].

    Source: ISO 14397-1, `RATED_SHARE` turned round.
    """
    return load / RATED_SHARE[undercarriage]


def rated_load(tipping: float, undercarriage: Undercarriage, *, hydraulic: float | None = None) -> float:
    """Rated operating load: share of the tipping load, never more than the hydraulics lift.

    Args:
        tipping: Tipping load [kg].
        undercarriage: wheels or tracks.
        hydraulic: What the hydraulics lift, None where it is not known [kg].

    Returns:
        Load [kg].

    Source: ISO 14397-1 (50 % wheels, 35 % tracks); the lesser of both, from memory.

    >>> rated_load(4350.0, "wheels")
    2175.0
    """
    stable = RATED_SHARE[undercarriage] * tipping
    return stable if hydraulic is None else min(stable, hydraulic)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tractor:
    """A carrier on two axles.

    Attributes:
        wheelbase: From axle to axle [m].
        front: On the front axle, nothing attached, operator on [kg].
        rear: On the rear axle, likewise [kg].
        front_limit: Greatest the front axle may carry, None where it is not known [kg].
        rear_limit: Greatest the rear axle may carry, None where it is not known [kg].

    Raises:
        ModelError: No wheelbase, or an axle with nothing on it.
    """

    wheelbase: float
    front: float
    rear: float
    front_limit: float | None = None
    rear_limit: float | None = None

    def __post_init__(self) -> None:
        if not (self.wheelbase > 0.0 and self.front > 0.0 and self.rear > 0.0):
            raise ModelError(
                "this carrier does not stand on two axles",
                value=f"wheelbase {units.tape(self.wheelbase)}, {units.say(self.front, 'mass')} front, "
                f"{units.say(self.rear, 'mass')} rear",
                limit="all over 0",
                way_out="Weigh each axle, or read them in the book.",
            )

    @property
    def mass(self) -> float:
        """Both axles [kg]."""
        return self.front + self.rear


@dataclass(frozen=True, slots=True, kw_only=True)
class Axles:
    """What stands on the axles.

    Attributes:
        front: On the front axle [kg].
        rear: On the rear axle; under 0 it has lifted [kg].
    """

    front: float
    rear: float

    @property
    def rear_share(self) -> float:
        """Share of the whole that is on the rear axle [-]."""
        return self.rear / (self.front + self.rear)


def axle_loads(tractor: Tractor, load: float, ahead: float, *, ballast: float = 0.0, behind: float = 0.0) -> Axles:
    """Axle loads with a blade in front and ballast behind.

    front = T_f + W (a + WB) / WB - B c / WB; rear = T_r - W a / WB + B (c + WB) / WB.

    Args:
        tractor: The carrier.
        load: Mass of the blade, W [kg].
        ahead: Of its centre of gravity ahead of the front axle, a [m].
        ballast: Behind, B [kg].
        behind: Of the ballast's centre of gravity behind the rear axle, c; 0 for filled rear wheels [m].

    Source: moments about either axle.
    """
    base = tractor.wheelbase
    return Axles(
        front=tractor.front + load * (ahead + base) / base - ballast * behind / base,
        rear=tractor.rear - load * ahead / base + ballast * (behind + base) / base,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Axle loads at both ends of the lift.

    Attributes:
        low: Carried low, for travel.
        lifted: At full lift, or with arms level, where the centre of gravity is furthest ahead.
    """

    low: Axles
    lifted: Axles


def carried(
    tractor: Tractor, load: float, *, low: float, lifted: float, ballast: float = 0.0, behind: float = 0.0
) -> Carried:
    """Axle loads carried low and at full lift.

    Args:
        tractor: The carrier.
        load: Mass of the blade [kg].
        low: Of its centre of gravity ahead of the front axle when carried low [m].
        lifted: The same at full lift, or where it is furthest ahead [m].
        ballast: Behind [kg].
        behind: Of the ballast behind the rear axle [m].

    Source: `axle_loads`, standing still on level ground.
    """
    return Carried(
        low=axle_loads(tractor, load, low, ballast=ballast, behind=behind),
        lifted=axle_loads(tractor, load, lifted, ballast=ballast, behind=behind),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ballast:
    """Ballast at the rear.

    Attributes:
        needs: Least mass each rule asks for, 0 where it asks for none, by rule [kg].
        mass: The largest of them [kg].
        by: Rule that asks for it; "" where none is needed.
        axles: With that ballast.
        fails: What it cannot mend or breaks itself, each a sentence.
    """

    needs: Mapping[str, float]
    mass: float
    by: str
    axles: Axles
    fails: tuple[str, ...]


def ballast_for(tractor: Tractor, load: float, ahead: float, behind: float) -> Ballast:
    """Rear ballast by both rules, the larger wins.

    Rear rule: rear axle at least 0.45 of the empty tractor, B = (W a + 0.45 T WB - T_r WB) / (WB + c).
    Front-axle limit: B = (T_f + W (a + WB) / WB - limit) WB / c. Then the front must keep 0.20 of the empty tractor.

    Args:
        tractor: The carrier.
        load: Mass of the blade, W [kg].
        ahead: Of its centre of gravity ahead of the front axle, the worst on the way [m].
        behind: Of the ballast behind the rear axle, c; 0 for filled rear wheels [m].

    Source: usual formula of tractor handbooks for front attachments (from memory); moments.
    """
    base = tractor.wheelbase
    rear = (load * ahead + (REAR_SHARE * tractor.mass - tractor.rear) * base) / (base + behind)
    needs = {"rear axle at least 45 % of the empty tractor": max(rear, 0.0)}
    fails: list[str] = []
    over = 0.0 if tractor.front_limit is None else axle_loads(tractor, load, ahead).front - tractor.front_limit
    if over > 0.0 and behind > 0.0:
        needs["front axle within its limit"] = over * base / behind
    elif over > 0.0:
        fails.append(
            f"the front axle is {units.say(over, 'mass')} over its limit, and ballast in the rear wheels takes nothing "
            "off it"
        )
    by = max(needs, key=lambda rule: needs[rule])
    mass = needs[by]
    axles = axle_loads(tractor, load, ahead, ballast=mass, behind=behind)
    if axles.front < FRONT_SHARE * tractor.mass:
        fails.append(
            f"with {units.say(mass, 'mass')} of ballast the front axle keeps {units.say(axles.front, 'mass')}, under "
            f"20 % of the empty tractor, {units.say(FRONT_SHARE * tractor.mass, 'mass')}: it does not steer"
        )
    if tractor.rear_limit is not None and axles.rear > tractor.rear_limit:
        fails.append(
            f"with {units.say(mass, 'mass')} of ballast the rear axle carries {units.say(axles.rear, 'mass')}, over "
            f"its limit of {units.say(tractor.rear_limit, 'mass')}"
        )
    return Ballast(needs=needs, mass=mass, by=by if mass > 0.0 else "", axles=axles, fails=tuple(fails))


def heaviest(tractor: Tractor, ahead: float, *, ballast: float = 0.0, behind: float = 0.0) -> float:
    """Heaviest blade by the axles: front limit and rear rule, whichever comes first.

    Args:
        tractor: The carrier.
        ahead: Of the blade's centre of gravity ahead of the front axle [m].
        ballast: Behind [kg].
        behind: Of the ballast behind the rear axle [m].

    Returns:
        Mass, 0 where there is none [kg].

    Source: `axle_loads` solved for the load.
    """
    base, bare = tractor.wheelbase, axle_loads(tractor, 0.0, ahead, ballast=ballast, behind=behind)
    limits: list[float] = []
    if ahead > 0.0:
        limits.append((bare.rear - REAR_SHARE * tractor.mass) * base / ahead)
    if tractor.front_limit is not None:
        limits.append((tractor.front_limit - bare.front) * base / (ahead + base))
    return max(min(limits), 0.0) if limits else float("inf")


def full_turn_tipping(straight: float, angle: float, *, joint: float, wheelbase: float) -> tuple[float, float]:
    """Tipping load of an articulated carrier at full turn from that straight, as a band, where the book does not say.

    The rear frame swings in: its lever about the front axle falls from l_f + l_r to l_f + l_r cos(angle). Low: all the
    weight that holds is at the rear axle. High: half of the holding moment is the front frame's own.

    Args:
        straight: Tipping load straight [kg].
        angle: Greatest turn of the joint [rad].
        joint: From front axle back to the joint, l_f [m].
        wheelbase: From axle to axle straight, l_f + l_r [m].

    Returns:
        Low and high [kg].

    Raises:
        ModelError: A joint outside the wheelbase.

    Source: moments about the front axle; the share of the front frame is assumed. The book's own figure goes before it.
    """
    if not 0.0 <= joint <= wheelbase:
        raise ModelError(
            "the joint of an articulated carrier lies between its axles",
            value=f"{units.tape(joint)} behind the front axle",
            limit=f"0 to {units.tape(wheelbase)}",
        )
    low = (joint + (wheelbase - joint) * cos(angle)) / wheelbase
    return straight * low, straight * 0.5 * (1.0 + low)
