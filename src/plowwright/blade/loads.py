"""Load cases: what pushes on a blade, where, and how it is held while it does.

Analysis axes are the push frame's own at rest: x forward, y left, z up from the tip of a new edge. In an angled pose
moldboard and push frame stay where they are; hub, mount and the carrier's direction of travel are turned the other
way about the king pin. Loads that scale are worked at one newton; the force itself comes from elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, sin
from typing import Final, Literal, Protocol

from plowwright.blade.datum import Datum
from plowwright.blade.parts import Assembly
from plowwright.blade.shapes import Vec
from plowwright.errors import ModelError
from plowwright.findings import Basis
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import GRAVITY, INCH

HeldBy = Literal["cylinder", "stop"]
Kind = Literal["push", "strike", "back-drag", "bump", "down-force"]

STRIKE_WIDTH: Final = 3.0 * INCH
"""Width of edge that meets a small obstacle, assumed [m]."""
SWEEP: Final = (-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0)
"""Places of a strike along the blade, -1 at the right end, 1 at the left [-]."""


class Blade(Protocol):
    """A blade as far as loads and strength need it; a build is one."""

    @property
    def assembly(self) -> Assembly:
        """Parts and joints."""
        ...

    @property
    def datum(self) -> Datum:
        """The sizes everything hangs on."""
        ...

    @property
    def rulebook(self) -> Rulebook:
        """The rules it was worked out by."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """An upright rectangle on the moldboard's front.

    Attributes:
        y0: Right end [m].
        y1: Left end [m].
        z0: Lower side, above the tip of a new edge [m].
        z1: Upper side [m].
        on: Whether it lies on the cutting edge's front face or on the skin.
    """

    y0: float
    y1: float
    z0: float
    z1: float
    on: Literal["edge", "skin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLoad:
    """A force spread evenly over a patch.

    Attributes:
        force: All of it, analysis axes [N].
        place: Where it acts.
    """

    force: Vec
    place: Patch


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCase:
    """One way the blade is loaded.

    Attributes:
        name: Short and unique, as "strike at right corner".
        title: In words, for papers.
        kind: What sort of load.
        angle: Angle of the blade, + left end forward [rad].
        held_by: What keeps it from turning about the king pin.
        board: Loads on the moldboard's front, analysis axes.
        gravity: Acceleration that acts on all of it, (0, 0, 0) where its own weight is left out [m/s2].
        reference: Force that all answers are for: 1 where they scale; of gravity, 1 stands for all of it [N].
        basis: What the case rests on.
        at: Where along the blade the strike is, middle of its patch [m]; None for loads over the whole width.
    """

    name: str
    title: str
    kind: Kind
    angle: float
    held_by: HeldBy
    board: tuple[BoardLoad, ...]
    gravity: Vec
    reference: float
    basis: Basis
    at: float | None = None

    @property
    def scales(self) -> bool:
        """Whether it is worked at one newton, for any force to be multiplied in."""
        return bool(self.board)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSettings:
    """What the cases take on trust.

    Attributes:
        uplift: Upward part of a strike, share of the force along the ground [-].
        bump: Times its own weight, carried over a bump [-].
        uplift_rests_on: Ground of the uplift, in a word.
        bump_rests_on: Ground of the bump, in a word.
    """

    uplift: float
    bump: float
    uplift_rests_on: str = "assumed"
    bump_rests_on: str = "assumed"


def settings(rulebook: Rulebook) -> LoadSettings:
    """The rulebook's own settings.

    Args:
        rulebook: The rules in force.

    Raises:
        ModelError: The rulebook has no strength.toml.
    """
    found = rulebook.strength
    if found is None:
        raise ModelError(
            "this rulebook has no strength.toml, so loads cannot be told",
            where=str(rulebook.folder),
            way_out="Put a strength.toml beside series.toml.",
        )
    return LoadSettings(
        uplift=found.strike.uplift.value,
        bump=found.loads.bump.value,
        uplift_rests_on=found.strike.uplift.rests_on,
        bump_rests_on=found.loads.bump.rests_on,
    )


def middle(load: BoardLoad, d: Datum) -> Vec:
    """Where a board load acts as a whole [m].

    Args:
        load: The load [N].
        d: Sizes of the blade.
    """
    place = load.place
    z = (place.z0 + place.z1) / 2
    x = d.edge_back + d.edge_wall if place.on == "edge" else skin_front(d, z)
    return (x, (place.y0 + place.y1) / 2, z)


def skin_front(d: Datum, z: float) -> float:
    """Front face of the skin along x at a height [m]; below the arc it is the lap's.

    Args:
        d: Sizes of the blade.
        z: Height above the tip of a new edge [m].
    """
    return d.arc.at(d.arc.phi_at_height(z))[0] if z > d.arc.z else d.arc.x


def turning(load: BoardLoad, d: Datum, pivot: Vec) -> float:
    """Moment of a board load about an upright axis; + lessens the angle (it pushes the left end back) [N m].

    Args:
        load: The load [N].
        d: Sizes of the blade.
        pivot: A point on the axis [m].
    """
    x, y, _ = middle(load, d)
    return (x - pivot[0]) * load.force[1] - (y - pivot[1]) * load.force[0]


def cases(blade: Blade, chosen: LoadSettings | None = None) -> tuple[LoadCase, ...]:
    """All load cases of a blade: uniform push, strikes along it and at its corners, and those that are not strikes.

    Args:
        blade: The blade.
        chosen: What they take on trust [-]; None for the rulebook's own.

    Raises:
        ModelError: The rulebook has no strength.toml.
    """
    taken = chosen or settings(blade.rulebook)
    stop = blade.assembly.pivots.angle_stop
    return (
        _whole(blade, "uniform push", "push", (-1.0, 0.0), 0.0),
        *(_strike(blade, share, 0.0, 0.0, taken) for share in SWEEP),
        *(_strike(blade, share, 0.0, taken.uplift, taken) for share in (-1.0, 0.0, 1.0)),
        *(_strike(blade, share, angle, 0.0, taken) for angle in (stop, -stop) for share in (-1.0, 1.0)),
        *(_strike(blade, share, angle, taken.uplift, taken) for angle in (stop, -stop) for share in (-1.0, 1.0)),
        *(_whole(blade, "uniform push", "push", (-1.0, 0.0), angle) for angle in (stop, -stop)),
        _whole(blade, "back-drag", "back-drag", (1.0, 0.0), 0.0),
        _whole(blade, "down-force", "down-force", (0.0, 1.0), 0.0),
        _bump(taken),
    )


def spot(share: float) -> str:
    """A place along the blade in words.

    Args:
        share: -1 at the right end, 1 at the left [-].
    """
    side = "right" if share < 0 else "left"
    words = {0.0: "centre", 0.5: f"{side} quarter", 1.0: f"{side} corner"}
    return words.get(abs(share)) or f"{side}, {abs(share):.2g} of the way to the corner"


def stance(angle: float) -> str:
    """An angle in words.

    Args:
        angle: Angle of the blade, + left end forward [rad].
    """
    if not angle:
        return "straight"
    return f"{'left' if angle > 0 else 'right'} end forward {abs(degrees(angle)):.0f} deg"


def _strike(blade: Blade, share: float, angle: float, uplift: float, taken: LoadSettings) -> LoadCase:
    d = blade.datum
    reach = d.width / 2 - STRIKE_WIDTH / 2
    at = share * reach
    # The part of the edge that hangs below the bottom angle meets an obstacle first.
    place = Patch(y0=at - STRIKE_WIDTH / 2, y1=at + STRIKE_WIDTH / 2, z0=0.0, z1=d.foot, on="edge")
    force = _against_travel(1.0, angle, uplift)
    up = f", {uplift:.2g} of it upwards" if uplift else ""
    inputs = {"width of edge hit": f"{STRIKE_WIDTH / INCH:g} in (assumed)"}
    if uplift:
        inputs["upward share"] = f"{uplift:.2g} ({taken.uplift_rests_on})"
    load = BoardLoad(force=force, place=place)
    return LoadCase(
        name=f"strike {spot(share)}, {stance(angle)}" + (" with uplift" if uplift else ""),
        title=f"strike at the {spot(share)}, {stance(angle)}{up}",
        kind="strike",
        angle=angle,
        held_by=_holder(load, blade, angle),
        board=(load,),
        gravity=(0.0, 0.0, 0.0),
        reference=1.0,
        basis=Basis(
            kind="assumed",
            formula="force against travel on the edge below the bottom angle; 1 N, any force scales it",
            inputs=inputs,
        ),
        at=at,
    )


def _whole(blade: Blade, name: str, kind: Kind, force: tuple[float, float], angle: float) -> LoadCase:
    """A load over the whole edge: force along travel and upwards."""
    d = blade.datum
    deep = d.edge_height if kind == "push" else d.foot
    place = Patch(y0=-d.width / 2, y1=d.width / 2, z0=0.0, z1=deep, on="edge")
    along, up = force
    load = BoardLoad(force=_against_travel(-along, angle, up), place=place)
    ways = {"push": "against travel", "back-drag": "pulling the edge forward", "down-force": "upwards on the edge"}
    return LoadCase(
        name=f"{name}, {stance(angle)}",
        title=f"{name}, {stance(angle)}",
        kind=kind,
        angle=angle,
        held_by=_holder(load, blade, angle),
        board=(load,),
        gravity=(0.0, 0.0, 0.0),
        reference=1.0,
        basis=Basis(kind="assumed", formula=f"even along the whole edge, {ways[kind]}; 1 N, any force scales it"),
    )


def _bump(taken: LoadSettings) -> LoadCase:
    return LoadCase(
        name="bump, straight",
        title=f"carried over a bump, {taken.bump:.3g} times its weight",
        kind="bump",
        angle=0.0,
        held_by="cylinder",
        board=(),
        gravity=(0.0, 0.0, -taken.bump * GRAVITY),
        reference=1.0,
        basis=Basis(
            kind="assumed",
            formula="weight of every part at its own place, times the bump",
            inputs={"bump": f"{taken.bump:.3g} times gravity ({taken.bump_rests_on})"},
        ),
    )


def _against_travel(force: float, angle: float, up: float) -> Vec:
    """A force against the carrier's travel, in analysis axes, where an angled blade's carrier is turned to its left."""
    return (-force * cos(angle) + 0.0, -force * sin(angle) + 0.0, up)


def _holder(load: BoardLoad, blade: Blade, angle: float) -> HeldBy:
    """At full angle a load that would angle the blade further rests on the stop; all others are held by the oil."""
    widens = turning(load, blade.datum, blade.assembly.pivots.king_pin) * angle < 0
    return "stop" if widens else "cylinder"
