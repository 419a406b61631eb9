"""A spec and a rulebook in, every part and joint of the blade out: the one parametric model."""

from __future__ import annotations

from plowwright.blade import angling, extras, moldboard, mounting, pushframe, stops, swings, trip
from plowwright.blade.datum import work_out
from plowwright.blade.making import Maker
from plowwright.blade.parts import Assembly, Pivots, Stopped
from plowwright.blade.spec import Spec, check
from plowwright.rulebook.reading import Rulebook


def assemble(spec: Spec, rulebook: Rulebook) -> Assembly:
    """Every part and joint of one blade.

    Args:
        spec: The chosen options; checked here.
        rulebook: The rules in force.

    Raises:
        SpecError: The spec is not complete or its choices clash.
        ModelError: The rules do not give a blade that can be built.
    """
    check(spec, rulebook)
    make = Maker(rulebook=rulebook)
    d = work_out(spec, rulebook)
    board, board_joints = moldboard.parts(d, make)
    swing = swings.swing(d, make, spec.outlets)
    frame, frame_joints = pushframe.parts(d, make, swing.rod[0])
    springs, spring_joints = trip.parts(d, make)
    mount, mount_joints = mounting.parts(d, make)
    cylinder, cylinder_joints = angling.parts(d, make, spec.outlets, swing)
    ends, end_joints = stops.parts(d, make, angling.arm_ends(d, make, swing))
    added = extras.parts(d, make, spec)
    pivots = Pivots(
        king_pin=(d.king_pin, 0.0, d.frame_z),
        hinge=(d.hinge_x, 0.0, d.hinge_z),
        oscillation=(0.0, 0.0, d.frame_z),
        angle_stop=d.series.angle_stop,
        oscillation_stop=stops.OSCILLATION_STOP,
    )
    facts = {
        "body height": d.series.moldboard.body_height,
        "hinge height": d.hinge_z,
        "hinge beam length": d.row.hinge_beam_length,
        "frame length": d.row.frame_length,
        "edge height": d.edge_height,
        "edge thickness": d.edge_wall,
        "bolt line height": d.bolt_line,
        "shelf height": d.shelf,
        "cylinder straight": swing.straight,
        "cylinder shortest": swing.shortest,
        "cylinder longest": swing.longest,
        "cylinder arm": swing.arm,
        "stop lever": next(j.lever for j in end_joints if isinstance(j, Stopped) and j.motion == "angle"),
        "oscillation stop": stops.OSCILLATION_STOP,
        "oscillation stop lever": next(
            j.lever for j in end_joints if isinstance(j, Stopped) and j.motion == "oscillation"
        ),
        "rub pad lever": next(j.lever for j in end_joints if isinstance(j, Stopped) and j.motion == "yaw"),
        "rest stop lever": next(j.lever for j in frame_joints if isinstance(j, Stopped)),
    }
    return Assembly(
        parts=(*board, *frame, *springs, *mount, *cylinder, *ends, *added),
        joints=(*board_joints, *frame_joints, *spring_joints, *mount_joints, *cylinder_joints, *end_joints),
        pivots=pivots,
        width=d.width,
        facts=facts,
    )
