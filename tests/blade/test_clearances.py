from __future__ import annotations

import dataclasses
from math import cos, inf, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from plowwright.blade import clearances
from plowwright.blade.assemble import assemble
from plowwright.blade.checks import clear
from plowwright.blade.clearances import ends_of_travel, in_words, meeting, nearest
from plowwright.blade.datum import work_out
from plowwright.blade.hinge import CLEAR
from plowwright.blade.parts import Assembly
from plowwright.blade.poses import REST, Pose
from plowwright.blade.prisms import gap, prisms
from plowwright.blade.shapes import Place, Solid
from plowwright.blade.spec import Spec
from plowwright.physics.regions import Region, circle, polygon, rectangle
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

UPRIGHT = Place(origin=(0.0, 0.0, 0.0), u=(1.0, 0.0, 0.0), v=(0.0, 1.0, 0.0))


def spec(series: str, width: float, **other: object) -> Spec:
    fields: dict[str, object] = {"mount": "loader", "carrier_kind": "skid steer", "hoses": "none", **other}
    return Spec(series=series, width=width, **fields)  # type: ignore[arg-type]


def whole_range(rules: Rulebook) -> list[Spec]:
    """Every width with the cylinder on both sides, and every mount on the first."""
    found = [
        spec(key, w, outlets=side)
        for key, series in rules.series.items()
        for w in series.widths()
        for side in ("left", "right")
    ]
    for key, series in rules.series.items():
        for mount, entry in rules.mounts.items():
            found.append(spec(key, series.widths()[0], mount=mount, carrier_kind=entry.carriers[0]))
            found.append(spec(key, series.widths()[-1], mount=mount, carrier_kind=entry.carriers[-1]))
    return found


def block(size: float, at: tuple[float, float, float]) -> Solid:
    h = size / 2
    place = Place(origin=at, u=(1.0, 0.0, 0.0), v=(0.0, 1.0, 0.0))
    return Solid(region=Region(outer=rectangle(-h, -h, h, h)), start=-h, end=h, place=place)


def between(a: Solid, b: Solid) -> float:
    return min(
        gap(one, other, (REST, REST), inf)
        for one in prisms(a, a.place or UPRIGHT)
        for other in prisms(b, b.place or UPRIGHT)
    )


@pytest.mark.parametrize("book", ["demo", "common"])
def test_nothing_that_moves_cuts_into_anything_in_any_blade(
    book: str, demo_rules: Rulebook, common_rules: Rulebook
) -> None:
    rules = demo_rules if book == "demo" else common_rules
    for one in whole_range(rules):
        found = meeting(assemble(one, rules), within=CLEAR - 1e-9)
        assert not found, f"{one.series} {one.width / INCH:.0f} on {one.mount}: {found[0]}"


def test_nothing_meets_on_the_way_to_the_ends_either(demo_rules: Rulebook) -> None:
    for key, series in demo_rules.series.items():
        assembly = assemble(spec(key, series.widths()[-1]), demo_rules)
        stop, roll = assembly.pivots.angle_stop, assembly.pivots.oscillation_stop
        poses = [Pose(angle=stop * i / 8, oscillation=roll * j) for i in range(-8, 9) for j in (-1, -0.5, 0, 1)]
        poses += [Pose(trip=clearances.FULL_TRIP * i / 10) for i in range(11)]
        assert not meeting(assembly, poses, within=CLEAR - 1e-9)


def test_a_bracket_moved_into_the_legs_way_is_found_and_named(demo_rules: Rulebook) -> None:
    assembly = assemble(spec("flint", 84 * INCH), demo_rules)
    d = work_out(spec("flint", 84 * INCH), demo_rules)
    moved = tuple(
        dataclasses.replace(
            p,
            place=dataclasses.replace(
                p.place, origin=(p.place.origin[0], p.place.origin[1], d.frame_z + d.leg_size / 2)
            ),
        )
        if p.id == "base bracket right"
        else p
        for p in assembly.parts
    )
    spoilt = dataclasses.replace(assembly, parts=moved)
    pairs = {frozenset((g.first, g.second)) for g in meeting(spoilt)}
    assert frozenset(("base bracket right", "leg right")) in pairs
    finding = clear(spoilt)
    assert finding.verdict == "fails"
    assert "base bracket right" in finding.sentence
    assert "cut into each other by" in finding.sentence


def test_the_finding_names_the_nearest_two_and_the_gap(demo_rules: Rulebook) -> None:
    one = spec("flint", 84 * INCH)
    assembly = assemble(one, demo_rules)
    finding = clear(assembly)
    assert finding.title == "moving parts clear of each other"
    assert finding.verdict == "holds"
    assert nearest(assembly).gap == pytest.approx(CLEAR)
    assert finding.sentence.startswith("nothing that moves comes nearer than 1/16 in: ")
    assert finding.basis.inputs["roll each way"] == "6 deg"


def test_joined_parts_may_touch(demo_rules: Rulebook) -> None:
    assembly = assemble(spec("flint", 84 * INCH), demo_rules)
    pairs = {frozenset((g.first, g.second)) for g in meeting(assembly, within=0.05)}
    assert frozenset(("ear 1", "beam ear 1")) not in pairs
    assert frozenset(("cylinder barrel", "cylinder rod")) not in pairs
    assert frozenset(("angling stop left", "stop pad left")) not in pairs


