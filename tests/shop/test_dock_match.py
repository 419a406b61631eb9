"""Serial numbers, what a stamp or a label says when it is read, cure to strap, and tickets as they are kept."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.errors import EntryError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_jobs import cure
from plowwright.shop.dock import hung, oil_mass, predicted, weigh
from plowwright.shop.dock_cure import strap_from, strapping
from plowwright.shop.dock_match import next_running, reading_of, serial_of, three_readings
from plowwright.shop.dock_ticket import WeighTicket, from_kept, taught_by, ticket_of, with_reason
from plowwright.units import INCH, LB, pounds

ISSUED = ("418K", "419T", "427S", "428C")
SERIALS = {"F90-26-001": "427S", "F90-26-002": "428C"}
TUESDAY = datetime(2026, 11, 10, 15)


@pytest.fixture(scope="module")
def dock(demo_rules: Rulebook) -> Dock:
    assert demo_rules.dock is not None
    return demo_rules.dock


@pytest.fixture(scope="module")
def basalt(demo_rules: Rulebook) -> Build:
    entry = {"series": "basalt", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
             "extras": ["shoes"], "number": "418K"}  # fmt: skip
    return work_out(specs.from_dict(entry), demo_rules, level=0)


# Serial numbers ---------------------------------------------------------------------------------------------------


def test_a_serial_number_says_class_width_year_and_running_number() -> None:
    assert serial_of("Basalt", 84 * INCH, 2026, 17) == "B84-26-017"
    assert serial_of("Flint", 102 * INCH, 2031, 1000) == "F102-31-1000"
    with pytest.raises(EntryError, match=r"numbered from 1.*given: 0"):
        serial_of("Reed", 48 * INCH, 2026, 0)
    with pytest.raises(EntryError, match=r"begins with the letter of its series"):
        serial_of(" ", 48 * INCH, 2026, 1)


@given(st.sets(st.integers(1, 400), max_size=30), st.integers(0, 99))
def test_the_next_running_number_was_never_given_that_year(taken: set[int], year: int) -> None:
    others = [serial_of("Reed", 60 * INCH, (year + 1) % 100, n + 500) for n in taken]
    given_out = [serial_of("Flint", 84 * INCH, year, n) for n in taken]
    found = next_running([*given_out, *others, "not a serial"], year)
    assert found == max(taken, default=0) + 1


# Readings ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "number", "serial"),
    [
        ("427s", "427S", ""),
        (" 427S  f90-26-001 ", "427S", "F90-26-001"),
        ("F90-26-001", "", "F90-26-001"),
        ("http://ostrel.ridge/blade/427S", "427S", ""),
        ("https://shop/loading/427S?x=1", "427S", ""),
        ("F90-26-001, 427S", "427S", "F90-26-001"),
        ("smudged", "SMUDGED", ""),
    ],
)
def test_a_stamp_or_label_is_read_typed_or_scanned(said: str, number: str, serial: str) -> None:
    found = reading_of(said)
    assert (found.number, found.serial) == (number, serial)


def test_a_serial_number_alone_says_whose_blade_it_is() -> None:
    assert three_readings("427S", "F90-26-001", "427S", serials=SERIALS, issued=ISSUED).verdict == "holds"
    wrong = three_readings("427S", "F90-26-002", "427S", serials=SERIALS, issued=ISSUED)
    assert wrong.verdict == "fails"
    assert "stamp 428C" in wrong.sentence
    assert "stamp F90-26-002: that blade is 428C" in wrong.sentence


def test_a_right_number_with_a_strange_serial_number_is_not_loaded() -> None:
    found = three_readings("427S", "427S B84-26-099", "427S", serials=SERIALS, issued=ISSUED)
    assert (found.verdict, found.sentence) == ("fails", "not loaded: stamp B84-26-099: no such serial number")


def test_427s_read_as_472s_is_refused_by_its_letter_and_the_near_one_is_named() -> None:
    found = three_readings("427S", "427S", "472S", serials=SERIALS, issued=ISSUED)
    assert found.sentence == "not loaded: label 472S: the letter S does not belong to 472, near it 427S"


# Cure -------------------------------------------------------------------------------------------------------------


def test_paint_done_on_tuesday_at_three_may_be_strapped_on_thursday_at_three_in_the_night(
    demo_rules: Rulebook,
) -> None:
    wait = cure(demo_rules)[1]
    assert strap_from(TUESDAY, wait) == datetime(2026, 11, 12, 3)
    early = strapping(TUESDAY, wait, datetime(2026, 11, 12, 2, 59), temperature=18.3)
    assert (early.verdict, early.sentence) == (
        "fails", "the paint is still curing: do not strap it before Thu 12 Nov 03:00"
    )  # fmt: skip
    assert strapping(TUESDAY, wait, datetime(2026, 11, 12, 3), temperature=18.3).verdict == "holds"


def test_a_cold_shop_waits_twice_as_long(demo_rules: Rulebook) -> None:
    warm, cold = cure(demo_rules)[1], cure(demo_rules, 10.0)[1]
    assert cold == pytest.approx(2 * warm, rel=0.01)
    now = TUESDAY + timedelta(hours=40)
    assert strapping(TUESDAY, warm, now, temperature=18.3).verdict == "holds"
    assert strapping(TUESDAY, cold, now, temperature=10.0).verdict == "fails"


def test_paint_nobody_noted_is_not_checked(demo_rules: Rulebook) -> None:
    found = strapping(None, cure(demo_rules)[1], TUESDAY, temperature=18.3)
    assert found.verdict == "not checked"
    assert found.sentence == "cure: not checked because nobody said when the paint was done"


# Tickets ----------------------------------------------------------------------------------------------------------


def ticket(build: Build, dock: Dock, by_lb: float, *before: WeighTicket) -> WeighTicket:
    taught = taught_by([one.as_kept() for one in before], dock)
    found = weigh(build, predicted(build) + by_lb * LB, dock, correction=taught.of_masses(hung(build)))
    return ticket_of(found, build, taught, serial="B84-26-017", at=TUESDAY, by="M.S.", looked=("hoses",))


@pytest.mark.parametrize("by_lb", [0.0, 3.0, -11.0, 250.0])
def test_a_kept_ticket_reads_as_it_did_on_the_day(basalt: Build, dock: Dock, by_lb: float) -> None:
    made = ticket(basalt, dock, by_lb)
    assert from_kept(made.as_kept()) == made
    cleared = with_reason(made, "legs measured", at=TUESDAY, by="D.V.")
    assert from_kept(cleared.as_kept()).verdict == "explained"


def test_what_is_predicted_is_build_oil_and_what_was_learned(basalt: Build, dock: Dock) -> None:
    second = ticket(basalt, dock, 0.0, ticket(basalt, dock, 5.0))
    assert second.build + second.oil + second.learned == pytest.approx(second.weighed.predicted)
    assert second.build == pytest.approx(basalt.mass)
    assert second.oil == pytest.approx(oil_mass(basalt))


def test_one_ticket_moves_the_next_prediction_by_about_half_and_many_by_nearly_all(basalt: Build, dock: Dock) -> None:
    first = ticket(basalt, dock, 5.0)
    one = ticket(basalt, dock, 0.0, first)
    many = ticket(basalt, dock, 0.0, *[first] * 20)
    assert 1.5 < pounds(one.learned) < 3.5
    assert 4.5 < pounds(many.learned) < 5.0


def test_a_stopped_blade_teaches_nothing(basalt: Build, dock: Dock) -> None:
    off = ticket(basalt, dock, -30.0)
    assert off.verdict == "stopped"
    assert ticket(basalt, dock, 0.0, off).learned == 0.0


def test_one_ticket_at_the_edge_of_the_band_does_not_hide_a_thinner_wall_in_the_next_blade(
    basalt: Build, dock: Dock
) -> None:
    low = ticket(basalt, dock, -7.0)
    assert low.verdict == "holds"
    assert ticket(basalt, dock, -14.8, low).verdict == "stopped"
