from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plowwright.blade.build import Build
from plowwright.blade.parts import Pinned, Sprung
from plowwright.blade.strength import frame_hub, frame_model
from plowwright.blade.strength.frame_parts import Finder, Turn, finder
from plowwright.blade.strength.plan import Plan
from plowwright.errors import MechanismError, ModelError
from plowwright.physics.frames import Loads
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH
from tests.references.blades import built


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    return built(demo_rules, "flint", 84)


def without(build: Build, *ids: str) -> Build:
    """The same blade with parts and joints of these ids left out."""
    assembly = build.assembly
    return replace(
        build,
        assembly=replace(
            assembly,
            parts=tuple(part for part in assembly.parts if part.id not in ids),
            joints=tuple(joint for joint in assembly.joints if joint.id not in ids),
        ),
    )


def laid(build: Build) -> Finder:
    find = finder(build, Plan())
    frame_model.push_frame(find)
    return find


def test_the_moldboard_hangs_on_a_node_at_each_hinge_and_each_spring(flint: Build) -> None:
    places = laid(flint).plan.places
    for joint in flint.assembly.joints:
        if isinstance(joint, Pinned) and joint.id.startswith("hinge "):
            assert places[f"{joint.id} board"] == joint.position
    springs = [joint for joint in flint.assembly.joints if isinstance(joint, Sprung)]
    assert [places[f"lug {number}"] for number in range(1, len(springs) + 1)] == [one.start for one in springs]


def test_every_bearing_part_of_push_frame_and_hub_has_members(flint: Build) -> None:
    hub = finder(flint, Plan())
    frame_hub.hub(hub)
    modelled = {beam.part for beam in (*laid(flint).plan.beams, *hub.plan.beams)}
    left_out = {
        "gusset left", "gusset right", "stand pocket left", "stand pocket right", "base bracket right",
        "cylinder lug left", "cylinder lug right", "lug post left", "lug post right", "angling stop left",
        "angling stop right", "stop pad left", "stop pad right",
    }  # fmt: skip
    wanted = {part.id for part in flint.parts if part.body in ("frame", "hub") and part.kind != "bought"}
    assert wanted - modelled == left_out & wanted


def test_members_lie_where_the_parts_lie(flint: Build) -> None:
    beams = {beam.name: beam for beam in laid(flint).plan.beams}
    ears = flint.assembly.part("beam ear 1")
    assert beams["beam ear 1"].end[1] == pytest.approx(ears.place.origin[1])
    assert beams["cross 1"].start[0] == pytest.approx(flint.assembly.part("cross").place.origin[0])


def test_a_lug_moved_on_the_leg_moves_in_the_model(flint: Build) -> None:
    lug = flint.assembly.part("cylinder lug right")
    x, y, z = lug.place.origin
    shifted = replace(lug, place=replace(lug.place, origin=(x + 0.05, y, z)))
    parts = tuple(shifted if part.id == lug.id else part for part in flint.parts)
    moved = laid(replace(flint, assembly=replace(flint.assembly, parts=parts))).plan
    before = laid(flint).plan
    name = "leg right at cylinder lug"
    assert 0.03 < moved.places[name][0] - before.places[name][0] < 0.05


def test_a_hinge_without_its_pin_joint_is_refused_by_name(flint: Build) -> None:
    with pytest.raises(ModelError) as fault:
        laid(without(flint, "hinge 2"))
    assert str(fault.value).startswith("hinge 2 has no pin: nothing joins what turns on it")


def test_a_hinge_whose_pin_is_not_among_the_parts_is_refused_by_name(flint: Build) -> None:
    with pytest.raises(ModelError) as fault:
        laid(without(flint, "hinge pin 3"))
    assert str(fault.value).startswith("hinge 3 has no pin")


