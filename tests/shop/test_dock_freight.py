"""Packed size, class by density, travel width, lifting, papers of the load."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import radians, sin

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.errors import EntryError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.dock_freight import Packed, extents, freight_class, lifting, packed, reweighed, travel
from plowwright.shop.dock_papers import bill_of_lading, claim_pack, match, packing_list
from plowwright.units import FOOT, INCH, LB, pounds


@pytest.fixture(scope="module")
def dock(demo_rules: Rulebook) -> Dock:
    assert demo_rules.dock is not None
    return demo_rules.dock


@pytest.fixture(scope="module")
def flint_90(demo_rules: Rulebook) -> Build:
    entry = {"series": "flint", "width": "90 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
             "extras": ["crate", "markers"], "number": "427S"}  # fmt: skip
    return work_out(specs.from_dict(entry), demo_rules, level=0)


def box(density_lb_ft3: float) -> Packed:
    return Packed(length=2 * FOOT, depth=2 * FOOT, height=1 * FOOT, mass=4 * density_lb_ft3 * LB, crated=True)


def test_a_box_goes_by_the_class_of_its_density(dock: Dock) -> None:
    found = {d: freight_class(box(d), dock.freight).freight_class for d in (0.5, 1.0, 5.9, 6.0, 7.99, 14.0, 22.4, 60.0)}
    assert found == {0.5: 400, 1.0: 300, 5.9: 175, 6.0: 125, 7.99: 125, 14.0: 85, 22.4: 70, 60.0: 50}


def test_a_heavier_box_of_the_same_size_never_goes_by_a_dearer_class(dock: Dock) -> None:
    classes = [freight_class(box(0.1 * d), dock.freight).freight_class for d in range(1, 700)]
    assert classes == sorted(classes, reverse=True)


def test_just_over_a_dearer_class_it_is_measured_before_the_bill_is_written(dock: Dock) -> None:
    found = freight_class(box(6.2), dock.freight)
    assert found.finding.verdict == "near limit"
    assert "only 3 % over the dearer class 175" in found.finding.sentence
    assert freight_class(box(7.9), dock.freight).finding.verdict == "holds"


def test_the_table_of_classes_says_where_it_is_from_and_what_is_from_memory(dock: Dock) -> None:
    basis = freight_class(box(7.0), dock.freight).finding.basis
    assert basis.kind == "standard"
    assert "NMFC Docket 2025-1" in basis.source
    assert "from memory" in basis.source


def test_a_crated_blade_is_as_large_as_the_blade_and_its_packing(flint_90: Build, dock: Dock) -> None:
    crosswise, depth, height = extents(flint_90)
    piece = packed(flint_90, dock)
    assert crosswise >= 90 * INCH - 1e-9
    assert (piece.length, piece.depth) == pytest.approx((crosswise + 4 * INCH, depth + 4 * INCH))
    assert piece.height == pytest.approx(height + 4 * INCH)
    assert piece.crated
    # The crate was ordered, so the build weighs it already.
    assert piece.mass == pytest.approx(flint_90.mass)


def test_a_blade_without_crate_gets_the_mass_of_a_skid(demo_rules: Rulebook, dock: Dock) -> None:
    build = work_out(specs.from_dict({"series": "flint", "width": "90 in", "mount": "loader", "carrier": "skid steer",
                                      "hoses": "flat-face"}), demo_rules, level=0)  # fmt: skip
    piece = packed(build, dock, mass=700 * LB)
    assert not piece.crated
    assert pounds(piece.mass) == pytest.approx(738)


def test_a_piece_without_size_is_refused(dock: Dock) -> None:
    with pytest.raises(EntryError, match=r"a piece has a size and a mass.*above 0"):
        freight_class(replace(box(5.0), height=0.0), dock.freight)


def test_a_reweigh_that_costs_more_is_held_against_and_a_small_one_is_not(dock: Dock) -> None:
    assert reweighed(box(7.0), box(7.1).mass, dock.freight).verdict == "holds"
    heavy = reweighed(box(7.0), box(7.9).mass, dock.freight)
    assert heavy.verdict == "fails"
    assert "hold ticket and photos against it" in heavy.sentence
    assert reweighed(box(6.05), box(5.9).mass, dock.freight).verdict == "fails"


def test_a_wide_blade_is_too_wide_to_be_carried_crosswise(demo_rules: Rulebook, dock: Dock) -> None:
    entry = {"series": "basalt", "width": "120 in", "mount": "loader", "carrier": "skid steer", "hoses": "none"}
    found = travel(work_out(specs.from_dict(entry), demo_rules, level=0), dock)
    assert found.finding.verdict == "fails"
    assert "120 in" in found.finding.value
    assert found.angled < found.crosswise
    assert found.lengthwise < found.crosswise


def test_two_slings_carry_half_each_over_the_sine_of_their_angle(flint_90: Build, dock: Dock) -> None:
    found = lifting(flint_90, dock, mass=600 * LB)
    assert found.leg * 2 * sin(radians(60)) == pytest.approx(600 * LB * 9.80665)
    assert found.apart == pytest.approx(45 * INCH)
    assert "ahead of the mount plate's face" in found.sentence
    assert "nobody under it" in found.sentence


def test_the_crate_does_not_hang_on_the_hook(flint_90: Build, dock: Dock) -> None:
    loose = sum(share.mass for share in flint_90.tally.bodies if share.name == "loose")
    assert loose >= 64 * LB - 1e-6
    assert lifting(flint_90, dock).mass == pytest.approx(flint_90.mass - loose)


def test_a_sling_that_hangs_too_flat_is_refused(flint_90: Build, dock: Dock) -> None:
    flat = dock.lifting.model_copy(update={"sling": dock.lifting.sling.model_copy(update={"value": radians(10)})})
    with pytest.raises(EntryError, match=r"between 30 and 90 deg.*Write 60 deg"):
        lifting(flint_90, dock.model_copy(update={"lifting": flat}))


def test_the_packing_list_names_what_hangs_and_what_lies_loose(flint_90: Build) -> None:
    rows = {row.name: row for row in packing_list(flint_90, serial="F90-26-101", spares=[("seal kit", 1)])}
    assert rows["trip spring"].count == 3
    assert rows["hose set"].where == "loose"
    assert rows["edge marker"].count == 2
    assert rows["seal kit"].note == "spare"
    assert rows["Flint 90 in, standard"].note == "serial F90-26-101, 2 notches"


def test_a_bill_says_what_is_missing_before_a_hand_signs_it(flint_90: Build, dock: Dock) -> None:
    piece = packed(flint_90, dock)
    by = freight_class(piece, dock.freight)
    bill = bill_of_lading(flint_90, piece, by, number="427S", serial="F90-26-101", on=date(2026, 12, 2), ship_to="")
    assert bill.missing[:3] == ("who gets it", "who pays the freight", "size and mass, taken on the packed piece")
    row = bill.as_dict()["rows"][0]
    assert row["marks"] == "427S, serial F90-26-101"
    assert row["class"] == by.freight_class
    full = bill_of_lading(flint_90, replace(piece, stated=True), by, number="427S", serial="F90-26-101",
                          on=date(2026, 12, 2), ship_to="D.S., the yard", terms="prepaid")  # fmt: skip
    assert not [one for one in full.missing if "class" not in one]


WALL = ("427S", "428C", "418K", "419T")


def test_three_readings_of_one_number_load_the_blade() -> None:
    assert match("427S", "427 s", "427S", issued=WALL).verdict == "holds"


def test_a_look_alike_on_the_forks_is_not_loaded() -> None:
    found = match("418K", "419T", "418K", issued=WALL)
    assert found.verdict == "fails"
    assert found.sentence == "not loaded: order 418K, stamp 419T, label 418K. Take the blade the order names"


def test_a_label_with_swapped_figures_is_named_with_the_number_it_may_be() -> None:
    found = match("427S", "427S", "472S", issued=WALL)
    assert found.verdict == "fails"
    assert "label 472S: the letter S does not belong to 472, near it 427S" in found.sentence


def test_a_claim_says_what_is_still_to_be_found() -> None:
    pack = claim_pack("reweigh", ["scale ticket", "bill of lading"])
    assert [one.what for one in pack if not one.there] == [
        "photos on the scale", "photos at loading", "carrier's reweigh notice"
    ]  # fmt: skip
    with pytest.raises(EntryError, match=r"no claim is called that.*damage, reweigh, missing"):
        claim_pack("insult", [])


def test_bands_out_of_order_are_refused(dock: Dock) -> None:
    entry = {"rests_on": "assumed", "note": "ten letters", "near": dock.freight.near.model_dump(),
             "bands": [{"from": "5 lb/ft3", "freight_class": 100},
                       {"from": "1 lb/ft3", "freight_class": 300}]}  # fmt: skip
    with pytest.raises(ValueError, match=r"from the lightest at zero upwards"):
        type(dock.freight).model_validate(entry)
