"""Fatigue of welds by nominal stress: S-N curves, Miner's sum, a spectrum of strikes, and the ratio of two lives.

Only ratios are given: how the counts of strikes compare that two blades would bear. A life in years would need to
know every strike, and nobody does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plowwright.errors import EntryError, ModelError

Floats = NDArray[np.float64]

_AT_CATEGORY = 2e6
_MPA = 1e6

DETAILS = {
    "base metal, sheared or sawn edge dressed": 160.0,
    "base metal, flame-cut edge": 125.0,
    "attachment across the stress, up to 50 mm": 80.0,
    "attachment across the stress, 50 to 80 mm": 71.0,
    "attachment along the stress, over 100 mm": 56.0,
    "toe of a load-carrying fillet": 80.0,
    "root of a load-carrying fillet": 36.0,
    "fillet in shear": 80.0,
    "bolt in tension": 50.0,
}
"""Detail category by detail [MPa]: the stress range borne two million times. EN 1993-1-9 tables 8.1 to 8.5, from
memory: to be held against the standard before anything but a ratio rests on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SNCurve:
    """Two straight lines in log stress range and log cycles, and a cut-off under which a range does no harm.

    Attributes:
        category: Stress range borne two million times [Pa].
        steep: Slope down to the knee [-].
        flat: Slope from the knee to the cut-off [-].
        knee: Cycles where the slopes meet [-].
        cut_off: Cycles at the cut-off [-].
    """

    category: float
    steep: float = 3.0
    flat: float = 5.0
    knee: float = 5e6
    cut_off: float = 1e8

    @property
    def at_knee(self) -> float:
        """Stress range at the knee, 0.737 of the category for slopes 3 and 5 [Pa]."""
        return self.category * (_AT_CATEGORY / self.knee) ** (1 / self.steep)

    @property
    def at_cut_off(self) -> float:
        """Stress range under which there is no damage, 0.405 of the category for slopes 3 and 5 [Pa]."""
        return self.at_knee * (self.knee / self.cut_off) ** (1 / self.flat)

    def endurance(self, stress_range: ArrayLike) -> Floats:
        """Cycles borne at a stress range: 2e6 (C/s)^3 above the knee, 5e6 (D/s)^5 below, endless under the cut-off.

        Args:
            stress_range: Nominal stress range, from valley to peak [Pa].

        Returns:
            Cycles, infinite at and below the cut-off [-].

        Source: EN 1993-1-9:2005 7.1.

        >>> [round(float(n)) for n in SNCurve(category=71e6).endurance([150e6, 60e6, 40e6])]
        [212095, 3313991, 19130593]
        """
        s = np.abs(np.asarray(stress_range, dtype=float))
        with np.errstate(divide="ignore"):
            above = _AT_CATEGORY * (self.category / s) ** self.steep
            below = self.knee * (self.at_knee / s) ** self.flat
        return np.where(s >= self.at_knee, above, np.where(s > self.at_cut_off, below, np.inf))

    def damage(self, stress_ranges: ArrayLike, counts: ArrayLike) -> float:
        """Miner's sum: counts over endurance, added up; 1 is the end by the rule.

        Args:
            stress_ranges: Stress ranges [Pa].
            counts: How often each comes [-].

        Returns:
            Damage [-].

        Source: Palmgren and Miner; EN 1993-1-9 annex A.
        """
        return float((np.asarray(counts, dtype=float) / self.endurance(stress_ranges)).sum())


def shear_curve(category: float) -> SNCurve:
    """The curve for shear: one slope, 5, down to the cut-off at a hundred million, 0.457 of the category.

    Args:
        category: Shear stress range borne two million times [Pa].

    Source: EN 1993-1-9:2005 7.1(2) (from memory).
    """
    return SNCurve(category=category, steep=5.0, flat=5.0)


