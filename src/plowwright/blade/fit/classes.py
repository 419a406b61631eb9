"""Which duty class a machine asks for, by the owner's rows of power and lift; between two rows it says so."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import CLASSES, Call, Fit, Within


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """What machines ask for, one entry for each machine.

    Attributes:
        low: Lightest class with a say, index into `CLASSES` [-].
        high: Heaviest class with a say, likewise; above `low` where the machine lies between two rules [-].
    """

    low: Floats
    high: Floats


def miss(row: Within, power: Floats, lift: Floats) -> Floats:
    """By how much machines miss a row: the sum of the logarithms of what power and lift are short or over by.

    Args:
        row: Row of fit.toml.
        power: Of each machine [W].
        lift: Of each machine [kg].

    Returns:
        Zero inside the row [-].

    Source: our own measure; only its order counts.
    """
    found = np.zeros(np.broadcast(power, lift).shape)
    for value, least, most in (
        (power, row.power_from or row.power_over, row.power_up_to),
        (lift, row.lift_from, row.lift_up_to),
    ):
        if least is not None:
            found = found + np.maximum(0.0, np.log(least / value))
        if most is not None:
            found = found + np.maximum(0.0, np.log(value / most))
    if row.power_over is not None:
        found = np.where(power == row.power_over, np.maximum(found, 1e-9), found)
    return found


def asked_for(rules: Fit, power: Floats, lift: Floats) -> Asked:
    """The class or the two neighbouring classes that machines of such power and lift ask for.

    Inside a row its class; inside none, the nearest row and every other no further off than `between.reach`.

    Args:
        rules: Class rules.
        power: Of each machine [W].
        lift: What each lifts at its pins, or its rated operating load [kg].

    Source: the rows of fit.toml.
    """
    misses = np.stack([miss(row, power, lift) for row in rules.calls])
    nearest = misses.min(axis=0)
    reach = log(rules.between.reach.value)
    inside = nearest <= 0.0
    counts = np.where(inside, misses <= 0.0, (misses <= nearest) | (misses <= reach))
    index = np.array([CLASSES.index(row.duty_class) for row in rules.calls], dtype=float)
    index = index.reshape((-1,) + (1,) * (misses.ndim - 1))
    return Asked(
        low=np.where(counts, index, np.inf).min(axis=0),
        high=np.where(counts, index, -np.inf).max(axis=0),
    )


def nearest_rows(rules: Fit, power: float, lift: float) -> tuple[Call, ...]:
    """The rows that have a say on one machine, the nearest first.

    Args:
        rules: Class rules.
        power: Of the machine [W].
        lift: What it lifts [kg].
    """
    misses = [float(miss(row, np.array([power]), np.array([lift]))[0]) for row in rules.calls]
    least = min(misses)
    reach = log(rules.between.reach.value)
    rows = sorted(zip(misses, range(len(misses)), strict=True))
    return tuple(rules.calls[i] for m, i in rows if m <= (least if least <= 0.0 else max(least, reach)))


def lighter_allowed(
    rules: Fit, duty_class: Floats, width: Floats, power: Floats, lift: Floats, careful: Floats
) -> Floats:
    """Where a class lighter than asked for will do all the same.

    Args:
        rules: Class rules.
        duty_class: Of each blade, index into `CLASSES` [-].
        width: Of each blade [m].
        power: Of each machine, a column [W].
        lift: Of each machine, a column [kg].
        careful: Whether its owner drives, a column of 0 and 1 [-].

    Returns:
        1 where an allowance covers it, else 0 [-].

    Source: the allowances of fit.toml.
    """
    found = np.zeros(np.broadcast(duty_class, power).shape, dtype=bool)
    for row in rules.allowances:
        own = (duty_class == CLASSES.index(row.duty_class)) & (width <= row.width_up_to + 1e-6)
        who = (careful > 0.5) if row.driver == "owner" else np.ones_like(careful, dtype=bool)
        found |= own & who & (miss(row, power, lift) <= 0.0)
    return found.astype(float)


def stands_up(
    rules: Fit, duty_class: Floats, width: Floats, power: Floats, lift: Floats, careful: Floats
) -> tuple[Floats, Asked]:
    """Whether each blade's class will do on each machine: 1 yes, 0 no; and what the machines ask for.

    As heavy as the heavier class with a say: always. As heavy as the lighter one: with a careful owner. Lighter still:
    only by an allowance.

    Args:
        rules: Class rules.
        duty_class: Of each blade, index into `CLASSES` [-].
        width: Of each blade [m].
        power: Of each machine, a column [W].
        lift: Of each machine, a column [kg].
        careful: Whether its owner drives, a column of 0 and 1 [-].

    Returns:
        The answer for machines by blades [-], and the classes asked for, columns.

    Source: the rows of fit.toml.
    """
    asked = asked_for(rules, power, lift)
    enough = duty_class >= asked.high
    between = (duty_class >= asked.low) & (careful > 0.5)
    allowed = lighter_allowed(rules, duty_class, width, power, lift, careful) > 0.5
    return (enough | between | allowed).astype(float), asked
