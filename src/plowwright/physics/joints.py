"""Forces in the seams and bolts of one joint: the elastic method in space.

A joint's seams are lines without width, its bolts are points; the part moves as a stiff body against them. Force per
length of seam, or per bolt, is then k (F / K + theta x r): k the stiffness of that seam or bolt (the leg of its
fillet times the share of the run that is welded, or 1), K the sum over the group, r the place from the group's own
centre and theta the turn that balances the moment, T theta = M with T = sum of k (|r|^2 1 - r r').

For seams or bolts in one plane this is the handbook method: the polar moment for torsion, the line's second moment
for bending. Strengths are in `welds.py`, `bolts.py` and `pins.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plowwright import units
from plowwright.errors import ModelError

Floats = NDArray[np.float64]
Point = tuple[float, float, float]

_NONE = 1e-9
"""Length under which a seam has none [m], and share of a group's greatest stiffness that counts as none [-]."""
_STRAY = 1e-6
"""Share of a moment about a direction the group cannot turn against, from which it is refused [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """One straight run of fillet.

    Attributes:
        name: What the drawing calls it.
        start: First point [m].
        end: Last point [m].
        leg: Leg of the fillet [m].
        share: Share of the run that is welded, under 1 for stitches [-].
    """

    name: str
    start: Point
    end: Point
    leg: float
    share: float = 1.0


@dataclass(frozen=True, kw_only=True)
class SeamGroup:
    """The seams that join two parts, as lines in space.

    Attributes:
        name: The joint, for messages.
        seams: Its runs.

    Raises:
        ModelError: A seam has no length, no leg or no weld on it; it is named.
    """

    name: str
    seams: tuple[Seam, ...]

    def __post_init__(self) -> None:
        if not self.seams:
            raise ModelError(
                f"{self.name}: no weld joins these parts",
                value="0 seams",
                limit="at least one",
                way_out="Give the joint a weld in the model.",
            )
        for seam in self.seams:
            run = float(np.linalg.norm(np.subtract(seam.end, seam.start)))
            if run <= _NONE:
                raise _empty(seam, f"length {units.say(run, 'length', style='decimal')}", "Give it two different ends.")
            if seam.leg <= 0.0:
                raise _empty(seam, f"leg {units.say(seam.leg, 'length', style='decimal')}", "Give it a leg.")
            if not 0.0 < seam.share <= 1.0:
                raise _empty(seam, f"{seam.share:.3g} of the run welded", "Stitches are shorter than their pitch.")

    @cached_property
    def ends(self) -> Floats:
        """First and last points, (seams, 2, 3) [m]."""
        return np.array([(s.start, s.end) for s in self.seams], dtype=float)

    @cached_property
    def legs(self) -> Floats:
        """Legs [m]."""
        return np.array([s.leg for s in self.seams])

    @cached_property
    def runs(self) -> Floats:
        """Lengths from end to end, gaps between stitches included [m]."""
        return np.linalg.norm(self.ends[:, 1] - self.ends[:, 0], axis=1)

    @cached_property
    def directions(self) -> Floats:
        """Unit vectors along the seams, (seams, 3) [-]."""
        return (self.ends[:, 1] - self.ends[:, 0]) / self.runs[:, None]

    @property
    def length(self) -> float:
        """Length of weld in all, without the gaps between stitches [m]."""
        return float(sum(run * s.share for run, s in zip(self.runs, self.seams, strict=True)))

    @cached_property
    def weights(self) -> Floats:
        """Leg times welded length of each seam [m2]."""
        return self.legs * np.array([s.share for s in self.seams]) * self.runs

    @cached_property
    def centre(self) -> Floats:
        """Centre of the group, each seam counted by its leg [m]."""
        middle = self.ends.mean(axis=1)
        return (self.weights[:, None] * middle).sum(axis=0) / self.weights.sum()

    @cached_property
    def tensor(self) -> Floats:
        """T about the centre, (3, 3) [m4]: leg times the second moments of the lines."""
        a, b = self.ends[:, 0] - self.centre, self.ends[:, 1] - self.centre
        outer = np.einsum("si,sj->sij", a, a) + np.einsum("si,sj->sij", b, b)
        cross = np.einsum("si,sj->sij", a, b)
        second = (self.weights[:, None, None] * (2 * outer + cross + cross.transpose(0, 2, 1)) / 6).sum(axis=0)
        return np.trace(second) * np.eye(3) - second

    def leg_stress(self, force: ArrayLike, moment: ArrayLike, about: ArrayLike) -> Floats:
        """Force per length and per leg at both ends and the middle of each seam.

        The load is what one part puts on the other at a point; many load cases go in one call.

        Args:
            force: Forces, (..., 3) [N].
            moment: Moments at the point, (..., 3) [N m].
            about: The point, (3,) or (..., 3) [m].

        Returns:
            Vectors at start, middle and end of each seam, (..., seams, 3, 3) [Pa]; times the leg it is the force per
            length of weld, over 0.7071 the stress on the throat.

        Raises:
            ModelError: The moment has a share about a line the group offers no arm against.

        Source: elastic (vector) method, AISC Manual part 8 and Blodgett, Design of Welded Structures; written for any
        direction. Conservative against the instantaneous centre, by 10 to 40 % for loads in the plane.

        >>> inch, kip = 0.0254, 4448.2216
        >>> lines = [Seam(name=n, start=(x, 0.0, 0.0), end=(x, 8 * inch, 0.0), leg=1.0)
        ...          for n, x in (("left", 0.0), ("right", 6 * inch))]
        >>> group = SeamGroup(name="bracket", seams=tuple(lines))
        >>> at = group.leg_stress((0, -50 * kip, 0), (120 * kip * inch, 0, 0), (3 * inch, 4 * inch, 0.0))
        >>> round(float(np.linalg.norm(at, axis=-1).max()) / kip * inch, 3)  # 3.125 and 5.625 kip/in at right angles
        6.435
        """
        f, at = np.asarray(force, dtype=float), np.asarray(about, dtype=float)
        m = np.asarray(moment, dtype=float) + _across(at - self.centre, f)
        turn = _turn(self.name, self.tensor, m, "seams", float(np.abs(f).max(initial=0.0) * self.runs.max()))
        places = np.stack([self.ends[:, 0], self.ends.mean(axis=1), self.ends[:, 1]], axis=1) - self.centre
        even = (f / self.weights.sum())[..., None, None, :]
        return even + _across(turn[..., None, None, :], places)


@dataclass(frozen=True, kw_only=True)
class BoltGroup:
    """Equal bolts that hold two parts together, as points in space.

    Attributes:
        name: The joint, for messages.
        places: Where the bolts go through [m].
    """

    name: str
    places: tuple[Point, ...]

    @cached_property
    def centre(self) -> Floats:
        """Centre of the bolts [m]."""
        return np.array(self.places, dtype=float).mean(axis=0)

    def bolt_forces(self, force: ArrayLike, moment: ArrayLike, about: ArrayLike) -> Floats:
        """Force on each bolt.

        Args:
            force: Forces, (..., 3) [N].
            moment: Moments at the point, (..., 3) [N m].
            about: The point, (3,) or (..., 3) [m].

        Returns:
            Forces, (..., bolts, 3) [N].

        Raises:
            ModelError: The moment has a share about a line on which all bolts lie.

        Source: elastic (vector) method, AISC Manual part 7. Along the bolts' axis it leaves out the bearing of the
        plates on each other, so tension is on the safe side only with the prying lever beside it.
        """
        f, at = np.asarray(force, dtype=float), np.asarray(about, dtype=float)
        r = np.array(self.places, dtype=float) - self.centre
        second = np.einsum("bi,bj->ij", r, r)
        tensor = np.trace(second) * np.eye(3) - second
        m = np.asarray(moment, dtype=float) + _across(at - self.centre, f)
        turn = _turn(self.name, tensor, m, "bolts", float(np.abs(f).max(initial=0.0) * np.abs(r).max()))
        return (f / len(self.places))[..., None, :] + _across(turn[..., None, :], r)


def _across(a: Floats, b: Floats) -> Floats:
    """Vector products along the last axis; numpy's own spends its time on checks."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=-1)


