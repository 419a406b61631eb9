"""How hard a strike pushes: four grounds, each with its own figure, never mixed.

(a) what the carrier can push: a share of its weight, or its traction; (b) what the trip lets through; (c) what the
relief lets through at a blade end; (d) the first peak of the contact, a band because nobody knows its stiffness. The
least of (a) to (c) limits a steady push; (d) is over before any of them has answered.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from plowwright import units
from plowwright.errors import ModelError

Ground = Literal["carrier weight", "traction", "trip release", "relief release", "contact peak"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrikeForce:
    """A strike's force on one ground.

    Attributes:
        ground: What limits or makes it.
        low: Least it may be [N].
        high: Greatest it may be; the same as the least where nothing is assumed [N].
        formula: The formula, in one line.
        inputs: What went in, each with its unit, by name.
    """

    ground: Ground
    low: float
    high: float
    formula: str
    inputs: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        if not 0.0 <= self.low <= self.high:
            raise ModelError(
                f"strike force by {self.ground}: its band runs backwards or below nothing",
                value=f"{units.say(self.low, 'force')} to {units.say(self.high, 'force')}",
                limit="0 or more, the lower first",
            )


def weight_share(weight: float, low: float, high: float) -> StrikeForce:
    """Force as a share of the carrier's weight.

    Args:
        weight: Working weight of the carrier [N].
        low: Least share [-].
        high: Greatest share [-].

    Source: assumed; the shares are the shop's settings.
    """
    return StrikeForce(
        ground="carrier weight",
        low=low * weight,
        high=high * weight,
        formula="F = share x weight",
        inputs=(("weight", units.say(weight, "force")), ("share", f"{low:g} to {high:g}")),
    )


def traction(driven_weight: float, low: float, high: float) -> StrikeForce:
    """Steady push the wheels or tracks can make: F = mu N.

    Args:
        driven_weight: Weight on driven wheels or tracks [N].
        low: Friction on the worse ground, about 0.08 on bare ice [-].
        high: Friction on the better ground, about 0.20 on packed snow, 0.35 to 0.45 with chains or tracks [-].

    Source: friction 0.20 and 0.08: Nicolletti et al., SAE 1996 (abstract); 0.35 to 0.45 assumed.
    """
    return StrikeForce(
        ground="traction",
        low=low * driven_weight,
        high=high * driven_weight,
        formula="F = mu N",
        inputs=(("on driven wheels", units.say(driven_weight, "force")), ("friction", f"{low:g} to {high:g}")),
    )


def trip_release(spring_moment: float, weight_moment: float, hinge_height: float, wear: float) -> StrikeForce:
    """Push at the edge tip that starts the trip: F = (n P r - weight moment) / (h - wear).

    Args:
        spring_moment: Moment of all springs about the hinge at rest, n P r [N m].
        weight_moment: Moment of the moldboard's weight that helps it over, negative when it holds back [N m].
        hinge_height: Hinge above the tip of a new edge, h [m].
        wear: Height worn off the edge [m].

    Raises:
        ModelError: The edge is worn up to the hinge, or the moldboard falls over by itself.

    Source: statics, moments about the hinge.
    """
    lever = hinge_height - wear
    if lever <= 0.0:
        raise ModelError(
            "the edge is worn up to the hinge: a push no longer trips it",
            value=f"{units.tape(wear)} worn",
            limit=f"under {units.tape(hinge_height)}",
        )
    if spring_moment <= weight_moment:
        raise ModelError(
            "the springs do not hold the moldboard up",
            value=units.say(spring_moment, "torque"),
            limit=f"more than {units.say(weight_moment, 'torque')} of its own weight",
            way_out="Give the springs more preload, or more of them.",
        )
    force = (spring_moment - weight_moment) / lever
    return StrikeForce(
        ground="trip release",
        low=force,
        high=force,
        formula="F = (n P r - weight moment) / (h - wear)",
        inputs=(
            ("spring moment", units.say(spring_moment, "torque")),
            ("weight moment", units.say(weight_moment, "torque")),
            ("lever", units.tape(lever)),
        ),
    )


def relief_release(pressure: float, area: float, arm: float, out: float) -> StrikeForce:
    """Push square to the blade at its end that lifts the crossover relief: F = p A arm / (W / 2).

    Args:
        pressure: Setting of the relief [Pa].
        area: Area of the cylinder the oil leaves [m2].
        arm: Lever of the cylinder about the king pin [m].
        out: From the king pin's line out to the push, half the width at the blade's end [m].

    Raises:
        ModelError: The push goes through the king pin, where no relief answers.

    Source: statics, moments about the king pin.
    """
    if out <= 0.0:
        raise ModelError(
            "a push in line with the king pin turns nothing: the relief does not answer it",
            value=units.tape(out),
            limit="more than 0 off the middle",
        )
    force = pressure * area * arm / out
    return StrikeForce(
        ground="relief release",
        low=force,
        high=force,
        formula="F = p A arm / (W / 2)",
        inputs=(
            ("relief", units.say(pressure, "pressure")),
            ("area", units.say(area, "area")),
            ("arm", units.tape(arm)),
            ("off the middle", units.tape(out)),
        ),
    )


def contact_peak(speed: float, mass: float, softest: float, stiffest: float) -> StrikeForce:
    """First peak of a mass that runs into a spring: F = v sqrt(k m).

    Args:
        speed: Speed into the obstacle [m/s].
        mass: Mass that counts, see `effective_mass` [kg].
        softest: Least contact stiffness [N/m].
        stiffest: Greatest contact stiffness [N/m].

    Source: closed form, half a swing of an undamped spring; the stiffnesses are assumed.

    >>> round(contact_peak(2.0, 900.0, 1e6, 4e6).low)
    60000
    """
    low, high = (speed * sqrt(k * mass) for k in (softest, stiffest))
    return StrikeForce(
        ground="contact peak",
        low=low,
        high=high,
        formula="F = v sqrt(k m)",
        inputs=(
            ("speed", units.say(speed, "speed")),
            ("mass that counts", units.say(mass, "mass")),
            ("contact stiffness", f"{units.say(softest, 'spring_rate')} to {units.say(stiffest, 'spring_rate')}"),
        ),
    )


def contact_time(mass: float, stiffness: float) -> float:
    """Time from touch to the first peak: (pi / 2) sqrt(m / k).

    Args:
        mass: Mass that counts [kg].
        stiffness: Contact stiffness [N/m].

    Returns:
        Time [s].

    Source: closed form.
    """
    return pi / 2 * sqrt(mass / stiffness)


def effective_mass(mass: float, inertia: float = float("inf"), lever: float = 0.0) -> float:
    """Mass a strike meets off the line of the centre of gravity: 1 / (1 / m + a^2 / I).

    Args:
        mass: Mass of carrier and blade, or of the blade alone when it can swing [kg].
        inertia: About the upright through the centre of gravity, or the king pin when that holds [kg m2].
        lever: From that upright to the line of the strike [m].

    Returns:
        Mass [kg].

    Source: rigid-body mechanics; exact for a free body.

    >>> effective_mass(1000.0, 1000.0, 1.0)
    500.0
    """
    return 1.0 / (1.0 / mass + lever * lever / inertia)
