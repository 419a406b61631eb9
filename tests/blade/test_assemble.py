from __future__ import annotations

import dataclasses
from collections import Counter
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from plowwright.blade.assemble import assemble
from plowwright.blade.datum import Datum, work_out
from plowwright.blade.making import dot, mirrored
from plowwright.blade.parts import Assembly, Bolted, Pinned, Solid, Sprung, Weld
from plowwright.blade.spec import Spec
from plowwright.errors import ModelError
from plowwright.physics.regions import Region, flatten, rectangle
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


def spec(series: str, width: float, **other: object) -> Spec:
    fields: dict[str, object] = {
        "mount": "loader",
        "carrier_kind": "skid steer",
        "hoses": "flat-face",
        **other,
    }
    return Spec(series=series, width=width * INCH, **fields)  # type: ignore[arg-type]


def whole_range(rules: Rulebook) -> list[Spec]:
    return [spec(key, w / INCH) for key, series in rules.series.items() for w in series.widths()]


@pytest.fixture(scope="module")
def all_builds(demo_rules: Rulebook) -> list[tuple[Datum, Assembly]]:
    return [(work_out(s, demo_rules), assemble(s, demo_rules)) for s in whole_range(demo_rules)]


def test_every_width_of_every_series_can_be_built(all_builds: list[tuple[Datum, Assembly]]) -> None:
    assert len(all_builds) == 5 + 9 + 12


