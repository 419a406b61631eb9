from __future__ import annotations

from dataclasses import replace
from math import inf, pi

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.blade.strength import members
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH, PSI


@pytest.fixture(scope="module")
def reed(demo_rules: Rulebook) -> Build:
    spec = Spec(series="reed", width=72 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


def test_an_a500_leg_counts_with_its_design_wall(reed: Build) -> None:
    leg = reed.assembly.part("leg left")
    wall = reed.rulebook.sections[leg.stock].wall or 0.0
    assert members.counted_wall(leg, reed.rulebook) == pytest.approx(0.93 * wall)
    nominal = leg.solids[0].region.properties().area
    assert 0.91 < members.bar(leg, reed.rulebook).area / nominal < 0.95


def test_a_tube_stands_in_the_model_as_it_stands_in_the_blade(demo_rules: Rulebook) -> None:
    spec = Spec(series="basalt", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    cross = work_out(spec, demo_rules, level=0).assembly.part("cross")
    low_u, low_v, high_u, high_v = cross.solids[0].region.bounds()
    section = members.bar(cross, demo_rules)
    taller = high_v - low_v > high_u - low_u
    assert (section.inertia_y > section.inertia_z) is taller


def test_a_pin_is_a_solid_round_of_its_own_steel(reed: Build) -> None:
    pin = reed.assembly.part("hinge pin 1")
    assert members.bar(pin, reed.rulebook).area == pytest.approx(pi / 4 * INCH**2, rel=1e-9)
    assert members.metal(pin, reed.rulebook).yield_strength == pytest.approx(75e3 * PSI)


def test_a_material_without_yield_is_refused_with_the_part_s_name(reed: Build) -> None:
    leg = replace(reed.assembly.part("leg left"), material="belting")
    with pytest.raises(ModelError) as fault:
        members.metal(leg, reed.rulebook)
    assert "no yield strength for leg left (given: belting)" in str(fault.value)
    assert "Give this material a yield_strength" in str(fault.value)


def test_an_angle_is_not_taken_for_a_tube(reed: Build) -> None:
    angle = reed.assembly.part("bottom angle")
    with pytest.raises(ModelError) as fault:
        members.bar(angle, reed.rulebook)
    assert "bottom angle" in str(fault.value) and angle.stock in str(fault.value)


def test_a_link_has_just_the_stiffness_asked_for() -> None:
    link = members.axial(3e8, 0.25)
    assert link.area * members.STEEL_YOUNG / 0.25 == pytest.approx(3e8)
    assert link.inertia_y == link.torsion == 0.0
    assert members.STIFF.yield_strength == inf


def test_a_strip_is_wide_along_y_and_thin_along_z() -> None:
    strip = members.strip(0.1, 0.01)
    assert strip.inertia_z == pytest.approx(0.01 * 0.1**3 / 12)
    assert strip.inertia_y == pytest.approx(0.1 * 0.01**3 / 12)