def _turn(name: str, tensor: Floats, moment: Floats, what: str, scale: float) -> Floats:
    """Turn of the group under a moment; what it cannot take is refused, unless it is nothing beside the scale."""
    values, axes = np.linalg.eigh(tensor)
    stiff = values > _NONE * max(float(values[-1]), 1e-30)
    along = moment @ axes
    stray = np.abs(along[..., ~stiff]).max(initial=0.0)
    if stray > _STRAY * max(float(np.abs(moment).max(initial=0.0)), scale):
        raise ModelError(
            f"{name}: the {what} lie on one line and offer no arm against a moment about it",
            value=f"{units.say(float(stray), 'torque')} about the line",
            limit="no moment about a single line",
            way_out=f"Add {'a seam on the other side' if what == 'seams' else 'a bolt off the line'}.",
        )
    inverse = np.where(stiff, 1.0 / np.where(stiff, values, 1.0), 0.0)
    return (along * inverse) @ axes.T


def _empty(seam: Seam, value: str, way_out: str) -> ModelError:
    return ModelError(f"weld {seam.name!r} holds nothing", value=value, limit="more than nothing", way_out=way_out)


def resultants(vectors: Floats) -> Floats:
    """Greatest size of the vectors along each seam or of each bolt, last but one axis taken together.

    Args:
        vectors: Vectors, (..., places, 3), in any one unit [N, N/m or Pa].
    """
    return np.linalg.norm(vectors, axis=-1).max(axis=-1)
