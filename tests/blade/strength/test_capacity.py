from __future__ import annotations

from math import inf, pi, sqrt

import numpy as np
import pytest

from plowwright.blade.strength import capacity, members
from plowwright.blade.strength.members import Metal
from plowwright.blade.strength.plan import Beam, Role
from plowwright.physics import sections
from plowwright.physics.sections import StrengthSection

STEEL = Metal(name="A36", yield_strength=248e6)


def beam(section: StrengthSection, *, role: Role = "frame", metal: Metal = STEEL, checked: bool = True) -> Beam:
    return Beam(
        name="bar",
        part="bar",
        role=role,
        ends=(0, 1),
        start=(0.0, 0.0, 0.0),
        end=(1.0, 0.0, 0.0),
        section=section,
        metal=metal,
        up=(0.0, 0.0, 1.0),
        checked=checked,
    )


def stress(section: StrengthSection, **forces: float) -> float:
    order = ("n", "vy", "vz", "t", "my", "mz")
    internal = np.array([forces.get(name, 0.0) for name in order]).reshape(1, 1, 1, 6)
    return float(capacity.checker([beam(section)]).stress(internal)[0, 0, 0])


def test_a_flat_bent_over_its_wide_side_has_six_m_over_b_h_squared() -> None:
    assert stress(members.strip(0.01, 0.06), my=100.0) == pytest.approx(6 * 100 / (0.01 * 0.06**2))


def test_a_round_pin_bent_any_way_has_thirty_two_m_over_pi_d_cubed() -> None:
    pin = sections.round_strength(0.0254)
    wanted = 32 * 100 / (pi * 0.0254**3)
    assert stress(pin, my=100.0) == pytest.approx(wanted, rel=0.01)
    assert stress(pin, my=60.0, mz=-80.0) == pytest.approx(wanted, rel=0.01)


def test_pull_and_bending_add_up_in_the_worse_corner_whatever_the_sign() -> None:
    flat = members.strip(0.02, 0.05)
    both = 1000 / (0.02 * 0.05) + 6 * 50 / (0.02 * 0.05**2)
    for sign in (1.0, -1.0):
        assert stress(flat, n=1000.0, my=sign * 50.0) == pytest.approx(both)


def test_shear_counts_root_three_times() -> None:
    tube = sections.tube_strength(0.06, 0.06, 0.003)
    assert stress(tube, t=200.0) == pytest.approx(sqrt(3) * 200 / tube.torsion_modulus)
    assert stress(tube, vz=3000.0) == pytest.approx(sqrt(3) * 3000 / tube.shear_z)


def test_members_of_different_sections_are_told_apart_and_links_are_left_out() -> None:
    beams = [
        beam(members.strip(0.02, 0.05)),
        beam(members.axial(1e8, 0.1), role="link", metal=members.STIFF, checked=False),
        beam(sections.round_strength(0.03)),
    ]
    check = capacity.checker(beams)
    assert check.rows.tolist() == [0, 2]
    found = check.stress(np.tile(np.array([1000.0, 0, 0, 0, 0, 0]), (1, 2, 1, 1)))
    assert found[0, :, 0] == pytest.approx([1000 / (0.02 * 0.05), 1000 / (pi / 4 * 0.03**2)])


def test_plastic_capacities_are_squash_load_and_plastic_moments_at_yield() -> None:
    found = capacity.capacities([beam(members.strip(0.02, 0.05))], ("frame",))
    assert found.axial[0] == pytest.approx(0.02 * 0.05 * 248e6)
    assert found.bending_y[0] == pytest.approx(0.02 * 0.05**2 / 4 * 248e6)
    assert found.bending_z[0] == pytest.approx(0.05 * 0.02**2 / 4 * 248e6)


def test_members_that_are_not_asked_about_never_yield() -> None:
    found = capacity.capacities([beam(members.strip(0.02, 0.05), role="moldboard")], ("frame", "hub"))
    assert found.axial[0] == found.torsion[0] == found.bending_y[0] == inf
