"""The page 'Sheets and holes': nest, progress, stop, papers, and the hole sheet of each order."""

from __future__ import annotations

import io
import re
import time
import zipfile

import ezdxf
import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app

TWO = "order=421M&order=424H&seconds=2"


def settled(pages: TestClient, address: str) -> str:
    for _ in range(300):
        text = pages.get(address).text
        if 'class="waits"' not in text:
            return text
        time.sleep(0.05)
    raise AssertionError("it was never laid")


def test_the_page_offers_the_uncut_orders_and_the_hole_sheet_of_each(pages: TestClient) -> None:
    text = pages.get("/plates").text
    assert text.count('name="order"') == 7 and text.count("hole%20sheet.pdf?order=") == 7
    assert ">Sheets and holes</a>" in text


def test_every_sheet_is_drawn_with_its_parts_rests_and_table_time(pages: TestClient) -> None:
    text = settled(pages, f"/plates/nest?{TWO}")
    sheets = len(re.findall(r'id="sheet-\d+"', text))
    assert f"{sheets} sheets" in text and text.count('class="bar"') == sheets
    assert "421M mount plate" in text and "pierces" in text and "Keep:" in text and "of the steel" in text


def test_every_paper_of_the_nest_can_be_had(pages: TestClient) -> None:
    text = settled(pages, f"/plates/nest?{TWO}")
    links = [link.replace("&amp;", "&") for link in re.findall(r'href="(/plates/papers/[^"]+)"', text)]
    assert len(links) == 3
    bodies = {link.partition("?")[0].rsplit("/", 1)[1]: pages.get(link).content for link in links}
    said = "".join(page.extract_text() for page in PdfReader(io.BytesIO(bodies["plate sheet.pdf"])).pages)
    assert "421M mount plate" in said and "min on the table" in said
    with zipfile.ZipFile(io.BytesIO(bodies["drawings.zip"])) as pack:
        names = pack.namelist()
        assert any("sheet 1" in n for n in names) and any("/" in n for n in names)
        for name in names[:4]:
            found = ezdxf.read(io.StringIO(pack.read(name).decode()))  # type: ignore[attr-defined]
            assert not found.audit().has_errors, name
    assert bodies["nest.csv"].decode("utf-8-sig").count("421M mount plate") == 1


@pytest.mark.parametrize(("query", "said"), [("order=999Z", "999Z"), ("seconds=soon", "seconds are a number"),
                                             ("seconds=0", "0.1 to 900")])  # fmt: skip
def test_what_cannot_be_laid_is_refused_with_the_way_out(pages: TestClient, query: str, said: str) -> None:
    text = settled(pages, f"/plates/nest?{query}")
    assert said in text and "Way out" in text
    assert pages.get(f"/plates?{query}").status_code == 422


def test_stop_takes_the_best_so_far() -> None:
    pages = TestClient(create_app(Desk.demo()))
    query = "order=421M&seconds=90"
    begun = time.monotonic()
    for _ in range(100):
        text = pages.get(f"/plates/nest?{query}").text
        if "Stock" in text:
            break
        time.sleep(0.05)
    time.sleep(2.0)
    pages.get(f"/plates/stop?{query}")
    text = settled(pages, f"/plates/nest?{query}")
    assert "sheets" in text and time.monotonic() - begun < 45
