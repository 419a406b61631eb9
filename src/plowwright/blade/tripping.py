"""How the moldboard trips: springs against weight about the hinge line, from the model's own places.

In the plane of the hinge: x forward, z up, both from the hinge line; trip angle + swings the foot back and the top
forward. The springs close, the weight ahead of the hinge opens. A push at the edge is along the ground, backwards.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import atan, cos, hypot, pi, sin, tan
from typing import Final

import numpy as np
from scipy.optimize import brentq

from plowwright.blade.build import Build
from plowwright.blade.making import distance
from plowwright.blade.parts import Sprung, Vec
from plowwright.errors import ModelError
from plowwright.physics.springs import OIL_TEMPERED, ExtensionSpring, Wire, helical_rate
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import BoughtPart
from plowwright.rulebook.strength import Strength
from plowwright.units import tape
from plowwright.units.constants import GRAVITY, INCH

STEPS: Final = 60
"""Points of a force-angle curve and strips of the energy integral [-]."""
MOST: Final = pi / 2
"""No blade trips further than flat [rad]."""
EYEBOLT_LEFT: Final = 0.75 * INCH
"""What an eyebolt takes up at least between hook and tower, as the model's own check has it [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringLine:
    """One trip spring and the line it pulls along.

    Attributes:
        lug: Hook on the moldboard at rest, x and z from the hinge line [m].
        anchor: Hook at the tower, likewise [m].
        spring: The spring.
        preload: Stretch at rest [m].
        greatest_stretch: Stretch its maker allows [m].
        room: Preload at which the eyebolt has its last thread left [m].
    """

    lug: tuple[float, float]
    anchor: tuple[float, float]
    spring: ExtensionSpring
    preload: float
    greatest_stretch: float
    room: float

    def length(self, angle: float) -> float:
        """Distance between lug and anchor [m].

        Args:
            angle: Trip angle [rad].
        """
        x, z = turned(self.lug, angle)
        return hypot(x - self.anchor[0], z - self.anchor[1])

    def stretch(self, angle: float) -> float:
        """Stretch beyond the free length [m].

        Args:
            angle: Trip angle [rad].
        """
        return self.preload + self.length(angle) - self.length(0.0)

    def arm(self, angle: float) -> float:
        """Lever about the hinge line, + while turning on stretches the spring [m].

        Args:
            angle: Trip angle [rad].
        """
        x, z = turned(self.lug, angle)
        ax, az = self.anchor
        # d(length)/d(angle): the lug moves along (z, -x) as the blade turns.
        return ((x - ax) * z - (z - az) * x) / self.length(angle)

    def tension(self, angle: float) -> float:
        """Pull of the spring [N].

        Args:
            angle: Trip angle [rad].
        """
        return self.spring.force(self.stretch(angle))


