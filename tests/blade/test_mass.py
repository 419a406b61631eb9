from __future__ import annotations

from dataclasses import replace
from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import correction, mass
from plowwright.blade.assemble import assemble
from plowwright.blade.correction import Correction, Ridge, Ticket, learn
from plowwright.blade.parts import Assembly, Part, Pivots, Place, Solid, Vec, Weld
from plowwright.blade.poses import Matrix, Pose, mover
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError
from plowwright.physics import sections
from plowwright.physics.regions import Region, circle, polygon, rectangle
from plowwright.rulebook.reading import Rulebook
from plowwright.units import INCH, LB

X: Vec = (1.0, 0.0, 0.0)
Y: Vec = (0.0, 1.0, 0.0)
SKEW = ((0.8, 0.6, 0.0), (-0.36, 0.48, 0.8))
PIVOTS = Pivots(king_pin=(0, 0, 0), hinge=(0, 0, 0), oscillation=(0, 0, 0), angle_stop=0.5)
SIZES = st.floats(0.01, 2.0)
AT = st.tuples(*[st.floats(-2.0, 2.0)] * 3)
TURNED = st.tuples(st.floats(0, 2 * pi), st.floats(-1.5, 1.5))


def part(
    solid: Solid, part_id: str = "piece", *, at: Vec = (0, 0, 0), axes: tuple[Vec, Vec] = (X, Y), **more: object
) -> Part:
    described: dict[str, object] = {
        "mark": part_id, "name": part_id, "group": "frame", "body": "frame", "kind": "plate", "stock": "plate",
        "material": "A36", "density": 7850.0, "finish": "none",
    }  # fmt: skip
    place = Place(origin=at, u=axes[0], v=axes[1])
    return Part(id=part_id, solids=(solid,), place=place, **{**described, **more})  # type: ignore[arg-type]


def blade(*parts: Part, joints: tuple[Weld, ...] = ()) -> Assembly:
    return Assembly(parts=parts, joints=joints, pivots=PIVOTS, width=1.0, facts={})


def block(a: float, b: float, c: float) -> Solid:
    return Solid(region=Region(outer=rectangle(-a / 2, -b / 2, a / 2, b / 2)), start=-c / 2, end=c / 2)


def axes(turn: tuple[float, float]) -> tuple[Vec, Vec]:
    a, b = turn
    return (cos(a) * cos(b), sin(a) * cos(b), sin(b)), (-sin(a), cos(a), 0.0)


def by_grid(solid: Solid, place: Place, density: float, count: int) -> tuple[float, np.ndarray, np.ndarray]:
    """Mass, centre and inertia summed over small cubes, counting a cube when its middle lies in the solid."""
    u0, v0, u1, v1 = solid.region.bounds()
    us, vs, ws = (
        low + (np.arange(count) + 0.5) / count * (high - low)
        for low, high in ((u0, u1), (v0, v1), (solid.start, solid.end))
    )
    cell = (u1 - u0) * (v1 - v0) * (solid.end - solid.start) / count**3
    grid = np.stack(np.meshgrid(us, vs, ws, indexing="ij"), axis=-1).reshape(-1, 3)
    u, v = grid[:, 0], grid[:, 1]
    legs = (u < 0.01) | (v < 0.01)
    points = grid[legs] @ np.array([place.u, place.v, place.w]) + np.array(place.origin)
    mass_ = density * cell * len(points)
    centre = points.mean(axis=0)
    d = points - centre
    spread = density * cell * d.T @ d
    return mass_, centre, np.trace(spread) * np.eye(3) - spread


def test_an_angle_lying_skew_agrees_with_a_sum_over_small_cubes() -> None:
    solid = Solid(region=sections.angle(0.1, 0.08, 0.01), start=0.2, end=0.9)
    one = part(solid, at=(0.3, -0.2, 0.5), axes=SKEW)
    share = mass.of_part(one)
    heavy, centre, inertia = by_grid(solid, one.place, 7850.0, 80)
    assert share.mass == pytest.approx(heavy, rel=1e-9)
    assert share.centre_of_gravity == pytest.approx(centre, abs=1e-9)
    assert np.array(share.inertia) == pytest.approx(inertia, rel=2e-3, abs=2e-4 * inertia.max())


