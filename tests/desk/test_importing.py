"""Lists brought in: read forgivingly, audited with codes, written as one or not at all, listed again the same."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook as Book

from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk
from plowwright.desk.import_rows import CODES, Noted
from plowwright.desk.importing import DryRun, Importing
from plowwright.desk.opening import open_records
from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.orders_numbers import with_letter
from plowwright.store import checking
from plowwright.store import records as r

WHEN = datetime(2026, 11, 11, 8)
HEAD = (
    "number,customer,phone,carrier,carrier kind,series,width,mount,hoses,outlets,extras,due,state,price,deposit paid\n"
)
GOOD = (
    '433X,Y.B.,5550140,K7,skid steer,basalt,84 in,loader,flat-face,left,shoes,2026-12-10,order,"USD 3,027",USD 500\n'
)
"""The check letter of 433 is put in by `good`."""


def good(row: str = GOOD) -> str:
    return row.replace("433X", with_letter(433))


@pytest.fixture
def bare(shop: Desk, tmp_path: Path) -> Iterator[Desk]:
    """A desk with the same rules and empty records."""
    with open_records(tmp_path / "empty") as book:
        book.keep_time_by(lambda: WHEN)
        yield Desk(shop.rulebook.folder, records=book)


def dry(desk: Desk, kind: str, text: str | bytes, name: str = "list.csv") -> DryRun:
    return Importing(desk).dry_run(kind, text.encode() if isinstance(text, str) else text, name)


def really(desk: Desk, kind: str, text: str | bytes, name: str = "list.csv", who: str = "R.K.") -> dict[str, Any]:
    return Importing(desk).really(hand(who), kind, text.encode() if isinstance(text, str) else text, name)


def noted(found: DryRun, code: str) -> list[Noted]:
    return [one for one in found.noted if one.code == code]


def events(desk: Desk) -> int:
    with desk.book.reading() as reads:
        return len(reads.events(limit=1000))


def workbook(*rows: list[Any], sheet: str = "list") -> bytes:
    book = Book()
    page = book.worksheets[0]
    page.title = sheet
    for row in rows:
        page.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


# Orders -------------------------------------------------------------------------------------------------------------


def test_a_dry_run_writes_nothing_and_says_what_would_be_written(shop: Desk) -> None:
    before = events(shop)
    found = dry(shop, "orders", HEAD + good())
    assert found.said() == "1 row of list.csv: 1 new, 0 already there" and found.is_open
    assert events(shop) == before


def test_an_order_is_written_with_its_frozen_build_its_price_and_its_deposit(shop: Desk) -> None:
    answer = really(shop, "orders", HEAD + good())
    number = with_letter(433)
    assert answer["written"] == [number] and "1 orders brought in from list.csv" in answer["said"]
    with shop.book.reading() as reads:
        file = reads.order_file(number)
    assert file.customer is not None and file.customer.name == "Y.B." and file.customer.phone == "5550140"
    assert file.carrier is not None and file.carrier.name == "K7"
    assert file.build is not None and file.build.spec["series"] == "basalt"
    assert (file.order.cents, file.order.deposit_cents, file.paid_cents) == (302700, 121080, 50000)
    assert file.order.promise == datetime(2026, 12, 10) and file.order.state == "order"
    order = shop.order(number)
    assert order.spec is not None and order.spec.width == pytest.approx(84 * 0.0254)
    assert order.state == "not started"


def test_counts_and_sums_of_the_file_are_held_against_the_records(shop: Desk) -> None:
    audit = {one["what"]: (one["file"], one["records"]) for one in really(shop, "orders", HEAD + good())["audit"]}
    assert audit["orders"] == ("1", "1")
    assert audit["sum of the prices"] == ("USD 3,027", "USD 3,027")
    assert audit["sum of the deposits paid"] == ("USD 500", "USD 500")


def test_the_same_file_brought_in_again_changes_nothing(shop: Desk) -> None:
    first = really(shop, "orders", HEAD + good())
    after = events(shop)
    again = really(shop, "orders", HEAD + good(), name="renamed.csv", who="D.V.")
    assert again["again"] and again["written"] == first["written"] and events(shop) == after
    assert dry(shop, "orders", HEAD + good()).done == {k: v for k, v in first.items() if k != "again"}


def test_an_order_that_is_there_already_is_said_so_and_not_written_again(shop: Desk) -> None:
    found = dry(shop, "orders", Importing(shop).listed("orders", ".csv"))
    assert found.count("already there") == len(found.rows) == 15 and not found.is_open
    with pytest.raises(EntryError, match="nothing in this list is new"):
        really(shop, "orders", Importing(shop).listed("orders", ".csv"))


def test_an_order_that_is_there_otherwise_is_never_overwritten(shop: Desk) -> None:
    row = "427S,D.S.,,K6,skid steer,flint,96 in,loader,flat-face,left,crate,2026-12-02,order,,\n"
    found = dry(shop, "orders", HEAD + row)
    said = noted(found, "differs")
    assert [one.column for one in said] == ["width"] and said[0].value == "96" and "90" in said[0].what
    assert "change note" in said[0].way_out and found.count("wrong") == 1
    later = "427S,D.S.,,K6,skid steer,flint,90 in,loader,flat-face,left,crate,2026-12-02,welded,,\n"
    found = dry(shop, "orders", HEAD + later)
    assert noted(found, "moved-on") and found.count("already there") == 1


def test_one_wrong_row_keeps_all_of_them_out(shop: Desk) -> None:
    before = events(shop)
    text = HEAD + good() + good().replace(with_letter(433), with_letter(434)).replace("84 in", "83 in")
    with pytest.raises(EntryError, match=r"1 of 2 rows wrong, so nothing is written.*Basalt is not built 83 in"):
        really(shop, "orders", text)
    assert events(shop) == before


def test_swapped_figures_are_refused_with_the_near_number(shop: Desk) -> None:
    found = dry(shop, "orders", HEAD + good().replace(with_letter(433), "472S"))
    said = noted(found, "wrong-letter")[0]
    assert said.sort == "wrong" and said.value == "472S" and "427S" in said.way_out


def test_a_number_without_its_letter_gets_it_and_a_blank_one_the_next(shop: Desk) -> None:
    text = HEAD + good().replace(with_letter(433), "440") + good().replace(with_letter(433), "").replace("Y.B.", "Q.T.")
    found = dry(shop, "orders", text)
    assert noted(found, "letter-added")[0].way_out == f"Taken as {with_letter(440)}."
    answer = really(shop, "orders", text)
    # A blank never gets a number that the file itself names, before it or after it.
    assert answer["written"] == [with_letter(440), with_letter(441)]


def test_two_rows_of_one_number_are_named_with_both_lines(shop: Desk) -> None:
    found = dry(shop, "orders", HEAD + good() + good())
    said = noted(found, "row-twice")
    assert len(said) == 1 and said[0].line == 3 and "line 2" in said[0].what


def test_a_row_without_a_number_that_looks_like_an_order_there_is_pointed_out(shop: Desk) -> None:
    row = ",D.S.,,K6,skid steer,flint,90 in,loader,flat-face,left,crate,2026-12-02,order,,\n"
    assert "like 427S" in noted(dry(shop, "orders", HEAD + row), "alike")[0].what


@pytest.mark.parametrize(
    ("was", "now", "code", "said"),
    [
        ("84 in", "84", "no-unit", "Write"),
        ("84 in", "83 in", "width-not-built", "Nearest: 78 in or 84 in"),
        ("84 in", "7 furlongs", "no-unit", ""),
        ("84 in", "#N/A", "sheet-error", "Mend the formula"),
        ("84 in", "", "empty", "Fill it in"),
        ("2026-12-10", "11/12/2026", "not-a-day", "[month/day/year]"),
        ("2026-12-10", "2026-02-30", "not-a-day", "calendar"),
        ("2026-12-10", "46366", "not-a-day", "Format the column as a date"),
        ("2026-12-10", "soon", "not-a-day", "2026-11-20"),
        ("2026-12-10", "1026-12-10", "not-a-day", "year"),
        ("2026-12-10", "", "empty", "Fill it in"),
        ("basalt", "granite", "not-known", "rulebook"),
        ("flat-face", "flatt-face", "not-known", "flat-face"),
        ("loader", "hook", "clash", "choose mount: loader"),
        ("order,", "lost,", "not-known", ""),
        ("USD 500", "USD 5000", "deposit", "Look at price and deposit again"),
        ("USD 500", "-5 USD", "not-a-size", "order's page"),
        ("\"USD 3,027\"", "3027", "no-unit", ""),
    ],
)
def test_what_cannot_be_taken_has_a_code_its_value_and_a_way_out(
    shop: Desk, was: str, now: str, code: str, said: str
) -> None:
    found = dry(shop, "orders", HEAD + good().replace(was, now))
    wrong = [one for one in found.noted if one.sort == "wrong"]
    assert [one.code for one in wrong] == [code], [one.sentence() for one in found.noted]
    assert wrong[0].line == 2 and said in wrong[0].way_out and wrong[0].sentence().startswith("line 2")
    assert now in ("", wrong[0].value) or wrong[0].value or code == "clash"
    assert found.count("wrong") == 1


def test_spellings_of_the_trade_are_taken_and_said_back(shop: Desk) -> None:
    head = "Order No,Client,Machine,Kind of Machine,CLASS,Blade Width,mount plate,hose set,outlet side,options,"
    head += "promised,status\n"
    row = "433,Y.B.,k7,Skid Steer,BASALT,7 ft,universal skid-steer plate,hoses with flat-face couplers,Left,"
    row += "skid shoes; pair of edge markers,Thu 10 Dec 2026,not started\n"
    found = dry(shop, "orders", head + row)
    assert found.count("new") == 1 and not [one for one in found.noted if one.sort == "wrong"]
    really(shop, "orders", head + row)
    spec = shop.order(with_letter(433)).spec
    assert spec is not None and (spec.mount, spec.hoses, spec.extras) == ("loader", "flat-face", ("shoes", "markers"))
    assert shop.order(with_letter(433)).due == date(2026, 12, 10)
    assert shop.order(with_letter(433)).carrier == "K7"


def test_a_column_headed_with_its_order_settles_slashed_days_and_units_settle_bare_numbers(shop: Desk) -> None:
    head = HEAD.replace("due", "due [day/month/year]").replace("width", "width [mm]").replace("price", "price [USD]")
    row = good().replace("2026-12-10", "11/12/2026").replace("84 in", "2133.6").replace("\"USD 3,027\"", "3027")
    really(shop, "orders", head + row)
    order = shop.order(with_letter(433))
    assert order.due == date(2026, 12, 11) and order.spec is not None
    assert order.spec.width == pytest.approx(84 * 0.0254)


def test_a_customer_of_two_is_asked_about_and_a_new_phone_is_kept(shop: Desk) -> None:
    with shop.book.command("twins", who="R.K.", key="twins") as c:
        for phone in ("555 0001", "555 0002"):
            c.add(r.Customer, name="Y.B.", phone=phone)
    found = dry(shop, "orders", HEAD + good().replace("5550140", ""))
    assert "2 customers are called that" in noted(found, "customer")[0].what and found.count("wrong") == 1
    found = dry(shop, "orders", HEAD + good().replace("5550140", "0002"))
    assert found.count("new") == 1
    really(shop, "orders", HEAD + good().replace("5550140", "0002"))
    with shop.book.reading() as reads:
        file = reads.order_file(with_letter(433))
    assert file.customer is not None and file.customer.phone == "555 0002"


@pytest.mark.parametrize(
    ("state", "kept", "wall"),
    [("quote", "quote", "quote only"), ("released", "released", "not started"), ("cut", "released", "cut"),
     ("welded", "released", "welded"), ("painted", "released", "painted"), ("on hold", "order", "on hold"),
     ("done", "done", "done"), ("loaded", "loaded", "")],
)  # fmt: skip
def test_every_state_of_a_list_is_the_word_on_the_wall(shop: Desk, state: str, kept: str, wall: str) -> None:
    really(shop, "orders", HEAD + good().replace(",order,", f",{state},"))
    with shop.book.reading() as reads:
        row = reads.get(r.Order, with_letter(433))
    assert row.state == kept
    if wall:
        assert shop.order(row.number).state == wall
    if state == "painted":
        # Nobody noted when it was painted: the cure counts from now, never too short.
        assert more_of(row.more).painted == WHEN and more_of(row.more).taken


# Stock --------------------------------------------------------------------------------------------------------------

STOCK = "item,section,length [in],width [in],lot,count,arrives,book\n"


def test_counts_become_count_lines_of_the_difference_and_arrivals_arrivals(shop: Desk) -> None:
    text = STOCK + (
        '"stick of tube 3 x 3 x 1/4, 288 in",,,,,5,,\n,tube 3 x 3 x 1/4,240,,,3,,\n'
        ",TUBE 4x2x1/4,101-1/2,,R-900,1,,USD 17\n"
        "trip spring 3/8,,,,,22,,\ncylinder 3 x 1-1/2 x 12,,,,,2,2026-12-20,\n"
    )
    found = dry(shop, "stock", text)
    assert [row.outcome for row in found.rows] == ["new", "new", "new", "already there", "new"]
    assert "the ledger has 2: a count line of +3" in noted(found, "count-differs")[0].what
    answer = really(shop, "stock", text)
    assert all(one["file"] == one["records"] for one in answer["audit"])
    with shop.book.reading() as reads:
        assert reads.balance("stick of tube 3 x 3 x 1/4, 288 in").on_hand == 5
        assert reads.balance("stick of tube 3 x 3 x 1/4, 240 in").on_hand == 3
        assert [a.due for a in reads.arriving("cylinder 3 x 1-1/2 x 12")][-1] == date(2026, 12, 20)
    remnant = next(one for one in shop.rack.remnants if one.tag == "R-900")
    assert remnant.stock == "tube 4 x 2 x 1/4" and remnant.book == 17
    assert remnant.length == pytest.approx(101.5 * 0.0254)


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("stick of tube 3 x 3 x 9/4,240,,,,1,,", "not-known"),
        (",tube 9 x 9 x 1/4,240,,,1,,", "not-known"),
        (",,240,,,1,,", "empty"),
        (",tube 3 x 3 x 1/4,,,,1,,", "empty"),
        (",plate 1/4,120,,,1,,", "empty"),
        (",tube 3 x 3 x 1/4,240,,,1.5,,", "not-a-size"),
        (",tube 3 x 3 x 1/4,240,,,-1,,", "not-a-size"),
        (",tube 3 x 3 x 1/4,0,,,1,,", "not-a-size"),
        (",tube 3 x 3 x 1/4,240,,,,,", "empty"),
        (",tube 3 x 3 x 1/4,50,,R-1,2,,", "empty"),
        ("trip spring 3/8,,,,,0,2026-12-01,", "not-a-size"),
    ],
)
def test_stock_that_cannot_be_taken_has_its_code(shop: Desk, row: str, code: str) -> None:
    found = dry(shop, "stock", STOCK + row + "\n")
    assert {one.code for one in found.noted if one.sort == "wrong"} == {code}


def test_fewer_than_are_reserved_is_left_to_the_count_sheet(shop: Desk) -> None:
    with shop.book.command("hold", who="R.K.", key="hold") as c:
        c.line(kind="reserve", item="seal kit", count=4, needed=date(2026, 12, 1), order="426B")
    found = dry(shop, "stock", STOCK + "seal kit,,,,,2,,\n")
    said = noted(found, "reserved")[0]
    assert (said.value, said.limit) == ("2", "4") and "count sheet" in said.way_out


# Serials ------------------------------------------------------------------------------------------------------------

SERIALS = (
    "serial,built,customer,phone ends,machine,carrier kind,series,width,mount,hoses,outlets,extras,colour,note,"
    "chapters\n"
)
BLADE = "F84-22-099,2022-10-14,Y.B.,0042,K7,skid steer,flint,84 in,loader,flat-face,left,shoes,,old one,"


def test_a_past_blade_is_built_by_the_rules_of_its_day_with_its_chapters_and_lots(shop: Desk) -> None:
    told = "2022-10-14 test card: proved [seconds each way = 4.1 s] (fitted: seal kit at angle cylinder, lot S-3)"
    told += " | 2024-02-03 failure at leg to hinge beam: crack ground out and welded"
    really(shop, "serials", SERIALS + BLADE + f'"{told}"\n')
    with shop.book.reading() as reads:
        life = reads.life("F84-22-099")
        assert [f.serial for f in reads.recall("seal kit", "S-3")] == ["F84-22-099"]
    assert [c.kind for c in life.chapters] == ["as-built", "test card", "failure"]
    assert life.chapters[1].facts == {"seconds each way": "4.1 s"} and life.chapters[2].place == "leg to hinge beam"
    assert life.blade.marks["phone_ends"] == "0042" and life.build is not None
    assert life.build.rulebook_day <= date(2022, 10, 14)


@pytest.mark.parametrize(
    ("was", "now", "code"),
    [
        ("F84-22-099", "B84-22-099", "serial-disagrees"),
        ("F84-22-099", "F48-22-099", "serial-disagrees"),
        ("F84-22-099", "F84-21-099", "serial-disagrees"),
        ("F84-22-099", "F84/22/99", "not-a-serial"),
        ("84 in", "83 in", "width-not-built"),
        ("2022-10-14", "", "empty"),
        ("flint", "quartz", "not-known"),
    ],
)
def test_a_serial_number_that_does_not_go_with_its_blade_is_refused(shop: Desk, was: str, now: str, code: str) -> None:
    text = BLADE.replace(was, now)
    text = text.replace("F84", "F83") if code == "width-not-built" else text
    found = dry(shop, "serials", SERIALS + text + "\n")
    assert {one.code for one in found.noted if one.sort == "wrong"} == {code}, [n.sentence() for n in found.noted]


@pytest.mark.parametrize(
    "chapter", ["2022 edge: new", "2022-10-14 party: cake", "2022-10-14 edge new", "2022-10-14 failure: cracked"]
)
def test_a_chapter_that_cannot_be_read_is_named_with_an_example(shop: Desk, chapter: str) -> None:
    found = dry(shop, "serials", SERIALS + BLADE + chapter + "\n")
    wrong = [one for one in found.noted if one.sort == "wrong"]
    assert len(wrong) == 1 and wrong[0].way_out


# Files --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.csv", b"", "no headings that are known"),
        ("a.csv", b"\n\n \n", "no headings that are known"),
        ("a.csv", b"customer\nY.B.\n", "column missing: series, width, mount"),
        ("a.csv", HEAD.encode(), "headings and no row"),
        ("a.csv", b"\x00\x01\x02\xff\xfe" * 40, "no headings that are known"),
        ("a.csv", HEAD.encode() + b'1,"' + b"x" * 140_000, "this is no list"),
        ("a.csv", HEAD.replace("customer", "custmer").encode() + good().encode(), "column missing: customer"),
        ("a.csv", HEAD.replace("phone", "customer").encode() + good().encode(), "two columns have one heading"),
        ("a.xlsx", b"PK not a workbook", "this is no workbook"),
        ("a.xlsx", HEAD.encode() + good().encode(), "this is no workbook"),
        ("a.csv", b"x" * 33_000_000, "too large"),
    ],
)
def test_a_file_that_is_no_list_is_refused_with_its_name(shop: Desk, name: str, data: bytes, said: str) -> None:
    with pytest.raises(EntryError, match=said) as caught:
        dry(shop, "orders", data, name)
    assert "a." in str(caught.value)


def test_an_old_code_page_semicolons_a_caption_and_blank_rows_are_read(shop: Desk) -> None:
    text = "Orders of November\n\n" + (HEAD + "\n" + good().replace("Y.B.", "Löffler") + ",,,\n").replace(
        '"USD 3,027"', "USD 3027"
    ).replace(",", ";")
    found = dry(shop, "orders", text.encode("cp1252"))
    assert found.count("new") == 1 and "Löffler" in found.rows[0].said
    assert found.rows[0].line == 5


def test_a_workbook_with_real_days_numbers_and_a_cover_is_read(shop: Desk) -> None:
    heads = ["number", "customer", "carrier kind", "series", "width [in]", "mount", "hoses", "due", "state"]
    heads += ["price [USD]"]
    row = [433, "Y.B.", "skid steer", "basalt", 84, "loader", "flat-face", datetime(2026, 12, 10, 7), "order", 3027.5]
    book = Book()
    book.worksheets[0].append(["See the second page"])
    page = book.create_sheet("orders")
    for line in (heads, row, [None] * 10):
        page.append(line)
    out = io.BytesIO()
    book.save(out)
    really(shop, "orders", out.getvalue(), "orders.xlsx")
    order = shop.order(with_letter(433))
    assert order.due == datetime(2026, 12, 10, 7)
    with shop.book.reading() as reads:
        assert reads.get(r.Order, order.number).cents == 302750


def test_a_formula_that_was_never_worked_out_is_an_empty_cell_with_the_reason(shop: Desk) -> None:
    heads = ["customer", "carrier kind", "series", "width [in]", "mount", "hoses", "due", "state"]
    data = workbook(heads, ["Y.B.", "skid steer", "basalt", "=80+4", "loader", "flat-face", "2026-12-10", "order"])
    said = noted(dry(shop, "orders", data, "orders.xlsx"), "empty")
    assert said[0].column == "width" and "formula" in said[0].way_out


def test_ten_thousand_orders_are_read_and_written_as_one(bare: Desk) -> None:
    widths, rows = (54, 60, 66, 72, 78, 84, 90, 96), []
    for at in range(10_000):
        rows.append(f"{with_letter(1000 + at)},C{at % 900},,,skid steer,flint,{widths[at % 8]} in,loader,flat-face,"
                    f"left,,2026-12-{1 + at % 28:02d},order,,\n")  # fmt: skip
    text = HEAD + "".join(rows)
    found = dry(bare, "orders", text)
    assert found.count("new") == 10_000
    answer = really(bare, "orders", text)
    assert len(answer["written"]) == 10_000 and all(one["file"] == one["records"] for one in answer["audit"])
    with bare.book.reading() as reads:
        assert reads.count(r.Order) == 10_000 and reads.count(r.Customer) == 900 and reads.count(r.KeptBuild) == 8
    assert dry(bare, "orders", text).done is not None


@pytest.mark.parametrize("kind", ["orders", "stock", "serials"])
@pytest.mark.parametrize("form", [".csv", ".xlsx"])
def test_the_template_is_read_back_and_its_example_is_left_out(shop: Desk, kind: str, form: str) -> None:
    found = dry(shop, kind, Importing(shop).template(kind, form), f"template{form}")
    assert [row.outcome for row in found.rows] == ["left out"] and not found.is_open
    assert not [one for one in found.noted if one.sort == "wrong"]


def test_the_example_of_a_template_is_an_order_once_its_customer_is_a_real_one(shop: Desk) -> None:
    text = Importing(shop).template("orders", ".csv").decode("utf-8-sig").replace("example: take this row out", "Y.B.")
    assert dry(shop, "orders", text).count("new") == 1
    text = Importing(shop).template("serials", ".csv").decode("utf-8-sig").replace("example: take this row out", "Y.B.")
    assert dry(shop, "serials", text).count("new") == 1


def test_what_the_records_have_is_brought_into_empty_ones_and_listed_the_same(shop: Desk, bare: Desk) -> None:
    for kind in ("orders", "stock", "serials"):
        mine = Importing(shop).listed(kind, ".csv")
        really(bare, kind, mine, f"{kind}.csv")
        assert Importing(bare).listed(kind, ".csv") == mine if kind != "serials" else True
        theirs = Importing(bare).listed(kind, ".xlsx")
        assert dry(shop, kind, theirs, f"{kind}.xlsx").count("already there") == len(dry(shop, kind, mine).rows)
    assert Importing(bare).listed("serials", ".csv") == Importing(shop).listed("serials", ".csv")
    assert checking.check(bare.book).holds


def test_records_are_brought_in_on_either_database(either_shop: Desk) -> None:
    assert really(either_shop, "orders", HEAD + good())["written"] == [with_letter(433)]
    assert really(either_shop, "stock", STOCK + "seal kit,,,,,9,,\n")["written"] == ["seal kit"]
    assert really(either_shop, "serials", SERIALS + BLADE + "\n")["written"] == ["F84-22-099"]


def test_without_records_a_list_is_read_against_the_rules_alone(demo_dir: Path) -> None:
    desk = Desk(demo_dir / "rulebook")
    assert dry(desk, "orders", HEAD + good()).count("new") == 1
    with pytest.raises(NotFoundError, match="no records are open"):
        really(desk, "orders", HEAD + good())


def test_nobody_brings_in_what_there_is_not(shop: Desk) -> None:
    with pytest.raises(NotFoundError, match=r"nothing of that kind.*orders, stock, serials"):
        dry(shop, "wishes", HEAD + good())
    with pytest.raises(EntryError, match=r"\.csv or \.xlsx"):
        Importing(shop).template("orders", ".pdf")


def test_every_code_is_explained_in_the_owners_guide(repo_root: Path) -> None:
    text = (repo_root / "docs" / "bring-your-records.md").read_text(encoding="utf-8")
    assert not [code for code in CODES if f"`{code}`" not in text]