def test_no_two_parts_of_a_blade_share_a_name(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for _, assembly in all_builds:
        doubled = [k for k, n in Counter(p.id for p in assembly.parts).items() if n > 1]
        assert not doubled
        doubled = [k for k, n in Counter(j.id for j in assembly.joints).items() if n > 1]
        assert not doubled


def test_every_outline_is_one_closed_shape_that_does_not_cross_itself(
    all_builds: list[tuple[Datum, Assembly]],
) -> None:
    for _, assembly in all_builds:
        for part in assembly.parts:
            for solid in part.solids:
                shape = Polygon(
                    flatten(solid.region.outer, 1e-5), [flatten(loop, 1e-5) for loop in solid.region.inner]
                )
                assert shape.is_valid and shape.area > 0, part.id
                assert solid.volume() > 0, part.id
                assert shape.area == pytest.approx(solid.region.properties().area, rel=0.01), part.id


def test_every_joint_names_parts_that_are_there(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for _, assembly in all_builds:
        names = {p.id for p in assembly.parts}
        for joint in assembly.joints:
            assert set(joint.joins) <= names, joint.id
            if isinstance(joint, Pinned):
                assert joint.pin in names, joint.id
            if isinstance(joint, Sprung):
                assert joint.spring in names, joint.id


def test_every_seam_has_a_length_and_touches_both_its_parts(all_builds: list[tuple[Datum, Assembly]]) -> None:
    """A seam may lie on the far side of a part: it is held against its box with 2-1/2 in of grace."""
    for _, assembly in all_builds:
        for joint in assembly.joints:
            if not isinstance(joint, Weld):
                continue
            assert joint.length() > 0.5 * INCH, joint.id
            middle = tuple((a + b) / 2 for a, b in zip(joint.start, joint.end, strict=True))
            for name in joint.joins:
                low, high = box_of(assembly, name)
                assert all(
                    a - 2.5 * INCH <= m <= b + 2.5 * INCH for a, m, b in zip(low, middle, high, strict=True)
                ), (
                    joint.id,
                    name,
                )


def box_of(assembly: Assembly, name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    part = assembly.part(name)
    points = []
    for solid in part.solids:
        place = solid.place or part.place
        for u, v in flatten(solid.region.outer):
            start = solid.start + solid.start_slope[0] * u + solid.start_slope[1] * v
            end = solid.end + solid.end_slope[0] * u + solid.end_slope[1] * v
            points += [place.point(u, v, start), place.point(u, v, end)]
    return tuple(map(min, zip(*points, strict=True))), tuple(map(max, zip(*points, strict=True)))


def test_the_weight_of_the_welded_blade_lies_on_its_middle(all_builds: list[tuple[Datum, Assembly]]) -> None:
    """Everything but the cylinder, its valve and the middle hinge's ear is a mirror image of itself."""
    for d, assembly in all_builds:
        pairs = {p.id: p for p in assembly.parts if p.group in ("push frame", "mount")}
        moment = sum(p.mass() * p.centroid()[1] for p in pairs.values())
        assert moment == pytest.approx(0, abs=1e-6), d.series.name


def test_left_and_right_legs_mirror_each_other_and_meet_the_hinge_beam(
    all_builds: list[tuple[Datum, Assembly]],
) -> None:
    for d, assembly in all_builds:
        left, right = assembly.part("leg left"), assembly.part("leg right")
        assert left.length == pytest.approx(right.length)
        assert mirrored(left.centroid()) == pytest.approx(right.centroid())
        low, high = box_of(assembly, "leg left")
        assert high[0] == pytest.approx(d.beam_x - d.beam_deep / 2)
        assert left.cuts is not None and left.cuts[0].angle == pytest.approx(left.cuts[1].angle)
        assert high[1] <= d.row.hinge_beam_length / 2
        assert low[1] > 0, "legs would meet on the middle"


def test_bottom_angle_and_edge_holes_meet(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for d, assembly in all_builds:
        edge, angle = assembly.part("cutting edge"), assembly.part("bottom angle")
        assert [h.along for h in edge.holes] == pytest.approx([h.along for h in angle.holes])
        for one, other in zip(edge.holes, angle.holes, strict=True):
            assert one.across == pytest.approx(other.across + d.foot)
        bolts = next(j for j in assembly.joints if isinstance(j, Bolted))
        assert len(bolts.positions) == len(edge.holes) == sum(p.mark == "edge bolt" for p in assembly.parts)
        assert all(
            b[1] == pytest.approx(h.along - d.width / 2)
            for b, h in zip(bolts.positions, edge.holes, strict=True)
        )


def test_the_skin_keeps_its_developed_length(all_builds: list[tuple[Datum, Assembly]]) -> None:
    """Area of the rolled section over thickness is its middle line; the blank follows the front face."""
    for d, assembly in all_builds:
        skin = assembly.part("skin")
        middle = skin.solids[0].region.properties().area / d.skin_wall
        assert middle == pytest.approx(skin.length, rel=0.015)
        assert skin.length == pytest.approx(d.lap + d.arc.length + (d.series.moldboard.top_fold or 0))


def test_the_body_is_as_high_as_the_rule_says(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for d, assembly in all_builds:
        _, high = box_of(assembly, "skin")
        assert high[2] == pytest.approx(d.series.moldboard.body_height, abs=d.skin_wall + 1e-6)
        low, _ = box_of(assembly, "cutting edge")
        assert low[2] == pytest.approx(0)


def test_webs_follow_the_back_of_the_skin(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for d, assembly in all_builds:
        skin = Polygon(flatten(assembly.part("skin").solids[0].region.outer, 1e-5))
        web = Polygon(flatten(assembly.part("web 1").solids[0].region.outer, 1e-5))
        assert skin.intersection(web).area < 2e-5, d.series.name
        assert skin.distance(web) < 1e-3


def test_there_is_a_web_on_every_hinge_and_near_each_end(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for d, _ in all_builds:
        assert all(any(abs(h - w) < 1e-6 for w in d.web_ys) for h in d.hinge_ys)
        assert d.width / 2 - d.web_ys[-1] < 8 * INCH
        assert list(d.web_ys) == pytest.approx([-w for w in reversed(d.web_ys)])


def test_the_cylinder_is_centred_on_its_stroke(
    all_builds: list[tuple[Datum, Assembly]], demo_rules: Rulebook
) -> None:
    for d, assembly in all_builds:
        entry = demo_rules.bought[d.cylinder.cylinder]
        assert entry.retracted and entry.stroke
        spare_in = assembly.facts["cylinder shortest"] - entry.retracted
        spare_out = entry.retracted + entry.stroke - assembly.facts["cylinder longest"]
        assert spare_in == pytest.approx(spare_out, abs=1e-6)
        assert spare_in > 0
        # As near the rule as the lugs and brackets that wait on the other sides leave it.
        assert assembly.facts["cylinder arm"] == pytest.approx(d.cylinder.arm, rel=0.12)


def test_outlets_on_the_other_side_mirror_the_cylinder_and_need_no_other_frame(demo_rules: Rulebook) -> None:
    left, right = (assemble(spec("flint", 84, outlets=side), demo_rules) for side in ("left", "right"))
    assert mirrored(left.part("cylinder barrel").place.origin) == pytest.approx(
        right.part("cylinder barrel").place.origin
    )
    same = [p for p in left.parts if p.group in ("push frame", "mount", "king pin", "hinge")]
    assert all(p == right.part(p.id) for p in same)


def test_a_blade_grows_heavier_with_its_width(demo_rules: Rulebook) -> None:
    for key, series in demo_rules.series.items():
        masses = [
            sum(p.mass() for p in assemble(spec(key, w / INCH), demo_rules).parts) for w in series.widths()
        ]
        assert masses == sorted(masses)


def test_springs_that_do_not_reach_are_refused_with_the_sizes(demo_rules: Rulebook) -> None:
    series = demo_rules.series["flint"]
    tall = series.model_copy(update={"tower": series.tower.model_copy(update={"height": 20 * INCH})})
    data = demo_rules.data.model_copy(update={"series": {**demo_rules.series, "flint": tall}})
    rules = dataclasses.replace(demo_rules, data=data)
    with pytest.raises(ModelError, match=r"springs do not reach.*lug_height"):
        assemble(spec("flint", 84), rules)


@given(
    a=st.floats(-0.5, 0.5),
    b=st.floats(-0.5, 0.5),
    c=st.floats(-0.5, 0.5),
    e=st.floats(-0.5, 0.5),
)
def test_a_mitred_bar_has_the_volume_and_centroid_of_fine_slices(
    a: float, b: float, c: float, e: float
) -> None:
    solid = Solid(
        region=Region(outer=rectangle(-0.05, -0.03, 0.05, 0.03)),
        start=0,
        end=1,
        start_slope=(a, b),
        end_slope=(c, e),
    )
    count = 40
    cells = [
        ((i + 0.5) / count * 0.1 - 0.05, (j + 0.5) / count * 0.06 - 0.03)
        for i in range(count)
        for j in range(count)
    ]
    cell = 0.1 * 0.06 / count**2
    volume = sum(cell * (1 + (c - a) * u + (e - b) * v) for u, v in cells)
    along = sum(cell * ((1 + c * u + e * v) ** 2 - (a * u + b * v) ** 2) / 2 for u, v in cells) / volume
    across = sum(cell * u * (1 + (c - a) * u + (e - b) * v) for u, v in cells) / volume
    assert solid.volume() == pytest.approx(volume, rel=1e-9)
    assert solid.centroid()[2] == pytest.approx(along, rel=1e-3)
    assert solid.centroid()[0] == pytest.approx(across, abs=1e-5)


def test_the_axes_of_every_part_stand_square(all_builds: list[tuple[Datum, Assembly]]) -> None:
    for _, assembly in all_builds[:3]:
        for part in assembly.parts:
            assert dot(part.place.u, part.place.v) == pytest.approx(0, abs=1e-4), part.id
            assert dot(part.place.w, part.place.w) == pytest.approx(1, abs=1e-3), part.id


def test_holes_take_their_metal_out(demo_rules: Rulebook) -> None:
    angle = assemble(spec("flint", 84), demo_rules).part("bottom angle")
    metal = sum(pi / 4 * h.diameter**2 * h.depth for h in angle.holes)
    assert angle.removed == pytest.approx(metal)
    assert angle.volume() == pytest.approx(angle.solids[0].volume() - metal)
