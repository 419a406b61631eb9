from __future__ import annotations

from math import dist, inf, radians

import pytest

from plowwright.blade.assemble import assemble
from plowwright.blade.making import cross, dot, minus
from plowwright.blade.parts import Assembly, Stopped
from plowwright.blade.poses import Pose, apply, mover, turn
from plowwright.blade.prisms import gap, prisms
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def assemblies(demo_rules: Rulebook, common_rules: Rulebook) -> list[Assembly]:
    return [
        assemble(Spec(series=key, width=w, mount="loader", carrier_kind="skid steer", hoses="none"), rules)
        for rules in (demo_rules, common_rules)
        for key, series in rules.series.items()
        for w in series.widths()
    ]


def stops(assembly: Assembly, motion: str) -> list[Stopped]:
    return [j for j in assembly.joints if isinstance(j, Stopped) and j.motion == motion]


def standing(stop: Stopped, by: float) -> Pose:
    if stop.motion == "angle":
        return Pose(angle=by)
    return Pose(oscillation=by) if stop.motion == "oscillation" else Pose(trip=by)


def apart(assembly: Assembly, stop: Stopped, pose: Pose) -> float:
    """Distance between the two parts of a stop in a pose, below zero where they cut into each other [m]."""
    motion = mover(assembly, pose)
    one, other = (assembly.part(n) for n in stop.joins)
    return min(
        gap(a, b, (motion(one), motion(other)), inf)
        for s in one.solids
        for a in prisms(s, one.place)
        for t in other.solids
        for b in prisms(t, other.place)
    )


def test_each_way_has_its_stop(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        pivots = assembly.pivots
        assert sorted(s.at for s in stops(assembly, "angle")) == [-pivots.angle_stop, pivots.angle_stop]
        assert sorted(s.at for s in stops(assembly, "oscillation")) == [
            -pivots.oscillation_stop,
            pivots.oscillation_stop,
        ]
        assert [s.at for s in stops(assembly, "trip")] == [0.0] * sum(p.mark == "hinge pin" for p in assembly.parts)


@pytest.mark.parametrize("motion", ["angle", "oscillation"])
def test_stop_faces_meet_at_the_end_of_travel_and_not_before(assemblies: list[Assembly], motion: str) -> None:
    for assembly in assemblies:
        for stop in stops(assembly, motion):
            assert apart(assembly, stop, standing(stop, stop.at)) == pytest.approx(0, abs=1e-6), stop.id
            assert apart(assembly, stop, standing(stop, 0.97 * stop.at)) > 5e-4, stop.id
            assert apart(assembly, stop, standing(stop, 1.03 * stop.at)) < -5e-4, stop.id


def test_the_moldboard_rests_on_its_heels_and_leaves_them_when_it_trips(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        for stop in stops(assembly, "trip"):
            assert apart(assembly, stop, Pose()) == pytest.approx(0, abs=1e-6), stop.id
            assert apart(assembly, stop, Pose(trip=radians(2))) > 2e-4, stop.id
            assert apart(assembly, stop, Pose(trip=radians(-2))) < -2e-4, stop.id


@pytest.mark.parametrize("motion", ["angle", "oscillation", "trip"])
def test_both_sides_of_a_contact_come_to_one_place(assemblies: list[Assembly], motion: str) -> None:
    for assembly in assemblies:
        for stop in stops(assembly, motion):
            move = mover(assembly, standing(stop, stop.at))
            one, other = (move(assembly.part(n)) for n in stop.joins)
            assert dist(apply(one, stop.place), apply(other, stop.meets)) < 1e-9, stop.id


def test_levers_are_those_of_the_push_about_the_axis(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        pivots = assembly.pivots
        axes = {
            "angle": (pivots.king_pin, (0.0, 0.0, 1.0)),
            "oscillation": (pivots.oscillation, (1.0, 0.0, 0.0)),
            "trip": (pivots.hinge, (0.0, 1.0, 0.0)),
        }
        for stop in (j for j in assembly.joints if isinstance(j, Stopped) and j.motion != "yaw"):
            point, axis = axes[stop.motion]
            move = mover(assembly, standing(stop, stop.at))(assembly.part(stop.joins[0]))
            place, push = apply(move, stop.place), turn(move, stop.normal)
            assert dot(push, push) == pytest.approx(1.0)
            assert abs(dot(cross(minus(place, point), push), axis)) == pytest.approx(stop.lever), stop.id


def test_the_angling_stops_stand_far_out(assemblies: list[Assembly]) -> None:
    """A corner strike at full angle comes on one stop: force x half the width over this lever."""
    for assembly in assemblies:
        assert assembly.facts["stop lever"] > 6.4 * INCH
        assert assembly.facts["stop lever"] > 0.85 * assembly.facts["cylinder arm"]


def test_the_angling_stops_push_the_right_way(assemblies: list[Assembly]) -> None:
    """At + the left end is forward and the right leg has come back on its stop."""
    assembly = assemblies[0]
    stop = next(s for s in stops(assembly, "angle") if s.at > 0)
    assert stop.joins == ("angling stop right", "stop pad right")
    assert stop.normal[0] < 0 and stop.normal[1] < 0


def test_facts_carry_stops_and_levers(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        assert assembly.facts["oscillation stop"] == assembly.pivots.oscillation_stop == radians(6)
        assert assembly.facts["oscillation stop lever"] > 7 * INCH
        assert assembly.facts["rest stop lever"] > INCH


def test_the_hub_bears_on_rub_pads_before_the_oscillation_pin_bends(assemblies: list[Assembly]) -> None:
    """Play of a sixteenth far out: a fraction of a degree, and still there at full roll."""
    for assembly in assemblies:
        pads = stops(assembly, "yaw")
        assert [p.joins for p in pads] == [("rub pad left", "cylinder arm"), ("rub pad right", "cylinder arm")]
        for pad in pads:
            assert pad.lever > 10 * INCH
            assert abs(pad.at) < radians(0.4)
            assert pad.meets[0] - pad.place[0] == pytest.approx(INCH / 16)
            for roll in (0.0, assembly.pivots.oscillation_stop, -assembly.pivots.oscillation_stop):
                assert apart(assembly, pad, Pose(oscillation=roll)) == pytest.approx(INCH / 16, abs=1e-6)
