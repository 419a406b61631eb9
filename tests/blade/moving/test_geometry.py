"""Which end goes forward, on what lever, and what turns: asked from the parts in their poses."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.moving.geometry import linkage_of, pin_to_pin, turns_of, ways_of
from plowwright.blade.poses import Pose, apply, mover, stretch

from .conftest import Made

SERIES = (("reed", 48.0), ("reed", 72.0), ("flint", 54.0), ("flint", 102.0), ("basalt", 54.0), ("basalt", 120.0))


def left_end(build, angle: float) -> float:  # type: ignore[no-untyped-def]
    """How far forward the left end of the edge lies in a pose."""
    edge = build.assembly.part("cutting edge")
    x, _, z = edge.centroid()
    return apply(mover(build.assembly, Pose(angle=angle))(edge), (x, build.spec.width / 2, z))[0]


@pytest.mark.parametrize("outlets", ["left", "right"])
@pytest.mark.parametrize(("series", "width"), SERIES)
def test_the_words_for_each_way_are_what_the_blade_does_when_the_rod_moves(
    made: Made, series: str, width: float, outlets: str
) -> None:
    build = made(series, width, outlets)
    rod = next(part for part in build.parts if part.id == "cylinder rod")
    assert rod.link is not None
    stop = build.assembly.pivots.angle_stop
    for angle in (-stop, -0.3 * stop, 0.4 * stop, stop):
        out = stretch(rod.link, build.assembly, Pose(angle=angle)) > stretch(rod.link, build.assembly, Pose())
        forward = left_end(build, angle) > left_end(build, 0.0)
        assert (ways_of(build)["out" if out else "in"] == "left end forward") == forward


def test_outlets_on_the_other_side_turn_the_ways_about(made: Made) -> None:
    assert ways_of(made())["out"] == "left end forward"
    assert ways_of(made(outlets="right"))["out"] == "right end forward"


@pytest.mark.parametrize(("series", "width"), SERIES)
def test_the_linkage_follows_the_pins_through_every_pose(made: Made, series: str, width: float) -> None:
    build = made(series, width)
    linkage, facts, stop = linkage_of(build), build.assembly.facts, build.assembly.pivots.angle_stop
    assert linkage.shortest == pytest.approx(facts["cylinder shortest"], abs=1e-9)
    assert linkage.longest == pytest.approx(facts["cylinder longest"], abs=1e-9)
    assert linkage.sweep == pytest.approx(2 * stop)
    assert linkage.arm(pin_to_pin(build, 0.0)) == pytest.approx(facts["cylinder arm"], rel=1e-6)


@given(share=st.floats(-0.95, 0.95))
def test_the_lever_is_the_rods_way_over_the_blades_turn(made: Made, share: float) -> None:
    build = made()
    angle, step = share * build.assembly.pivots.angle_stop, 1e-4
    moved = abs(pin_to_pin(build, angle + step) - pin_to_pin(build, angle - step)) / (2 * step)
    assert moved == pytest.approx(linkage_of(build).arm(pin_to_pin(build, angle)), rel=1e-5)


@pytest.mark.parametrize(("series", "width"), SERIES)
def test_what_turns_is_the_sum_of_its_parts_about_the_king_pin(made: Made, series: str, width: float) -> None:
    build = made(series, width)
    assert build.rulebook.swing is not None
    turns, king = turns_of(build, build.rulebook.swing.turning), build.assembly.pivots.king_pin
    points = sum(
        part.mass() * ((part.centroid()[0] - king[0]) ** 2 + (part.centroid()[1] - king[1]) ** 2)
        for part in build.parts
        if part.body in ("frame", "moldboard")
    )
    # Points leave out each part's own length: a third more is what the long ones across add.
    assert points < turns.steel < 2.2 * points
    assert turns.mass < build.mass
    assert turns.turning.inertia == turns.steel + turns.snow


def test_springs_go_round_with_the_blade_and_the_cylinder_does_not_count(made: Made) -> None:
    build = made("basalt", 84.0)
    assert build.rulebook.swing is not None
    turns = turns_of(build, build.rulebook.swing.turning)
    bodies = sum(share.mass for share in build.tally.bodies if share.name in ("frame", "moldboard"))
    springs = sum(
        part.mass() for part in build.parts if part.kind == "bought" and part.id.startswith(("spring ", "eyebolt "))
    )
    assert springs > 10.0
    assert turns.mass == pytest.approx(bodies + springs)


def test_the_snow_lies_in_strips_along_the_moldboard(made: Made) -> None:
    build = made()
    assert build.rulebook.swing is not None
    rules, king = build.rulebook.swing.turning, build.assembly.pivots.king_pin
    ahead = build.assembly.part("cutting edge").centroid()[0] - king[0]
    strips = 4000
    each = build.spec.width / strips
    at = [(-0.5 + (i + 0.5) / strips) * build.spec.width for i in range(strips)]
    summed = sum(rules.snow.value * each * (y * y + ahead * ahead) for y in at)
    assert turns_of(build, rules).snow == pytest.approx(summed, rel=1e-6)


def test_the_snow_is_an_allowance_of_its_own_and_grows_with_the_width(made: Made) -> None:
    narrow, wide = made("flint", 54.0), made("flint", 102.0)
    assert narrow.rulebook.swing is not None
    rules = narrow.rulebook.swing.turning
    snow = [turns_of(build, rules).snow for build in (narrow, wide)]
    assert 0.0 < snow[0] < snow[1] / 3.0
    none = rules.model_copy(update={"snow": rules.snow.model_copy(update={"value": 0.0})})
    bare = turns_of(wide, none)
    assert bare.snow == 0.0 and bare.steel == turns_of(wide, rules).steel


def test_the_blades_end_is_further_from_the_king_pin_than_half_the_width(made: Made) -> None:
    build = made()
    assert build.rulebook.swing is not None
    turns, king = turns_of(build, build.rulebook.swing.turning), build.assembly.pivots.king_pin
    ahead = build.assembly.part("cutting edge").centroid()[0] - king[0]
    assert turns.half_width == pytest.approx(build.spec.width / 2)
    assert turns.reach == pytest.approx(hypot(ahead, turns.half_width), abs=0.01)
