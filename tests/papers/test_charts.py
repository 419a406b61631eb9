from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError
from plowwright.papers.charts import Band, Curve, Range, Upright, curves, ranges, ticks
from plowwright.papers.marks import Group, Label, Path, walk


def _texts(picture) -> list[str]:
    return [mark.text for mark in walk(picture.marks) if isinstance(mark, Label)]


def _chart():
    return curves(
        width=180,
        height=90,
        along="width, in",
        up="force, lb",
        lines=[
            Curve(name="first yield", points=((48.0, 1900.0), (72.0, 1700.0))),
            Curve(name="plastic", line="broken", points=((48.0, 1910.0), (72.0, 1710.0))),
        ],
        bands=[Band(name="light carrier", low=500.0, high=900.0)],
        uprights=[Upright(name="up to 72 in", at=72.0)],
    )


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e5))
def test_the_values_on_a_scale_are_round_and_cover_both_ends(low: float, span: float) -> None:
    found = ticks(low, low + span)
    step = found[1] - found[0]
    assert found[0] <= low + 1e-6 * step and found[-1] >= low + span - 1e-6 * step
    assert 3 <= len(found) <= 14


def test_a_chart_names_its_curves_bands_and_limits_and_keeps_them_on_the_page() -> None:
    page = _chart()
    assert {"first yield", "plastic", "light carrier", "up to 72 in", "width, in", "force, lb"} <= set(_texts(page))
    for mark in walk(page.marks):
        if isinstance(mark, Path):
            assert all(0 <= x <= page.width and 0 <= y <= page.height for x, y, _ in mark.vertices)


def test_names_of_curves_that_end_close_together_do_not_lie_on_each_other() -> None:
    labels = {m.text: m.y for m in walk(_chart().marks) if isinstance(m, Label)}
    assert abs(labels["first yield"] - labels["plastic"]) > 2.8


def test_ranges_stand_where_their_numbers_are() -> None:
    rows = [
        Range(name="trip", low=400.0, high=800.0, says="400 to 800 lb", kind="caps"),
        Range(name="leg yields", low=800.0, high=1000.0, says="800 to 1,000 lb"),
    ]
    page = ranges(width=180, scale="force, lb", rows=rows, most=1000.0)
    boxes = {}
    for group in (m for m in page.marks if isinstance(m, Group)):
        path = next(m for m in group.marks if isinstance(m, Path))
        boxes[group.title.split(":")[0]] = [v[0] for v in path.vertices]
    zero = min(v[0] for m in page.marks if isinstance(m, Path) for v in m.vertices)
    start, end = min(boxes["trip"]) - zero, max(boxes["trip"]) - zero
    assert start / end == pytest.approx(0.5, abs=0.01)
    assert min(boxes["leg yields"]) == pytest.approx(max(boxes["trip"]), abs=0.01)


def test_a_chart_of_nothing_is_refused() -> None:
    with pytest.raises(EntryError, match="at least one curve"):
        curves(width=100, height=50, along="", up="", lines=[])
    with pytest.raises(EntryError, match="at least one row"):
        ranges(width=100, scale="", rows=[])
    with pytest.raises(EntryError, match="two different ends"):
        ticks(1.0, 1.0)