@dataclass(frozen=True, kw_only=True)
class Trip:
    """Everything that decides how one moldboard trips.

    Attributes:
        name: Of the blade.
        lines: Its springs.
        weight: Of all that turns about the hinge line [N].
        centre: Its centre of gravity, x and z from the hinge line [m].
        tip: Front foot of a new edge, x and z from the hinge line; z is minus the hinge height [m].
        wear: Greatest wear before the edge is turned or renewed [m], or None where the rulebook does not say.
        blade_weight: Of the whole blade [N].
    """

    name: str
    lines: tuple[SpringLine, ...]
    weight: float
    centre: tuple[float, float]
    tip: tuple[float, float]
    wear: float | None
    blade_weight: float

    @property
    def hinge_height(self) -> float:
        """Of the hinge line above the tip of a new edge [m]."""
        return -self.tip[1]

    def with_springs(self, *, preload: float | None = None, count: int | None = None) -> Trip:
        """The same blade with another preload or another number of the same springs on the same line.

        Args:
            preload: Stretch at rest [m], or None to leave it.
            count: Number of springs [-], or None to leave it.
        """
        lines = self.lines if count is None else (self.lines[0],) * count
        if preload is not None:
            lines = tuple(replace(line, preload=preload) for line in lines)
        return replace(self, lines=lines)

    def spring_moment(self, angle: float) -> float:
        """Closing moment of all springs about the hinge line [N m].

        Args:
            angle: Trip angle [rad].
        """
        return sum(line.tension(angle) * line.arm(angle) for line in self.lines)

    def weight_moment(self, angle: float) -> float:
        """Opening moment of the weight about the hinge line [N m].

        Args:
            angle: Trip angle [rad].
        """
        return self.weight * turned(self.centre, angle)[0]

    def held_moment(self, angle: float) -> float:
        """What a push has to overcome: springs less weight [N m].

        Args:
            angle: Trip angle [rad].
        """
        return self.spring_moment(angle) - self.weight_moment(angle)

    def release(self, wear: float = 0.0, lip: float = 0.0) -> float:
        """Push at the edge, along the ground, at which the moldboard leaves its stop; below zero it falls over [N].

        F = (n T r - weight moment) / (hinge height - wear - lip).

        Args:
            wear: Edge worn off [m].
            lip: Height above the ground at which the edge is caught [m].

        Raises:
            ModelError: Caught at or above the hinge line, no push trips it.
        """
        lever = self.hinge_height - wear - lip
        if lever <= 0.0:
            raise ModelError(
                f"{self.name}: caught at or above the hinge line it does not trip",
                value=f"{tape(wear)} worn, caught at {tape(lip)}",
                limit=f"below {tape(self.hinge_height)}",
                way_out="Renew the edge, or keep such steps off the blade's way.",
            )
        return self.held_moment(0.0) / lever

    def push(self, angle: float, wear: float = 0.0) -> float:
        """Push along the ground on the tip that holds the moldboard at an angle [N].

        Args:
            angle: Trip angle [rad].
            wear: Edge worn off [m].
        """
        return self.held_moment(angle) / -turned((self.tip[0], self.tip[1] + wear), angle)[1]

    @cached_property
    def greatest_angle(self) -> float:
        """Where the first spring reaches the stretch its maker allows, or its dead centre [rad]."""
        return min(self._end_of(line) for line in self.lines)

    def _end_of(self, line: SpringLine) -> float:
        if line.preload >= line.greatest_stretch:
            return 0.0
        for k in range(1, STEPS * 3 + 1):
            angle = MOST * k / (STEPS * 3)
            if line.stretch(angle) >= line.greatest_stretch:
                before = MOST * (k - 1) / (STEPS * 3)
                return float(brentq(lambda a: line.stretch(a) - line.greatest_stretch, before, angle))
            if line.arm(angle) <= 0.0:
                return angle
        return MOST

    def energy(self, angle: float | None = None) -> float:
        """Work a push does from rest to an angle: into the springs, less what the weight gives back [J].

        Args:
            angle: Trip angle [rad], or None for the greatest.
        """
        end = self.greatest_angle if angle is None else angle
        into = sum(line.spring.energy(line.preload, line.stretch(end)) for line in self.lines)
        fall = self.centre[1] - turned(self.centre, end)[1]
        return into - self.weight * fall

    def curve(self, wear: float = 0.0, points: int = STEPS) -> tuple[tuple[float, float], ...]:
        """Push at the tip against trip angle, from rest to the greatest [rad, N].

        Args:
            wear: Edge worn off [m].
            points: Number of points [-].
        """
        return tuple((float(a), self.push(float(a), wear)) for a in np.linspace(0.0, self.greatest_angle, points))

    def return_ratio(self) -> float:
        """Closing moment of the springs over the opening one of the weight, the least on the way up to the greatest
        angle; over 1 it comes back by itself [-].
        """
        found: list[float] = []
        for angle in np.linspace(0.0, self.greatest_angle, STEPS):
            opening = self.weight_moment(float(angle))
            if opening > 0.0:
                found.append(self.spring_moment(float(angle)) / opening)
        return min(found, default=float("inf"))

    def tip_path(self, angle: float, wear: float = 0.0) -> tuple[float, float]:
        """How far the tip has gone back and down, for a frame that keeps its height [m].

        Args:
            angle: Trip angle [rad].
            wear: Edge worn off [m].
        """
        x, z = turned((self.tip[0], self.tip[1] + wear), angle)
        return self.tip[0] - x, self.tip[1] + wear - z

    def lift(self, friction: float) -> float:
        """What the leaning face lifts at the greatest trip: push x tan(lean - friction angle), 0 where it sticks [N].

        Args:
            friction: Coefficient of friction at the edge [-].
        """
        lean = self.greatest_angle - atan(friction)
        return max(0.0, self.push(self.greatest_angle)) * tan(lean) if lean > 0.0 else 0.0

    def greatest_lip(self, limit: float, wear: float = 0.0) -> float:
        """Highest step it trips over before a push reaches a limit: h - wear - moment / limit, 0 where it does not [m].

        Args:
            limit: Force at the edge that must not be passed [N].
            wear: Edge worn off [m].
        """
        if limit <= 0.0:
            return 0.0
        return max(0.0, self.hinge_height - wear - max(0.0, self.held_moment(0.0)) / limit)

    def preload_for(self, release: float, wear: float = 0.0) -> float:
        """Stretch at rest of every spring that gives a release force [m]; below zero where the weight alone needs it.

        Args:
            release: Push at the edge [N].
            wear: Edge worn off [m].
        """
        moment = release * (self.hinge_height - wear) + self.weight_moment(0.0)
        wound = sum(line.spring.initial * line.arm(0.0) for line in self.lines)
        stiff = sum(line.spring.rate * line.arm(0.0) for line in self.lines)
        return (moment - wound) / stiff

    def spring_uses(self, angle: float | None = None) -> Mapping[str, float]:
        """Share of what the wire may bear, by place in the spring, for the hardest worked spring [-].

        Args:
            angle: Trip angle [rad], or None for the greatest.
        """
        end = self.greatest_angle if angle is None else angle
        hardest = max(self.lines, key=lambda line: line.spring.body_stress(line.tension(end)))
        return hardest.spring.uses(hardest.tension(end))

    def spring_life(self) -> Mapping[str, float]:
        """Safety against fatigue between rest and the greatest angle, by place in the spring [-]."""
        line = max(self.lines, key=lambda one: one.spring.body_stress(one.tension(self.greatest_angle)))
        return line.spring.fatigue_safety(line.tension(0.0), line.tension(self.greatest_angle))


