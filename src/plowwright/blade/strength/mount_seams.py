"""What each lug or hook of the mount carries, from what the sleeve puts on the mount plate.

The plate is stiff; the lugs share its force and its moments about the upright and about the line of travel by their
places, as bolts in a group do. The moment that tips the plate forward or back they share evenly: the carrier's
coupler holds each lug against tipping. That is assumed; the coupler's maker knows better.
"""

from __future__ import annotations

import numpy as np

from plowwright.blade.loads import Blade
from plowwright.blade.parts import Part
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.physics.joints import BoltGroup, Floats


def lugs(blade: Blade) -> tuple[Part, ...]:
    """Lugs or hooks of the mount, those of a plate mount none.

    Args:
        blade: The blade.
    """
    return tuple(part for part in blade.assembly.parts if part.mark == "lug" and part.body == "mount")


def eye(part: Part) -> Floats:
    """Middle of a lug's hole [m].

    Args:
        part: The lug.
    """
    hole, solid = part.holes[0], part.solids[0]
    return np.array(part.place.point(hole.along, hole.across, (solid.start + solid.end) / 2))


def lug_loads(blade: Blade, analysis: Analysis) -> dict[str, tuple[Floats, Floats]]:
    """Where each lug is held, and what the mount plate puts on it there.

    Args:
        blade: The blade.
        analysis: What the sleeve puts on the mount plate.

    Returns:
        Point [m], and force and moment by case, (c, 6) [N, N m], by lug.
    """
    found = lugs(blade)
    if len(found) < 2:
        return {}
    places = np.array([eye(part) for part in found])
    centre = places.mean(axis=0)
    force = analysis.mount_forces[:, :3]
    moment = analysis.mount_forces[:, 3:] + np.cross(np.array(analysis.mount_root) - centre, force)
    tipping = np.zeros_like(moment)
    tipping[:, 1] = moment[:, 1]
    group = BoltGroup(name="mount lugs", places=tuple((p[0], p[1], p[2]) for p in places.tolist()))
    shared = group.bolt_forces(force, moment - tipping, centre)
    each = tipping / len(found)
    return {part.id: (places[k], np.concatenate([shared[:, k], each], axis=1)) for k, part in enumerate(found)}
