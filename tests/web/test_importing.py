"""The page 'Bring your records': a list is read first, looked through, and brought in by one button."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.shop.orders_numbers import with_letter
from plowwright.web.server import create_app

HEAD = "number,customer,carrier kind,series,width,mount,hoses,outlets,due,state\n"
ROW = f"{with_letter(433)},Y.B.,skid steer,basalt,84 in,loader,flat-face,left,2026-12-10,order\n"


@pytest.fixture
def kept(shop: Desk) -> TestClient:
    return TestClient(create_app(shop))


def read(pages: TestClient, text: str | bytes, *, kind: str = "orders", name: str = "autumn.csv"):
    data = text.encode() if isinstance(text, str) else text
    return pages.post("/import", data={"kind": kind}, files={"list": (name, data)})


def pressed(pages: TestClient, text: str, who: str = "R.K."):
    key = re.search(r'name="list" value="([^"]+)"', text)
    assert key is not None
    return pages.post("/import/really", data={"list": key.group(1), "who": who, "key": "a form"})


def test_the_page_offers_a_list_of_each_kind_and_works_without_script(kept: TestClient) -> None:
    text = kept.get("/import").text
    assert text.count('name="kind"') == 3 and 'enctype="multipart/form-data"' in text and "hx-" not in text


def test_a_dry_run_shows_every_row_with_its_word_and_writes_nothing(kept: TestClient, shop: Desk) -> None:
    text = read(kept, HEAD + ROW + ROW.replace(with_letter(433), "472S")).text
    assert "2 rows of autumn.csv: 1 new, 0 already there, 1 wrong" in text
    assert "Nothing can be brought in yet" in text and "/import/really" not in text
    assert 'class="fate wrong"' in text and 'class="fate new"' in text and "Near it: 427S" in text
    assert "433" not in {o.number[:3] for o in shop.orders()}


def test_the_button_brings_it_in_and_shows_the_file_against_the_records(kept: TestClient, shop: Desk) -> None:
    answer = pressed(kept, read(kept, HEAD + ROW).text)
    assert answer.status_code == 200 and str(answer.url).count("/import?done=") == 1
    assert "1 orders brought in from autumn.csv" in answer.text and "sum of the prices" in answer.text
    assert shop.order(with_letter(433)).customer == "Y.B."


def test_the_same_file_again_says_so_and_offers_no_button(kept: TestClient) -> None:
    pressed(kept, read(kept, HEAD + ROW).text)
    text = read(kept, HEAD + ROW, name="again.csv").text
    assert "This very file was brought in before" in text and "/import/really" not in text


def test_a_button_pressed_by_nobody_is_refused_and_the_list_stays(kept: TestClient) -> None:
    answer = pressed(kept, read(kept, HEAD + ROW).text, who="")
    assert answer.status_code == 422 and "nobody is named" in answer.text and "/import/really" in answer.text


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (b"", "empty.csv", "no headings that are known"),
        (b"PK", "broken.xlsx", "this is no workbook"),
        (b"customer\nY.B.\n", "one.csv", "column missing"),
    ],
)
def test_a_file_that_is_no_list_is_refused_on_the_page(kept: TestClient, data: bytes, name: str, said: str) -> None:
    answer = read(kept, data, name=name)
    assert answer.status_code == 422 and said in answer.text and "Read it" in answer.text


def test_no_file_and_no_such_kind_are_refused(kept: TestClient) -> None:
    assert "no list was chosen" in kept.post("/import", data={"kind": "orders"}).text
    assert "nothing of that kind" in read(kept, HEAD + ROW, kind="wishes").text


def test_what_is_typed_in_a_list_is_text_on_the_page(kept: TestClient) -> None:
    text = read(kept, HEAD + ROW.replace("Y.B.", "<script>alert(1)</script>")).text
    assert "<script>alert" not in text and "&lt;script&gt;" in text


def test_all_that_was_noted_can_be_taken_away_as_a_list(kept: TestClient) -> None:
    text = read(kept, HEAD + ROW.replace("84 in", "83 in")).text
    link = re.search(r'href="(/import/noted/[^"]+)"', text)
    assert link is not None
    answer = kept.get(link.group(1))
    assert answer.text.splitlines()[1].startswith("2,wrong,width-not-built,width")


@pytest.mark.parametrize("name", ["orders.csv", "orders.xlsx", "stock.csv", "serials.xlsx"])
def test_templates_and_lists_are_there_to_take(kept: TestClient, name: str) -> None:
    for which in ("template", "list"):
        answer = kept.get(f"/import/{which}/{name}")
        assert answer.status_code == 200 and len(answer.content) > 80
        assert "attachment" in answer.headers["content-disposition"]
    assert kept.get("/import/list/orders.pdf").status_code == 404
    assert kept.get("/import/other/orders.csv").status_code == 404


def test_a_long_list_shows_what_is_wrong_first_and_says_how_many_more_there_are(kept: TestClient) -> None:
    rows = "".join(ROW.replace(with_letter(433), with_letter(1000 + at)) for at in range(300))
    text = read(kept, HEAD + rows + ROW.replace("84 in", "83 in")).text
    assert "And 101 rows more." in text and text.index('class="fate wrong"') < text.index('class="fate new"')
