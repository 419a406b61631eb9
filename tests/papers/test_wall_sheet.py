"""The papers of the crew plan, read back from the PDF, and the plan drawn."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

from plowwright import rulebook
from plowwright.papers import content, pdf, svg
from plowwright.papers.crew_chart import CrewChart, crew_chart, cures_of, mark_picture
from plowwright.papers.marks import Group
from plowwright.papers.marks import Path as Path_
from plowwright.papers.wall_sheet import MARKS, CrewPaper, WallRow, chart_sheet, wall_sheet, week_sheet
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_jobs import blade_job, calendar_of, crew_of, so_far
from plowwright.shop.crew_model import Away
from plowwright.shop.crew_plan import Assignment, CrewPlan
from plowwright.shop.crewplan import plan

NOW = datetime(2026, 11, 11, 8)


@pytest.fixture(scope="module")
def demo_rules(demo_dir: Path) -> Rulebook:
    return rulebook.load(demo_dir / "rulebook")


@pytest.fixture(scope="module")
def planned(demo_rules: Rulebook) -> CrewPlan:
    jobs = [blade_job(demo_rules, "418K", "basalt", datetime(2026, 11, 13, 7), rush=True),
            blade_job(demo_rules, "420A", "flint", date(2026, 11, 20))]  # fmt: skip
    started = so_far(jobs[0], "cut", NOW, person="D.V.", left=3 * 3600.0)
    return plan(jobs, crew_of(demo_rules), calendar_of(demo_rules, NOW), started, 5.0, steps=30)


@pytest.fixture(scope="module")
def sheet(demo_rules: Rulebook, planned: CrewPlan) -> CrewPaper:
    return CrewPaper(shop=demo_rules.shop, plan=planned, mark="1a2b-3c4d", released=True, now=NOW)


def read(paper: content.Paper) -> PdfReader:
    body = pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data)
    return PdfReader(io.BytesIO(body))


def row(number: str, mark: str = "safe", notches: int = 2) -> WallRow:
    return WallRow(number=number, who="T.B.", what="Basalt 84 in", notches=notches, state="welding",
                   promise="Fri 13 Nov 07:00", mark=mark, waits="assemble waits for its edge, 108 in, due Tue 17 Nov",
                   in_hand="11 days late" if mark == "late" else "4 days in hand")  # fmt: skip


def test_fifteen_orders_fit_on_one_sheet_that_lies_on_its_long_side(sheet: CrewPaper) -> None:
    marks = ["late", "tight", "needs a night", *["safe"] * 12]
    numbers = [f"{400 + at}K" for at in range(15)]
    found = read(wall_sheet(sheet, [row(n, m) for n, m in zip(numbers, marks, strict=True)],
                            ["431G: nobody knows when these come: 84 in edge of flat 6 x 1/2."] * 5))  # fmt: skip
    assert len(found.pages) == 1
    box = found.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((792, 612), abs=1)
    text = found.pages[0].extract_text()
    assert all(n in text for n in numbers) and "400K late." in text and "needs a night" in text
    assert "released plan" in text and "1a2b-3c4d" in text and "page 1 of 1" in text and "nobody knows" in text


def test_a_week_lists_each_day_of_one_person_with_what_goes_on_over_night(sheet: CrewPaper) -> None:
    found = read(week_sheet(sheet, "D.V.", {"418K": "Basalt 84 in"}, first=NOW.date()))
    text = "".join(page.extract_text() for page in found.pages)
    assert "D.V." in text and "Wednesday 11 November" in text and "418K" in text and "fit and weld" in text
    assert "R.K." not in text
    other = read(week_sheet(sheet, "M.S.", {}, first=date(2027, 3, 1)))
    assert "Nothing is planned for these days." in other.pages[0].extract_text()


def chart_of(rules: Rulebook, planned: CrewPlan, **more) -> CrewChart:
    return CrewChart(plan=planned, crew=crew_of(rules, more.pop("away", None)), first=NOW.date(), days=14,
                     now=NOW, cures=cures_of(planned, 36 * 3600.0), **more)  # fmt: skip


def test_every_operation_within_the_days_has_its_bar_with_person_and_time(
    demo_rules: Rulebook, planned: CrewPlan
) -> None:
    drawn = svg.write(crew_chart(chart_of(demo_rules, planned)), title="x")
    for one in planned.assignments:
        if one.person and one.end > NOW:
            assert f"{one.job}, {one.operation}, {one.person}:" in drawn
    assert drawn.count("paint cures from") == 2 and "promise-418K" in drawn and "Sat 14" not in drawn


def test_bars_stand_in_the_order_of_their_times(demo_rules: Rulebook, planned: CrewPlan) -> None:
    picture = crew_chart(chart_of(demo_rules, planned))
    bars = {
        mark.title: min(v[0] for v in one.vertices)
        for mark in picture.marks
        if isinstance(mark, Group) and ", D.V.:" in mark.title
        for one in mark.marks[:1]
        if isinstance(one, Path_)
    }
    own = [a for a in sorted(planned.of("D.V."), key=lambda a: a.begin) if a.end > NOW]
    places = [next(x for title, x in bars.items() if title.startswith(f"{a.job}, {a.operation},")) for a in own]
    assert len(places) >= 3 and places == sorted(places)


def test_somebody_away_is_drawn_over_what_stands_still(demo_rules: Rulebook, planned: CrewPlan) -> None:
    away = {"D.V.": [Away(begin=NOW + timedelta(days=1), end=NOW + timedelta(days=2), why="sick")]}
    assert "D.V. sick" in svg.write(crew_chart(chart_of(demo_rules, planned, away=away)), title="x")


def test_the_marks_are_told_apart_by_where_their_bar_ends(sheet: CrewPaper) -> None:
    drawn = {mark: svg.write(mark_picture(mark), title="x") for mark in MARKS}
    assert len(set(drawn.values())) == len(MARKS)


def test_the_plan_drawn_is_one_sheet_with_two_pictures(
    demo_rules: Rulebook, planned: CrewPlan, sheet: CrewPaper
) -> None:
    charts = [chart_of(demo_rules, planned, width=250.0)] * 2
    found = read(chart_sheet(sheet, charts))
    assert len(found.pages) == 1 and "Who does what" in found.pages[0].extract_text()


def test_a_promise_from_before_the_second_fortnight_has_no_flag_on_it(demo_rules: Rulebook, planned: CrewPlan) -> None:
    later = replace(chart_of(demo_rules, planned), first=NOW.date() + timedelta(days=14))
    assert "promise-418K" in svg.write(crew_chart(chart_of(demo_rules, planned)), title="x")
    assert "promise-" not in svg.write(crew_chart(later), title="x")


def test_what_ends_as_the_shop_opens_is_no_work_of_that_day(sheet: CrewPaper) -> None:
    friday, monday = datetime(2026, 11, 13, 12), datetime(2026, 11, 16, 7, 30)
    rows = [
        Assignment(job="421M", operation="fit and weld", person="D.V.", begin=friday, end=monday, overtime=1800.0),
        Assignment(job="428C", operation="saw", person="D.V.", begin=monday, end=datetime(2026, 11, 16, 9)),
    ]
    paper = week_sheet(replace(sheet, plan=replace(sheet.plan, assignments=tuple(rows))), "D.V.", {}, first=NOW.date())
    days = {day["day"]: [(r["number"], r["to"], r["evening"]) for r in day["rows"]] for day in paper.data["days"]}
    assert days == {"Friday 13 November": [("421M", "day's end", True)],
                    "Monday 16 November": [("428C", "09:00", False)]}  # fmt: skip
