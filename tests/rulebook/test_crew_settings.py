"""Settings of crew.toml: people, hours, places, cure; refused when they cannot be."""

from __future__ import annotations

from datetime import time
from pathlib import Path

import pytest

from plowwright.errors import RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.crew import Crew

from .conftest import Edit
from .test_strength_settings import settings


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


@pytest.fixture
def crew(demo_dir: Path) -> Crew:
    found = load(demo_dir / "rulebook").crew
    assert found is not None
    return found


def hours_a_week(crew: Crew, name: str) -> float:
    one = next(p for p in crew.people if p.name == name)
    minutes = sum(len(s.days) * ((s.end.hour - s.begin.hour) * 60 + s.end.minute - s.begin.minute) for s in one.hours)
    return minutes / 60


def test_the_three_of_the_demo_work_their_hours(crew: Crew) -> None:
    assert [hours_a_week(crew, name) for name in ("R.K.", "D.V.", "M.S.")] == [20.0, 45.0, 25.0]
    assert crew.people[0].hours[0].begin == time(12, 30)


def test_the_demo_has_one_bay_and_four_stands(crew: Crew) -> None:
    assert {p.name: p.count.value for p in crew.places} == {
        "saw": 1, "plasma table": 1, "bench": 2, "paint bay": 1, "stand": 4,
    }  # fmt: skip


def test_paint_cures_in_16_and_36_hours_at_65_and_in_twice_that_at_50(crew: Crew) -> None:
    warm, cold = (65 - 32) / 1.8, (50 - 32) / 1.8
    assert crew.cure.times(warm) == pytest.approx((16 * 3600, 36 * 3600), rel=1e-4)
    assert crew.cure.times(cold) == pytest.approx((32 * 3600, 72 * 3600))
    between = crew.cure.times((warm + cold) / 2)
    assert between[0] == pytest.approx(16 * 3600 * 2**0.5, rel=1e-4)
    assert crew.cure.times(30.0) == crew.cure.times(warm + 1.0)


def test_nobody_knows_how_paint_cures_in_the_cold(crew: Crew) -> None:
    with pytest.raises(ValueError, match=r"no cure is known at .* the coldest row is 50 degF"):
        crew.cure.times(5.0)


def test_every_setting_says_what_it_rests_on(crew: Crew) -> None:
    found = dict(settings(crew))
    assert found
    assert all(len(s.note) >= 8 and s.rests_on for s in found.values())


def test_a_rulebook_without_the_file_stays_valid(copied: Path) -> None:
    (copied / "crew.toml").unlink()
    assert load(copied).crew is None


def test_a_wait_without_a_unit_is_refused(copied: Path, edit: Edit) -> None:
    edit("crew", 'keeps = "1 h"', 'keeps = "1"')
    text = refused(copied)
    assert "crew.toml line" in text and "a number without a unit (given: 1)" in text


def test_hours_that_end_before_they_begin_are_refused(copied: Path, edit: Edit) -> None:
    edit("crew", 'begin = "12:30", end = "16:30"', 'begin = "16:30", end = "12:30"')
    assert "16:30 is not before 12:30" in refused(copied)


def test_a_time_of_day_that_is_none_is_refused(copied: Path, edit: Edit) -> None:
    edit("crew", 'begin = "12:30"', 'begin = "half past"')
    assert "write 07:30" in refused(copied)


def test_work_nobody_knows_is_refused(copied: Path, edit: Edit) -> None:
    edit("crew", '"saw", "plate_and_drill", "fit_and_weld", "clean"]', '"saw", "forge"]')
    assert "forge" in refused(copied)


def test_a_station_that_is_not_there_is_refused(copied: Path, edit: Edit) -> None:
    edit("crew", 'saw = { station = "saw" }', 'saw = { station = "band saw" }')
    assert "band saw, which is none of: bench, paint bay" in refused(copied)


def test_cure_that_is_longer_in_the_warm_is_refused(copied: Path, edit: Edit) -> None:
    edit("crew", 'handle = "16 h"', 'handle = "40 h"')
    assert "the warmer the shorter" in refused(copied)
