"""Side by side: one scale, only what differs, and whether an eye can tell."""

from __future__ import annotations

import re

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
