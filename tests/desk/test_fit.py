"""The answer on the phone as the page and the command say it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.work import Work
from plowwright.desk.desk import Desk
from plowwright.desk.fit import FitDesk
from plowwright.units.constants import INCH

DAY = date(2026, 11, 11)


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.demo()


@pytest.fixture(scope="module")
def fit(desk: Desk) -> FitDesk:
    return FitDesk(desk.rulebook)


def machine(desk: Desk, name: str) -> Carrier:
    found = desk.strength.carrier(name)
    assert found is not None
    return found


def horse() -> Carrier:
    return Carrier(name="a caller").learn(fact("power", "40 hp", source="told", on=DAY))


def test_each_series_and_width_has_one_row_and_tells_its_other_mounts(desk: Desk, fit: FitDesk) -> None:
    answer = fit.answer(machine(desk, "K1"))
    assert len(answer.rows) == 26 == len({row.name for row in answer.rows})
    assert sum(answer.counts.values()) == 26
    first = answer.best
    assert first.mount == "pin-on plate" and first.other_mounts == ("hook plate",)


def test_the_price_is_the_lists_with_mount_and_the_hoses_of_its_couplers(desk: Desk, fit: FitDesk) -> None:
    """Reed 60 in: 1,720 and two steps of 48; pin-on 255; poppet hoses 149."""
    row = next(r for r in fit.answer(machine(desk, "K1")).rows if r.name == "Reed 60 in" and r.option.mount == "pin-on")
    assert row.price == 1720 + 2 * 48 + 255 + 149 and row.option.build.spec.hoses == "poppet"
    assert row.price_said == "USD 2,220"


def test_a_forty_horse_still_gets_a_price_range_at_once(fit: FitDesk) -> None:
    answer = fit.answer(horse())
    assert answer.lowest is not None and answer.highest is not None and 1700 < answer.lowest < answer.highest < 4000
    assert "without extras" in answer.prices and answer.counts["suits"] == 0
    assert len(answer.questions) == 3 and answer.questions[0].fact == "kind"


def test_the_range_narrows_as_facts_come_in(desk: Desk, fit: FitDesk) -> None:
    def span(carrier: Carrier) -> float:
        answer = fit.answer(carrier)
        assert answer.lowest is not None and answer.highest is not None
        return answer.highest - answer.lowest

    assert span(horse()) > span(machine(desk, "K1"))


def test_where_nothing_suits_no_price_is_made_up(desk: Desk, fit: FitDesk) -> None:
    answer = fit.answer(machine(desk, "K5"), Work(gate=40 * INCH))
    assert answer.lowest is None and "Nothing of the range suits" in answer.prices
    assert answer.counts["does not suit"] == 26


def test_metric_callers_hear_kilograms_and_millimetres(desk: Desk, fit: FitDesk) -> None:
    answer = fit.answer(machine(desk, "K7"), system="metric")
    assert " kg" in answer.best.bites and " lb" not in answer.best.reason and " mm" in answer.best.name
    assert " kW with " in answer.asks


def test_the_same_enquiry_is_answered_from_memory_until_more_is_known(desk: Desk) -> None:
    fit = FitDesk(desk.rulebook)
    one = fit.answer(machine(desk, "K6"))
    assert fit.answer(machine(desk, "K6")) is one
    assert fit.answer(machine(desk, "K6"), Work(driver="hired")) is not one


def test_strength_is_said_not_to_be_looked_at_until_it_was(desk: Desk) -> None:
    fit = FitDesk(desk.rulebook)
    before = fit.answer(machine(desk, "K6"))
    assert before.best.strength == "not looked at yet" and "not looked at yet" in before.strength
    told: list[str] = []
    fit.look_at_strength([before.best.option.build], told.append)
    after = fit.answer(machine(desk, "K6"))
    assert told == [before.best.option.build.name]
    assert "first yields at" in after.best.strength and "brings" in after.best.strength
    assert "1 of 26 blades" in after.strength
    fit.look_at_strength([before.best.option.build], told.append)
    assert len(told) == 1


def test_the_answer_for_a_machine_has_everything_the_page_shows(desk: Desk, fit: FitDesk) -> None:
    answer = fit.answer(machine(desk, "K7")).as_dict()
    assert answer["between_rules"] and "Who drives" in answer["decides"]
    first = answer["blades"][0]
    assert {"name", "verdict", "reason", "bites", "price", "chance", "mass_lb", "clear_width_in"} <= set(first)
    assert {"fact", "ask", "why", "changes"} <= set(answer["questions"][0])
    assert any("not the work of a licensed engineer" in text for text in answer["cautions"])


def test_what_the_hydraulics_add_are_notes_and_change_no_verdict(desk: Desk, fit: FitDesk) -> None:
    """K8 runs 3,200 psi: a rod side shut off by a coupler not pushed home goes over the cylinder's rating."""
    answer = fit.answer(machine(desk, "K8"))
    notes = fit.notes(answer.best, machine(desk, "K8"))
    assert any(note.startswith("pressure on the rod side, cylinder") for note in notes)
    assert answer.best.verdict == "suits"
    assert fit.notes(answer.best, machine(desk, "K8"), "metric")[0] != notes[0]
    assert fit.notes(fit.answer(horse()).best, horse()) == ()


def test_without_couplers_told_the_price_range_spans_the_hose_choices(desk: Desk, fit: FitDesk) -> None:
    known = machine(desk, "K6")
    untold = replace(known, facts=tuple(f for f in known.facts if f.name != "couplers"))
    sure, open_ = fit.answer(known), fit.answer(untold)
    assert sure.lowest is not None and open_.lowest is not None and open_.lowest < sure.lowest
