"""What plastic collapse takes and refuses, and what no frame may contradict."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.errors import MechanismError, ModelError
from plowwright.physics import limit
from plowwright.physics.frames import Block, Frame, Loads, Springs
from plowwright.physics.limit import Capacities, collapse, limit_state
from tests.references.frames import at_random, frame, lattice_blade, members, nodal

seeds = st.integers(0, 10_000)
CAPACITY_OF_END = ("axial", None, None, "torsion", "bending_y", "bending_z")


def capacities(made: Frame, *, yielding: float = 3.5e8) -> Capacities:
    """Of squarish sections, from area and inertia."""
    part = made.members
    depth = np.sqrt(12 * np.maximum(part.inertia_y, part.inertia_z) / part.area)
    return Capacities(
        axial=yielding * part.area,
        torsion=yielding * part.torsion / depth,
        bending_y=3 * yielding * part.inertia_y / depth,
        bending_z=3 * yielding * part.inertia_z / depth,
    )


def first_yield(made: Frame, loads: Loads, limits: Capacities) -> float:
    """Factor at which the first member end yields, elastically."""
    forces = made.solve(loads).end_forces[0].reshape(-1, 2, 6)
    used = sum(
        np.abs(forces[:, :, k]) / getattr(limits, name)[:, None] for k, name in enumerate(CAPACITY_OF_END) if name
    )
    return float(1 / np.max(used))


def one_case(loads: Loads) -> Loads:
    return Loads(names=loads.names[:1], nodal=loads.nodal[:1])


def cantilever(**released: tuple[int, ...]) -> Frame:
    bars = members([(0, 1)], names=("arm",))
    return frame([(0, 0, 0), (2, 0, 0)], bars, fixed={0: "xyzXYZ"}, released={0: released.get("arm", ())})


@given(seeds)
@settings(max_examples=25)
def test_no_frame_folds_before_its_first_section_yields(seed: int) -> None:
    made, loads = at_random(seed, cases=1)
    loads, limits = one_case(loads), capacities(made)
    if loads.nodal.any():
        assert collapse(made, loads, limits) >= first_yield(made, loads, limits) * (1 - 1e-6)


@given(seeds)
@settings(max_examples=15)
def test_twice_the_load_halves_the_factor_and_twice_the_strength_doubles_it(seed: int) -> None:
    made, loads = at_random(seed, cases=1)
    loads = one_case(loads)
    factor = collapse(made, loads, capacities(made))
    twice = replace(loads, nodal=2 * loads.nodal)
    assert collapse(made, twice, capacities(made)) == pytest.approx(factor / 2, rel=1e-5)
    assert collapse(made, loads, capacities(made, yielding=7e8)) == pytest.approx(2 * factor, rel=1e-5)


def test_the_share_of_yield_is_full_where_hinges_stand_and_less_elsewhere() -> None:
    places, bars = [(x, 0, 0) for x in (0, 1, 3)], members([(0, 1), (1, 2)])
    made = frame(places, bars, fixed={0: "xyzXYZ"})
    state = limit_state(made, nodal(3, (2, (0, 0, -1, 0, 0, 0))), capacities(made))
    assert state.used == pytest.approx(np.array([[1, 2 / 3], [2 / 3, 0]]), abs=1e-6)


def test_a_force_left_in_both_senses_at_once_uses_only_its_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    right = limit._most

    def slack(*tables: object, **where: slice) -> tuple[float, np.ndarray]:
        factor, shares = right(*tables, **where)
        shares[:-1] += 0.1
        return factor, shares

    monkeypatch.setattr(limit, "_most", slack)
    state = limit_state(cantilever(), nodal(2, (1, (0, 0, -1, 0, 0, 0))), capacities(cantilever()))
    assert state.used == pytest.approx(np.array([[1.0, 0.0]]), abs=1e-6)


def test_a_load_along_the_axis_counts_in_full_where_the_bar_is_held() -> None:
    made = cantilever()
    uniform = np.zeros((1, 1, 3))
    uniform[..., 0] = 100.0
    loads = Loads(names=("hung",), nodal=np.zeros((1, 2, 6)), uniform=uniform)
    limits = capacities(made)
    assert collapse(made, loads, limits) == pytest.approx(limits.axial[0] / 200, rel=1e-6)


def test_a_support_that_is_a_spring_takes_what_a_rigid_one_would() -> None:
    places, bars = [(x, 0, 0) for x in (0, 2, 4)], members([(0, 1), (1, 2)])
    loads = nodal(3, (1, (0, 0, -1, 0, 0, 0)))
    propped = frame(places, bars, fixed={0: "xyzXYZ", 2: "z"})
    prop = Springs(
        names=("prop",),
        ends=np.array([[2, -1]]),
        stiffness=np.array([[0.0, 0, 1e5, 0, 0, 0]]),
        axes=np.eye(3)[None],
    )
    sprung = frame(places, bars, fixed={0: "xyzXYZ"}, springs=prop)
    limits = capacities(propped)
    assert collapse(sprung, loads, limits) == pytest.approx(collapse(propped, loads, limits), rel=1e-9)


def test_the_frame_of_a_blade_folds_above_its_first_yield() -> None:
    made, loads = lattice_blade(cases=3)
    loads = replace(loads, uniform=None)
    limits = capacities(made)
    for case in range(3):
        one = Loads(names=(loads.names[case],), nodal=loads.nodal[case : case + 1])
        factor = collapse(made, loads, limits, case=case)
        assert first_yield(made, one, limits) < factor < 50 * first_yield(made, one, limits)


def test_what_never_yields_never_folds() -> None:
    made = cantilever()
    none = np.array([math.inf])
    limits = Capacities(axial=none, torsion=none, bending_y=none, bending_z=np.array([10.0]))
    down, sideways = nodal(2, (1, (0, 0, -1, 0, 0, 0))), nodal(2, (1, (0, -1, 0, 0, 0, 0)))
    assert collapse(made, down, limits) == math.inf
    assert collapse(made, sideways, limits) == pytest.approx(5.0)
    assert collapse(made, nodal(2), limits) == math.inf


def test_a_frame_that_its_load_moves_freely_is_refused_by_the_name_of_the_case() -> None:
    made = cantilever(arm=(4, 5))
    with pytest.raises(MechanismError, match="cannot carry load case 'case' at any size"):
        collapse(made, nodal(2, (1, (0, 0, -1, 0, 0, 0))), capacities(made))


def test_a_member_without_capacity_is_refused_by_name() -> None:
    made = cantilever()
    limits = replace(capacities(made), torsion=np.array([0.0]))
    with pytest.raises(ModelError, match=r"member 'arm': a member without capacity in torsion \(given: 0\)"):
        collapse(made, nodal(2, (1, (0, 0, -1, 0, 0, 0))), limits)


def test_a_frame_with_a_condensed_part_is_refused() -> None:
    made = replace(cantilever(), blocks=(Block(nodes=np.array([1]), stiffness=np.eye(6)),))
    with pytest.raises(ModelError, match=r"frames of members only \(given: 1 condensed part"):
        collapse(made, nodal(2, (1, (0, 0, -1, 0, 0, 0))), capacities(made))


@given(seeds)
@settings(max_examples=15)
def test_members_that_never_yield_pass_on_what_a_stiff_body_does(seed: int) -> None:
    """A load along the members, here of nothing, keeps each member to its own unknowns."""
    made, loads = at_random(seed, cases=1)
    loads, limits = one_case(loads), capacities(made)
    never = np.arange(len(made.members.names)) % 2 == 0
    bears = Capacities(
        axial=np.where(never, math.inf, limits.axial),
        torsion=np.where(never, math.inf, limits.torsion),
        bending_y=np.where(never, math.inf, limits.bending_y),
        bending_z=np.where(never, math.inf, limits.bending_z),
    )
    each = replace(loads, uniform=np.zeros((1, len(never), 3)))
    assert collapse(made, loads, bears) == pytest.approx(collapse(made, each, bears), rel=1e-6)
