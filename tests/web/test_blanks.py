"""The page 'Which blanks to stock': a forecast in, the curve and its table out."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

ASKED = "/blanks?series=flint&w54=3&w60=5&w72=9&w84=14&w90=8&w96=5"


def test_the_form_has_every_width_of_the_series(pages: TestClient) -> None:
    text = pages.get("/blanks?series=flint").text
    assert text.count('name="w') == 9 and 'name="w102"' in text and "<figure>" not in text


def test_a_forecast_gives_a_curve_a_table_and_one_sentence(pages: TestClient) -> None:
    text = pages.get(ASKED).text
    assert "<figure>" in text and "steel wasted" in text and "drilled here" in text and "one length alone" in text
    costs = [float(c.replace(",", "")) for c in re.findall(r"<b>USD ([\d,]+)</b></td>", text)]
    assert len(costs) >= 3 and costs == sorted(costs, reverse=True)
    assert 'name="w84" value="14"' in text, "what was typed stays"


def test_one_width_alone_makes_a_table_and_no_curve(pages: TestClient) -> None:
    text = pages.get("/blanks?series=flint&w84=3").text
    assert "<table>" in text and "<figure>" not in text


@pytest.mark.parametrize(("query", "said"), [("series=flint&w84=many", "a count of edges is a number"),
                                             ("series=flynt&w84=3", "Did you mean flint")])  # fmt: skip
def test_what_cannot_be_taken_is_refused_and_what_was_typed_stays(pages: TestClient, query: str, said: str) -> None:
    answer = pages.get(f"/blanks?{query}")
    assert answer.status_code == 422 and said in answer.text


def test_metric_readers_get_millimetres(pages: TestClient) -> None:
    text = pages.get(f"{ASKED}&units=metric").text
    assert "2134 mm" in text or "2,134 mm" in text