def turned(at: tuple[float, float], angle: float) -> tuple[float, float]:
    """A point of the moldboard after tripping, x and z from the hinge line [m].

    Args:
        at: Where it is at rest [m].
        angle: Trip angle [rad].
    """
    x, z = at
    return x * cos(angle) + z * sin(angle), z * cos(angle) - x * sin(angle)


def trip_of(build: Build) -> Trip:
    """The trip of a blade, from its parts and joints.

    Args:
        build: The blade, worked out.

    Raises:
        ModelError: It has no springs, or one of them has no rate.
    """
    d = build.datum
    hinge: Vec = build.assembly.pivots.hinge
    turning = next((share for share in build.tally.bodies if share.name == "moldboard"), None)
    hung = [joint for joint in build.assembly.joints if isinstance(joint, Sprung)]
    if turning is None or not hung:
        raise ModelError(f"{build.name}: nothing holds the moldboard up", way_out="Give the series trip springs.")
    at = turning.centre_of_gravity
    return Trip(
        name=build.name,
        lines=tuple(_line(joint, build, hinge) for joint in hung),
        weight=turning.mass * GRAVITY,
        centre=(at[0] - hinge[0], at[2] - hinge[2]),
        tip=(d.edge_back + d.edge_wall - hinge[0], -hinge[2]),
        wear=worst_wear(d.foot, build.rulebook.strength),
        blade_weight=build.mass * GRAVITY,
    )


def worst_wear(hang: float, settings: Strength | None) -> float | None:
    """How far an edge may wear before it is turned or renewed [m], or None where the rulebook does not say.

    Args:
        hang: Tip of a new edge below the foot of the bottom angle [m].
        settings: strength.toml, or None.
    """
    if settings is None:
        return None
    return max(0.0, min(hang - settings.wear.left_below_angle.value, settings.wear.greatest.value))


def wire_of(rulebook: Rulebook) -> Wire:
    """The wire of the shop's springs, by its settings, or the handbook's where it has none.

    Args:
        rulebook: The rules in force.
    """
    settings = rulebook.strength
    if settings is None:
        return OIL_TEMPERED
    wire = settings.spring_wire
    return Wire(
        name="spring wire of strength.toml",
        strength=wire.at_one_inch.value,
        exponent=wire.exponent.value,
        shear_modulus=wire.shear.value,
        young=settings.steel.young.value,
        source=wire.at_one_inch.note,
    )


def spring_of(name: str, entry: BoughtPart, wire: Wire) -> ExtensionSpring:
    """A spring as bought; its rate is the maker's, or follows from its sizes where he gives none.

    Args:
        name: Its name in bought.toml.
        entry: Its entry.
        wire: Its wire.

    Raises:
        ModelError: Neither its maker nor its sizes give a rate.
    """
    thick = entry.wire or 0.0
    mean = (entry.coil or 0.0) - thick
    rate = entry.rate
    if rate is None:
        rate = helical_rate(thick, mean, entry.active_coils or 0.0, wire.shear_modulus, name=name)
    return ExtensionSpring(
        name=name,
        wire=thick,
        mean=mean,
        rate=rate,
        initial=entry.initial_tension or 0.0,
        tensile=wire.tensile(thick or INCH / 4),
    )


def _line(joint: Sprung, build: Build, hinge: Vec) -> SpringLine:
    stock = build.assembly.part(joint.spring).stock
    entry = build.rulebook.bought[stock]
    return SpringLine(
        lug=(joint.start[0] - hinge[0], joint.start[2] - hinge[2]),
        anchor=(joint.end[0] - hinge[0], joint.end[2] - hinge[2]),
        spring=spring_of(stock, entry, wire_of(build.rulebook)),
        preload=joint.preload,
        greatest_stretch=entry.greatest_stretch or 0.0,
        room=distance(joint.start, joint.end) - (entry.free_length or 0.0) - EYEBOLT_LEFT,
    )