def test_ends_of_travel_are_both_full_angles_with_both_rolls_and_the_trip(demo_rules: Rulebook) -> None:
    pivots = assemble(spec("flint", 84 * INCH), demo_rules).pivots
    poses = ends_of_travel(pivots)
    assert {(p.angle, p.oscillation) for p in poses if not p.trip} == {
        (a, o)
        for a in (0.0, pivots.angle_stop, -pivots.angle_stop)
        for o in (0.0, pivots.oscillation_stop, -pivots.oscillation_stop)
    }
    assert [p for p in poses if p.trip] == [Pose(trip=radians(25))]


def test_poses_are_said_in_words() -> None:
    assert in_words(Pose()) == "at rest"
    said = in_words(Pose(angle=radians(-30), oscillation=radians(6)))
    assert said == "turned 30 deg, right end forward, rolled 6 deg, left end up"


@given(x=st.floats(0.0, 3.0), y=st.floats(0.0, 3.0), z=st.floats(0.0, 3.0))
def test_the_gap_of_two_blocks_is_what_a_tape_would_read_square_to_their_faces(x: float, y: float, z: float) -> None:
    found = between(block(1.0, (0.0, 0.0, 0.0)), block(1.0, (x, y, z)))
    assert found == pytest.approx(max(x, y, z) - 1.0, abs=1e-9)


@given(turn=st.floats(0.05, 1.5), away=st.floats(0.0, 1.0))
def test_the_gap_of_a_corner_before_a_face_is_exact(turn: float, away: float) -> None:
    size = 1.0
    reach = size / 2 * (abs(cos(turn)) + abs(sin(turn)))
    place = Place(
        origin=(size / 2 + reach + away, 0.0, 0.0), u=(cos(turn), sin(turn), 0.0), v=(-sin(turn), cos(turn), 0.0)
    )
    h = size / 2
    other = Solid(region=Region(outer=rectangle(-h, -h, h, h)), start=-h, end=h, place=place)
    assert between(block(1.0, (0.0, 0.0, 0.0)), other) == pytest.approx(away, abs=1e-6)


def test_two_bars_crossing_over_each_other_are_apart_by_the_room_between_them() -> None:
    """The nearest points lie on two edges, not on a face: only the product of the edges separates them."""
    h = 0.05
    square = Region(outer=rectangle(-h, -h, h, h))
    c = 2**-0.5
    # Both lie on an edge, one along x, the other along y.
    low = Place(origin=(0.0, 0.0, 0.0), u=(0.0, c, c), v=(0.0, -c, c))
    high = Place(origin=(0.0, 0.0, 2 * h * 2**0.5 + 0.01), u=(c, 0.0, -c), v=(c, 0.0, c))
    one = Solid(region=square, start=-1.0, end=1.0, place=low)
    other = Solid(region=square, start=-1.0, end=1.0, place=high)
    assert between(one, other) == pytest.approx(0.01, abs=1e-9)


def test_an_angles_inner_corner_is_free() -> None:
    shape = Region(outer=polygon(((0, 0), (1, 0), (1, 4), (4, 4), (4, 5), (0, 5))))
    angle = Solid(region=shape, start=0.0, end=1.0)
    pieces = prisms(angle, UPRIGHT)
    assert len(pieces) == 2
    assert between(angle, block(1.0, (2.5, 2.0, 0.5))) == pytest.approx(1.0)


@given(st.lists(st.tuples(st.floats(0.2, 1.0), st.floats(0.05, 0.95)), min_size=3, max_size=9))
def test_cut_pieces_fill_the_outline_and_are_convex(rays: list[tuple[float, float]]) -> None:
    count = len(rays)
    points = [
        (r * cos(2 * pi * (i + 0.8 * s) / count), r * sin(2 * pi * (i + 0.8 * s) / count))
        for i, (r, s) in enumerate(rays)
    ]
    whole = Polygon(points)
    if not whole.is_valid or whole.area < 1e-3:
        return
    solid = Solid(region=Region(outer=polygon(points)), start=0.0, end=1.0)
    total = 0.0
    for piece in prisms(solid, UPRIGHT):
        flat = Polygon(piece.corners[: len(piece.corners) // 2, :2])
        total += flat.area
        assert flat.convex_hull.area == pytest.approx(flat.area, abs=1e-6)
    assert total == pytest.approx(whole.area, abs=1e-6)


def test_a_round_counts_as_round() -> None:
    pin = Solid(region=Region(outer=circle(0.0, 0.0, 0.02)), start=0.0, end=0.1)
    other = block(0.1, (0.02 + 0.05 + 0.003, 0.0, 0.05))
    assert between(pin, other) == pytest.approx(0.003, abs=5e-4)


def test_the_same_steelwork_is_searched_once(demo_rules: Rulebook) -> None:
    def fresh() -> Assembly:
        return assemble(spec("flint", 84 * INCH), demo_rules)

    assert nearest(fresh()) is nearest(fresh())