def test_a_round_bar_has_the_textbook_inertia() -> None:
    r, length = 0.03, 0.4
    share = mass.of_part(part(Solid(region=sections.round_bar(2 * r), start=0.0, end=length)))
    m = share.mass
    assert m == pytest.approx(7850 * pi * r * r * length)
    assert share.inertia[2][2] == pytest.approx(m * r * r / 2)
    assert share.inertia[0][0] == pytest.approx(m * (3 * r * r + length * length) / 12)
    assert share.centre_of_gravity == pytest.approx((0, 0, length / 2))


@given(SIZES, SIZES, SIZES, AT, TURNED)
def test_a_block_turned_any_way_keeps_its_principal_inertias(
    a: float, b: float, c: float, at: Vec, turn: tuple[float, float]
) -> None:
    share = mass.of_part(part(block(a, b, c), at=at, axes=axes(turn)))
    m = 7850 * a * b * c
    expected = sorted(m / 12 * x for x in (b * b + c * c, a * a + c * c, a * a + b * b))
    # The origin may lie far off a small block: what is left of the difference is rounding of m d^2.
    assert np.linalg.eigvalsh(np.array(share.inertia)) == pytest.approx(expected, rel=1e-7, abs=1e-12 * m * 12)


@given(SIZES, SIZES, SIZES, AT, AT)
def test_inertia_about_another_point_follows_the_parallel_axis_theorem(
    a: float, b: float, c: float, at: Vec, point: Vec
) -> None:
    share = mass.of_part(part(block(a, b, c), at=at))
    x, y = at[0] - point[0], at[1] - point[1]
    about = share.inertia_about(point)
    assert about[2][2] == pytest.approx(share.inertia[2][2] + share.mass * (x * x + y * y), rel=1e-9)
    assert about[0][1] == pytest.approx(share.inertia[0][1] - share.mass * x * y, abs=1e-7 * share.mass)


@given(st.lists(st.tuples(SIZES, SIZES, SIZES, AT), min_size=1, max_size=6))
def test_masses_and_first_moments_add_up(pieces: list[tuple[float, float, float, Vec]]) -> None:
    parts = [part(block(a, b, c), f"p{i}", at=at) for i, (a, b, c, at) in enumerate(pieces)]
    tally = mass.tally(blade(*parts))
    total = sum(p.mass() for p in parts)
    assert tally.total == pytest.approx(total, rel=1e-12)
    for axis in range(3):
        moment = sum(p.mass() * p.centroid()[axis] for p in parts)
        assert tally.centre_of_gravity[axis] * total == pytest.approx(moment, abs=1e-9 * total)


@given(SIZES, SIZES, SIZES, AT)
def test_two_mirrored_parts_balance_on_the_middle(a: float, b: float, c: float, at: Vec) -> None:
    left = part(block(a, b, c), "left", at=at)
    right = part(block(a, b, c), "right", at=(at[0], -at[1], at[2]))
    tally = mass.tally(blade(left, right))
    assert tally.centre_of_gravity == pytest.approx((at[0], 0.0, at[2]), abs=1e-12)
    assert tally.inertia[0][1] == pytest.approx(0.0, abs=1e-9 * tally.total)


