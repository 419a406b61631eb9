"""Lessons: failures against winters from the records, and rule changes with reason and effects."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk
from plowwright.desk.lessons import Lessons
from plowwright.desk.lives import Lives
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook import load
from plowwright.shop.service_changes import effects, in_groups
from plowwright.units import INCH

CHANGE = date(2026, 9, 1)


def test_failures_are_held_against_the_winters_of_every_blade(shop: Desk) -> None:
    rows = {row.name: row for row in Lessons(shop).groups("place")}
    assert rows["leg to hinge beam"].failures == 4 and rows["web foot, outer"].failures == 4
    whole = rows["leg to hinge beam"].exposure
    assert whole == sum(row.exposure for row in Lessons(shop).groups("class")) > 150
    assert {row.verdict for row in rows.values()} == {"cannot be told apart"}
    assert sum(row.failures for row in Lessons(shop).groups("carrier kind")) == 11


def test_a_failure_that_was_put_right_is_not_counted(shop: Desk) -> None:
    lives, lessons = Lives(shop), Lessons(shop)
    before = {row.name: row.failures for row in lessons.groups("class")}
    wrong = lives.write(hand("R.K.", "1"), "F84-21-063", "failure", "crack", place="king pin")
    assert {row.name: row.failures for row in lessons.groups("class")}["Flint"] == before["Flint"] + 1
    lives.write(hand("R.K.", "2"), "F84-21-063", "note", "a scratch in the paint", replaces=wrong["chapter"])
    assert {row.name: row.failures for row in lessons.groups("class")} == before


def test_a_change_of_rules_tells_what_it_does_to_every_blade(shop: Desk) -> None:
    (change,) = Lessons(shop).changes()
    assert (change.day, change.before) == (CHANGE, date(2022, 3, 1)) and "Basalt goes to 120 in" in change.reason
    rows = {(one.series, round(one.width / INCH)): one for one in change.effects}
    assert rows[("Basalt", 120)].only == "since" and rows[("Basalt", 114)].only == "since"
    assert rows[("Flint", 84)].other_holes and rows[("Flint", 84)].mass > 1.0 and rows[("Flint", 84)].price > 100.0
    assert any(line.startswith("Basalt 114 to 120 in: built only since the change") for line in change.lines)


def test_the_same_rules_change_nothing_and_one_wall_changes_what_it_is_in(demo_dir: Path, tmp_path: Path) -> None:
    now = load(demo_dir / "rulebook")
    assert effects(now, now) == () and in_groups(()) == ()
    folder = tmp_path / "rulebook"
    shutil.copytree(demo_dir / "rulebook", folder, ignore=shutil.ignore_patterns("past"))
    text = (folder / "series.toml").read_text(encoding="utf-8")
    was = 'leg = "tube 3 x 3 x 1/4"'
    assert was in text
    (folder / "series.toml").write_text(text.replace(was, 'leg = "tube 2-1/2 x 2-1/2 x 3/16"'), encoding="utf-8")
    found = effects(now, load(folder))
    assert {one.series for one in found} == {"Basalt"} and all(one.mass < -1.0 for one in found)
    assert not any(one.other_holes or one.only for one in found)


def test_a_rule_change_is_written_down_with_its_reason_its_effects_and_the_failures_it_answers(
    either_shop: Desk,
) -> None:
    lessons = Lessons(either_shop)
    told = (CHANGE, "legs cracked at the hinge beam on wide Basalts")
    done = lessons.write(hand("R.K.", "1"), *told, answers=["leg to hinge beam"])
    assert done == lessons.write(hand("R.K.", "1"), *told, answers=["leg to hinge beam"])
    assert done["said"] == "The rule change of 01 Sep 2026 is written down with 26 effects."
    (written,) = lessons.written()
    assert written.reason == told[1] and written.by == "R.K." and len(written.lines) > 5
    assert written.before.failures == 4 and written.since.failures == 0
    assert written.since.text == "built since: no winter yet, so nothing can be told"


def test_a_change_without_reason_of_no_day_or_for_no_failure_is_refused(shop: Desk) -> None:
    lessons = Lessons(shop)
    with pytest.raises(NotFoundError, match=r"no change of rules on that day.*On file: 2026-09-01"):
        lessons.write(hand("R.K.", "1"), date(2025, 1, 1), "because it was time")
    with pytest.raises(EntryError, match="a rule change has a reason"):
        lessons.write(hand("R.K.", "1"), CHANGE, "so")
    with pytest.raises(EntryError, match=r"no failure was noted at that place.*king pin"):
        lessons.write(hand("R.K.", "1"), CHANGE, "because it was time", answers=["king pin"])
    assert lessons.written() == ()
