"""The pages 'Steel and parts' and 'Find the blade'."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient


def test_what_goes_short_is_listed_with_its_day_and_the_day_it_comes(pages: TestClient) -> None:
    text = pages.get("/parts").text
    assert "423P" in text and "108 in edge of flat 8 x 5/8" in text and "Tue 17 Nov" in text
    assert "none on its way" in text and ">Steel and parts</a>" in text


def test_a_spare_sold_today_says_who_goes_short(pages: TestClient) -> None:
    text = pages.get("/parts?spare=84+edge+with+bolts&series=flint&width=84+in&count=2").text
    assert "Somebody goes short." in text and "422D goes short" in text and "1 can be sold" in text


@pytest.mark.parametrize(("query", "said"), [("spare=nothing", "nobody has said which parts"),
                                             ("spare=seal+kit&count=many", "a count is a whole number"),
                                             ("spare=seal+kit&width=84", "a number without a unit")])  # fmt: skip
def test_what_cannot_be_sold_is_refused_and_what_was_typed_stays(pages: TestClient, query: str, said: str) -> None:
    answer = pages.get(f"/parts?{query}")
    assert answer.status_code == 422 and said in answer.text
    assert f'value="{query.split("=")[1].split("&", maxsplit=1)[0].replace("+", " ")}"' in answer.text


def test_a_blade_is_found_by_scraps_with_the_next_question(pages: TestClient) -> None:
    text = pages.get("/find?width=107+in&pins=4&bore=3+in&colour=traffic+orange").text
    assert "It may be B108-20-071" in text and "Ask next:" in text
    first = text.index("<tbody>")
    assert text.index("B108-20-071", first) < text.index("B108-23-018", first)


def test_an_empty_form_asks_for_nothing_and_a_bare_width_is_refused(pages: TestClient) -> None:
    assert "<tbody>" not in pages.get("/find").text
    answer = pages.get("/find?width=84")
    assert answer.status_code == 422 and "a number without a unit" in answer.text and 'value="84"' in answer.text
