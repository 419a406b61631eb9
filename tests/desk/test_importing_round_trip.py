"""Whatever orders and stock the records hold: listed, brought into empty records, listed again, they are the same."""

from __future__ import annotations

import tempfile
from datetime import date, datetime
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright.desk import import_orders, import_stock
from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk, demo_folder
from plowwright.desk.import_chapters import chapters_said, read_chapters
from plowwright.desk.import_order_rows import STATES
from plowwright.desk.importing import Importing
from plowwright.desk.opening import open_records
from plowwright.papers.lists import Sheet, write_csv, write_xlsx
from plowwright.rulebook import load
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.orders_numbers import with_letter
from plowwright.shop.service import Chapter, Fitted
from plowwright.shop.stock_items import Item, name_of

NAMES = st.sampled_from(("T.B.", "A. Norrin", "Halden & Son", "Ys, Ltd.", "Öre \"the Elder\"", "=Quay"))
FEW = settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])


@cache
def rules() -> Rulebook:
    return load(demo_folder() / "rulebook")


@cache
def worker() -> Desk:
    """Works blades out for every example, and keeps them."""
    return Desk(demo_folder() / "rulebook")


@st.composite
def orders(draw: st.DrawFn) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for number in draw(st.lists(st.integers(1, 9999), min_size=1, max_size=5, unique=True)):
        key = draw(st.sampled_from(sorted(rules().series)))
        width = draw(st.sampled_from(rules().series[key].widths()))
        state = draw(st.sampled_from(sorted(STATES)))
        hour = draw(st.sampled_from(("", " 07:00", " 15:30")))
        cents = draw(st.integers(100_000, 900_000))
        rows.append({
            "number": with_letter(number), "kind": "blade", "customer": draw(NAMES), "phone": "", "carrier": "",
            "carrier kind": "skid steer", "series": key, "width": f"{width / 0.0254:.6f}".rstrip("0").rstrip("."),
            "mount": "loader", "hoses": "flat-face", "outlets": draw(st.sampled_from(("left", "right"))),
            "extras": ", ".join(sorted(draw(st.sets(st.sampled_from(("shoes", "markers", "deflector")))))),
            "due": f"{draw(st.dates(date(2026, 11, 12), date(2027, 3, 1)))}{hour}", "state": state,
            "price": f"{cents / 100:.2f}", "deposit paid": f"{draw(st.integers(0, cents)) / 100:.2f}", "serial": "",
            "spares": "", "note": draw(st.sampled_from(("by phone", "=1+1", "rings first; bring chains"))),
        })  # fmt: skip
    return sorted(rows, key=lambda row: str(row["number"]))


@st.composite
def stock(draw: st.DrawFn) -> list[dict[str, object]]:
    items = {
        name_of(Item(name="", sort="stick", stock=draw(st.sampled_from(sorted(rules().sections))), length=length))
        for length in draw(st.lists(st.sampled_from(rules().shop.sticks), max_size=3))
    } | set(draw(st.lists(st.sampled_from(sorted(rules().bought)), max_size=4)))
    rows = [import_stock._cells(item, count=draw(st.integers(1, 400))) for item in items]
    for at in range(draw(st.integers(0, 3))):
        length = draw(st.integers(300, 3000)) / 16 * 0.0254
        section = draw(st.sampled_from(sorted(rules().sections)))
        item = name_of(Item(name="", sort="remnant", stock=section, length=length))
        rows.append(import_stock._cells(item, count=1, lot=f"R-{at}", book=draw(st.integers(0, 9000)) / 100))
    rows.sort(key=lambda row: (str(row["item"]), str(row["lot"])))
    coming = [import_stock._cells(item, count=3, arrives=draw(st.dates(date(2026, 11, 12), date(2027, 1, 1))))
              for item in sorted(items)]  # fmt: skip
    return [*rows, *coming]


def through(kind: str, data: bytes, name: str) -> bytes:
    """The list after it went through empty records."""
    with tempfile.TemporaryDirectory() as folder, open_records(Path(folder)) as book:
        book.keep_time_by(lambda: datetime(2026, 11, 11, 8))
        desk = Desk(rules().folder, records=book)
        desk.worked = worker().worked  # type: ignore[method-assign]
        Importing(desk).really(hand("R.K."), kind, data, name)
        return Importing(desk).listed(kind, ".csv")


@FEW
@given(rows=orders(), book=st.booleans())
def test_orders_listed_and_brought_in_are_listed_the_same(rows: list[dict[str, object]], book: bool) -> None:
    columns = import_orders.columns("USD")
    text = write_csv(rows, columns)
    data = write_xlsx([Sheet(name="orders", columns=columns, rows=rows)]) if book else text
    assert through("orders", data, "orders.xlsx" if book else "orders.csv") == text


@FEW
@given(rows=stock(), book=st.booleans())
def test_stock_listed_and_brought_in_is_listed_the_same(rows: list[dict[str, object]], book: bool) -> None:
    if not rows:
        return
    columns = import_stock.columns("USD")
    text = write_csv(rows, columns)
    data = write_xlsx([Sheet(name="stock", columns=columns, rows=rows)]) if book else text
    assert through("stock", data, "stock.xlsx" if book else "stock.csv") == text


WORDS = st.from_regex(r"[A-Za-z][A-Za-z ,.-]{2,20}[A-Za-z]", fullmatch=True).map(lambda text: " ".join(text.split()))
PLAIN = st.from_regex(r"[a-z]{3,8}( [a-z0-9]{2,6})?", fullmatch=True).filter(lambda text: " at " not in text)
CHAPTERS = st.builds(
    Chapter, number=st.just(1), kind=st.sampled_from(("test card", "edge", "failure", "owner", "note")),
    day=st.dates(date(2015, 1, 1), date(2026, 11, 1)), said=WORDS, place=PLAIN,
    facts=st.dictionaries(PLAIN, PLAIN, max_size=2),
    fitted=st.lists(st.builds(Fitted, item=PLAIN, place=PLAIN, lot=st.just("") | PLAIN), max_size=2).map(tuple),
)  # fmt: skip


@given(chapters=st.lists(CHAPTERS, max_size=4))
def test_chapters_in_one_cell_come_back_as_they_were(chapters: list[Chapter]) -> None:
    back = read_chapters(chapters_said(chapters))
    assert [(c["kind"], c["day"], c["said"], c["place"], c["facts"]) for c in back] == [
        (c.kind, c.day, c.said, c.place, c.facts) for c in chapters
    ]
    assert [[(f["item"], f["place"], f["lot"]) for f in c["fitted"]] for c in back] == [
        [(f.item, f.place, f.lot) for f in c.fitted] for c in chapters
    ]
