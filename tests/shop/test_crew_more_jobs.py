"""Refits and spares as jobs of the crew plan, and what the records say is done."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from plowwright.errors import PlanInputError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refit import Job as RefitWork
from plowwright.shop.crew_jobs import Arrival, blade_job, calendar_of, crew_of
from plowwright.shop.crew_more_jobs import (
    TAKE_IN,
    AtIt,
    due_soon,
    known_operation,
    recorded,
    refit_job,
    spares_job,
    worked,
)
from plowwright.shop.crewplan import plan

HOUR = 3600.0
NOW = datetime(2026, 11, 11, 8)
BLADE = Arrival(operation=TAKE_IN, what="the blade", on=date(2026, 12, 1))


def works(*rows: tuple[str, str, float]) -> list[RefitWork]:
    return [
        RefitWork.model_validate(
            {"when": when, "work": work, "time": f"{time} h", "rests_on": "assumed", "note": "as in refit.toml"}
        )
        for when, work, time in rows
    ]


MOUNT = works(("always", "assemble", 1.5), ("always", "test_and_weigh", 1), ("mount", "saw", 0.25),
              ("mount", "plate_and_drill", 1), ("mount", "fit_and_weld", 3), ("mount", "clean", 0.5),
              ("mount", "paint", 0.75), ("mount", "assemble", 1), ("hoses", "assemble", 0.5))  # fmt: skip


def test_a_refit_is_taken_in_when_its_blade_is_here_and_fitted_after_it(demo_rules: Rulebook) -> None:
    job = refit_job(demo_rules, "430W", MOUNT, date(2026, 12, 10), blade_comes=BLADE)
    ops = {op.name: op for op in job.operations}
    assert list(ops) == ["take in", "saw", "plate and drill", "fit and weld", "clean", "paint", "assemble",
                         "test and weigh"]  # fmt: skip
    assert ops["take in"].not_before == datetime(2026, 12, 1) and ops["take in"].waits_for == "the blade"
    assert {a.operation for a in ops["fit and weld"].after} == {"take in", "saw", "plate and drill"}
    assert ops["assemble"].time == 1.5 * HOUR and ops["assemble"].after[0].lag == pytest.approx(16 * HOUR, rel=1e-6)
    assert job.holds == "stand" and job.holds_from == "paint"


def test_a_refit_of_hoses_alone_is_neither_painted_nor_cured(demo_rules: Rulebook) -> None:
    job = refit_job(demo_rules, "430W", [MOUNT[0], MOUNT[1], MOUNT[8]], None, blade_comes=BLADE)
    assert [op.name for op in job.operations] == ["take in", "assemble", "test and weigh"]
    assert [(a.operation, a.lag) for a in job.operations[1].after] == [("take in", 0.0)]
    assert job.ready == () and job.holds == ""


def test_a_planned_refit_stands_still_until_its_blade_comes(demo_rules: Rulebook) -> None:
    job = refit_job(demo_rules, "430W", MOUNT, date(2026, 12, 10), blade_comes=BLADE)
    made = plan([job], crew_of(demo_rules), calendar_of(demo_rules, NOW), (), 5.0, steps=50)
    rows = {a.operation: a for a in made.assignments}
    assert rows["take in"].begin >= datetime(2026, 12, 1) and rows["fit and weld"].begin >= rows["take in"].end
    assert made.promise("430W").cause == "take in waits for the blade, due Tue 1 Dec"


def test_a_refit_with_nothing_to_do_and_a_part_for_nothing_are_refused(demo_rules: Rulebook) -> None:
    with pytest.raises(PlanInputError, match="a refit with nothing to do"):
        refit_job(demo_rules, "430W", [], None)
    with pytest.raises(PlanInputError, match=r"arrives for an operation this refit has not.*paint.*take_in"):
        refit_job(demo_rules, "430W", [MOUNT[0]], None,
                  arrivals=[Arrival(operation="paint", what="graphite", on=date(2026, 11, 20))])  # fmt: skip


def test_spares_are_packed_when_the_last_part_is_here(demo_rules: Rulebook) -> None:
    parts = [Arrival(operation="pack", what="spring pair", on=date(2026, 11, 12)),
             Arrival(operation="pack", what="seal kit", on=date(2026, 11, 18))]  # fmt: skip
    job = spares_job(demo_rules, "431G", date(2026, 11, 11), arrivals=parts)
    (pack,) = job.operations
    assert pack.time == 0.5 * HOUR and pack.not_before == datetime(2026, 11, 18) and pack.waits_for == "seal kit"
    assert job.due == datetime(2026, 11, 11, 16, 30)
    assert spares_job(demo_rules, "431G", None).operations[0].not_before is None


def test_a_part_that_should_have_come_is_looked_for_tomorrow_and_says_since_when() -> None:
    late = Arrival(operation="assemble", what="its edge", on=date(2026, 11, 6))
    found = due_soon(late, NOW.date())
    assert found.on == date(2026, 11, 12) and found.what == "its edge (should have come Fri 6 Nov)"
    assert due_soon(BLADE, NOW.date()) is BLADE


def test_cure_runs_from_the_moment_the_paint_was_really_done(demo_rules: Rulebook) -> None:
    job = blade_job(demo_rules, "419T", "reed", datetime(2026, 11, 13, 7))
    people, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    painted = datetime(2026, 11, 10, 15)
    begun = recorded(job, {"paint": painted}, (), people, calendar)
    assert {s.operation for s in begun} == {"saw", "plate and drill", "fit and weld", "clean", "paint"}
    made = plan([job], people, calendar, begun, 5.0, steps=50)
    assert made.promise("419T").done >= painted + timedelta(hours=36)
    rows = {a.operation: a for a in made.assignments}
    assert rows["assemble"].begin >= painted + timedelta(hours=16)


def test_what_must_come_before_is_done_too_and_ended_no_later(demo_rules: Rulebook) -> None:
    job = blade_job(demo_rules, "420A", "flint", None)
    welded = datetime(2026, 11, 10, 12)
    begun = recorded(job, {"fit_and_weld": welded, "saw": datetime(2026, 11, 9, 9)}, (), crew_of(demo_rules),
                     calendar_of(demo_rules, NOW))  # fmt: skip
    ends = {s.operation: s.ended for s in begun}
    assert ends == {"saw": datetime(2026, 11, 9, 9), "plate and drill": welded, "fit and weld": welded}


def test_hours_worked_since_it_was_begun_are_taken_off_what_is_left(demo_rules: Rulebook) -> None:
    job = blade_job(demo_rules, "418K", "basalt", None)
    people, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    at = AtIt(operation="fit_and_weld", person="D.V.", begun=datetime(2026, 11, 10, 13))
    (one,) = [s for s in recorded(job, {}, [at], people, calendar) if s.ended is None]
    assert one.left == (12 - 3.5 - 1) * HOUR and not one.hand_over
    said = AtIt(operation="fit_and_weld", person="D.V.", begun=datetime(2026, 11, 10, 13), left=3 * HOUR)
    assert recorded(job, {}, [said], people, calendar)[-1].left == 3 * HOUR
    long = AtIt(operation="fit_and_weld", person="D.V.", begun=datetime(2026, 11, 2, 7))
    assert recorded(job, {}, [long], people, calendar)[-1].left == calendar.slot


def test_what_a_stranger_began_may_be_finished_by_whoever_can(demo_rules: Rulebook) -> None:
    job = blade_job(demo_rules, "418K", "basalt", None)
    people, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    begun = recorded(job, {}, [AtIt(operation="fit_and_weld", person="a helper", begun=NOW)], people, calendar)
    made = plan([job], people, calendar, begun, 5.0, steps=50)
    assert next(a.person for a in made.assignments if a.operation == "fit and weld") in ("R.K.", "D.V.")


def test_work_that_is_no_part_of_the_job_is_refused(demo_rules: Rulebook) -> None:
    job = spares_job(demo_rules, "431G", None)
    with pytest.raises(PlanInputError, match=r"431G: .*no part of the job .given: saw.; limit: pack"):
        recorded(job, {"saw": NOW}, (), crew_of(demo_rules), calendar_of(demo_rules, NOW))
    with pytest.raises(PlanInputError, match=r"no operation of a blade.*polish"):
        known_operation("polish")
    assert known_operation("Fit and weld") == "fit_and_weld"


def test_somebodys_own_hours_leave_out_lunch_nights_and_closed_days(demo_rules: Rulebook) -> None:
    people, calendar = crew_of(demo_rules), calendar_of(demo_rules, NOW)
    fitter = next(p for p in people.people if p.name == "D.V.")
    assert worked(fitter, datetime(2026, 11, 25, 16), datetime(2026, 11, 27, 8), calendar) == 1.5 * HOUR
    assert worked(fitter, NOW, NOW, calendar) == 0.0
