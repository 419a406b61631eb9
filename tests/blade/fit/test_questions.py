"""Questions are computed from what each answer would settle; no list of them stands anywhere."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from plowwright.blade import carriers
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit.questions import next_questions
from plowwright.blade.work import UNTOLD, Work
from plowwright.rulebook.reading import Rulebook

from .callers import caller, metric_caller, tractor


@pytest.fixture(scope="session")
def machines(demo_dir: Path) -> dict[str, Carrier]:
    return carriers.load_all(demo_dir / "carriers")


TOLD = Work(driver="hired", ground="pavement", gate=3.0)
"""Work of which everything is known, so that only the machine is left to ask about."""


def asked(carrier: Carrier, rules: Rulebook, work: Work = UNTOLD, most: int = 3) -> list[str]:
    return [q.fact for q in next_questions(carrier, work, rules, most=most)]


def test_nothing_known_the_first_question_is_what_it_is(demo_rules: Rulebook) -> None:
    assert asked(Carrier(name="a caller"), demo_rules)[0] == "kind"
    assert asked(caller(power="40 hp"), demo_rules)[0] == "kind"


@pytest.mark.parametrize("missing", ["power", "lift", "front_axle_limit", "width"])
def test_the_one_fact_left_out_is_the_one_asked_for_first(demo_rules: Rulebook, missing: str) -> None:
    assert asked(tractor(**{missing: None}), demo_rules, TOLD)[0] == missing


def test_between_rules_who_drives_is_asked_for(demo_rules: Rulebook) -> None:
    machine = tractor(power=("35 hp", "engine"), lift=("1,450 lb", "at pins, full height"))
    assert asked(machine, demo_rules, replace(TOLD, driver=""))[0] == "driver"


def test_a_fact_that_settles_nothing_is_asked_for_where_blades_wait_for_it(demo_rules: Rulebook) -> None:
    """By its weight it has 40 to 50 hp, which asks for one class; still nothing suits before the power is known."""
    only = next_questions(tractor(power=None), TOLD, demo_rules)[0]
    assert only.fact == "power" and only.waits > 0 and "wait" in only.changes


def test_where_everything_is_known_nothing_is_asked(demo_rules: Rulebook) -> None:
    assert asked(tractor(), demo_rules, TOLD) == []


def test_other_machines_are_asked_other_questions(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    """A fixed list would ask all of them the same."""
    sets = {
        tuple(asked(machine, demo_rules))
        for machine in (
            Carrier(name="a caller"),
            caller("tractor", power="40 hp"),
            caller("skid steer", power="66 hp"),
            metric_caller(),
            machines["k7"],
            tractor(lift=None),
        )
    }
    assert len(sets) >= 5


def test_a_fact_of_another_kind_of_machine_is_never_asked_for(demo_rules: Rulebook) -> None:
    skid = asked(caller("skid steer", power="66 hp"), demo_rules, most=20)
    assert "tipping_load" in skid and not {"lift", "front_axle_limit", "pins_ahead", "turn_tipping"} & set(skid)
    assert "turn_tipping" in asked(caller("wheel loader", power="45 hp"), demo_rules, most=20)


def test_what_moves_no_blade_is_not_asked_for(demo_rules: Rulebook) -> None:
    assert not {"flow", "pressure", "couplers", "outlets"} & set(asked(caller("tractor"), demo_rules, most=20))


def test_a_told_number_that_decides_is_asked_for_again_with_its_source(demo_rules: Rulebook) -> None:
    sure = tractor(lift=("1,000 lb", "at pins, full height"))
    shaky = replace(sure, facts=tuple(replace(f, source="told", low=f.low * 0.8, high=f.high * 1.2) if f.name == "lift"
                                      else f for f in sure.facts))  # fmt: skip
    first = next_questions(shaky, TOLD, demo_rules)[0]
    assert first.fact == "lift" and first.again and "plate or the book" in first.ask


def test_questions_come_in_the_order_of_what_they_settle(demo_rules: Rulebook) -> None:
    found = next_questions(caller("tractor", power="40 hp"), UNTOLD, demo_rules, most=20)
    gains = [q.gain for q in found]
    assert gains == sorted(gains, reverse=True) and gains[0] > 0
    for question in found:
        assert 0 <= question.settles <= question.open_now
        assert "open blade" in question.changes or "for it" in question.changes


def test_changing_what_is_usual_changes_what_is_asked(demo_rules: Rulebook) -> None:
    """Were every tractor of one weight equally wide, its width would not be worth a question."""
    rules = demo_rules.fit
    assert rules is not None
    usual = rules.kinds["tractor"]
    one = usual.width.model_copy(update={"low": usual.width.likely, "high": usual.width.likely})
    kinds = {**rules.kinds, "tractor": usual.model_copy(update={"width": one})}
    told = {"fit": rules.model_copy(update={"kinds": kinds})}
    fixed = replace(demo_rules, data=demo_rules.data.model_copy(update=told))
    machine = tractor(width=None)

    def gain(rules: Rulebook) -> float:
        return next(q.gain for q in next_questions(machine, TOLD, rules) if q.fact == "width")

    assert gain(demo_rules) > 1.0 and gain(fixed) == 0.0
