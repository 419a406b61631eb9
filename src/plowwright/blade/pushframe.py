"""The push frame: hinge beam, legs, cross member, king-pin plates, stand pockets; the hinge is in `hinge.py`."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin, sqrt, tan

from plowwright import units
from plowwright.blade import hinge
from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Y, Z, end_seam, unit
from plowwright.blade.parts import Hole, Joint, Part, Pinned, Weld
from plowwright.errors import ModelError
from plowwright.physics.regions import Loop, polygon
from plowwright.units.constants import INCH

REAR = 0.0 * INCH
"""How far the legs reach behind the king pin [m]: the oscillation tube stands there between them."""


GUSSET = 4.0 * INCH
"""Sides of a corner gusset along hinge beam and leg [m]."""


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

    def half_width(self, d: Datum) -> float:
        """Half of a leg's width measured along y, which its spread makes wider than the tube [m].

        Args:
            d: Sizes of the blade.
        """
        return d.leg_size / 2 * sqrt(1 + self.slope**2)


def hub_eye(d: Datum, make: Maker) -> float:
    """Radius of the hub plates' eye around the king pin [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return 1.3 * make.sizes(d.series.king_pin)[0]


def arm_front(d: Datum, make: Maker) -> float:
    """Front face of the cylinder arm behind the king pin: room for the pin's head [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return make.sizes(d.series.king_pin)[0] / 2 + 3 * INCH / 8


def hub_face(d: Datum, make: Maker) -> float:
    """Inner faces of the hub plates off the frame's axis: outside the king-pin plates, on the oscillation tube [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    plates = d.leg_size / 2 + make.thickness(d.row.pin_plate) + hinge.CLEAR
    return max(plates, make.sizes(d.series.oscillation_pin)[0] / 2)


def king_plate_front(d: Datum) -> float:
    """How far the king-pin plates reach ahead of the king pin: well along the legs, less on a short frame [m].

    Args:
        d: Sizes of the blade.
    """
    return min(7.0 * INCH, 0.3 * d.row.frame_length)


def king_plate_rear(d: Datum, make: Maker) -> float:
    """How far the king-pin plates reach behind the king pin, at rest and at full angle [m].

    Args:
        d: Sizes of the blade.
        make: Looks up stock.
    """
    return hub_eye(d, make)


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


def parts(d: Datum, make: Maker, lug: float) -> tuple[list[Part], list[Joint]]:
    """All parts and joints of the push frame.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        lug: Where the cylinder's lugs stand along x; the cross member keeps the legs from twisting there [m].
    """
    run = legs(d, make)
    pieces: list[Part] = []
    joints: list[Joint] = []
    for some, seams in (_beam(d, make, run), hinge.parts(d, make), _legs(d, make, run, lug), _king(d, make, run)):
        pieces.extend(some)
        joints.extend(seams)
    return pieces, joints


