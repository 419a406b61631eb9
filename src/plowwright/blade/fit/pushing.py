"""Whether a machine pushes a blade through a hard day's snow: how wide is still worth it, never a verdict."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from plowwright.blade.fit.range import Range
from plowwright.blade.suit.lifting_checks import UNDERCARRIAGE
from plowwright.blade.work import Work
from plowwright.physics.frame_elements import Floats
from plowwright.physics.lifting import Undercarriage
from plowwright.physics.snow import Front, Pusher, Snow, density, grip, resistance
from plowwright.rulebook.fit import Fit
from plowwright.units.constants import GRAVITY

GRIPS: Final[dict[Undercarriage, str]] = {"wheels": "packed snow", "tracks": "packed snow, chains or tracks"}
"""Row of the friction table by what a machine stands on."""


def pushes(blades: Range, mass: float, power: float, work: Work, rules: Fit) -> Floats:
    """Push left for the snow over what the snow resists, blade angled full, worse ends of both brackets.

    Args:
        blades: The range.
        mass: Of the machine [kg].
        power: Of its engine [W].
        work: Its work; snow and depth told go before the hard day of the rules.
        rules: Settings of fit.toml.

    Returns:
        From 1 on it pushes each blade through without slowing down [-].

    Raises:
        NotFoundError: The density table has no such snow.

    Source: `physics/snow.py`.
    """
    day = rules.hard_day
    state = density(work.snow or day.snow.value)
    snow = Snow(density=0.5 * (state.low + state.high))
    depth = day.depth.value if work.depth is None else work.depth
    speed = day.speed.value
    least = grip(GRIPS[UNDERCARRIAGE[blades.kind]]).low
    weight = (mass + blades.mass) * GRAVITY
    pusher = Pusher(driven=1.0, weight=1.0, power=None, grip=(least, least))
    push = np.minimum(pusher.push(speed)[0] * weight, power / speed - pusher.rolls * weight)
    return np.maximum(push, 0.0) / _resists(blades, snow, depth, speed)


@lru_cache(maxsize=64)
def _resists(blades: Range, snow: Snow, depth: float, speed: float) -> Floats:
    """What the snow resists each blade, angled full, the harder end of the bracket [N]."""
    found: list[float] = []
    for build in blades.builds:
        series = build.series
        front = Front(width=build.spec.width, height=series.moldboard.body_height, angle=series.angle_stop)
        found.append(max(resistance(front, snow, depth, speed)[1], 1e-9))
    return np.array(found)
