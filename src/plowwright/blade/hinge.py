"""The hinge on which the moldboard trips: the beam's ears and the pins; the moldboard's own ears are its own."""

from __future__ import annotations

from math import hypot

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Y, Z
from plowwright.blade.moldboard import ear_heel, ear_side
from plowwright.blade.parts import Hole, Joint, Part, Pinned, Stopped, Weld
from plowwright.physics.regions import Loop
from plowwright.units.constants import INCH

CLEAR = INCH / 16
"""Play between parts that turn on each other [m]."""


def beam_ear_outline(d: Datum) -> Loop:
    """An ear of the hinge beam with u = x, v = z, counter-clockwise [m].

    Args:
        d: Sizes of the blade.
    """
    # The shelf's rear edge passes the ear's round end when the moldboard trips.
    level = max(d.shelf - d.angle_wall - d.hinge_z, d.hinge_z - d.shelf, 0.0)
    behind = d.series.hinge.behind_shelf
    r = min(0.98 * min(behind, 1.5 * INCH), hypot(behind, level) - 1.1 * CLEAR)
    face = d.beam_x + d.beam_deep / 2
    low = min(r, d.beam_upright / 2)
    return (
        (face, d.hinge_z - low, 0.0),
        (d.hinge_x, d.hinge_z - r, 1.0),
        (d.hinge_x, d.hinge_z + r, 0.0),
        (face, d.hinge_z + low, 0.0),
    )


def parts(d: Datum, make: Maker) -> tuple[list[Part], list[Joint]]:
    """Beam ears, hinge pins and their joints.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
    """
    t_web, t_ear = make.thickness(d.row.web), make.thickness(d.row.ear)
    pin = make.sizes(d.series.hinge.pin)[0]
    hole = Hole(along=d.hinge_x, across=d.hinge_z, diameter=pin + INCH / 32, depth=t_ear)
    shape = beam_ear_outline(d)
    face = d.beam_x + d.beam_deep / 2
    pieces: list[Part] = []
    joints: list[Joint] = []
    number = 0
    for hinge, y in enumerate(d.hinge_ys, 1):
        middle = y + ear_side(y) * (t_web + t_ear) / 2
        ids: list[str] = []
        for off in (-1.0, 1.0):
            number += 1
            at = middle + off * (t_ear + CLEAR)
            ids.append(f"beam ear {number}")
            pieces.append(
                make.plate(
                    ids[-1],
                    "beam ear",
                    "hinge beam ear",
                    stock=d.row.ear,
                    outline=shape,
                    origin=(0.0, at, 0.0),
                    u=X,
                    v=Z,
                    group="hinge",
                    body="frame",
                    holes=(hole,),
                )
            )
            joints.append(
                Weld(
                    id=f"{ids[-1]} to hinge beam",
                    joins=(ids[-1], "hinge beam"),
                    leg=d.series.welds.frame,
                    start=(face, at - t_ear / 2, shape[0][1]),
                    end=(face, at - t_ear / 2, shape[3][1]),
                    sides=2,
                    across=(0.0, t_ear, 0.0),
                )
            )
        half = 1.5 * t_ear + CLEAR + INCH / 2
        pin_id = f"hinge pin {hinge}"
        pieces.append(
            make.bar(
                pin_id,
                "hinge pin",
                "hinge pin",
                stock=d.series.hinge.pin,
                start=(d.hinge_x, middle - half, d.hinge_z),
                end=(d.hinge_x, middle + half, d.hinge_z),
                group="hinge",
                body="frame",
                operations=("saw", "drill"),
                finish="none",
            )
        )
        joints.append(
            Pinned(
                id=f"hinge {hinge}",
                joins=(ids[0], f"ear {hinge}", ids[1]),
                pin=pin_id,
                position=(d.hinge_x, middle, d.hinge_z),
                axis=Y,
                diameter=pin,
            )
        )
        heel, high, low = ear_heel(d)
        at = (heel, middle, (high + low) / 2)
        joints.append(
            Stopped(
                id=f"rest stop {hinge}",
                joins=(f"ear {hinge}", "hinge beam"),
                motion="trip",
                place=at,
                meets=at,
                normal=X,
                at=0.0,
                lever=at[2] - d.hinge_z,
            )
        )
    return pieces, joints
