"""Papers of the stockroom, read back by other programs; and the two pictures of stock over days."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

import openpyxl
import pypdf
import pytest

from plowwright.papers import buying_list, content, count_sheet, pdf, svg
from plowwright.papers.content import Paper
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.marks import Label, walk
from plowwright.papers.receiving_sheet import CAUTION, Load, Truck, receiving_sheet
from plowwright.papers.stock_picture import Gap, chart, strip
from plowwright.rulebook.reading import Rulebook, load
from plowwright.shop.stock_book import Arriving, standing
from plowwright.shop.stock_buying import purchases
from plowwright.shop.stock_counting import count_sheet as sheet_of
from plowwright.shop.stock_dates import dated
from plowwright.shop.stock_delivery import Delivery, judge
from plowwright.shop.stock_shortages import Short, Want
from plowwright.units import INCH, speaking

DAY = date(2026, 11, 11)
BLANK = "flat 6 x 1/2 blank, 90 in"
STICK = "stick of tube 3 x 3 x 1/4, 240 in"


@pytest.fixture(scope="module")
def rules(demo_dir: object) -> Rulebook:
    return load(f"{demo_dir}/rulebook")


def read(paper: Paper) -> tuple[str, list[tuple[float, float]]]:
    """All words of a paper and the size of each page [pt]."""
    made = pypdf.PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=paper.pictures,
                                                  data=paper.data)))  # fmt: skip
    sizes = [(round(float(p.mediabox.width)), round(float(p.mediabox.height))) for p in made.pages]
    words = " ".join(" ".join(page.extract_text() for page in made.pages).split())
    return words, sizes  # type: ignore[return-value]


def rows() -> list[object]:
    return [standing(BLANK, {"": 3, "H7": 2}, ()), standing("skid shoe", {"": 8}, ())]


@pytest.mark.parametrize(("paper", "size"), [("us-letter", (612, 792)), ("a4", (595, 842))])
def test_a_count_sheet_has_a_line_for_every_lot_on_both_paper_sizes(
    rules: Rulebook, paper: str, size: tuple[int, int]
) -> None:
    rack = count_sheet.Rack(rows=sheet_of(rows()), shop=rules.shop, on=DAY, mark="event 7", paper=paper)  # type: ignore[arg-type]
    words, sizes = read(count_sheet.count_sheet(rack))
    assert sizes == [size]
    for said in ("Count sheet", "Edge blanks", BLANK, "H7", "Parts in boxes", "skid shoe", "event 7", "page 1 of 1"):
        assert said in words


def test_a_filled_count_sheet_says_what_is_off(rules: Rulebook) -> None:
    filled = sheet_of(rows(), {(BLANK, "H7"): 1, ("skid shoe", ""): 8})  # type: ignore[arg-type]
    words, _ = read(count_sheet.count_sheet(count_sheet.Rack(rows=filled, shop=rules.shop, on=DAY, mark="", by="M.S.")))
    assert "Counted by M.S.: 1 of 2 rows is off." in words and "agrees" in words
    written = write_csv(count_sheet.rows_of(filled), count_sheet.COLUMNS).decode("utf-8-sig")
    assert [BLANK, "H7", "2", "1", "-1", "0"] in list(csv.reader(io.StringIO(written)))


def test_a_receiving_sheet_asks_for_every_size_as_ordered(rules: Rulebook) -> None:
    loads = [Load(item=STICK, count=2, due=DAY, number="7", supplier="the dealer"),
             Load(item=BLANK, count=6, due=DAY), Load(item="skid shoe", count=8, due=DAY),
             Load(item="sheet of plate 1/4, 60 in by 120 in", count=1, due=DAY)]  # fmt: skip
    words, _ = read(receiving_sheet(Truck(loads=loads, book=rules, on=DAY)))
    sizes = ("0.250 in (1/4 in)", "8.81 lb/ft", "every pin of the template", "3-1/2 in, 12 in", "thickness by caliper")
    for said in ("arrival 7, the dealer, due Wed 11 Nov", *sizes, "counted, boxes looked at", CAUTION.split(":")[0]):
        assert said in words
    metric, _ = read(receiving_sheet(Truck(loads=loads, book=rules, on=DAY, system="metric", paper="a4")))
    assert "kg/m" in metric and "lb/ft" not in metric


def test_a_filled_receiving_sheet_says_what_was_refused_and_why(rules: Rulebook) -> None:
    assert rules.dock is not None
    delivery = Delivery(item=STICK, count=2, wall=0.188 * INCH, lot="H12")
    found = judge(delivery, rules, rules.dock)
    load_ = Load(item=STICK, count=2, due=DAY, lot="H12", measured=delivery.words(), found=found)
    words, _ = read(receiving_sheet(Truck(loads=[load_], book=rules, on=DAY)))
    assert "Refused, lot H12. Sent back. Wall 0.188 in" in words and "it measures as tube 3 x 3 x 3/16" in words
    assert "not checked" in words


def test_a_buying_list_says_by_when_for_whom_and_what_is_too_late(rules: Rulebook) -> None:
    short = [Short(want=Want(order="421M", what="x", day=DAY + timedelta(days=6), serves=("skid shoe",), count=2),
                   until=None)]  # fmt: skip
    buys = purchases(short, {"skid shoe": 8}, today=DAY)
    words, _ = read(buying_list.buying_list(buying_list.Buying(rows=buys, shop=rules.shop, on=DAY)))
    assert "1 to order, 1 of them too late for somebody." in words
    assert "skid shoe 2 421M Tue 17 Nov Thu 05 Nov Mon 23 Nov, too late" in words
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx(buying_list.pages_of(buys))))
    assert [cell.value for cell in book.active[2]][:3] == ["skid shoe", 2, "421M"]  # type: ignore[index]


def test_the_strip_names_every_gap_and_hatches_days_nobody_works() -> None:
    gaps = [Gap(order="423P", what="108 in edge", day=DAY, until=DAY + timedelta(days=6)),
            Gap(order="428C", what="a part with a name far too long to be written out before its bar begins here",
                day=DAY, until=None)]  # fmt: skip
    page = strip(gaps, today=DAY, width=180.0, closed=[date(2026, 11, 26)])
    said = [m.text for m in walk(page.marks) if isinstance(m, Label)]
    assert {"423P", "108 in edge", "428C", "Wed 11 Nov", "16 Nov"} <= set(said)
    assert any(one.endswith("...") for one in said)
    assert "<svg" in svg.write(page, title="x", inline=True)


def test_the_chart_writes_what_comes_and_goes_at_its_day() -> None:
    now = standing("90", {"": 3}, [("420A", DAY + timedelta(days=6), 2), ("427S", DAY + timedelta(days=7), 3)])
    days = dated(now, [Arriving(item="90", count=6, due=DAY + timedelta(days=19))], today=DAY)
    said = [m.text for m in walk(chart(days, width=180.0).marks) if isinstance(m, Label)]
    assert {"-2 420A", "-3 427S", "+6", "3", "-2"} <= set(said)


def test_a_metric_receiving_sheet_reads_a_wall_as_a_metric_caliper_does(rules: Rulebook) -> None:
    load_ = Load(item=STICK, count=1, due=DAY)
    asked, _ = read(receiving_sheet(Truck(loads=[load_], book=rules, on=DAY, system="metric", paper="a4")))
    assert "6.35 mm" in asked, "a 1/4 in wall is no 6 mm"
    assert rules.dock is not None
    delivery = Delivery(item=STICK, count=2, wall=0.188 * INCH, lot="H12")
    with speaking("metric"):
        found = judge(delivery, rules, rules.dock)
    filled = Load(item=STICK, count=2, due=DAY, lot="H12", measured=delivery.words(), found=found)
    words, _ = read(receiving_sheet(Truck(loads=[filled], book=rules, on=DAY, system="metric", paper="a4")))
    assert "Wall 4.775 mm, 6.35 mm ordered, 0.635 mm either way allowed" in words


def test_sheets_with_nothing_on_them_say_so(rules: Rulebook) -> None:
    buying = buying_list.buying_list(buying_list.Buying(rows=(), shop=rules.shop, on=DAY))
    assert "No order waits" in read(buying)[0] and "Comes if ordered" not in read(buying)[0]
    assert "Nothing is on its way." in read(receiving_sheet(Truck(loads=[], book=rules, on=DAY)))[0]
    rack = count_sheet.Rack(rows=(), shop=rules.shop, on=DAY, mark="event 7")
    assert "The book has nothing of this to count." in read(count_sheet.count_sheet(rack))[0]


def test_a_group_that_goes_on_overleaf_is_named_there_too(rules: Rulebook) -> None:
    many = sheet_of([standing(f"skid shoe {n}", {"": n}, ()) for n in range(60)])
    rack = count_sheet.Rack(rows=many, shop=rules.shop, on=DAY, mark="event 7")
    paper = count_sheet.count_sheet(rack)
    made = pypdf.PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=paper.pictures,
                                                  data=paper.data)))  # fmt: skip
    assert len(made.pages) > 1
    assert all("Parts in boxes" in page.extract_text() and "Counted" in page.extract_text() for page in made.pages)
