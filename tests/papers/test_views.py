"""From model metres to page millimetres."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError
from plowwright.papers.marks import flatten
from plowwright.papers.views import STANDARD_SCALES, View, fit_view, pick_ratio

lengths = st.floats(-5, 5, allow_nan=False)


def test_one_metre_at_one_to_eight_is_125_mm() -> None:
    view = View(ratio=8, x=20, y=30)
    assert view.at(1, 0) == (145, 30) and view.length(1) == 125 and view.title == "1:8"


@given(lengths, lengths, st.sampled_from(STANDARD_SCALES), st.booleans())
def test_a_place_on_the_page_leads_back_to_the_model(u: float, v: float, ratio: int, mirrored: bool) -> None:
    view = View(ratio=ratio, x=31.7, y=12.2, model_x=0.4, model_y=-0.2, mirrored=mirrored)
    assert view.model(*view.at(u, v)) == pytest.approx((u, v), abs=1e-9)


def test_seen_from_behind_left_is_right_and_an_arc_still_bulges_outwards() -> None:
    outline = [(0.0, 0.0, 0.0), (0.2, 0.0, 1.0), (0.2, 0.1, 0.0), (0.0, 0.1, 0.0)]
    front = flatten(View(ratio=1).points(outline), closed=True)
    back = flatten(View(ratio=1, mirrored=True).points(outline), closed=True)
    assert max(x for x, _ in front) == pytest.approx(250)
    assert min(x for x, _ in back) == pytest.approx(-250)


def test_the_largest_standard_scale_that_fits_is_picked() -> None:
    assert pick_ratio(2.1336, 0.85, box_width=180, box_height=90) == 12
    assert pick_ratio(2.1336, 1.2, box_width=180, box_height=90) == 16
    assert pick_ratio(0.1, 0.05, box_width=100, box_height=50) == 1


def test_a_model_in_millimetres_by_mistake_is_refused_with_the_way_out() -> None:
    with pytest.raises(EntryError) as refused:
        pick_ratio(2133.6, 850, box_width=180, box_height=90)
    text = str(refused.value)
    assert "2133.600 m x 850.000 m" in text and "180 mm x 90 mm at 1:100" in text
    assert "check that its size is in metres" in text


def test_a_fitted_view_centres_the_model_in_its_box() -> None:
    view = fit_view((-1, 0, 1, 0.8), box=(10, 20, 180, 100))
    assert view.at(0, 0.4) == pytest.approx((100, 70))
    left, bottom = view.at(-1, 0)
    right, top = view.at(1, 0.8)
    assert left >= 10 and right <= 190 and bottom >= 20 and top <= 120
