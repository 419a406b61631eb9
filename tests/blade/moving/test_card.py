"""The test card: what the stopwatch must show on the pack and on the carrier, and what else is proved."""

from __future__ import annotations

import json

import pytest

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.card import TestCard, card_of
from plowwright.blade.moving.swinging import circuit_of, swinging
from plowwright.physics.hydraulics import swing_times

from .conftest import Known, Made, told


def of(build: Build, carrier: Carrier | None) -> TestCard:
    swing = swinging(build, carrier)
    assert swing is not None
    return card_of(build, swing)



@pytest.mark.parametrize("outlets", ["left", "right"])
def test_the_card_has_pack_and_carrier_left_end_first(made: Made, known: Known, outlets: str) -> None:
    found = of(made(outlets=outlets), known("K7"))
    assert [(row.on, row.says) for row in found.rows] == [
        ("test pack", "left end forward"),
        ("test pack", "right end forward"),
        ("K7", "left end forward"),
        ("K7", "right end forward"),
    ]
    assert found.drill == "#55 (0.0520 in)" and found.missing == ()


def test_the_bands_hold_the_likely_time_and_are_as_wide_as_hole_and_stopwatch(made: Made, known: Known) -> None:
    for row in of(made(), known("K9")).rows:
        assert 0.75 * row.expected < row.low < row.expected < row.high < 1.3 * row.expected


def test_a_blade_drilled_out_by_two_sizes_does_not_pass_its_card(made: Made, known: Known) -> None:
    from plowwright.physics import drills
    from plowwright.physics.circuits import Restrictors
    from plowwright.physics.orifices import Restrictor

    build, k7 = made(), known("K7")
    rows = {row.way: row for row in of(build, k7).rows if row.on == "K7"}
    hole = Restrictor(diameter=drills.named("#52").diameter)
    wide = swing_times([circuit_of(build, k7, restrictors=Restrictors(cap=hole, rod=hole))])[0]
    assert wide.rod_out.time < rows["out"].low and wide.rod_in.time < rows["in"].low


def test_a_carrier_without_its_relief_has_no_rows_and_is_asked_for(made: Made) -> None:
    found = of(made(), told(flow="20 gpm"))
    assert {row.on for row in found.rows} == {"test pack"} and found.missing == ("pressure",)


def test_told_numbers_and_an_unknown_flow_are_noted_on_the_row(made: Made) -> None:
    row = of(made(), told(pressure="3,000 psi", source="told")).rows[-1]
    assert row.note == (
        "would hold if the oil pressure really is 3,000 psi as told; its flow is not known: a small pump is slower"
    )


def test_the_card_speaks_the_units_that_are_spoken(made: Made, known: Known) -> None:
    assert of(made(), known("K7")).pack == "5 gpm at 2,000 psi"
    with units.speaking("metric"):
        metric = of(made(), known("K7"))
    assert metric.pack == "18.9 L/min at 138 bar" and "over 2 mm" in " ".join(metric.checks)


def test_what_can_hurt_stands_on_the_card(made: Made, known: Known) -> None:
    found = of(made(), known("K7"))
    assert "never by hand" in " ".join(found.checks)
    assert any(line.startswith("Oil under pressure goes through skin") for line in found.cautions)


def test_a_swing_at_hand_gives_the_same_card_and_a_machine_reads_it(made: Made, known: Known) -> None:
    moved = swinging(made(), known("K7"))
    assert moved is not None
    own = card_of(made(), moved)
    assert own == of(made(), known("K7"))
    assert json.loads(json.dumps(own.as_dict()))["rows"][0]["says"] == "left end forward"