def _beam(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
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
    for side, s in (("left", 1.0), ("right", -1.0)):
        part, seam = _pocket(d, make, run, side, s)
        pieces.append(part)
        joints.append(seam)
    return pieces, joints


def _pocket(d: Datum, make: Maker, run: Legs, side: str, s: float) -> tuple[Part, Joint]:
    """An upright socket for stand or shoe on a leg's outer face, just behind the hinge beam, turned with the leg."""
    size = make.sizes(d.series.stand_pocket)[0]
    length = max(1.5 * INCH, min(4 * INCH, d.hinge_z - d.beam_upright / 2 - INCH / 2))
    high = run.z + d.leg_size / 2
    ahead = unit((1.0, s * run.slope, 0.0))
    out = (-s * ahead[1], s * ahead[0], 0.0)
    x, aside = run.x1 - size, (d.leg_size + size) / 2
    at = (x + aside * out[0], s * run.y_at(x) + aside * out[1])
    part = make.bar(
        f"stand pocket {side}",
        "stand pocket",
        "stand pocket",
        stock=d.series.stand_pocket,
        start=(*at, high - length),
        end=(*at, high),
        up=ahead,
        group="push frame",
        body="frame",
    )
    # Its inner face lies on the leg; the seams run up its two edges there.
    edge = tuple(c - size / 2 * (o + a) for c, o, a in zip(at, out, ahead, strict=False))
    seam = Weld(
        id=f"{part.id} to leg",
        joins=(part.id, f"leg {side}"),
        leg=d.series.welds.moldboard,
        start=(edge[0], edge[1], max(high - length, high - d.leg_size)),
        end=(edge[0], edge[1], high),
        sides=2,
        across=(size * ahead[0], size * ahead[1], 0.0),
    )
    return part, seam


def _legs(d: Datum, make: Maker, run: Legs, lug: float) -> tuple[list[Part], list[Joint]]:
    pieces: list[Part] = []
    joints: list[Joint] = []
    leg = d.series.welds.frame
    for side, s in (("left", 1.0), ("right", -1.0)):
        piece = make.bar(
            f"leg {side}",
            f"leg {side}",
            f"push-frame leg, {side}",
            stock=d.row.leg,
            start=(run.x0, s * run.y0, run.z),
            end=(run.x1, s * run.y1, run.z),
            start_normal=X,
            end_normal=X,
            group="push frame",
            body="frame",
        )
        start, end, across = end_seam(piece, "end")
        pieces.append(piece)
        joints.append(
            Weld(
                id=f"{piece.id} to hinge beam",
                joins=(piece.id, "hinge beam"),
                leg=leg,
                start=start,
                end=end,
                sides=4,
                across=across,
            )
        )
        gusset, seams = _gusset(d, make, run, side, s)
        pieces.append(gusset)
        joints.extend(seams)
    cross, seams = _cross(d, make, run, lug)
    return [*pieces, cross], [*joints, *seams]


def _gusset(d: Datum, make: Maker, run: Legs, side: str, s: float) -> tuple[Part, list[Joint]]:
    """A plate in the corner between a leg's inner face and the hinge beam, just under their upper faces."""
    gusset_id, reach, t = f"gusset {side}", GUSSET, make.thickness(d.series.gusset)
    corner, lean = s * (run.y1 - run.half_width(d)), run.slope * reach
    z = run.z + d.leg_size / 2 - 2.5 * t
    # u runs towards the middle along the beam, v runs back; the outer edge follows the leg.
    outline = polygon(((0, 0), (reach, 0), (reach, INCH), (lean + INCH, reach), (lean, reach)))
    part = make.plate(
        gusset_id,
        "gusset",
        "corner gusset",
        stock=d.series.gusset,
        outline=outline,
        origin=(run.x1, corner, z),
        u=(0.0, -s, 0.0),
        v=(-1.0, 0.0, 0.0),
        group="push frame",
        body="frame",
    )
    ends = (("hinge beam", (run.x1, corner - s * reach)), (f"leg {side}", (run.x1 - reach, corner - s * lean)))
    seams: list[Joint] = [
        Weld(
            id=f"{gusset_id} to {to}",
            joins=(gusset_id, to),
            leg=d.series.welds.moldboard,
            start=(run.x1, corner, z - t / 2),
            end=(x, y, z - t / 2),
            sides=2,
            across=(0.0, 0.0, t),
        )
        for to, (x, y) in ends
    ]
    return part, seams


def _cross(d: Datum, make: Maker, run: Legs, lug: float) -> tuple[Part, list[Joint]]:
    """The cross member between the legs' inner faces, laid flat where it is taller than they are: welded all round."""
    large, small = make.sizes(d.row.cross)
    upright = large <= d.leg_size + 1e-6
    high, deep = (large, small) if upright else (small, large)
    # Close behind the cylinder's lugs, as far as king-pin plates and gussets leave room.
    x = max(d.king_pin + king_plate_front(d) + deep / 2, min(lug - 5 * INCH, run.x1 - GUSSET - deep / 2 - INCH / 4))
    inner = run.y_at(x) - run.half_width(d)
    part = make.bar(
        "cross",
        "cross",
        "cross member",
        stock=d.row.cross,
        start=(x, -inner, run.z),
        end=(x, inner, run.z),
        start_normal=(run.slope, 1.0, 0.0),
        end_normal=(-run.slope, 1.0, 0.0),
        group="push frame",
        body="frame",
        upright=upright,
    )
    seams: list[Joint] = []
    half = min(high, d.leg_size) / 2
    for side, s in (("left", 1.0), ("right", -1.0)):
        rear = (x - deep / 2, s * (inner - run.slope * deep / 2))
        seams.append(
            Weld(
                id=f"cross to leg {side}",
                joins=("cross", f"leg {side}"),
                leg=d.series.welds.frame,
                start=(*rear, run.z - half),
                end=(*rear, run.z + half),
                sides=4 if high <= d.leg_size + 1e-6 else 2,
                across=(deep, s * run.slope * deep, 0.0),
            )
        )
    return part, seams


def _king(d: Datum, make: Maker, run: Legs) -> tuple[list[Part], list[Joint]]:
    t = make.thickness(d.row.pin_plate)
    pin = make.sizes(d.series.king_pin)[0]
    k, x1, wide = d.king_pin, d.king_pin + king_plate_front(d), run.half_width(d)
    # Round behind the pin, and from there to the legs along lines that at full angle lie square across.
    r, c, s = king_plate_rear(d, make), cos(d.series.angle_stop), sin(d.series.angle_stop)
    x0 = k + (s * (run.y_at(k) + wide) - r) / (c - s * run.slope)
    y0, y1 = run.y_at(x0) + wide, run.y_at(x1) + wide
    # Own axes: u forward, v to the left, origin on the king pin.
    shape: Loop = (
        (x0 - k, -y0, 0.0),
        (x1 - k, -y1, 0.0),
        (x1 - k, y1, 0.0),
        (x0 - k, y0, 0.0),
        (-r * c, r * s, tan(d.series.angle_stop / 2)),
        (-r * c, -r * s, 0.0),
    )
    hole = Hole(along=0.0, across=0.0, diameter=pin + INCH / 32, depth=t)
    # A slot across saves weight where little goes through.
    at, half = x1 - k - 2.5 * INCH, 1.25 * INCH
    reach = max(half, run.y_at(k + at - half) - wide - 1.25 * INCH) - half
    rear, front = at - half, at + half
    relief: Loop = ((front, -reach, 0.0), (front, reach, 1.0), (rear, reach, 0.0), (rear, -reach, 1.0))
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
        rear = max(x0, run.x0)
        for side, sign in (("left", 1.0), ("right", -1.0)):
            joints.append(
                Weld(
                    id=f"{part_id} to leg {side}",
                    joins=(part_id, f"leg {side}"),
                    leg=d.series.welds.frame,
                    start=(rear, sign * (run.y_at(rear) + wide), face),
                    end=(x1, sign * y1, face),
                    joint="lap",
                    sides=2,
                    across=(0.0, -2 * sign * wide, 0.0),
                )
            )
    long = 2 * (hub_face(d, make) + t) + INCH
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
            joins=("hub plate upper", "king-pin plate upper", "king-pin plate lower", "hub plate lower"),
            pin="king pin",
            position=(k, 0.0, run.z),
            axis=Z,
            diameter=pin,
        )
    )
    return pieces, joints
