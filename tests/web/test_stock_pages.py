"""The pages of the stockroom: what goes short, an item, receiving, counting; each form is done once."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator

import pypdf
import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.store import records as r
from plowwright.web.server import create_app

BLANK = "flat 6 x 1/2 blank, 90 in"
EDGE = "flat 6 x 1/2 blank, 102 in"
HOLES = "3-1/2 in, 12 in, 23 in, 34 in, 45 in, 56 in, 67 in, 78 in, 86-1/2 in"


@pytest.fixture
def room(shop: Desk) -> Iterator[TestClient]:
    with TestClient(create_app(shop)) as client:
        yield client


def send(room: TestClient, path: str, key: str = "k1", **form: object) -> tuple[int, str]:
    """A form sent, with the page that comes back read as text."""
    page = room.post(path, data={"who": "M.S.", "key": key, **form})
    return page.status_code, html.unescape(page.text)


def test_the_page_opens_with_what_goes_short_drawn_by_day_and_says_why(room: TestClient) -> None:
    page = html.unescape(room.get("/parts").text)
    parts = [page.index(one) for one in ("<svg", "What to buy", "Before you sell a spare", "Every item")]
    assert parts == sorted(parts)
    assert "1 on hand for 418K (11 Nov), 3 come on Tue 08 Dec" in page
    assert "too late" in page and "On its way, too late" in page
    assert "1 x flat 8 x 5/8 blank, 108 in for 423P: on the way, one comes Tue 17 Nov" in page
    assert "skid shoe" in room.get("/parts?sought=shoe").text
    assert "plow bolt" not in re.sub(r"<datalist.*?</datalist>", "", room.get("/parts?sought=shoe").text)


def test_a_spare_is_sold_only_when_those_who_go_short_were_agreed_to(room: TestClient, shop: Desk) -> None:
    asked = html.unescape(room.get("/parts?spare=84+edge+with+bolts&series=flint&width=84+in&count=2").text)
    assert "Somebody goes short." in asked and "422D may go short" in asked and "Sell it for 312.00 USD" in asked
    form = {"spare": "84 edge with bolts", "series": "flint", "width": "84 in", "count": "2", "to": "L.K."}
    code, page = send(room, "/parts/sell", **form)
    assert code == 422 and "somebody goes short who was not agreed to" in page and 'value="84 edge with bolts"' in page
    code, page = send(room, "/parts/sell", agreed="422D", taken="312 bucks", **form)
    assert code == 422 and 'value="312 bucks"' in page
    form["taken"] = "USD 300"
    code, page = send(room, "/parts/sell", agreed="422D", **form)
    assert code == 200 and "2 x 84 edge with bolts sold to L.K. for USD 312; USD 300 taken" in page
    send(room, "/parts/sell", agreed="422D", **form)
    with shop.book.reading() as reads:
        assert reads.balance(EDGE).on_hand == 1


def test_an_item_shows_its_days_lots_and_lines_and_a_line_is_undone_there(room: TestClient, shop: Desk) -> None:
    page = html.unescape(room.get("/parts/item", params={"name": BLANK}).text)
    assert "5 on hand, 0 reserved, 6 on the way" in page and "arrival 1" in page and "<svg" in page
    code, page = send(room, "/parts/scrap", name=BLANK, count="1", reason="cracked", **{"from": BLANK})
    assert code == 200 and f"1 x {BLANK} scrapped: cracked" in page
    number = next(n for n in re.findall(r'<td class="n">(\d+)</td><td>11 Nov 2026</td><td>scrap', page))
    code, page = send(room, "/parts/reverse", "k2", line=number, reason="was another", **{"from": BLANK})
    assert code == 200 and f"undoes line {number}" in page
    code, page = send(room, "/parts/scrap", "k3", name=BLANK, count="9", reason="rust", **{"from": BLANK})
    assert code == 422 and "only 5 on hand" in page
    assert room.get("/parts/item?name=nothing").status_code == 404


def test_an_order_reserves_takes_and_gives_back_on_the_page(room: TestClient) -> None:
    assert "22 pieces reserved for 418K" in send(room, "/parts/reserve", "a", order="418K")[1]
    assert "22 pieces taken for 418K" in send(room, "/parts/take", "b", order="418K")[1]
    assert "nothing is reserved for this order" in send(room, "/parts/release", "c", order="418K", reason="off")[1]
    code, page = send(room, "/parts/tag", "d", stock="tube 3 x 3 x 1/4", length="40 in")
    assert code == 200 and "racked with tag R-119" in page
    code, page = send(room, "/parts/order", "e", name="skid shoe", count="8", due="2026-11-20")
    assert "8 x skid shoe ordered, due Fri 20 Nov: arrival 6" in page
    assert send(room, "/parts/order", "f", name="skid shoe", count="8", due="soon")[0] == 422


def test_what_comes_is_looked_at_before_it_is_written_and_then_taken_in(room: TestClient, shop: Desk) -> None:
    page = html.unescape(room.get("/receiving?arrival=1").text)
    assert "6 x <a" in page and BLANK in page and HOLES in page
    form = {"arrival": "1", "name": BLANK, "count": "4", "lot": "H7", "holes": HOLES, "wall": "0.5 in"}
    code, page = send(room, "/receiving/look", **form)
    assert code == 200 and "Rack it." in page and 'value="H7"' in page
    with shop.book.reading() as reads:
        assert reads.balance(BLANK).on_hand == 5, "looking writes nothing"
    code, page = send(room, "/receiving/in", **form)
    assert "4 x flat 6 x 1/2 blank, 90 in taken in, lot H7: as ordered" in page and "arrival 6" in page
    code, page = send(room, "/receiving/in", "k2", **{**form, "arrival": "6", "holes": "", "count": "2"})
    assert code == 422 and "before it is laid on the hole template" in page
    with shop.book.reading() as reads:
        number = reads.lines(BLANK, limit=1)[0].id
    paper = room.get("/receiving/papers/receiving sheet.pdf", params={"line": number})
    assert "Racked, lot H7" in pypdf.PdfReader(io.BytesIO(paper.content)).pages[0].extract_text()


def test_what_fails_at_the_truck_is_said_and_listed_as_sent_back(room: TestClient) -> None:
    code, page = send(room, "/receiving/in", name="stick of tube 3 x 3 x 1/4, 240 in", count="2", wall="0.188 in")
    assert code == 200 and "it measures as tube 3 x 3 x 3/16" in page and "Sent back lately" in page
    code, page = send(room, "/receiving/in", "k2", name="stick of tube 3 x 3 x 1/4, 240 in", count="2", wall="0.188")
    assert code == 422 and "a number without a unit" in page and 'value="0.188"' in page


def test_a_photo_of_the_tag_comes_with_the_form(room: TestClient, shop: Desk) -> None:
    room.post("/receiving/in", data={"who": "M.S.", "key": "p", "name": "skid shoe", "count": "2"},
              files={"photo": ("tag.jpg", b"a photo", "image/jpeg")})  # fmt: skip
    with shop.book.reading() as reads:
        assert reads.count(r.KeptFile) == 1 and reads.attached("ledger", reads.lines("skid shoe", limit=1)[0].id)


def test_an_arrival_is_late_or_does_not_come(room: TestClient) -> None:
    _, page = send(room, "/receiving/late", arrival="4", due="2026-12-14")
    assert "now come on Mon 14 Dec instead of Tue 08 Dec" in page
    assert send(room, "/receiving/cancel", "k2", arrival="4", reason="")[0] == 422
    assert "arrival 4 cancelled" in send(room, "/receiving/cancel", "k3", arrival="4", reason="out of stock")[1]


def test_the_count_sheet_is_filled_in_on_the_page_and_a_moved_book_is_refused(room: TestClient, shop: Desk) -> None:
    page = html.unescape(room.get("/counting?sought=blank").text)
    row = int(re.search(rf'name="item(\d+)" value="{re.escape(BLANK)}"', page).group(1))  # type: ignore[union-attr]
    form = {f"item{row}": BLANK, f"lot{row}": "", f"book{row}": "5", f"counted{row}": "4"}
    code, page = send(room, "/counting", **form)
    assert code == 200 and "1 row counted, 1 off" in page
    code, page = send(room, "/counting", "k2", **form)
    assert code == 422 and "the book has moved from 5 to 4" in page
    assert send(room, "/counting", "k3", **{**form, f"counted{row}": "four"})[0] == 422
    assert send(room, "/counting", "k4")[0] == 422


def test_what_was_typed_into_a_refused_form_stands_in_that_form_and_in_no_other(room: TestClient) -> None:
    code, page = send(room, "/parts/tag", stock="tube 9 x 9 x 9", length="61-1/4 in", tag="R-900")
    assert code == 422 and 'value="tube 9 x 9 x 9"' in page and 'value="61-1/4 in"' in page and 'value="R-900"' in page
    code, page = send(room, "/parts/order", name="trip spring 3/8", count="two", due="2026-11-30", supplier="a friend")
    bought = page[page.index("What to buy") : page.index("Before you sell a spare")]
    assert code == 422 and "<details open>" in bought and 'value="two"' in bought and 'value="a friend"' in bought
    assert 'value="two"' not in page[page.index("Before you sell a spare") :]
    code, page = send(room, "/parts/scrap", name=BLANK, count="9", reason="cracked", lot="L-1", **{"from": BLANK})
    assert code == 422 and 'value="cracked"' in page and page.count('value="9"') == 1 and page.count('value="L-1"') == 1
    code, page = send(room, "/receiving/late", arrival="1", due="soon", reason="the truck broke")
    assert code == 422 and 'value="the truck broke"' in page
    assert re.search(r"<details open><summary>It is late", page) is not None and page.count("<details open>") == 1


def test_a_spare_that_cannot_be_asked_about_is_refused_where_it_was_asked(room: TestClient) -> None:
    answer = room.get("/parts?spare=84+edge+with+bolts&series=reed&width=84+in&count=1")
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert page.index("Before you sell a spare") < page.index("Not taken.") < page.index("For an order")


def test_a_count_of_a_few_rows_comes_back_to_those_rows_and_an_empty_sheet_says_so(room: TestClient) -> None:
    row = {"item0": BLANK, "lot0": "", "book0": "5", "counted0": "5"}
    page = room.post("/counting", data={"who": "M.S.", "key": "k", "sought": "blank", **row})
    assert page.url.params["sought"] == "blank" and "trip spring" not in page.text
    page = room.get("/counting?sought=sprocket").text
    assert "Nothing in stock has these words in its name." in page and "Put the book right" not in page


def test_papers_and_lists_of_the_stockroom_open(room: TestClient) -> None:
    for name in ("/parts/papers/buying list.pdf", "/counting/papers/count sheet A4.pdf",
                 "/receiving/papers/receiving sheet A4.pdf"):  # fmt: skip
        assert len(pypdf.PdfReader(io.BytesIO(room.get(name).content)).pages) >= 1
    assert room.get("/parts/papers/buying list.xlsx").content[:2] == b"PK"
    assert BLANK in room.get("/counting/papers/count sheet.csv?sought=blank").text
    assert room.get("/parts/papers/other.pdf").status_code == 404


def test_where_no_records_are_kept_the_page_answers_and_offers_no_form_that_writes(pages: TestClient) -> None:
    page = pages.get("/parts").text
    assert "What to buy" in page and 'method="post"' not in page
    assert pages.get("/receiving").status_code == 404
