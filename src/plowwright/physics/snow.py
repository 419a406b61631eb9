"""Snow before the blade: how hard it holds back, what the wheels can push, and how deep and fast that goes.

Everything about snow is a bracket. Low is a loose pile that slides along; high is firm snow that has to be sheared off
in a wedge and thrown aside. The blade's angle is from straight across, 0 straight.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, hypot, pi, sin, sqrt, tan
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from plowwright import units
from plowwright.errors import ModelError, NotFoundError
from plowwright.units.constants import DEGREE, GRAVITY

Array = NDArray[np.float64]
Ends = Literal["low", "high"]

_DEEPEST: Final = 3.0
"""Depth at which the search for an envelope ends [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A figure from a source, as a range.

    Attributes:
        name: What it is.
        low: Least [kg/m3, or - for a friction].
        high: Greatest [kg/m3, or - for a friction].
        source: Where it comes from.
    """

    name: str
    low: float
    high: float
    source: str


_AMS: Final = "Glossary of Meteorology, American Meteorological Society (read)"
_COURSE: Final = "open course text with figures of the USGS (read)"
_CRREL: Final = "CRREL Report 95-07 (read)"
DENSITIES: Final = (
    Span(name="new snow, cold and light", low=50.0, high=70.0, source=_COURSE),
    Span(name="new snow", low=70.0, high=150.0, source=_AMS),
    Span(name="undisturbed snow in the field", low=110.0, high=250.0, source=_CRREL),
    Span(name="packed by a tyre, up to 210 kPa", low=500.0, high=500.0, source=_CRREL),
    Span(name="packed by a tyre, over 210 kPa", low=550.0, high=550.0, source=_CRREL),
    Span(name="packed by a tyre, over 350 kPa", low=600.0, high=600.0, source=_CRREL),
    Span(name="packed by a tyre, over 700 kPa", low=650.0, high=650.0, source=_CRREL),
    Span(name="firn", low=400.0, high=830.0, source=_COURSE),
    Span(name="ice", low=830.0, high=923.0, source=_COURSE),
)
"""Density of snow by its state [kg/m3]."""

_NOON: Final = "Noon, Engineering Analysis of Vehicular Accidents, CRC Press 1994 (read)"
_SAE_1996: Final = "Nicolletti et al., SAE 1996 (abstract)"
FRICTIONS: Final = (
    Span(name="dry pavement", low=0.65, high=0.65, source=_NOON),
    Span(name="wet pavement", low=0.50, high=0.50, source=_NOON),
    Span(name="gravel", low=0.35, high=0.35, source=_NOON),
    Span(name="packed snow", low=0.20, high=0.25, source=f"{_NOON}; 0.20: {_SAE_1996}"),
    Span(name="ice", low=0.08, high=0.15, source=f"{_NOON}, 0.10 to 0.15; 0.08: {_SAE_1996}"),
    Span(name="packed snow, chains or tracks", low=0.35, high=0.45, source="assumed"),
)
"""Grip of tyres or tracks by the ground; tables of accident work go up to 0.55 on packed snow [-]."""


def density(name: str) -> Span:
    """Density of a state of snow.

    Args:
        name: As in `DENSITIES`.

    Raises:
        NotFoundError: The table has no such state.
    """
    return _pick(DENSITIES, name, "state of snow")


def grip(name: str) -> Span:
    """Grip on a ground.

    Args:
        name: As in `FRICTIONS`.

    Raises:
        NotFoundError: The table has no such ground.
    """
    return _pick(FRICTIONS, name, "ground")


def _pick(table: tuple[Span, ...], name: str, what: str) -> Span:
    for row in table:
        if row.name == name:
            return row
    known = "; ".join(row.name for row in table)
    raise NotFoundError(f"no such {what} in the table", value=name, way_out=f"There are: {known}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Snow:
    """Snow as it lies, and what is assumed of it as it moves.

    Attributes:
        density: As it lies [kg/m3].
        packs: Density of the pile over that of the snow as it lies; assumed [-].
        slides: Friction of the pile on the ground, least and greatest; assumed [-].
        inner: Angle of inner friction of firm snow; assumed [rad].
        cohesion: Of firm snow; assumed, 0 for loose snow [Pa].
        repose: Slope a pile stands at; assumed [rad].
        spills: Angle at which snow leaves a straight blade, over the nose its own pile makes; assumed [rad].

    Raises:
        ModelError: A density that is no snow's, or a bracket that runs backwards.
    """

    density: float
    packs: float = 1.8
    slides: tuple[float, float] = (0.10, 0.30)
    inner: float = 30.0 * DEGREE
    cohesion: float = 0.0
    repose: float = 40.0 * DEGREE
    spills: float = 10.0 * DEGREE

    def __post_init__(self) -> None:
        if not (0.0 < self.density <= 923.0 and self.packs >= 1.0 and 0.0 <= self.slides[0] <= self.slides[1]):
            raise ModelError(
                "this is no snow",
                value=f"{units.say(self.density, 'density')}, pile {self.packs:g} times as dense, friction "
                f"{self.slides[0]:g} to {self.slides[1]:g}",
                limit="density over 0 and at most that of ice, 923 kg/m3; pile at least as dense as the snow",
                way_out="New snow is 70 to 150 kg/m3, old snow on the ground 110 to 250.",
            )

    @property
    def passive(self) -> float:
        """Passive pressure over weight: tan^2(45 deg + phi / 2) [-]. Source: Rankine 1857."""
        return tan(pi / 4 + self.inner / 2) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """The blade as the snow meets it.

    Attributes:
        width: Of the cutting edge [m].
        height: Of the moldboard [m].
        angle: From straight across [rad].
        on_edge: Weight the edge scrapes with [N].
        scrapes: Friction of steel on the ground, least and greatest; assumed [-].
    """

    width: float
    height: float
    angle: float = 0.0
    on_edge: float = 0.0
    scrapes: tuple[float, float] = (0.10, 0.40)

    @property
    def clear_width(self) -> float:
        """Path it clears: W cos(angle) [m]."""
        return self.width * cos(self.angle)


def pile_section(front: Front, snow: Snow, depth: float) -> float:
    """Section of the pile, averaged along the blade: what leaves at the trailing end, at most a full blade.

    Snow runs along the blade as fast as it comes: d W cos(a) / (packs sin(a)) at the trailing end, half of it on
    average, at most H^2 / (2 tan repose). Near straight ahead a is the angle at which the pile spills.

    Args:
        front: The blade.
        snow: The snow.
        depth: As it lies [m].

    Returns:
        Section square to the blade [m2].

    Source: continuity; the slope of the pile is assumed.
    """
    full = front.height**2 / (2.0 * tan(snow.repose))
    angle = max(front.angle, snow.spills)
    return min(full, 0.5 * depth * front.width * cos(angle) / (snow.packs * sin(angle)))


def resistance(front: Front, snow: Snow, depth: float, speed: float) -> tuple[float, float]:
    """How hard the snow holds back along the way of travel, low and high.

    Low: sliding pile mu rho_pile g A W. High: the pile with the greater friction and a passive wedge
    (K_p rho g h^2 / 2 + 2 c h sqrt K_p) W cos(a) on the height of snow and pile. Both: the snow's momentum
    rho d W v^2 cos^3(a), and the edge's scraping.

    Args:
        front: The blade.
        snow: The snow.
        depth: As it lies, 0 or more [m].
        speed: Of the carrier, 0 or more [m/s].

    Returns:
        Both ends of the bracket [N].

    Source: bracket of ours. Measured plow forces are nearly linear in speed at low speed: Kempainen et al., Int. J.
    Vehicle Design 19(4), 1998 (abstract).
    """
    section = pile_section(front, snow, depth)
    pile = section * front.width * snow.packs * snow.density * GRAVITY
    momentum = snow.density * depth * front.width * speed**2 * cos(front.angle) ** 3
    low = momentum + snow.slides[0] * pile + front.scrapes[0] * front.on_edge
    tall = min(hypot(depth, sqrt(2.0 * section * tan(snow.repose))), max(front.height, depth))
    wedge = 0.5 * snow.passive * snow.density * GRAVITY * tall**2 + 2.0 * snow.cohesion * sqrt(snow.passive) * tall
    high = wedge * front.clear_width + momentum + snow.slides[1] * pile + front.scrapes[1] * front.on_edge
    return low, high


@dataclass(frozen=True, slots=True, kw_only=True)
class Pusher:
    """What the carrier brings.

    Attributes:
        driven: Weight on its driven wheels or tracks, with the blade on [N].
        weight: Whole weight that rolls, blade carried included [N].
        power: At the wheels; None where it is not known [W].
        grip: On the ground, least and greatest [-].
        rolls: Rolling resistance over weight; assumed, more in deep snow [-].
    """

    driven: float
    weight: float
    power: float | None
    grip: tuple[float, float]
    rolls: float = 0.04

    def push(self, speed: float) -> tuple[float, float]:
        """Push left for the snow: the lesser of mu N and P / v, less rolling; not under nothing.

        Args:
            speed: Of the carrier [m/s].

        Returns:
            Least and greatest [N].

        Source: friction and power; grip by its table.
        """
        most = float("inf") if self.power is None or speed <= 0.0 else self.power / speed
        rolling = self.rolls * self.weight
        low, high = (max(min(mu * self.driven, most) - rolling, 0.0) for mu in self.grip)
        return low, high


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope:
    """Depth against speed for one carrier, blade, angle and snow.

    Attributes:
        speeds: Of the carrier [m/s].
        sure: Depth that even the high bracket and the lesser grip allow [m].
        perhaps: Depth that the low bracket and the better grip allow [m].
        clear_width: Path it clears [m].
    """

    speeds: tuple[float, ...]
    sure: tuple[float, ...]
    perhaps: tuple[float, ...]
    clear_width: float


def envelope(front: Front, snow: Snow, pusher: Pusher, speeds: tuple[float, ...]) -> Envelope:
    """Greatest depth at each speed, sure and perhaps; at most the moldboard's height, over which snow spills.

    Args:
        front: The blade.
        snow: The snow.
        pusher: The carrier.
        speeds: To work out [m/s].

    Source: `resistance` against `Pusher.push`, solved for the depth by halving.
    """
    sure: list[float] = []
    perhaps: list[float] = []
    for speed in speeds:
        least, greatest = pusher.push(speed)
        sure.append(_depth(front, snow, speed, least, "high"))
        perhaps.append(_depth(front, snow, speed, greatest, "low"))
    return Envelope(speeds=speeds, sure=tuple(sure), perhaps=tuple(perhaps), clear_width=front.clear_width)


def _depth(front: Front, snow: Snow, speed: float, push: float, end: Ends) -> float:
    def held(depth: float) -> float:
        return resistance(front, snow, depth, speed)[0 if end == "low" else 1]

    low, high = 0.0, min(front.height, _DEEPEST)
    if held(high) <= push:
        return high
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if held(middle) <= push else (low, middle)
    return low


def speed_to_push(
    front: Front, snow: Snow, pusher: Pusher, depth: float, *, fastest: float = 10.0
) -> tuple[float, float]:
    """Greatest speed at a depth, sure and perhaps: the envelope read the other way.

    Args:
        front: The blade.
        snow: The snow.
        pusher: The carrier.
        depth: Of the snow as it lies [m].
        fastest: Speed at which the search ends [m/s].

    Returns:
        Both speeds; 0 where it does not move [m/s].

    Source: as `envelope`.
    """

    def over(speed: float, end: Ends) -> bool:
        low, high = resistance(front, snow, depth, speed)
        least, greatest = pusher.push(speed)
        return high > least if end == "high" else low > greatest

    found: list[float] = []
    ends: tuple[Ends, Ends] = ("high", "low")
    for end in ends:
        low, high = 0.0, fastest
        if not over(high, end):
            low = high
        for _ in range(50):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if over(middle, end) else (middle, high)
        found.append(low if low > 1e-9 else 0.0)
    return found[0], found[1]


def force_angle(down: float, along: float) -> float:
    """Angle of the force on the edge: atan(vertical / horizontal).

    Args:
        down: Vertical part [N].
        along: Horizontal part, over 0 [N].

    Returns:
        Angle over the ground [rad].

    Source: Iowa DOT HR-372, 1997 (abstract).
    """
    return atan(down / along)
