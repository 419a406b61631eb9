"""How much of its yield a member uses, and what its section can take when it is plastic.

Von Mises stress at the points of the section that its record names: normal stress there, and with it the mean shear
of both shear forces over their shear areas and the greatest shear of the torque, as if all met in one point. That is
on the safe side by a few per cent of the shear, which is small where bending decides. Holes, welds and stress raisers
are for the checks of joints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from plowwright.blade.strength.plan import Beam, Role
from plowwright.physics.frame_elements import Floats, Whole
from plowwright.physics.limit import Capacities


@dataclass(frozen=True, kw_only=True, eq=False)
class Checker:
    """What it takes to tell the stress of the members that are looked at.

    Attributes:
        rows: Which members these are [-].
        normal: Stress at each point for N, My and Mz of one, (r, 3, k) [m-2, m-3].
        shear: Shear stress for Vy, Vz and T of one, (r, 3) [m-2, m-3].
        yields: Their yield strength, (r,) [Pa].
    """

    rows: Whole
    normal: Floats
    shear: Floats
    yields: Floats

    def stress(self, internal: Floats) -> Floats:
        """Greatest von Mises stress in each section, (c, r, p) [Pa].

        Args:
            internal: N, Vy, Vz, T, My, Mz of these members, (c, r, p, 6) [N, N m].
        """
        c, r, p, _ = internal.shape
        by_row = np.ascontiguousarray(internal.transpose(1, 3, 0, 2)).reshape(r, 6, c * p)
        # Points stand in front of the cases, so that the greatest is found along whole rows of memory.
        normal = self.normal.transpose(0, 2, 1) @ by_row[:, (0, 4, 5)]
        most = np.maximum(normal.max(axis=1), -normal.min(axis=1))
        shear = (self.shear[:, None, :] @ np.abs(by_row[:, 1:4]))[:, 0]
        found = np.sqrt(most * most + 3 * shear * shear)
        return found.reshape(r, c, p).transpose(1, 0, 2)


def checker(beams: Sequence[Beam]) -> Checker:
    """Stress coefficients of the members that are looked at.

    Args:
        beams: All members [m, Pa].
    """
    rows = [row for row, beam in enumerate(beams) if beam.checked]
    sections = {id(beams[row].section): beams[row].section for row in rows}
    numbers = {key: number for number, key in enumerate(sections)}
    most = max((len(section.points) for section in sections.values()), default=1)
    normal = np.zeros((len(sections), 3, most))
    shear = np.zeros((len(sections), 3))
    for at, section in enumerate(sections.values()):
        points = np.array(section.points).T
        count = points.shape[1]
        # Points a section does not have stand for its centroid.
        normal[at, 0] = 1 / section.area
        normal[at, 1, :count] = points[1] / section.inertia_y
        normal[at, 2, :count] = -points[0] / section.inertia_z
        shear[at] = 1 / section.shear_y, 1 / section.shear_z, 1 / section.torsion_modulus
    chosen = [numbers[id(beams[row].section)] for row in rows]
    return Checker(
        rows=np.array(rows, dtype=np.int64),
        normal=normal[chosen],
        shear=shear[chosen],
        yields=np.array([beams[row].metal.yield_strength for row in rows]),
    )


def capacities(beams: Sequence[Beam], roles: Sequence[Role]) -> Capacities:
    """Plastic capacities; in torsion the elastic one, which is on the safe side.

    Args:
        beams: All members [m, Pa].
        roles: Members that may yield; the others and all links never do.
    """
    table = np.array(
        [(s.area, s.torsion_modulus / sqrt(3), s.plastic_y, s.plastic_z) for s in (beam.section for beam in beams)]
    )
    yields = np.array([beam.metal.yield_strength if beam.role in roles else inf for beam in beams])
    table *= yields[:, None]
    return Capacities(axial=table[:, 0], torsion=table[:, 1], bending_y=table[:, 2], bending_z=table[:, 3])