def detail_curve(detail: str) -> SNCurve:
    """The curve of a named detail.

    Args:
        detail: One of `DETAILS`.

    Raises:
        ModelError: No such detail; those there are, are named.
    """
    if detail not in DETAILS:
        raise ModelError("no such fatigue detail", value=detail, way_out=f"There are: {', '.join(DETAILS)}.")
    category = DETAILS[detail] * _MPA
    return shear_curve(category) if "shear" in detail.split() else SNCurve(category=category)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """One kind of strike in a spectrum.

    Attributes:
        name: What it is, as "manhole, slow" [-].
        force: Force at the edge tip [N].
        count: How often it comes, in any one span of time [-].
    """

    name: str
    force: float
    count: float

    def __post_init__(self) -> None:
        for what, value in (("force", self.force), ("count", self.count)):
            if value < 0.0:
                raise EntryError(
                    f"strike {self.name!r}: {what} cannot be negative",
                    value=f"{value:g}",
                    limit="0 or more",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectrum:
    """Strikes a blade meets in one span of time; the owner's to change.

    Attributes:
        name: What it stands for, as "streets, twenty storms" [-].
        strikes: Its kinds of strike.
        basis: Where it comes from; assumed, unless somebody counted [-].
    """

    name: str
    strikes: tuple[Strike, ...]
    basis: str = "assumed"

    @property
    def forces(self) -> Floats:
        """Forces [N]."""
        return np.array([s.force for s in self.strikes])

    @property
    def counts(self) -> Floats:
        """Counts [-]."""
        return np.array([s.count for s in self.strikes])

    def capped(self, force: float) -> Spectrum:
        """The same strikes with no force over a cap: what the trip or the relief lets through.

        Args:
            force: Greatest force that gets through [N].
        """
        strikes = tuple(Strike(name=s.name, force=min(s.force, force), count=s.count) for s in self.strikes)
        return Spectrum(name=self.name, strikes=strikes, basis=self.basis)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A stretch of an edge's wear with one lever.

    Attributes:
        lever: From the edge tip to the weld, or to the datum that counts [m].
        share: Share of the working time spent with it [-].
        cap: Greatest force that gets through at this stage; None for no cap [N].
    """

    lever: float
    share: float
    cap: float | None = None


def wear_stages(longest: float, shortest: float, *, count: int = 20) -> tuple[Stage, ...]:
    """Even wear from one lever to another, as so many steps.

    Args:
        longest: Lever of the new edge [m].
        shortest: Lever when it is worn out [m].
        count: Steps [-].
    """
    levers = longest + (shortest - longest) * (np.arange(count) + 0.5) / count
    return tuple(Stage(lever=float(lever), share=1.0 / count) for lever in levers)


def kick_damage(spectrum: Spectrum, stages: Sequence[Stage], *, stress_per_moment: float, curve: SNCurve) -> float:
    """Miner's sum of a spectrum at a weld over the wear of an edge: stress range = force x lever x stress per moment.

    Each strike is one range from rest.

    Args:
        spectrum: The strikes, counted over the life of one edge or any one span.
        stages: Levers over the wear; their shares add to 1.
        stress_per_moment: Nominal stress at the weld per kick [Pa/(N m)].
        curve: S-N curve of the weld.

    Returns:
        Damage [-].

    Raises:
        ModelError: The shares do not add to 1.

    Source: EN 1993-1-9 annex A with the kick of statics.
    """
    shares = sum(stage.share for stage in stages)
    if abs(shares - 1.0) > 1e-6:
        raise ModelError("the stages of wear do not make one whole", value=f"{shares:.4g}", limit="1")
    total = 0.0
    for stage in stages:
        forces = spectrum.forces if stage.cap is None else np.minimum(spectrum.forces, stage.cap)
        total += stage.share * curve.damage(forces * stage.lever * stress_per_moment, spectrum.counts)
    return total


def life_ratio(damage: float, reference: float) -> float:
    """How many times the strikes the first bears that the second bears: reference damage over damage.

    Args:
        damage: Miner's sum of the one asked about [-].
        reference: Miner's sum of the one it is held against, same spectrum [-].

    Returns:
        Ratio; infinite when only the reference is harmed, 1 when neither is [-].
    """
    if damage == 0.0:
        return 1.0 if reference == 0.0 else float("inf")
    return reference / damage


def goodman(amplitude: float, mean: float, ultimate: float) -> float:
    """Fully reversed amplitude that does the same harm: a / (1 - m / Su).

    Args:
        amplitude: Half the range [Pa].
        mean: Mean stress, tension positive [Pa].
        ultimate: Tensile strength; the fatigue strength coefficient in its place makes it Morrow's line [Pa].

    Returns:
        Amplitude [Pa].

    Raises:
        ModelError: The mean alone reaches the strength.

    Source: Goodman's line. For machined parts such as pins; welds hold their own stresses and take none of it.

    >>> round(goodman(100e6, 50e6, 400e6) / 1e6, 4)
    114.2857
    """
    if mean >= ultimate:
        raise ModelError(
            "the mean stress alone reaches the strength",
            value=f"{mean / _MPA:.0f} MPa",
            limit=f"{ultimate / _MPA:.0f} MPa",
        )
    return amplitude / (1.0 - mean / ultimate)


def smith_watson_topper(amplitude: float, mean: float) -> float:
    """Fully reversed amplitude that does the same harm: sqrt((m + a) a), 0 when the peak is not tension.

    Args:
        amplitude: Half the range, not the range [Pa].
        mean: Mean stress, tension positive [Pa].

    Returns:
        Amplitude [Pa].

    Source: Smith, Watson and Topper 1970 (from memory).

    >>> round(smith_watson_topper(100e6, 50e6) / 1e6, 4)
    122.4745
    """
    return max(0.0, (mean + amplitude) * amplitude) ** 0.5
