"""What moves in a strike: carrier, blade about its king pin, moldboard about its hinge, oil and relief. A deeper look.

Forward is the way the carrier drives. The blade yaws and the moldboard trips so as to give way. The contact is a
spring; the oil column between piston and relief is one too. Nothing is damped but by the relief.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, pi, sqrt
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from plowwright.errors import ModelError
from plowwright.physics.relief import Relief

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """A strike on something that does not move.

    Attributes:
        speed: Of the carrier [m/s].
        mass: Of carrier and blade [kg].
        push: Of the wheels or tracks while it lasts [N].
        contact: Stiffness of edge and obstacle; assumed [N/m].
        lever: From the king pin's line out to the strike, 0 in the middle [m].
        inertia: Of the blade about the king pin; infinite when it cannot turn [kg m2].
        area: Piston area that the strike squeezes [m2].
        arm: Lever of the cylinder [m].
        oil: Volume it squeezes [m3].
        bulk: Bulk modulus with the hoses [Pa].
        relief: The crossover relief; None where lines are blocked and no relief lifts.
        stop: Angle left before the blade rides into its stop [rad].
        stop_rate: Stiffness of the stop about the king pin; assumed [N m/rad].
        height: Of the hinge over the strike, 0 for a blade that cannot trip [m].
        trip_inertia: Of the moldboard about its hinge [kg m2].
        trip_moment: At which the springs let go [N m].
        trip_rate: Of the springs about the hinge [N m/rad].
        seat: Stiffness of the seat the springs hold it on; assumed [N m/rad].
    """

    speed: float
    mass: float
    push: float = 0.0
    contact: float = 5e6
    lever: float = 0.0
    inertia: float = inf
    area: float = 3e-3
    arm: float = 0.2
    oil: float = 1e-3
    bulk: float = 1.2e9
    relief: Relief | None = None
    stop: float = inf
    stop_rate: float = 2e6
    height: float = 0.0
    trip_inertia: float = inf
    trip_moment: float = inf
    trip_rate: float = 0.0
    seat: float = 2e6

    @property
    def counting_mass(self) -> float:
        """Mass at the strike before anything has answered: 1 / (1 / M + y^2 / I + h^2 / I_trip) [kg]."""
        return 1.0 / (1.0 / self.mass + self.lever**2 / self.inertia + self.height**2 / self.trip_inertia)

    @property
    def free_peak(self) -> float:
        """First peak while blade and moldboard are still free: v sqrt(k m) [N]."""
        return self.speed * sqrt(self.contact * self.counting_mass)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a strike came to.

    Attributes:
        peak: Greatest contact force [N].
        peak_at: When [s].
        king_pin_moment: Greatest moment cylinder and stop hold about the king pin, and so the frame sees [N m].
        pressure: Greatest pressure of the squeezed oil [Pa].
        yaw: Greatest angle the blade is turned by [rad].
        trip: Greatest angle the moldboard trips by [rad].
        relieved: Oil the relief let pass [m3].
        unbalanced: Energy that does not add up, as a share of the carrier's [-].
    """

    peak: float
    peak_at: float
    king_pin_moment: float
    pressure: float
    yaw: float
    trip: float
    relieved: float
    unbalanced: float


def strike(case: Strike, *, lasts: float = 0.25, steps: int = 2000) -> Outcome:
    """Follow a strike from touch on.

    M x'' = push - N; I psi'' = N y - p A arm - stop; I_t theta'' = N h - M_trip;
    N = k (x - y psi - h theta), never pulling;
    p' = K / V (A arm psi' - q); lag q' = G max(p - p_set, 0) - q.

    Args:
        case: The strike.
        lasts: Time followed [s].
        steps: Of the output, for peaks [-].

    Raises:
        ModelError: Energy does not add up within 1 %.

    Source: rigid-body mechanics; first peak v sqrt(k m) and the ends of every stiffness and setting are tested.
    """
    rate = _rates(case)
    times = np.linspace(0.0, lasts, steps)
    start = np.zeros(10)
    start[1] = case.speed
    solved = cast(Any, solve_ivp)(
        rate, (0.0, lasts), start, method="LSODA", t_eval=times, rtol=1e-7, atol=1e-9, max_step=lasts / 200
    )
    states: Array = solved.y
    x, psi, theta, press = states[0], states[2], states[4], states[6] * case.bulk
    force: Array = np.maximum(case.contact * (x - case.lever * psi - case.height * theta), 0.0)
    held: Array = np.maximum(press, 0.0) * case.area * case.arm + case.stop_rate * _past_stop(case, psi)
    at = int(np.argmax(force))
    unbalanced = _unbalanced(case, states, force)
    if unbalanced > 0.01:
        raise ModelError(
            "the strike does not keep its energy",
            value=f"{unbalanced:.1%} off",
            limit="1 %",
            way_out="Follow it over a shorter time.",
        )
    return Outcome(
        peak=float(force[at]),
        peak_at=float(times[at]),
        king_pin_moment=float(held.max()),
        pressure=float(press.max()),
        yaw=float(psi.max()),
        trip=float(theta.max()),
        relieved=float(states[8][-1]),
        unbalanced=unbalanced,
    )


