"""Side by side: one scale, only what differs, and whether an eye can tell."""

from __future__ import annotations

import re
from urllib.parse import urlencode

from fastapi.testclient import TestClient

TWINS = "/side?order=420A&order=421M"


def test_two_classes_of_one_width_show_what_differs_and_how_they_look(pages: TestClient) -> None:
    text = pages.get(TWINS).text
    assert "can be told apart by eye" in text or "cannot be told apart by eye" in text
    rows = re.findall(r'<tr><th scope="row">([^<]+)</th>', text)
    assert "duty class" in rows and "mass in all" in rows and "list price" in rows and "outlets" not in rows


def test_both_drawings_are_at_one_scale(pages: TestClient) -> None:
    text = pages.get("/side?order=424H&order=432N").text
    shares = [float(share) for share in re.findall(r'style="width:([\d.]+)%"', text)]
    scales = [float(scale) for scale in re.findall(r"<title>[^<]*1:(\d+) on paper</title>", text)]
    # A page's width is one sheet; the share undoes what the sheet's own scale did.
    assert len(shares) == len(scales) == 2
    assert abs(shares[0] / scales[0] - shares[1] / scales[1]) < 1e-3


def test_chapters_go_from_class_to_price(pages: TestClient) -> None:
    heads = re.findall(r'scope="colgroup">([^<]+)<', pages.get(TWINS).text)
    assert heads[0] == "Class" and heads[-1] == "Price" and heads.index("Parts") < heads.index("Mass")


def test_one_blade_alone_is_refused_with_the_way_out(pages: TestClient) -> None:
    page = pages.get("/side?order=420A")
    assert page.status_code == 422 and "at least 2" in page.text and "Choose them on the wall" in page.text


WIDER = urlencode({
    "series": "basalt", "width": "90 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
    "outlets": "left", "chosen": "yes", "extras": "markers",
})  # fmt: skip


def test_choices_that_nobody_ordered_are_laid_beside_an_order(pages: TestClient) -> None:
    text = pages.get("/side", params={"order": "421M", "blade": WIDER}).text
    heads = re.findall(r'<th scope="col"><a href="([^"]+)">([^<]+)</a>', text)
    assert [words for _, words in heads] == ["421M, Basalt 84 in", "as chosen, Basalt 90 in"]
    assert pages.get(heads[1][0].replace("&amp;", "&")).status_code == 200
    assert "as chosen Basalt 90 in" in text and "told apart by eye" in text


def test_two_choices_are_laid_beside_each_other_and_have_names_of_their_own(pages: TestClient) -> None:
    poppet = WIDER.replace("flat-face", "poppet")
    text = pages.get("/side", params=[("blade", WIDER), ("blade", poppet)]).text
    assert re.findall(r"<th scope=\"col\"><a[^>]+>([^<]+)</a>", text) == [
        "as chosen, Basalt 90 in", "as chosen 2, Basalt 90 in"
    ]  # fmt: skip
    assert "cannot be told apart by eye" in text or "can be told apart" in text


def test_a_choice_begins_from_the_order_it_names(pages: TestClient) -> None:
    text = pages.get("/side", params={"order": "420A", "blade": "order=420A&width=90 in"}).text
    assert "as chosen, Flint 90 in" in text


def test_a_choice_that_clashes_is_refused_with_its_way_out(pages: TestClient) -> None:
    page = pages.get("/side", params={"order": "421M", "blade": WIDER.replace("basalt", "reed")})
    assert page.status_code == 422 and "Reed is not built 90 in wide" in page.text and "72 in" in page.text


def test_metric_readers_get_no_inch_and_no_pound_beside_each_other(pages: TestClient) -> None:
    text = pages.get("/side", params={"order": ["420A", "421M"], "units": "metric"}).text
    table = text[text.index("<h2>Only what differs") :]
    values = re.findall(r"<td[^>]*>([^<]*)</td>", table)
    assert [v for v in values if re.search(r"\d mm|\d kg", v)]
    trade = [v for v in values if re.search(r"\d (lb|psi|ft)\b", v)]
    assert not trade, trade