@given(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_a_mitred_bar_has_the_mass_of_its_mean_length(slope: float, other: float) -> None:
    region = sections.box_tube(0.05, 0.05, 0.005)
    square = Solid(region=region, start=0.0, end=0.6)
    mitred = replace(square, start_slope=(slope, 0.0), end_slope=(other, other))
    assert mass.of_part(part(mitred)).mass == pytest.approx(mass.of_part(part(square)).mass)


def test_a_bought_part_is_its_solids_scaled_to_the_mass_it_is_given() -> None:
    own = mass.of_part(part(block(0.1, 0.2, 0.3)))
    bought = mass.of_part(part(block(0.1, 0.2, 0.3), kind="bought", density=0.0, given_mass=3.0))
    assert bought.mass == 3.0
    assert bought.inertia[1][1] / 3.0 == pytest.approx(own.inertia[1][1] / own.mass)


def test_a_bought_part_without_a_shape_counts_as_a_point() -> None:
    bare = replace(part(block(1, 1, 1), at=(1.0, 2.0, 3.0), given_mass=2.0), solids=())
    share = mass.of_part(bare)
    assert (share.mass, share.centre_of_gravity) == (2.0, (1.0, 2.0, 3.0))
    assert share.inertia[0][0] == pytest.approx(0.0, abs=1e-12)


def test_holes_the_solids_do_not_show_are_taken_off() -> None:
    whole = mass.of_part(part(block(0.1, 0.1, 0.01)))
    drilled = mass.of_part(part(block(0.1, 0.1, 0.01), removed=1e-5))
    assert drilled.mass == pytest.approx(whole.mass - 0.0785)


def test_weld_metal_is_a_line_of_its_own_at_the_middle_of_its_seam() -> None:
    seam = Weld(id="w", joins=("a", "b"), leg=0.25 * INCH, start=(0, 0, 0), end=(0, 12 * INCH, 0), sides=2)
    tally = mass.tally(blade(part(block(0.1, 0.1, 0.1), "a"), part(block(0.1, 0.1, 0.1), "b"), joints=(seam,)))
    weld = tally.groups[-1]
    assert weld.name == "weld metal"
    assert weld.mass / LB == pytest.approx(2 * 0.1063, rel=1e-3)
    assert weld.centre_of_gravity == pytest.approx((0, 6 * INCH, 0))
    assert tally.total == pytest.approx(2 * 7.85 + weld.mass)


def test_paint_is_a_line_of_its_own_and_bare_steel_has_none() -> None:
    painted, bare = part(block(1, 1, 0.01), "a", finish="frame colour"), part(block(1, 1, 0.01), "b")
    tally = mass.tally(blade(painted, bare))
    assert tally.paint_area == pytest.approx(2.04)
    assert tally.group_masses["paint"] == pytest.approx(2.04 * 60e-6 * 1400)
    assert "paint" not in mass.tally(blade(bare)).group_masses


def test_a_paint_film_below_zero_is_refused() -> None:
    with pytest.raises(EntryError, match=r"paint_film cannot be below zero .given: -6e-05.; limit: 0"):
        mass.tally(blade(part(block(1, 1, 1))), settings=mass.MassSettings(paint_film=-60e-6))


def test_turning_the_blade_keeps_mass_and_carries_the_centre_round() -> None:
    here = blade(part(block(0.4, 0.1, 0.2), at=(1.0, 0.2, 0.3)))

    quarter: Matrix = ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 0.0, 0.0))
    rest, turned = mass.tally(here), mass.tally(here, moved=lambda _: quarter)
    x, y, z = rest.centre_of_gravity
    assert turned.total == pytest.approx(rest.total)
    assert turned.centre_of_gravity == pytest.approx((-y, x, z))
    assert turned.inertia[0][0] == pytest.approx(rest.inertia[1][1])
    assert turned.inertia[2][2] == pytest.approx(rest.inertia[2][2])


