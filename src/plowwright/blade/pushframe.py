"""The push frame: hinge beam, legs, cross member, king-pin plates, stand pockets; the hinge is in `hinge.py`."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from plowwright import units
from plowwright.blade import hinge
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Y, Z
from plowwright.blade.parts import Hole, Joint, Part, Pinned, Weld
from plowwright.errors import ModelError
from plowwright.physics.regions import circle, polygon
from plowwright.units.constants import INCH

REAR = 1.0 * INCH
"""How far the legs reach behind the king pin [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """Centre lines of the two legs in plan.

    Attributes:
        x0: Rear end along x [m].
        y0: Rear end off the middle [m].
        x1: Front end, on the rear face of the hinge beam [m].
        y1: Front end off the middle [m].
        slope: Spread per length, dy/dx [-].
        z: Axis above the edge tip [m].
    """

    x0: float
    y0: float
    x1: float
    y1: float
    slope: float
    z: float

    def y_at(self, x: float) -> float:
        """Centre line's distance off the middle at x [m].

        Args:
            x: Along x [m].
        """
        return self.y0 + self.slope * (x - self.x0)


def hub_eye(d: Datum, make: Maker) -> float:
    """Radius of the hub plates' eye around the king pin [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return 1.3 * make.sizes(d.series.king_pin)[0]


def legs(d: Datum, make: Maker) -> Legs:
    """Where the legs run.

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    x0, x1 = d.king_pin - REAR, d.beam_x - d.beam_deep / 2
    y1 = d.row.hinge_beam_length / 2 - 0.75 * d.leg_size - INCH / 2
    y0 = hub_eye(d, make) + d.leg_size * 0.6 + INCH / 4
    if y1 <= y0 or x1 - x0 < 8 * INCH:
        raise ModelError(
            f"{d.series.name}: the push frame has no room between king pin and hinge beam",
            value=f"frame length {units.tape(d.row.frame_length)}, hinge beam {units.tape(d.row.hinge_beam_length)}",
            way_out="Lengthen the frame or the hinge beam in this row of series.toml.",
        )
    return Legs(x0=x0, y0=y0, x1=x1, y1=y1, slope=(y1 - y0) / (x1 - x0), z=d.frame_z)


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """All parts and joints of the push frame.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    run = legs(d, make)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for some, seams in (_beam(d, make), hinge.parts(d, make), _legs(d, make, run), _king(d, make, run)):
        pieces.extend(some)
        joints.extend(seams)
    return pieces, joints


def _beam(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    half = d.row.hinge_beam_length / 2
    beam = make.bar(
        "hinge beam",
        "hinge beam",
        "hinge beam",
        stock=d.row.hinge_beam,
        start=(d.beam_x, -half, d.hinge_z),
        end=(d.beam_x, half, d.hinge_z),
        group="push frame",
        body="frame",
    )
    pieces: list[Part] = [beam]
    joints: list[Joint] = []
    low = d.hinge_z - d.beam_upright / 2
    pocket = make.sizes(d.series.stand_pocket)[0]
    length = max(1.5 * INCH, min(4 * INCH, low - INCH / 2))
    for side, y in (("left", half - pocket), ("right", pocket - half)):
        part_id = f"stand pocket {side}"
        pieces.append(
            make.bar(
                part_id,
                "stand pocket",
                "stand pocket",
                stock=d.series.stand_pocket,
                start=(d.beam_x - d.beam_deep / 2 - pocket / 2, y, d.hinge_z + d.beam_upright / 2 - length),
                end=(d.beam_x - d.beam_deep / 2 - pocket / 2, y, d.hinge_z + d.beam_upright / 2),
                up=X,
                group="push frame",
                body="frame",
            )
        )
        at = (d.beam_x - d.beam_deep / 2, y, d.hinge_z + d.beam_upright / 2)
        joints.append(
            Weld(
                id=f"{part_id} to hinge beam",
                joins=(part_id, "hinge beam"),
                leg=d.series.welds.moldboard,
                start=(at[0], at[1], at[2] - length),
                end=at,
                sides=2,
            )
        )
    return pieces, joints


def _legs(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
    pieces: list[Part] = []
    joints: list[Joint] = []
    leg = d.series.welds.frame
    wide = d.leg_size * sqrt(1 + run.slope**2)
    large = make.sizes(d.row.cross)[0]
    cross_x = run.x0 + 0.62 * (run.x1 - run.x0)
    for side, s in (("left", 1.0), ("right", -1.0)):
        leg_id = f"leg {side}"
        start, end = (run.x0, s * run.y0, run.z), (run.x1, s * run.y1, run.z)
        pieces.append(
            make.bar(
                leg_id,
                leg_id,
                f"push-frame leg, {side}",
                stock=d.row.leg,
                start=start,
                end=end,
                start_normal=X,
                end_normal=X,
                group="push frame",
                body="frame",
            )
        )
        for face, z in (("upper", run.z + d.leg_size / 2), ("lower", run.z - d.leg_size / 2)):
            joints.append(
                Weld(
                    id=f"{leg_id} to hinge beam, {face}",
                    joins=(leg_id, "hinge beam"),
                    leg=leg,
                    start=(run.x1, s * run.y1 - wide / 2, z),
                    end=(run.x1, s * run.y1 + wide / 2, z),
                )
            )
        joints.append(
            Weld(
                id=f"{leg_id} to hinge beam, sides",
                joins=(leg_id, "hinge beam"),
                leg=leg,
                start=(run.x1, s * run.y1, run.z - d.leg_size / 2),
                end=(run.x1, s * run.y1, run.z + d.leg_size / 2),
                sides=2,
            )
        )
        reach = 4 * INCH
        corner = s * (run.y1 - wide / 2)
        gusset = polygon(((0, 0), (reach, 0), (reach, INCH), (INCH, reach), (0, reach)))
        gusset_id = f"gusset {side}"
        # u runs towards the middle along the beam, v runs back; the plate lies on top of leg and beam.
        pieces.append(
            make.plate(
                gusset_id,
                "gusset",
                "corner gusset",
                stock=d.series.gusset,
                outline=gusset,
                origin=(run.x1, corner, run.z + d.leg_size / 2 - make.thickness(d.series.gusset)),
                u=(0.0, -s, 0.0),
                v=(-1.0, 0.0, 0.0),
                group="push frame",
                body="frame",
            )
        )
        joints.append(
            Weld(
                id=f"{gusset_id} to hinge beam",
                joins=(gusset_id, "hinge beam"),
                leg=d.series.welds.moldboard,
                start=(run.x1, corner, run.z),
                end=(run.x1, corner - s * reach, run.z),
                sides=2,
            )
        )
        joints.append(
            Weld(
                id=f"cross to {leg_id}",
                joins=("cross", leg_id),
                leg=leg,
                start=(cross_x, s * (run.y_at(cross_x) - wide / 2), run.z - large / 2),
                end=(cross_x, s * (run.y_at(cross_x) - wide / 2), run.z + large / 2),
                sides=2,
            )
        )
    inner = run.y_at(cross_x) - wide / 2
    pieces.append(
        make.bar(
            "cross",
            "cross",
            "cross member",
            stock=d.row.cross,
            start=(cross_x, -inner, run.z),
            end=(cross_x, inner, run.z),
            start_normal=(run.slope, 1.0, 0.0),
            end_normal=(-run.slope, 1.0, 0.0),
            group="push frame",
            body="frame",
            upright=large <= d.leg_size + INCH,
        )
    )
    return pieces, joints


def _king(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
    t = make.thickness(d.row.pin_plate)
    pin = make.sizes(d.series.king_pin)[0]
    x0, x1 = d.king_pin - 0.6 * hub_eye(d, make), d.king_pin + 8 * INCH
    wide = d.leg_size / 2 * sqrt(1 + run.slope**2)
    y0, y1 = run.y_at(x0) + wide, run.y_at(x1) + wide
    # Own axes: u forward, v to the left, origin on the king pin.
    k = d.king_pin
    shape = polygon(((x0 - k, -y0), (x1 - k, -y1), (x1 - k, y1), (x0 - k, y0)))
    hole = Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t)
    relief = circle(5 * INCH, 0.0, 1.25 * INCH)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for where, z in (("upper", run.z + (d.leg_size + t) / 2), ("lower", run.z - (d.leg_size + t) / 2)):
        part_id = f"king-pin plate {where}"
        pieces.append(
            make.plate(
                part_id,
                "king-pin plate",
                "king-pin plate",
                stock=d.row.pin_plate,
                outline=shape,
                origin=(k, 0.0, z),
                u=X,
                v=Y,
                group="king pin",
                body="frame",
                holes=(hole,),
                openings=(relief,),
            )
        )
        face = z - t / 2 if where == "upper" else z + t / 2
        for side, s in (("left", 1.0), ("right", -1.0)):
            joints.append(
                Weld(
                    id=f"{part_id} to leg {side}",
                    joins=(part_id, f"leg {side}"),
                    leg=d.series.welds.frame,
                    start=(run.x0, s * y0, face),
                    end=(x1, s * y1, face),
                    joint="lap",
                    sides=2,
                )
            )
    long = d.leg_size + 2 * t + INCH
    pieces.append(
        make.bar(
            "king pin",
            "king pin",
            "king pin",
            stock=d.series.king_pin,
            start=(k, 0.0, run.z - long / 2),
            end=(k, 0.0, run.z + long / 2),
            up=X,
            group="king pin",
            body="hub",
            operations=("saw", "drill"),
            finish="none",
        )
    )
    joints.append(
        Pinned(
            id="king pin joint",
            joins=("king-pin plate upper", "hub plate upper", "hub plate lower", "king-pin plate lower"),
            pin="king pin",
            position=(k, 0.0, run.z),
            axis=Z,
            diameter=pin,
        )
    )
    return pieces, joints
