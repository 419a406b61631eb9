"""Every limit of a carrier as one formula over plain numbers or arrays: the checks and the quick ranking use the same.

Blades may stand along one axis and trial answers about a machine along another; nothing here raises, and a limit that
cannot be met answers infinity. Masses stand for weights, as on a scale.
"""

from __future__ import annotations

from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

Floats = TypeVar("Floats", float, NDArray[np.float64])


def at_center(rated: Floats, reach: Floats, ahead: Floats) -> Floats:
    """What a rating is worth at the blade's centre of gravity: rated R / (R + a).

    Args:
        rated: Load at the rated point [kg].
        reach: From what it turns about to the rated point, R [m].
        ahead: Of the rated point to the blade's centre of gravity, a [m].

    Returns:
        Load [kg].

    Source: moments about the pivot; see `physics.lifting.at_center`.
    """
    return rated * reach / (reach + ahead)


def operating(tipping: Floats, share: Floats) -> Floats:
    """Rated operating load: share of the tipping load, 50 % on wheels, 35 % on tracks.

    Args:
        tipping: Tipping load [kg].
        share: `physics.lifting.RATED_SHARE` [-].

    Returns:
        Load [kg].

    Source: ISO 14397-1; its scope is buckets and forks.
    """
    return tipping * share


def front_axle(
    mass: Floats, ahead: Floats, wheelbase: Floats, front: Floats, ballast: Floats, behind: Floats
) -> Floats:
    """On the front axle: T_f + W (a + WB) / WB - B c / WB.

    Args:
        mass: Of the blade, W [kg].
        ahead: Of its centre of gravity ahead of the front axle, a [m].
        wheelbase: WB [m].
        front: On the front axle with nothing attached, T_f [kg].
        ballast: Behind, B [kg].
        behind: Of the ballast behind the rear axle, c [m].

    Returns:
        Load [kg].

    Source: moments about the rear axle.
    """
    return front + mass * (ahead + wheelbase) / wheelbase - ballast * behind / wheelbase


def rear_axle(mass: Floats, ahead: Floats, wheelbase: Floats, rear: Floats, ballast: Floats, behind: Floats) -> Floats:
    """On the rear axle: T_r - W a / WB + B (c + WB) / WB; under nothing it has lifted.

    Args:
        mass: Of the blade, W [kg].
        ahead: Of its centre of gravity ahead of the front axle, a [m].
        wheelbase: WB [m].
        rear: On the rear axle with nothing attached, T_r [kg].
        ballast: Behind, B [kg].
        behind: Of the ballast behind the rear axle, c [m].

    Returns:
        Load [kg].

    Source: moments about the front axle.
    """
    return rear - mass * ahead / wheelbase + ballast * (behind + wheelbase) / wheelbase


def ballast_by_rear(
    mass: Floats, ahead: Floats, wheelbase: Floats, front: Floats, rear: Floats, behind: Floats, share: Floats
) -> Floats:
    """Ballast that leaves the rear axle its share of the empty machine: (W a + s T WB - T_r WB) / (WB + c), 0 at least.

    Args:
        mass: Of the blade, W [kg].
        ahead: Of its centre of gravity ahead of the front axle, a [m].
        wheelbase: WB [m].
        front: On the front axle with nothing attached [kg].
        rear: On the rear axle with nothing attached, T_r [kg].
        behind: Of the ballast behind the rear axle, c [m].
        share: `physics.lifting.REAR_SHARE` [-].

    Returns:
        Mass [kg].

    Source: moments; the share is a rule of tractor handbooks (from memory).
    """
    wanted = (mass * ahead + (share * (front + rear) - rear) * wheelbase) / (wheelbase + behind)
    return cast("Floats", np.maximum(wanted, 0.0))


def ballast_by_front(
    mass: Floats, ahead: Floats, wheelbase: Floats, front: Floats, limit: Floats, behind: Floats
) -> Floats:
    """Ballast that brings the front axle down to its limit: over WB / c, not under 0.

    Args:
        mass: Of the blade [kg].
        ahead: Of its centre of gravity ahead of the front axle [m].
        wheelbase: WB [m].
        front: On the front axle with nothing attached [kg].
        limit: Of the front axle [kg].
        behind: Of the ballast behind the rear axle, c [m].

    Returns:
        Mass [kg].

    Source: moments about the rear axle.
    """
    over = front_axle(mass, ahead, wheelbase, front, ballast=0.0 * mass, behind=behind) - limit
    return cast("Floats", np.maximum(over * wheelbase / behind, 0.0))


def used(value: Floats, limit: Floats) -> Floats:
    """Share of a greatest limit that is used; infinite where the limit is nothing [-].

    Args:
        value: Value [any].
        limit: Limit [the same].

    Source: value over limit.
    """
    return cast("Floats", np.where(limit > 0.0, value / np.where(limit > 0.0, limit, 1.0), np.inf) + 0.0)