def test_groups_and_bodies_of_a_whole_blade_add_up_to_it(common_rules: Rulebook) -> None:
    spec = Spec(series="heavy", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    assembly = assemble(spec, common_rules)
    tally = mass.tally(assembly)
    assert sum(s.mass for s in tally.groups) == pytest.approx(tally.total, rel=1e-12)
    assert sum(s.mass for s in tally.bodies) == pytest.approx(tally.total, rel=1e-12)
    about = tally.centre_of_gravity
    rolled = sum(s.inertia_about(about)[0][0] for s in tally.bodies)
    assert rolled == pytest.approx(tally.inertia[0][0], rel=1e-9)
    assert sum(p.mass() for p in assembly.parts) == pytest.approx(
        tally.total - tally.group_masses["weld metal"] - tally.group_masses["paint"]
    )
    # Upright inertia of a blade is that of a plank of its width within a few tenths either way.
    assert 0.5 < tally.inertia[2][2] / (tally.total * (84 * INCH) ** 2 / 12) < 1.5


def test_a_blade_at_full_angle_weighs_the_same_and_leans_to_the_side_that_goes_back(common_rules: Rulebook) -> None:
    spec = Spec(series="heavy", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="none")
    assembly = assemble(spec, common_rules)
    rest = mass.tally(assembly)
    left, right = (mass.tally(assembly, moved=mover(assembly, Pose(angle=a))) for a in (0.5, -0.5))
    assert left.total == pytest.approx(rest.total, rel=1e-12)
    # Turning the blade about the king pin swings what is ahead of it to one side and shortens its reach.
    assert left.centre_of_gravity[0] < rest.centre_of_gravity[0]
    assert left.centre_of_gravity[1] * right.centre_of_gravity[1] < 0
    board = {s.name: s for s in rest.bodies}["moldboard"]
    turned = {s.name: s for s in left.bodies}["moldboard"]
    assert np.linalg.eigvalsh(np.array(turned.inertia)) == pytest.approx(np.linalg.eigvalsh(np.array(board.inertia)))


def weighed(rng: np.random.Generator, count: int, bias: float, error: float) -> list[Ticket]:
    tickets: list[Ticket] = []
    for number in range(count):
        groups = {name: rng.uniform(20, 90) for name in ("moldboard", "push frame", "mount")}
        scale = sum(groups.values()) * (1 + bias) + rng.normal(0, error)
        tickets.append(Ticket(serial=f"T{number}", group_masses=groups, scale_mass=scale))
    return tickets


BLADE = {"moldboard": 80.0, "push frame": 30.0, "mount": 50.0}


def test_without_tickets_the_line_says_so_and_adds_nothing() -> None:
    line = Correction().of_masses(BLADE)
    assert line.value == 0.0 and line.tickets_used == 0
    assert line.sentence.startswith("no scale tickets yet")
    assert line.low < 0 < line.high
    assert line.basis.kind == "assumed"


def test_a_bias_of_three_in_a_hundred_is_found_from_forty_tickets() -> None:
    learned = learn(weighed(np.random.default_rng(7), 40, 0.03, 1.5))
    line = learned.of_masses(BLADE)
    assert line.value == pytest.approx(0.03 * 160, abs=0.8)
    assert line.low < 0.03 * 160 < line.high
    assert "40 scale tickets say" in line.sentence


def test_the_band_holds_nineteen_readings_in_twenty() -> None:
    rng = np.random.default_rng(11)
    ridge, inside, trials = Ridge(spread=0.05, scale_error=2.0), 0, 1500
    for _ in range(trials):
        shares = {g: rng.normal(0, ridge.spread) for g in BLADE}
        tickets: list[Ticket] = []
        for _ in range(6):
            groups = {g: m * rng.uniform(0.7, 1.3) for g, m in BLADE.items()}
            true = sum(m * (1 + shares[g]) for g, m in groups.items())
            tickets.append(Ticket(group_masses=groups, scale_mass=true + rng.normal(0, ridge.scale_error)))
        line = learn(tickets, ridge).of_masses(BLADE)
        off = sum(m * shares[g] for g, m in BLADE.items()) + rng.normal(0, ridge.scale_error)
        inside += line.low <= off <= line.high
    assert 0.93 < inside / trials < 0.97


def test_more_tickets_narrow_the_band_and_a_group_never_weighed_widens_it() -> None:
    rng = np.random.default_rng(3)
    few, many = (learn(weighed(rng, n, 0.03, 1.5)).of_masses(BLADE) for n in (3, 60))
    assert many.high - many.low < few.high - few.low
    learned = learn(weighed(rng, 60, 0.0, 1.5))
    wider = learned.of_masses({**BLADE, "deflector": 40.0})
    assert wider.high - wider.low > many.high - many.low + 3.0


def test_the_correction_is_never_folded_into_the_mass() -> None:
    tally = mass.tally(blade(part(block(0.1, 0.1, 0.1), group="moldboard")))
    before = tally.total
    line = learn(weighed(np.random.default_rng(1), 20, 0.03, 1.0)).apply(tally)
    assert line.value != 0.0
    assert tally.total == before == pytest.approx(7.85)


def test_a_ticket_without_a_mass_is_refused_by_its_serial() -> None:
    with pytest.raises(EntryError, match=r"scale ticket B84-26-001: a scale ticket that cannot be used"):
        learn([Ticket(serial="B84-26-001", group_masses={"mount": 40.0}, scale_mass=0.0)])


def test_ridge_settings_must_be_above_zero() -> None:
    with pytest.raises(EntryError, match=r"spread 0, scale_error 2 kg"):
        learn([], Ridge(spread=0.0))
    assert correction.ASSUMED.weight == pytest.approx(1600.0)


def test_a_plate_with_a_hole_cut_out_is_lighter_by_the_hole() -> None:
    outline = polygon(((0, 0), (0.2, 0), (0.2, 0.1), (0, 0.1)))
    solid = Solid(region=Region(outer=outline, inner=(circle(0.05, 0.05, 0.02),)), start=0.0, end=0.01)
    share = mass.of_part(part(solid))
    assert share.mass == pytest.approx(7850 * 0.01 * (0.02 - pi * 0.02**2))
    assert share.centre_of_gravity[0] > 0.1
