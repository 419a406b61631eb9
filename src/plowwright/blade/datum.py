"""The few sizes everything else hangs on: worked out once per blade from the series, its class row and the width.

In the plane of a web (x forward, z up) the skin is, from the foot: a straight lap down the front of the bottom angle's
upright leg, an arc that leans back at the foot and rolls forward at the top, and a fold or a member at the top.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, ceil, cos, radians, sin
from typing import TypeVar

from plowwright import units
from plowwright.blade import edges
from plowwright.blade.edge_bars import EdgeBar, PlowBoltHole
from plowwright.blade.edge_layouts import HoleLayout, HoleRule
from plowwright.blade.making import Maker
from plowwright.blade.spec import Spec
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Band, ClassRow, CylinderRow, EdgeRow, Mount, Series, SpringRow
from plowwright.units.constants import INCH

R = TypeVar("R", bound=Band)

PLOW_BOLT_HEAD_ANGLE = radians(80.0)
"""Included angle of a plow bolt's head, ASME B18.9 flat countersunk [rad] (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """The skin's arc, front face.

    Attributes:
        x: Start at the foot, along x [m].
        z: Start at the foot, along z [m].
        radius: Radius of the front face; its centre lies in front [m].
        lean: Lean back at the foot [rad].
        roll: Lean forward at the top [rad].
    """

    x: float
    z: float
    radius: float
    lean: float
    roll: float

    @property
    def length(self) -> float:
        """Length along the front face [m]."""
        return self.radius * (self.lean + self.roll)

    def at(self, phi: float, back: float = 0.0) -> tuple[float, float]:
        """Point where the skin leans forward by phi, moved towards its back.

        Args:
            phi: Lean forward, between -lean and roll [rad].
            back: Distance behind the front face [m].
        """
        r = self.radius
        x = self.x + r * (cos(self.lean) - cos(phi)) - back * cos(phi)
        z = self.z + r * (sin(phi) + sin(self.lean)) + back * sin(phi)
        return x, z

    def phi_at_height(self, z: float) -> float:
        """Lean forward where the front face is at height z [rad].

        Args:
            z: Height above the edge tip [m].
        """
        return asin(max(-1.0, min(1.0, (z - self.z) / self.radius - sin(self.lean))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Datum:
    """Sizes and places of one blade, all in metres [m] and blade axes unless marked.

    Attributes:
        series: The series.
        row: The class row of this width.
        edge: Which edge this width gets.
        cylinder: Which cylinder this width gets.
        springs: Which springs.
        mount: The mount.
        width: Width of the cutting edge.
        plate_front: Front face of the mount plate.
        king_pin: King pin's axis along x.
        hinge_x: Hinge line along x.
        hinge_z: Hinge line above the edge tip.
        leg_up: Upright leg of the bottom angle.
        leg_back: Leg of the bottom angle that points back.
        angle_wall: Thickness of the bottom angle.
        face: Front face of the angle's upright leg along x.
        foot: Foot of the angle above the edge tip.
        shelf: Top of the angle's shelf above the edge tip.
        shelf_back: Rear edge of the shelf along x.
        lap: How far the skin laps down the upright leg.
        skin_wall: Thickness of the skin.
        arc: The skin's arc.
        edge_height: Height of the cutting edge.
        edge_wall: Thickness of the cutting edge.
        edge_back: Rear face of the cutting edge along x.
        bolt_line: Edge bolts above the edge tip.
        layout: Hole layout of the edge and the bottom angle.
        hinge_ys: Hinges along y, right to left.
        web_ys: Webs along y, right to left.
        beam_upright: Upright size of the hinge beam.
        beam_deep: Other size of the hinge beam.
        beam_x: Axis of the hinge beam along x.
        leg_size: Outside size of a push-frame leg.
        frame_z: Axis of the push frame above the edge tip.
    """

    series: Series
    row: ClassRow
    edge: EdgeRow
    cylinder: CylinderRow
    springs: SpringRow
    mount: Mount
    width: float
    plate_front: float
    king_pin: float
    hinge_x: float
    hinge_z: float
    leg_up: float
    leg_back: float
    angle_wall: float
    face: float
    foot: float
    shelf: float
    shelf_back: float
    lap: float
    skin_wall: float
    arc: Arc
    edge_height: float
    edge_wall: float
    edge_back: float
    bolt_line: float
    layout: HoleLayout
    hinge_ys: tuple[float, ...]
    web_ys: tuple[float, ...]
    beam_upright: float
    beam_deep: float
    beam_x: float
    leg_size: float
    frame_z: float


KING_PIN_CLEAR = 9.75 * INCH
"""Front of the mount plate to the king pin: room for oscillation sleeve, long hub seams and the cylinder arm [m]."""


def row_for(rows: Sequence[R], width: float, what: str, series: Series) -> R:
    """The row of a table by width that serves a width.

    Args:
        rows: Rows of the series.
        width: Width of the blade [m].
        what: Name of the table for the message.
        series: The series, for the message.

    Raises:
        ModelError: No row serves this width.
    """
    for row in rows:
        if row.serves(width):
            return row
    raise ModelError(
        f"no row of {series.name}'s {what} serves this width",
        value=units.tape(width),
        way_out=f"Extend a row of {what} in series.toml up to and including this width.",
    )


def work_out(spec: Spec, rulebook: Rulebook) -> Datum:
    """Sizes of the blade a spec asks for.

    Args:
        spec: A checked spec.
        rulebook: The rules in force.

    Raises:
        ModelError: The rules do not give a blade that can be built.
    """
    make = Maker(rulebook=rulebook)
    series, width = rulebook.series[spec.series], spec.width
    row = row_for(series.rows, width, "rows", series)
    edge = row_for(series.edges, width, "edges", series)
    cylinder = row_for(series.cylinders, width, "cylinders", series)
    springs = spring_row(series, spec.carrier_kind)
    mount = rulebook.mounts[spec.mount]
    board = series.moldboard
    angle = make.section(board.bottom_angle)
    legs = (angle.width or 0.0, angle.height or 0.0)
    leg_up, leg_back = (legs[1], legs[0]) if board.bottom_leg == "height" else legs
    foot = board.edge_hang if edge.edge_hang is None else edge.edge_hang
    shelf = foot + leg_up
    plate_front = make.thickness(row.mount_plate)
    king_pin = plate_front + KING_PIN_CLEAR
    hinge_x = king_pin + row.frame_length
    shelf_back = hinge_x + series.hinge.behind_shelf
    face = shelf_back + leg_back
    skin_wall = make.thickness(board.skin)
    edge_height, edge_wall = make.sizes(edge.edge)
    lap = leg_up if board.skin_lap == "whole leg" else board.skin_lap
    _check_lap(series, edge_height, shelf, foot, lap)
    edge_back = face + (skin_wall if shelf - lap < edge_height - 1e-6 else 0.0)
    bolt_line = edge_height / 2 if edge.hole_line == "mid" else edge_height - edge.hole_line
    arc = _arc(series, face + skin_wall, shelf)
    beam_large, beam_small = make.sizes(row.hinge_beam)
    hinge_ys = _hinges(series, row, make)
    leg_size, _ = make.sizes(row.leg)
    return Datum(
        series=series,
        row=row,
        edge=edge,
        cylinder=cylinder,
        springs=springs,
        mount=mount,
        width=width,
        plate_front=plate_front,
        king_pin=king_pin,
        hinge_x=hinge_x,
        hinge_z=series.hinge.height,
        leg_up=leg_up,
        leg_back=leg_back,
        angle_wall=make.wall(board.bottom_angle),
        face=face,
        foot=foot,
        shelf=shelf,
        shelf_back=shelf_back,
        lap=lap,
        skin_wall=skin_wall,
        arc=arc,
        edge_height=edge_height,
        edge_wall=edge_wall,
        edge_back=edge_back,
        bolt_line=bolt_line,
        layout=edges.layout(width, hole_rule(series, edge, make)),
        hinge_ys=hinge_ys,
        web_ys=web_places(series, width, hinge_ys),
        beam_upright=beam_large,
        beam_deep=beam_small,
        beam_x=hinge_x - series.hinge.ear_reach - beam_small / 2,
        leg_size=leg_size,
        frame_z=series.hinge.height,
    )


def spring_row(series: Series, carrier: str) -> SpringRow:
    """How many springs of which kind a carrier's blade gets; "any" answers where nothing special is said.

    Args:
        series: The series.
        carrier: Kind of carrier.
    """
    for row in series.springs:
        if row.carrier == carrier:
            return row
    for row in series.springs:
        if row.carrier == "any":
            return row
    raise ModelError(
        f"{series.name} has no springs for this carrier",
        value=carrier,
        way_out='Add a springs row with carrier = "any".',
    )


def hole_rule(series: Series, edge: EdgeRow, make: Maker) -> HoleRule:
    """The series' hole rule with the bar and bolt of this width.

    Args:
        series: The series.
        edge: The edge row.
        make: Looks up stock.
    """
    height, wall = make.sizes(edge.edge)
    bolt = make.entry(edge.bolt)
    size = bolt.diameter or 0.625 * INCH
    hole = PlowBoltHole(
        size=size + INCH / 32,
        shape="square",
        head_diameter=bolt.countersink or 0.0,
        countersink_angle=PLOW_BOLT_HEAD_ANGLE,
    )
    line = height / 2 if edge.hole_line == "mid" else edge.hole_line
    rule = series.holes
    return HoleRule(
        end=rule.end,
        pitch=rule.pitch,
        least_end_gap=rule.least_end_gap,
        middle="best" if rule.middle == "from ends" else rule.middle,
        bar=EdgeBar(height=height, thickness=wall, hole_line=line, hole=hole),
    )


def _arc(series: Series, x: float, shelf: float) -> Arc:
    board = series.moldboard
    height = board.body_height - shelf
    rise = height / board.skin_radius - sin(board.skin_lean)
    if not -0.2 < rise < 0.95:
        raise ModelError(
            f"{series.name}: a skin of this radius does not reach the body height",
            value=f"radius {units.tape(board.skin_radius)} for {units.tape(height)} of web",
            way_out="Choose a larger skin radius or a lower body.",
        )
    return Arc(x=x, z=shelf, radius=board.skin_radius, lean=board.skin_lean, roll=asin(rise))


def _check_lap(series: Series, edge_height: float, shelf: float, foot: float, lap: float) -> None:
    """The edge must lie flat: on the skin over its whole height on the angle, or on the angle clear of the skin."""
    skin_foot = shelf - lap
    if skin_foot <= foot + 1e-6 or skin_foot >= edge_height - 1e-6:
        return
    raise ModelError(
        f"{series.name}: the edge would lie half on the skin's lap and half on the bare angle",
        value=f"skin down to {units.tape(skin_foot)}, edge up to {units.tape(edge_height)} above the tip",
        way_out='Lap the skin over the "whole leg", or so little that it ends above the edge.',
    )


def _hinges(series: Series, row: ClassRow, make: Maker) -> tuple[float, ...]:
    ear, count = make.thickness(row.ear), series.hinge.pins
    # Each pair of beam ears needs its own thickness and a washer's room outside the moldboard's ear.
    outer = row.hinge_beam_length / 2 - 2.5 * ear - INCH / 4
    return tuple(outer * (2 * i / (count - 1) - 1) for i in range(count))


def web_places(series: Series, width: float, hinges: tuple[float, ...]) -> tuple[float, ...]:
    """Where webs stand along y: one on each hinge, one near each end, more between as the width asks.

    Args:
        series: The series.
        width: Width of the blade [m].
        hinges: Places of the hinges [m].
    """
    board = series.moldboard
    end = width / 2 - board.web_end_inset
    asked = max(board.webs_at_least, ceil(width / board.webs_one_per - 1e-6))
    gap = end - hinges[-1]
    # A hinge closer to the end than two hands needs no web of its own beside it.
    half = [h for h in hinges if h > 1e-9]
    fixed = [*half, end] if gap > 6 * INCH else [*half[:-1], hinges[-1]]
    middle = any(abs(h) < 1e-9 for h in hinges)
    count = 2 * len(fixed) + (1 if middle else 0)
    extra = max(0, ceil((asked - count) / 2))
    if extra and gap > 6 * INCH:
        fixed = [*half, *(hinges[-1] + gap * (i + 1) / (extra + 1) for i in range(extra)), end]
    places = sorted({-p for p in fixed} | set(fixed) | ({0.0} if middle else set()))
    return tuple(places)