def _rates(case: Strike) -> Any:
    """Right-hand side; states: x, v, psi, w, theta, u, p / K, q, relieved volume, energy the relief turned to heat."""
    relief = case.relief
    gain = 0.0 if relief is None else relief.rated / (relief.override * relief.setting)
    setting = inf if relief is None else relief.setting
    lag = 1e-3 if relief is None else relief.lag
    swept = case.area * case.arm

    def rate(_: float, s: Array) -> list[float]:
        x, v, psi, w, theta, u, strain, q = (float(value) for value in s[:8])
        force = max(case.contact * (x - case.lever * psi - case.height * theta), 0.0)
        pressure = max(strain * case.bulk, 0.0)
        opening = gain * max(pressure - setting, 0.0)
        trips = _trip_moment(case, theta)
        return [
            v,
            (case.push - force) / case.mass,
            w,
            (force * case.lever - pressure * swept - case.stop_rate * max(psi - case.stop, 0.0)) / case.inertia,
            u,
            (force * case.height - trips) / case.trip_inertia,
            (swept * w - q) / case.oil,
            (opening - q) / lag,
            q,
            pressure * q,
        ]

    return rate


def _trip_moment(case: Strike, theta: float) -> float:
    seated = case.seat * theta
    return seated if case.trip_moment == inf else min(seated, case.trip_moment + case.trip_rate * theta)


def _unbalanced(case: Strike, s: Array, force: Array) -> float:
    """Greatest difference between the energy put in and where it is, over the carrier's own at the touch."""

    def kinetic(inertia: float, speed: Array) -> Array:
        return np.zeros_like(speed) if inertia == inf else 0.5 * inertia * speed**2

    oil = 0.5 * case.oil * case.bulk * np.maximum(s[6], 0.0) ** 2
    lets_go = inf if case.trip_moment == inf else case.trip_moment / max(case.seat - case.trip_rate, 1.0)
    seated: Array = np.minimum(s[4], lets_go)
    past: Array = s[4] - seated
    trip = 0.5 * case.seat * seated**2
    if lets_go < inf:
        trip = trip + case.trip_moment * past + 0.5 * case.trip_rate * (s[4] ** 2 - seated**2)
    held = kinetic(case.mass, s[1]) + kinetic(case.inertia, s[3]) + kinetic(case.trip_inertia, s[5])
    held = held + force**2 / (2.0 * case.contact) + oil + trip + s[9]
    held = held + 0.5 * case.stop_rate * _past_stop(case, s[2]) ** 2
    given = 0.5 * case.mass * case.speed**2 + case.push * s[0]
    return float(np.abs(held - given).max() / (0.5 * case.mass * case.speed**2))


def _past_stop(case: Strike, psi: Array) -> Array:
    return np.zeros_like(psi) if case.stop == inf else np.maximum(psi - case.stop, 0.0)


def best_setting(case: Strike, settings: Sequence[float], *, lasts: float = 0.25) -> tuple[float, tuple[Outcome, ...]]:
    """The relief setting with which the frame sees least: too low a one rides into the stop, too high a one stays shut.

    Args:
        case: The strike, with a relief and a stop.
        settings: To try [Pa].
        lasts: Time each is followed [s].

    Returns:
        The best setting [Pa], and what each came to.

    Raises:
        ModelError: There is no relief to set.

    Source: `strike`.
    """
    if case.relief is None or not settings:
        raise ModelError("there is no relief to set", way_out="Give the strike a relief, and settings to try.")
    found = tuple(strike(replace(case, relief=replace(case.relief, setting=p)), lasts=lasts) for p in settings)
    at = min(range(len(found)), key=lambda i: found[i].king_pin_moment)
    return settings[at], found


def end_and_middle(case: Strike, out: float) -> tuple[Outcome, Outcome]:
    """The same strike at the blade's end and in its middle.

    Args:
        case: The strike.
        out: From the king pin's line to the blade's end [m].

    Returns:
        At the end, which has the smaller contact force and the greater moment at the king pin, and in the middle.

    Source: `strike`.
    """
    return strike(replace(case, lever=out)), strike(replace(case, lever=0.0))


def first_peak_time(case: Strike) -> float:
    """Time of the first peak while everything is still free: (pi / 2) sqrt(m / k).

    Args:
        case: The strike.

    Returns:
        Time [s].

    Source: closed form.
    """
    return pi / 2.0 * sqrt(case.counting_mass / case.contact)
