"""Pins, the plates around them and the edge bolts of a blade."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np
import pytest

from plowwright.blade import assemble, datum
from plowwright.blade.datum import Datum
from plowwright.blade.parts import Assembly, Bolted, Pinned
from plowwright.blade.spec import Spec
from plowwright.blade.strength import edge_bolts, pin_joints
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import JointCheck
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH, LBF, PSI

KSI = 1000 * PSI


@dataclass(frozen=True, kw_only=True)
class Blade:
    assembly: Assembly
    datum: Datum
    rulebook: Rulebook


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Blade:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return Blade(
        assembly=assemble.assemble(spec, demo_rules), datum=datum.work_out(spec, demo_rules), rulebook=demo_rules
    )


@pytest.fixture(scope="module")
def lattice(flint: Blade) -> Analysis:
    return analyse(flint, level=1)


@pytest.fixture(scope="module")
def pinned(flint: Blade, lattice: Analysis) -> tuple[JointCheck, ...]:
    return pin_joints.check(flint, lattice)[0]


def named(found: tuple[JointCheck, ...], place: str) -> JointCheck:
    return next(check for check in found if check.place == place)


def test_a_hinge_pin_is_held_against_the_moldboards_pull_on_it(
    flint: Blade, lattice: Analysis, pinned: tuple[JointCheck, ...]
) -> None:
    check = named(pinned, "hinge pin 1")
    across = np.hypot(lattice.hinge_forces[:, 0, 0], lattice.hinge_forces[:, 0, 2])
    assert check.demand == pytest.approx(across)
    # 1 in of 75/90 ksi between two ears of 1/2 in: shear and bending by hand, 1/16 in of play each side.
    ear = flint.assembly.part("ear 1").thickness / INCH
    beam_ear = flint.assembly.part("beam ear 1").thickness / INCH
    shear = 2 * 0.6 * 90 * pi / 4 / 2
    bending = 75 * (1.6 * pi / 32) / 1.67 / ((ear + 4 / 16 + 2 * beam_ear) / 8)
    together = (shear**-2 + bending**-2) ** -0.5
    strike = lattice.number("strike left corner, straight")
    push = lattice.number("uniform push, straight")
    assert check.allowed[push] / KSI / INCH**2 == pytest.approx(together, rel=0.02)
    assert check.allowed[strike] / check.allowed[push] == pytest.approx(1.67 / 1.1)


def test_every_ear_king_pin_plate_and_bracket_is_among_the_plates(pinned: tuple[JointCheck, ...]) -> None:
    plates = {check.place for check in pinned if check.kind == "lug"}
    ears = {f"ear {n}" for n in (1, 2, 3)} | {f"beam ear {n}" for n in range(1, 7)}
    king = {f"{kind} {where}" for kind in ("king-pin plate", "hub plate") for where in ("upper", "lower")}
    assert ears | king <= plates
    assert {"base bracket left", "cylinder lug right"} <= plates


def test_a_plate_is_as_strong_as_the_metal_before_and_beside_its_pin(flint: Blade) -> None:
    ear = flint.assembly.part("ear 1")
    assert ear.holes
    back, down = pin_joints.lugs_of(ear, flint, np.array([[-1.0, 0.0], [0.0, -1.0]]))
    # The ear's end is round about the pin: the same metal behind as below, and none thinner.
    assert back.beyond == pytest.approx(down.beyond, rel=0.02)
    upward = pin_joints.lugs_of(ear, flint, np.array([[0.0, 1.0]]))[0]
    assert upward.beyond > 2 * back.beyond


def test_a_hinge_without_its_pin_is_refused_by_name(flint: Blade, lattice: Analysis) -> None:
    kept = tuple(part for part in flint.assembly.parts if part.id != "hinge pin 2")
    lame = replace(flint, assembly=replace(flint.assembly, parts=kept))
    with pytest.raises(ModelError, match=r"hinge 2 has no pin: nothing joins what turns on it"):
        pin_joints.check(lame, lattice)


def test_a_pin_too_large_for_its_ear_breaks_out_and_is_refused(flint: Blade, lattice: Analysis) -> None:
    ear = flint.assembly.part("ear 1")
    wide = replace(ear, holes=(replace(ear.holes[0], diameter=6 * INCH),))
    parts = tuple(wide if part.id == "ear 1" else part for part in flint.assembly.parts)
    with pytest.raises(ModelError, match=r"ear 1: the pin's hole breaks out of the plate"):
        pin_joints.check(replace(flint, assembly=replace(flint.assembly, parts=parts)), lattice)


def test_the_pins_of_the_cylinder_are_said_not_to_be_checked(flint: Blade, lattice: Analysis) -> None:
    unsaid = pin_joints.check(flint, lattice)[1]
    assert [row.place for row in unsaid] == ["pins of the angle cylinder"]


def bolts_of(flint: Blade, lattice: Analysis) -> JointCheck:
    (check,) = edge_bolts.check(flint, lattice.cases)
    return check


def test_a_corner_strike_pries_one_bolt_by_the_lever_over_the_foot_of_the_angle(
    flint: Blade, lattice: Analysis
) -> None:
    d, check = flint.datum, bolts_of(flint, lattice)
    case = lattice.cases[lattice.number("strike left corner, straight")]
    height = (case.board[0].place.z0 + case.board[0].place.z1) / 2
    lever, toe = d.bolt_line - height, d.bolt_line - d.foot
    by_hand = (lever - toe) / toe
    assert check.demand[lattice.number(case.name)] == pytest.approx(by_hand)
    # Two bolts may share it: half to all of what one takes.
    assert check.band is not None
    assert check.band[lattice.number(case.name)] == pytest.approx([0.5, 1.0])
    # 5/8 in grade 5: 0.75 x 120 ksi x 0.3068 in2 / 2, raised for a strike.
    pull = 0.75 * 120 * pi / 4 * 0.625**2 / 2 * 1.67 / 1.1
    assert check.allowed[lattice.number(case.name)] / KSI / INCH**2 == pytest.approx(pull, rel=1e-6)


def test_back_drag_pulls_all_bolts_over_the_upper_rim(flint: Blade, lattice: Analysis) -> None:
    d, check = flint.datum, bolts_of(flint, lattice)
    row = lattice.number("back-drag, straight")
    held = next(j for j in flint.assembly.joints if isinstance(j, Bolted))
    rim = min(d.edge_height, d.shelf) - d.bolt_line
    height = d.foot / 2
    by_hand = (d.bolt_line - height + rim) / rim / len(held.positions)
    assert check.demand[row] == pytest.approx(by_hand)


def test_an_assumed_sharing_is_told_as_a_band_and_its_far_end_makes_it_near_the_limit(
    flint: Blade, lattice: Analysis
) -> None:
    check = bolts_of(flint, lattice)
    case = "strike centre, straight"
    finding = check.finding({case: 0.8 * check.capacity(case)}, "test")
    assert check.band is not None
    assert check.band[lattice.number(case)] == pytest.approx([2 / 3, 2.0])
    assert finding.verdict == "near limit"
    assert "likely 80 % of it used" in finding.sentence
    assert check.finding({case: 1.1 * check.capacity(case)}, "test").verdict == "fails"


def test_a_blade_without_edge_bolts_is_refused(flint: Blade, lattice: Analysis) -> None:
    kept = tuple(j for j in flint.assembly.joints if not isinstance(j, Bolted))
    with pytest.raises(ModelError, match=r"no bolt holds the cutting edge \(given: 0 bolts\)"):
        edge_bolts.check(replace(flint, assembly=replace(flint.assembly, joints=kept)), lattice.cases)


def test_pins_pull_on_their_plates_as_hard_as_the_plates_on_the_pins(
    flint: Blade, lattice: Analysis, pinned: tuple[JointCheck, ...]
) -> None:
    joint = next(j for j in flint.assembly.joints if isinstance(j, Pinned) and j.id == "hinge 2")
    pin, ear = named(pinned, joint.pin), named(pinned, joint.joins[1])
    assert ear.demand == pytest.approx(pin.demand, rel=1e-6)
    assert named(pinned, joint.joins[0]).demand == pytest.approx(pin.demand / 2, rel=1e-6)
    assert 100 * LBF / pin.capacity("strike centre, straight") < 1.0
