from __future__ import annotations

from math import radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.assemble import assemble
from plowwright.blade.making import distance, mirrored
from plowwright.blade.parts import Assembly
from plowwright.blade.poses import REST, Pose, apply, clear_width, drawn_out, motions, mover, stretch
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

turns = st.floats(-0.5, 0.5)


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Assembly:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return assemble(spec, demo_rules)


@given(angle=turns, trip=turns, oscillation=turns)
def test_no_pose_bends_a_part(flint: Assembly, angle: float, trip: float, oscillation: float) -> None:
    motion = mover(flint, Pose(angle=angle, trip=trip, oscillation=oscillation))
    for part in flint.parts:
        m = motion(part)
        a, b = part.place.origin, part.place.point(0.3, -0.2, 0.7)
        assert distance(apply(m, a), apply(m, b)) == pytest.approx(distance(a, b), rel=1e-9)


def test_angle_plus_brings_the_left_end_forward(flint: Assembly) -> None:
    moved = motions(flint.pivots, Pose(angle=radians(30)))["frame"]
    left, right = (1.0, 1.0, 0.1), (1.0, -1.0, 0.1)
    assert apply(moved, left)[0] > apply(moved, right)[0] + 0.9


def test_trip_plus_swings_the_foot_back_and_the_top_forward(flint: Assembly) -> None:
    moved = motions(flint.pivots, Pose(trip=radians(20)))["moldboard"]
    edge, top = flint.part("cutting edge").centroid(), (flint.pivots.hinge[0], 0.0, 0.8)
    assert apply(moved, edge)[0] < edge[0]
    assert apply(moved, top)[0] > top[0]


def test_oscillation_plus_lifts_the_left_end_and_leaves_the_mount(flint: Assembly) -> None:
    pose = Pose(oscillation=radians(6))
    assert apply(motions(flint.pivots, pose)["moldboard"], (1.0, 1.0, 0.1))[2] > 0.15
    assert mover(flint, pose)(flint.part("mount plate")) == motions(flint.pivots, Pose())["mount"]


def test_full_angles_are_the_cylinders_two_ends(flint: Assembly) -> None:
    link = flint.part("cylinder barrel").link
    assert link is not None
    ends = sorted(stretch(link, flint, Pose(angle=a * flint.pivots.angle_stop)) for a in (-1, 1))
    assert ends == pytest.approx([flint.facts["cylinder shortest"], flint.facts["cylinder longest"]])


def test_tripping_stretches_the_springs_and_angling_does_not(flint: Assembly) -> None:
    link = flint.part("spring 1").link
    assert link is not None
    rest = stretch(link, flint, Pose())
    assert stretch(link, flint, Pose(trip=radians(20))) > rest + INCH
    assert stretch(link, flint, Pose(angle=radians(25))) == pytest.approx(rest)


@given(angle=turns, trip=turns, oscillation=turns)
def test_springs_and_cylinder_are_drawn_from_pin_to_pin_in_every_pose(
    flint: Assembly, angle: float, trip: float, oscillation: float
) -> None:
    pose = Pose(angle=angle, trip=trip, oscillation=oscillation)
    motion, moved = drawn_out(flint, pose), motions(flint.pivots, pose)
    for part in flint.parts:
        link = part.link
        if link is None:
            assert motion(part) == mover(flint, pose)(part)
            continue
        start, end = apply(moved[link.start_body], link.start), apply(moved[link.end_body], link.end)
        if link.follows in ("start", "both"):
            assert apply(motion(part), link.start) == pytest.approx(start, abs=1e-9), part.id
        if link.follows in ("end", "both"):
            assert apply(motion(part), link.end) == pytest.approx(end, abs=1e-9), part.id


def test_at_rest_a_spring_is_drawn_as_long_as_it_is(flint: Assembly) -> None:
    spring = flint.part("spring 1")
    for found, rest in zip(drawn_out(flint, Pose())(spring), REST, strict=True):
        assert found == pytest.approx(rest, abs=1e-12)


def test_the_opposite_angle_is_the_mirror_image(flint: Assembly) -> None:
    left, right = (mover(flint, Pose(angle=s * 0.4)) for s in (1, -1))
    one, other = flint.part("leg left"), flint.part("leg right")
    assert apply(left(one), one.centroid()) == pytest.approx(mirrored(apply(right(other), other.centroid())))


def test_an_84_in_blade_at_30_degrees_clears_72_7_in() -> None:
    assert clear_width(84.0, radians(30)) == pytest.approx(72.7, abs=0.06)
