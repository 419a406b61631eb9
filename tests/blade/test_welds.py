from __future__ import annotations

from math import dist, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from plowwright.blade.assemble import assemble
from plowwright.blade.making import dot, minus
from plowwright.blade.parts import Assembly, Part, Weld
from plowwright.blade.shapes import Solid, Vec
from plowwright.blade.spec import Spec
from plowwright.physics.regions import flatten
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

GRACE = 0.001
"""A tube's rounded corner lies a little inside the square its seam is drawn on [m]."""

lengths = st.floats(-2.0, 2.0)
points = st.tuples(lengths, lengths, lengths)


def every_build(rules: Rulebook) -> list[Assembly]:
    """Every width of every series on the first mount, and the first width on every mount."""
    found: list[Assembly] = []
    for key, series in rules.series.items():
        for number, width in enumerate(series.widths()):
            for mount in list(rules.mounts) if number == 0 else ["loader"]:
                carrier = rules.mounts[mount].carriers[0]
                found.append(
                    assemble(Spec(series=key, width=width, mount=mount, carrier_kind=carrier, hoses="none"), rules)
                )
    return found


@pytest.fixture(scope="module")
def assemblies(demo_rules: Rulebook, common_rules: Rulebook) -> list[Assembly]:
    return every_build(demo_rules) + every_build(common_rules)


def welds(assembly: Assembly) -> list[Weld]:
    return [j for j in assembly.joints if isinstance(j, Weld)]


def away(part: Part, at: Vec) -> float:
    """Distance from a point to the nearest metal of a part [m]."""
    return min(away_from_solid(part, solid, at) for solid in part.solids)


def away_from_solid(part: Part, solid: Solid, at: Vec) -> float:
    place = solid.place or part.place
    r = minus(at, place.origin)
    u, v, w = dot(r, place.u), dot(r, place.v), dot(r, place.w)
    loops = [flatten(loop, 1e-5) for loop in (solid.region.outer, *solid.region.inner)]
    aside = Polygon(loops[0], loops[1:]).distance(Point(u, v))
    over = 0.0
    for limit, (a, b), sign in ((solid.start, solid.start_slope, 1), (solid.end, solid.end_slope, -1)):
        over = max(over, sign * (limit + a * u + b * v - w) / sqrt(1 + a * a + b * b))
    return sqrt(aside**2 + over**2)


def test_every_end_of_every_seam_lies_on_the_metal_of_both_parts(assemblies: list[Assembly]) -> None:
    seen: set[object] = set()
    for assembly in assemblies:
        parts = {p.id: p for p in assembly.parts}
        for weld in welds(assembly):
            key = (weld, *(parts[n] for n in weld.joins))
            if key in seen:
                continue
            seen.add(key)
            for name in weld.joins:
                far = max(away(parts[name], at) for line in weld.lines() for at in line)
                assert far <= weld.leg + GRACE, f"{weld.id} is {far * 1000:.1f} mm from {name}"


def test_every_seam_is_longer_than_its_own_leg_allows(assemblies: list[Assembly]) -> None:
    """A fillet shorter than four legs counts for less in every code; none of ours is."""
    for assembly in assemblies:
        for weld in welds(assembly):
            for a, b in weld.lines():
                if not weld.via:
                    assert dist(a, b) >= 4 * weld.leg - 1e-9, weld.id


def test_no_stretch_of_seam_is_counted_twice(assemblies: list[Assembly]) -> None:
    """No two seams of the same pair of parts lie on one another."""
    for assembly in assemblies[::5]:
        pairs: dict[frozenset[str], list[tuple[Vec, Vec]]] = {}
        for weld in welds(assembly):
            pairs.setdefault(frozenset(weld.joins), []).extend(weld.lines())
        for names, lines in pairs.items():
            middles = [tuple(round((p + q) / 2, 5) for p, q in zip(a, b, strict=True)) for a, b in lines]
            assert len(set(middles)) == len(middles), names


def test_webs_are_welded_at_both_their_faces(assemblies: list[Assembly]) -> None:
    assembly = assemblies[0]
    thickness = assembly.part("web 1").thickness
    seam = next(j for j in welds(assembly) if j.id == "web 1 to shelf")
    assert sqrt(dot(seam.across, seam.across)) == pytest.approx(thickness)
    middle = assembly.part("web 1").place.origin[1]
    assert sorted(line[0][1] - middle for line in seam.lines()) == pytest.approx([-thickness / 2, thickness / 2])


def test_where_an_ear_laps_a_web_there_is_metal_only_on_the_other_face(assemblies: list[Assembly]) -> None:
    assembly = assemblies[0]
    ear = assembly.part("ear 1")
    hinged = next(j for j in welds(assembly) if j.id == "ear 1 to shelf")
    web = next(j for j in welds(assembly) if j.id == "web 2 to shelf")
    assert web.sides == 1
    assert (web.start[1] - ear.centroid()[1]) * (hinged.start[1] - ear.centroid()[1]) < 0


def test_the_sleeves_seam_runs_round_the_sleeve(assemblies: list[Assembly]) -> None:
    for assembly in assemblies[:3]:
        seam = next(j for j in welds(assembly) if j.id == "oscillation sleeve to mount plate")
        region = assembly.part("oscillation sleeve").solids[0].region
        radius = region.bounds()[2]
        assert seam.length() == pytest.approx(2 * 2 * pi * radius, rel=0.004)
        # As a line about the sleeve's middle: pi r^3 for each of the two rings.
        _, y0, z0 = seam.middle()
        second = sum(dist(a, b) * ((a[2] + b[2]) / 2 - z0) ** 2 for a, b in seam.lines())
        assert second == pytest.approx(2 * pi * radius**3, rel=0.02)
        assert (y0, z0) == pytest.approx((0.0, assembly.pivots.king_pin[2]), abs=1e-9)


@given(start=points, end=points, across=points, via=st.lists(points, max_size=3))
def test_length_is_the_length_of_the_lines(start: Vec, end: Vec, across: Vec, via: list[Vec]) -> None:
    def weld(sides: int) -> Weld:
        return Weld(
            id="w", joins=("a", "b"), leg=0.005, start=start, end=end, across=across, via=tuple(via), sides=sides
        )  # type: ignore[arg-type]

    single, double, ring = weld(1), weld(2), weld(4)
    run = single.length()
    assert run == pytest.approx(sum(dist(a, b) for a, b in single.lines()))
    assert double.length() == pytest.approx(2 * run)
    assert ring.length() == pytest.approx(2 * run + 2 * sqrt(dot(across, across)))
    assert len(single.lines()) == 1 + len(via)
    assert len(ring.lines()) == 2 * (1 + len(via)) + 2


def test_a_ring_of_four_closes(assemblies: list[Assembly]) -> None:
    seam = next(j for j in welds(assemblies[0]) if j.id == "tower left to hinge beam")
    ends = [tuple(round(c, 9) for c in at) for line in seam.lines() for at in line]
    assert len(set(ends)) == 4
    assert all(ends.count(at) == 2 for at in ends)


def test_stitches_leave_gaps() -> None:
    weld = Weld(
        id="w", joins=("a", "b"), leg=0.005, start=(0, 0, 0), end=(0, 36 * INCH, 0), stitch=(2 * INCH, 6 * INCH)
    )
    assert weld.length() == pytest.approx(12 * INCH)
    assert weld.share == pytest.approx(1 / 3)
