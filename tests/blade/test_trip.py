from __future__ import annotations

from itertools import combinations, pairwise
from math import dist, inf

import pytest
from shapely.geometry import LineString, Polygon

from plowwright.blade.assemble import assemble
from plowwright.blade.parts import Assembly, Sprung
from plowwright.blade.poses import REST
from plowwright.blade.prisms import gap, prisms
from plowwright.blade.spec import Spec
from plowwright.physics.regions import flatten
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def assemblies(demo_rules: Rulebook, common_rules: Rulebook) -> list[Assembly]:
    return [
        assemble(Spec(series=key, width=w, mount=mount, carrier_kind=carrier, hoses="none"), rules)
        for rules in (demo_rules, common_rules)
        for key, series in rules.series.items()
        for w in series.widths()
        for mount, carrier in (("loader", "skid steer"), ("pin-on", "tractor"))
        if mount in rules.mounts
    ]


def springs(assembly: Assembly) -> list[Sprung]:
    return [j for j in assembly.joints if isinstance(j, Sprung)]


def test_no_spring_cuts_into_the_web_it_hangs_beside(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        for joint in springs(assembly):
            web, coil = assembly.part(joint.joins[0]), assembly.part(joint.spring).solids[0]
            radius = coil.region.bounds()[2]
            aside = abs(joint.start[1] - web.place.origin[1]) - web.thickness / 2
            outline = Polygon(flatten(web.solids[0].region.outer))
            line = LineString([joint.start[::2], joint.end[::2]])
            assert max(aside, line.distance(outline)) >= radius + INCH / 8, joint.id


def test_every_spring_pulls_on_the_bar_or_tower_it_says(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        for joint in springs(assembly):
            held = assembly.part(joint.joins[1])
            low, high = (
                f(c[1] for piece in prisms(held.solids[0], held.place) for c in piece.corners) for f in (min, max)
            )
            assert low - 1e-9 <= joint.end[1] <= high + 1e-9, (joint.id, held.id)


def test_springs_stand_in_pairs_about_the_middle_but_for_an_odd_one(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        places = sorted(j.start[1] for j in springs(assembly))
        if len(places) % 2:
            places.pop(len(places) // 2)
        assert places == pytest.approx([-y for y in reversed(places)])
        assert all(b - a > 2 * INCH for a, b in pairwise(places))


def test_springs_pull_on_a_lever_of_six_to_nine_inches_about_the_hinge(assemblies: list[Assembly]) -> None:
    for assembly in assemblies:
        hinge = assembly.pivots.hinge
        for joint in springs(assembly):
            (x0, _, z0), (x1, _, z1) = joint.start, joint.end
            lever = abs((x0 - hinge[0]) * (z1 - hinge[2]) - (z0 - hinge[2]) * (x1 - hinge[0])) / dist(
                joint.start, joint.end
            )
            assert 6 * INCH < lever < 9 * INCH, joint.id


def test_the_eye_of_every_eyebolt_stands_clear_above_the_bar_its_shank_goes_through(
    assemblies: list[Assembly],
) -> None:
    for assembly in assemblies:
        for joint in springs(assembly):
            bar, bolt = (
                assembly.part("tower bar"),
                assembly.part(joint.id.replace("spring", "eyebolt").removesuffix(" hung")),
            )
            hook, top = bolt.place.origin, bar.place.origin[2] + bar.solids[0].region.bounds()[3]
            assert hook[2] - top > INCH / 2, joint.id
            assert joint.end[2] == pytest.approx(bar.place.origin[2] + bar.solids[0].region.bounds()[1])


def test_every_lug_laps_its_web_by_an_inch_and_a_half(assemblies: list[Assembly]) -> None:
    for assembly in assemblies[::3]:
        for joint in springs(assembly):
            web = Polygon(flatten(assembly.part(joint.joins[0]).solids[0].region.outer))
            lug = assembly.part(joint.id.replace("spring", "spring lug").removesuffix(" hung"))
            x, _, z = lug.place.origin
            shape = Polygon([(x + u, z + v) for u, v in flatten(lug.solids[0].region.outer)])
            assert shape.intersection(web).area > 1.5 * INCH * 2 * INCH - 1e-9, lug.id


@pytest.mark.parametrize("body", ["frame", "hub", "mount"])
def test_pieces_of_one_body_lie_beside_each_other_and_not_in_each_other(assemblies: list[Assembly], body: str) -> None:
    """Welded pieces touch. Rounds lie in the holes and grooves that are not drawn: pins, sleeve and plates on them."""
    rounds = {"oscillation sleeve", "oscillation pin", "king pin"}
    for assembly in assemblies[::4]:
        parts = [
            (p.id, piece)
            for p in assembly.parts
            if p.body == body and p.mark != "hinge pin" and p.group not in ("extras", "hoses")
            for s in p.solids
            for piece in prisms(s, s.place or p.place)
        ]
        for (first, a), (second, b) in combinations(parts, 2):
            if first == second or {first, second} & rounds:
                continue
            assert gap(a, b, (REST, REST), inf) > -1e-6, (first, second)


def test_stand_pockets_sit_on_the_legs_outer_faces(assemblies: list[Assembly]) -> None:
    for assembly in assemblies[::3]:
        left, right = assembly.part("stand pocket left"), assembly.part("stand pocket right")
        assert left.centroid()[1] > assembly.part("leg left").centroid()[1]
        assert dist(left.centroid(), right.centroid()) > 20 * INCH
