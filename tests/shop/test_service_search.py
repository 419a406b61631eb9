"""Finding a blade by scraps, on the demo's past serials."""

from __future__ import annotations

import json
import tomllib
from datetime import date
from math import log2
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright import units
from plowwright.blade.build import work_out
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.service_marks import SCRAPS, Marks, likelihood, marks_from_dict, marks_of
from plowwright.shop.service_past import Past, past_from_dict
from plowwright.shop.service_search import ASKS, Scraps, find
from plowwright.units import INCH


@pytest.fixture(scope="module")
def entries(demo_dir: Path) -> dict[str, Any]:
    return tomllib.loads((demo_dir / "serials-past.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def past(entries: dict[str, Any]) -> list[Past]:
    return [past_from_dict(entry) for entry in entries["blades"]]


@pytest.fixture(scope="module")
def on_file(past: list[Past], demo_rules: Rulebook) -> list[Marks]:
    return [
        marks_of(work_out(p.spec, demo_rules, level=0), serial=p.serial, built=p.built, colour=p.colour,
                 phone=p.phone_ends, owner=p.life.owner)
        for p in past
    ]  # fmt: skip


def scraps(told: dict[str, Any]) -> Scraps:
    read: dict[str, Any] = {}
    for key, value in told.items():
        if key == "gaps":
            read[key] = tuple(units.si(one, "length") for one in value)
        else:
            read[key] = units.si(value, "length") if key in ("width", "bore") else value
    return Scraps(**read)


def test_some_forty_blades_are_on_the_list_and_every_serial_agrees_with_its_blade(past: list[Past]) -> None:
    assert 38 <= len(past) <= 45
    assert len({p.serial for p in past}) == len(past)
    assert min(p.built.year for p in past) == 2019
    assert "F84-21-063" in {p.serial for p in past}


def test_running_numbers_rise_with_the_day_of_each_year(past: list[Past]) -> None:
    for year in {p.built.year for p in past}:
        rows = sorted((p.built, int(p.serial[-3:])) for p in past if p.built.year == year)
        assert [number for _, number in rows] == sorted(number for _, number in rows)


def test_each_of_the_four_calls_finds_its_blade_first(entries: dict[str, Any], on_file: list[Marks]) -> None:
    assert len(entries["trials"]) == 4
    for trial in entries["trials"]:
        found = find(scraps(trial["scraps"]), on_file)
        assert found.candidates[0].marks.serial == trial["serial"]
        assert found.candidates[0].chance > 0.7


def test_the_question_asked_first_settles_the_orange_blade(entries: dict[str, Any], on_file: list[Marks]) -> None:
    trial = entries["trials"][1]
    before = find(scraps(trial["scraps"]), on_file)
    assert before.questions[0].key == "year"
    after = find(scraps({**trial["scraps"], "year": 2020}), on_file)
    assert after.candidates[0].chance > 0.95 > before.candidates[0].chance
    assert after.text.startswith("It is B108-20-071, Basalt 108 in (")


def test_one_wrong_scrap_does_not_throw_the_right_blade_out(on_file: list[Marks]) -> None:
    told = {"width": "84 in", "springs": 2, "phone_ends": "4471", "year": 2021, "colour": "blue"}
    found = find(scraps(told), on_file)
    assert found.candidates[0].marks.serial == "F84-21-063"
    assert found.candidates[0].against == ("colour blue, on file fern green",)


def test_a_blade_that_is_not_on_file_is_said_to_be_so(on_file: list[Marks]) -> None:
    found = find(scraps({"width": "40 in", "pins": 6, "notches": 5, "colour": "pink", "year": 2010}), on_file)
    assert found.text.startswith("Most likely not on file")


def test_gaps_read_from_either_end_are_the_same(on_file: list[Marks]) -> None:
    marks = Marks(serial="X", width=1.0, gaps=(0.1, 0.2, 0.3), bore=0.05, pins=2, springs=2, notches=1, mount="plate",
                  colour="green", phone_ends="", year=2020)  # fmt: skip
    assert likelihood("gaps", (0.1, 0.2), marks) == likelihood("gaps", (0.3, 0.2), marks) == pytest.approx(1.0)
    assert likelihood("gaps", (0.2, 0.1), marks) < 0.05


def test_chances_add_up_and_doubt_is_that_of_the_list(on_file: list[Marks]) -> None:
    found = find(Scraps(colour="fern green"), on_file, most=len(on_file))
    chances = [c.chance for c in found.candidates]
    assert sum(chances) + found.none == pytest.approx(1.0, abs=0.01)
    assert found.doubt <= log2(len(on_file) + 1)


@given(st.sampled_from(sorted(ASKS)), st.data())
def test_telling_the_truth_never_makes_the_right_blade_less_likely(
    on_file: list[Marks], key: str, data: st.DataObject
) -> None:
    marks = data.draw(st.sampled_from(on_file))
    before = find(Scraps(width=marks.width), on_file, most=99)
    value = marks.gaps[:3] if key == "gaps" else getattr(marks, key)
    if key == "width" or value == "":
        return
    after = find(Scraps(**{"width": marks.width, key: value}), on_file, most=99)
    chance = {c.marks.serial: c.chance for c in before.candidates}[marks.serial]
    assert {c.marks.serial: c.chance for c in after.candidates}[marks.serial] >= chance - 1e-9


def test_no_question_that_splits_nothing_is_asked(on_file: list[Marks]) -> None:
    found = find(Scraps(width=84 * INCH), on_file)
    gains = [q.gain for q in found.questions]
    assert gains == sorted(gains, reverse=True)
    assert "width" not in {q.key for q in found.questions}
    assert all(0 < gain <= found.doubt + 0.01 for gain in gains)


def test_the_best_question_is_worth_more_than_an_idle_one(on_file: list[Marks]) -> None:
    twins = [m for m in on_file if m.serial in ("F84-21-063", "F84-21-048")]
    found = find(Scraps(width=84 * INCH), twins)
    assert found.questions[0].key == "phone_ends"
    assert {q.key for q in found.questions} == {"phone_ends"}


def test_marks_are_kept_and_read_back(on_file: list[Marks]) -> None:
    assert [marks_from_dict(json.loads(json.dumps(m.as_dict()))) for m in on_file] == on_file
    with pytest.raises(EntryError, match=r"not the marks of a blade.*bore"):
        marks_from_dict({k: v for k, v in on_file[0].as_dict().items() if k != "bore"})


def test_nothing_told_or_nothing_on_file_is_refused(on_file: list[Marks]) -> None:
    with pytest.raises(EntryError, match=r"nothing to search by.*width"):
        find(Scraps(), on_file)
    with pytest.raises(EntryError, match=r"no blade is on file"):
        find(Scraps(width=2.0), [])


ENTRY: dict[str, Any] = {
    "serial": "F84-21-063", "built": date(2021, 11, 18), "customer": "L.K.",
    "spec": {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "none"},
}  # fmt: skip


def test_a_serial_that_says_another_blade_than_its_spec_is_refused() -> None:
    with pytest.raises(EntryError, match=r"serial and blade do not agree.*F48-21-063.*F84-21-"):
        past_from_dict({**ENTRY, "serial": "F48-21-063"})
    with pytest.raises(EntryError, match=r"not a serial number.*Write it as F84-21-063"):
        past_from_dict({**ENTRY, "serial": "flint 84"})


def test_a_line_of_the_list_that_cannot_be_read_names_the_blade_and_the_field() -> None:
    with pytest.raises(EntryError, match=r"serials-past.toml, F84-21-063: no such field.*owner_shoe_size"):
        past_from_dict({**ENTRY, "owner_shoe_size": 44})
    with pytest.raises(EntryError, match=r"F84-21-063, built: not a day.*2021-11-18"):
        past_from_dict({**ENTRY, "built": "last autumn"})
    with pytest.raises(EntryError, match=r"F84-21-063, chapter 1: not a day"):
        past_from_dict({**ENTRY, "chapters": [{"kind": "edge", "day": "soon", "said": "turned"}]})
    with pytest.raises(EntryError, match=r"not complete: built, spec"):
        past_from_dict({"serial": "F84-21-063"})


def test_every_scrap_can_be_asked_for() -> None:
    assert tuple(ASKS) == SCRAPS
