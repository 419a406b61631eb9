"""How long a hose must be: an arc of its bend radius at each end and a straight run between, tangent to both.

The same shape tells the other way round how a hose of a given length lies: its bends are as wide as its length lets
them be. A hose with more length than its bends can take up bows out between its ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plowwright.errors import ModelError

Array = NDArray[np.float64]

_STEPS: Final = 12
"""Points along each bend of a drawn hose."""
_ROUNDS: Final = 50
_TAKEN: Final = 0.25
"""Share of a new direction taken over in each round: more, and short runs swing to and fro [-]."""
_SETTLED: Final = 1e-4
_KINK: Final = 0.15
"""How far the straight run may be off its arcs where it is short: about 9 degrees, less than a hose minds [rad]."""
_RADII: Final = tuple(2.0 ** (k / 4) for k in range(-8, 13))
"""Bends looked at, over the least bend radius, itself among them [-]."""
_GRAIN: Final = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Both ends of a hose in a number of poses.

    Attributes:
        start: Where the hose begins to be free, poses by 3 [m].
        out: Direction in which it leaves there, of length 1, poses by 3 [-].
        end: Where its other end begins to be free, poses by 3 [m].
        into: Direction in which it leaves that end, likewise [-].
    """

    start: Array
    out: Array
    end: Array
    into: Array

    def __post_init__(self) -> None:
        """Refuse directions that are not of length 1."""
        for name, directions in (("out", self.out), ("into", self.into)):
            lengths = np.linalg.norm(directions, axis=-1)
            if not np.allclose(lengths, 1.0, atol=1e-6):
                raise ModelError(
                    "a direction of a hose's end is not of length 1",
                    value=f"{name}: {float(lengths.min()):.4g} to {float(lengths.max()):.4g}",
                    limit="1",
                )


def needed(ends: Ends, radius: float) -> Array:
    """Length a hose needs between its ends in each pose, with no bend tighter than allowed.

    Args:
        ends: Both ends.
        radius: Least bend radius of its middle line [m].

    Returns:
        Length of two arcs and the straight run between; where the ends are too near for that, an upper bound [m].

    Source: own; geometry of tangent arcs.
    """
    lengths, settled = _lengths(ends, np.array([radius]))
    chord = _size(ends.end - ends.start)
    way = (ends.end - ends.start) / np.maximum(chord, _GRAIN)[:, None]
    # A full turn at either end and back: always enough.
    turns = np.arccos(np.clip(_dot(ends.out, way), -1, 1)) + np.arccos(np.clip(_dot(ends.into, -way), -1, 1))
    return np.where(settled[:, 0], lengths[:, 0], chord + 2 * radius * turns)


def bend(ends: Ends, length: float, radius: float) -> Array:
    """Tightest bend of a hose of a given length in each pose.

    Args:
        ends: Both ends.
        length: Of the hose between them [m].
        radius: Least bend radius, about which bends are looked at [m].

    Returns:
        Radius of its middle line, to a step of a sixth, rounded down; 0 where the hose does not reach [m].

    Source: own; the widest arcs that use the length up, else a bow of that length between the ends.
    """
    radii = radius * np.array(_RADII)
    lengths, settled = _lengths(ends, radii)
    fits = settled & (lengths <= length * (1 + 1e-3))
    widest = np.where(fits, radii[None, :], 0.0).max(axis=1)
    chord = _size(ends.end - ends.start)
    # Chord over length of a flat bow is 1 - (length / radius)^2 / 24.
    bow = length / np.sqrt(24.0 * np.maximum(1.0 - chord / length, _GRAIN))
    taken_up = fits[:, -1]
    return np.where(chord > length, 0.0, np.where(taken_up, np.minimum(widest, bow), widest))


def shape(ends: Ends, length: float, radius: float, pose: int = 0) -> Array:
    """Points of a hose of a given length in one pose, to draw it.

    Args:
        ends: Both ends.
        length: Of the hose between them [m].
        radius: Least bend radius [m].
        pose: Which pose.

    Returns:
        Points along it, n by 3 [m].
    """
    one = Ends(start=ends.start[[pose]], out=ends.out[[pose]], end=ends.end[[pose]], into=ends.into[[pose]])
    own = np.array([min(float(bend(one, length, radius)[0]), radius * _RADII[-1])])
    way, _ = _ways(one, own)
    first = _arc(one.start[0], one.out[0], way[0, 0], float(own[0]))
    last = _arc(one.end[0], one.into[0], -way[0, 0], float(own[0]))
    return np.vstack((first, last[::-1]))


def _lengths(ends: Ends, radii: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Length of the shape and whether there is one: poses by radii."""
    way, settled = _ways(ends, radii)
    first, turned = _bent(ends.start, ends.out, way, radii)
    last, turned_back = _bent(ends.end, ends.into, -way, radii)
    return radii[None, :] * (turned + turned_back) + _size(last - first), settled


def _ways(ends: Ends, radii: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Direction of the straight run, found by going round: where the arcs end depends on it, and it on them."""
    chord = (ends.end - ends.start)[:, None, :] + np.zeros((1, len(radii), 1))
    way = chord / np.maximum(_size(chord), _GRAIN)[..., None]
    off = np.full(way.shape[:2], np.inf)
    # Both ends in one sum: most of the time goes into calls, not into numbers.
    at, out, count = np.vstack((ends.start, ends.end)), np.vstack((ends.out, ends.into)), len(ends.start)
    for _ in range(_ROUNDS):
        arrived, _ = _bent(at, out, np.concatenate((way, -way)), radii)
        run = arrived[count:] - arrived[:count]
        new = run / np.maximum(_size(run), _GRAIN)[..., None]
        off = _size(new - way)
        if float(off.max()) < _SETTLED:
            break
        mixed = _TAKEN * new + (1.0 - _TAKEN) * way
        way = mixed / np.maximum(_size(mixed), _GRAIN)[..., None]
    return way, off < _KINK


def _bent(at: Array, out: Array, way: Array, radii: Array) -> tuple[Array, Array]:
    """Where an arc that leaves a place in one direction comes to head another way, and the angle it turned."""
    out_ = out[:, None, :]
    cosine = np.minimum(np.maximum(np.einsum("prx,pqx->pr", way, out_), -1.0), 1.0)
    aside = way - cosine[..., None] * out_
    aside = aside / np.maximum(_size(aside), _GRAIN)[..., None]
    sine = np.sqrt(1.0 - cosine * cosine)
    r = radii[None, :, None]
    return at[:, None, :] + r * (sine[..., None] * out_ + (1.0 - cosine)[..., None] * aside), np.arccos(cosine)


def _arc(at: Array, out: Array, way: Array, radius: float) -> Array:
    """Points of one arc from a place, up to where it heads another way."""
    angle = float(np.arccos(np.clip(way @ out, -1.0, 1.0)))
    aside = way - (way @ out) * out
    aside = aside / max(float(np.linalg.norm(aside)), _GRAIN)
    t = np.linspace(0.0, angle, _STEPS)[:, None]
    return at + radius * (np.sin(t) * out + (1.0 - np.cos(t)) * aside)


def _size(vectors: Array) -> Array:
    return np.sqrt(np.einsum("...x,...x->...", vectors, vectors))


def _dot(a: Array, b: Array) -> Array:
    return (a * b).sum(axis=-1)