def test_a_missing_king_pin_or_part_is_refused_by_name(flint: Build) -> None:
    with pytest.raises(ModelError) as fault:
        frame_hub.hub(finder(without(flint, "king pin"), Plan()))
    assert "king pin joint has no pin" in str(fault.value)
    with pytest.raises(ModelError) as fault:
        laid(without(flint, "cross"))
    assert "there is no cross among the parts of this blade" in str(fault.value)


def test_a_blade_without_springs_is_refused(flint: Build) -> None:
    springs = [joint.id for joint in flint.assembly.joints if isinstance(joint, Sprung)]
    with pytest.raises(ModelError) as fault:
        laid(without(flint, *springs))
    assert "no spring holds the moldboard up" in str(fault.value)


def test_a_lost_weld_is_refused_with_the_two_parts(flint: Build) -> None:
    with pytest.raises(ModelError) as fault:
        laid(without(flint, "beam ear 3 to hinge beam"))
    assert "no weld joins beam ear 3 and hinge beam" in str(fault.value)


def test_a_push_frame_that_hangs_on_nothing_is_a_mechanism_with_a_name(flint: Build) -> None:
    find = laid(flint)
    plan = find.plan
    nodal = np.zeros((1, len(plan.labels), 6))
    nodal[0, plan.numbers["hinge 2"], 0] = -1.0
    with pytest.raises(MechanismError) as fault:
        plan.frame().solve(Loads(names=("push",), nodal=nodal))
    assert any(name in str(fault.value) for name in plan.labels)


def test_hub_and_carrier_turn_against_the_blade_s_angle() -> None:
    turn = Turn(angle=0.5, pivot=(1.0, 0.0, 0.0))
    x, y, _ = turn.point((0.0, 0.0, 0.0))
    assert x > 0 and y < 0
    assert turn.back((x, y, 0.0)) == pytest.approx((0.0, 0.0, 0.0))
    assert turn.point((1.0, 0.0, 3.0)) == pytest.approx((1.0, 0.0, 3.0))


def test_the_locked_cylinder_acts_along_the_line_between_its_pins(flint: Build) -> None:
    find = finder(flint, Plan())
    pins = {joint.id: joint for joint in flint.assembly.joints if isinstance(joint, Pinned)}
    pivot = flint.assembly.pivots.king_pin
    hold = frame_hub.hold(find, Turn(angle=0.0, pivot=pivot), "cylinder")
    base, rod = (np.array(pins[name].position) for name in ("cylinder base", "cylinder rod end"))
    assert hold.direction == pytest.approx(tuple((rod - base) / np.linalg.norm(rod - base)))
    # Two columns of oil of half the stroke: some ten thousand tons to a metre, far softer than the steel around.
    assert 2e7 < hold.stiffness < 2e8


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_stop_on_the_side_that_comes_back_takes_the_plate(flint: Build, side: str) -> None:
    find = finder(flint, Plan())
    stop = next(one for one in find.stops("angle") if one.joins[0] == f"angling stop {side}")
    hold = frame_hub.hold(find, Turn(angle=stop.at, pivot=flint.assembly.pivots.king_pin), "stop")
    assert (hold.hub_part, hold.frame_part) == (f"angling stop {side}", "king-pin plate upper")
    assert hold.frame_at == stop.meets
    # Both sides of the contact meet, but for the play.
    assert hold.hub_at == pytest.approx(stop.place, abs=INCH / 8)
    # It turns the blade back to straight: against the sign of its angle.
    arm = np.array(hold.frame_at) - np.array(flint.assembly.pivots.king_pin)
    assert np.cross(arm, hold.direction)[2] * stop.at > 0


def test_a_blade_without_angling_stops_is_refused_by_its_pose(flint: Build) -> None:
    stops = [joint.id for joint in flint.assembly.joints if joint.id.startswith("angling stop")]
    find = finder(without(flint, *stops), Plan())
    with pytest.raises(ModelError) as fault:
        frame_hub.hold(find, Turn(angle=0.5, pivot=flint.assembly.pivots.king_pin), "stop")
    assert "nothing stops the blade with its left end forward" in str(fault.value)
