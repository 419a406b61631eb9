"""The neutral picture: what each verb leaves on the page."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import EntryError
from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.hatching import hatch_lines
from plowwright.papers.marks import (
    DIMENSION,
    HATCH,
    PENS,
    Circle,
    Group,
    Label,
    Path,
    arc_centre,
    arc_radius,
    flatten,
    walk,
)
from plowwright.papers.placing import readable, spread

places = st.lists(st.floats(-500, 500, allow_nan=False), min_size=1, max_size=30)


def labels(picture: Picture) -> list[Label]:
    return [mark for mark in walk(picture.marks) if isinstance(mark, Label)]


def runs(picture: Picture) -> list[Path]:
    return [mark for mark in walk(picture.marks) if isinstance(mark, Path)]


def test_a_picture_without_a_size_is_refused() -> None:
    with pytest.raises(EntryError) as refused:
        Picture(0, 50)
    assert "a picture needs a width and a height (given: 0 mm x 50 mm); limit: above 0 mm" in str(
        refused.value
    )


def test_what_is_drawn_in_a_group_is_found_under_its_part() -> None:
    picture = Picture(100, 50)
    with picture.group("skin", part="skin", title="Skin"):
        picture.line((0, 0), (10, 0))
        picture.circle((5, 5), 2)
    (group,) = picture.marks
    assert isinstance(group, Group) and (group.name, group.part, group.title) == ("skin", "skin", "Skin")
    assert [type(mark) for mark in group.marks] == [Path, Circle]


def test_a_picture_is_not_read_while_a_group_is_open() -> None:
    picture = Picture(100, 50)
    with picture.group("skin"), pytest.raises(EntryError, match="a group of the picture is still open"):
        picture.marks  # noqa: B018


def test_a_dimension_writes_its_words_above_its_line_and_lies_at_its_offset() -> None:
    picture = Picture(100, 50)
    picture.dimension((10, 20), (60, 20), text="50", offset=8)
    (label,) = labels(picture)
    assert (label.x, label.anchor, label.rotate, label.halo) == (35, "middle", 0, True)
    assert 28.4 < label.y < 29.5
    lines = [run.vertices for run in runs(picture) if run.pen is DIMENSION]
    assert ((10.0, 28.0, 0.0), (60.0, 28.0, 0.0)) in lines
    assert ((10.0, 20.8, 0.0), (10.0, 29.2, 0.0)) in lines


def test_the_two_arrows_of_a_dimension_point_at_its_ends() -> None:
    picture = Picture(100, 50)
    picture.dimension((10, 20), (60, 20), text="50", offset=8)
    tips = [run.vertices[0] for run in runs(picture) if run.fill == "ink"]
    assert tips == [(10, 28, 0), (60, 28, 0)]


def test_a_short_dimension_has_its_arrows_and_words_outside() -> None:
    picture = Picture(100, 50)
    picture.dimension((10, 20), (13, 20), text="1/8 in", offset=8)
    (label,) = labels(picture)
    assert label.x - fonts.text_width("1/8 in", size=label.size) / 2 > 13
    backs = [max(x for x, _, _ in run.vertices) for run in runs(picture) if run.fill == "ink"]
    assert backs[0] == 10.0 and backs[1] > 13


def test_a_vertical_dimension_is_read_from_the_right_hand_side_of_the_sheet() -> None:
    picture = Picture(100, 100)
    picture.dimension((10, 80), (30, 20), text="60", offset=-9, along="vertical")
    (label,) = labels(picture)
    assert label.rotate == 90
    # Least offset is kept from the point that lies farther out, here the one at x = 30.
    assert label.x == pytest.approx(39 - 0.7)


@given(st.floats(-720, 720, allow_nan=False))
def test_turned_text_never_stands_on_its_head(angle: float) -> None:
    turned = readable(angle)
    assert -90 < turned <= 90 + 1e-6
    assert ((turned - angle) / 180) == pytest.approx(round((turned - angle) / 180), abs=1e-6)


def test_a_dimension_between_one_and_the_same_point_is_refused() -> None:
    with pytest.raises(EntryError, match=r"coincide and give no direction \(given: \(10.00, 20.00\) mm\)"):
        Picture(100, 50).dimension((10, 20), (10, 20), text="0", offset=5)


def test_running_dimensions_start_with_zero_at_the_datum() -> None:
    picture = Picture(200, 60)
    picture.running((10, 40), [(13, 40), (90, 40)], texts=["3", "80"], row=20)
    assert [(label.text, label.rotate, label.anchor) for label in labels(picture)] == [
        ("0", 90, "right"),
        ("3", 90, "right"),
        ("80", 90, "right"),
    ]
    at = [label.x for label in labels(picture)]
    assert at[2] == 90 and at[1] - at[0] >= 1.3 * labels(picture)[0].size


@pytest.mark.parametrize(("row", "anchor"), [(60.0, "left"), (10.0, "right")])
def test_running_dimensions_up_the_side_keep_their_words_off_their_lines(row: float, anchor: str) -> None:
    picture = Picture(100, 100)
    picture.running((30, 20), [(30, 40)], texts=["20"], row=row, axis="y")
    for label in labels(picture):
        assert (label.anchor, label.rotate) == (anchor, 0)
        assert (label.x > row) == (anchor == "left")


def test_running_dimensions_need_a_text_for_each_point() -> None:
    with pytest.raises(EntryError, match=r"one text for each point \(given: 2 points, 1 texts\)"):
        Picture(100, 50).running((0, 0), [(1, 0), (2, 0)], texts=["1"], row=-5)


@given(places, st.floats(0.5, 10))
def test_texts_moved_apart_keep_their_order_and_their_distance(where: list[float], least: float) -> None:
    moved = spread(where, least=least)
    order = sorted(range(len(where)), key=lambda i: where[i])
    gaps = [moved[b] - moved[a] for a, b in pairwise(order)]
    assert all(gap >= least - 1e-6 for gap in gaps)
    assert sum(moved) == pytest.approx(sum(where), abs=1e-6 * len(where) * 500)


@given(st.lists(st.integers(-20, 20), min_size=1, max_size=20, unique=True))
def test_texts_with_room_enough_stay_where_they_are(where: list[int]) -> None:
    assert spread([10.0 * place for place in where], least=10.0) == [10.0 * place for place in where]


def test_the_words_of_a_leader_stand_away_from_its_tip() -> None:
    picture = Picture(100, 50)
    picture.leader((50, 10), (30, 40), ["skin", "3/16 in"])
    assert [label.anchor for label in labels(picture)] == ["right", "right"]
    assert all(label.x < 30 for label in labels(picture))
    first, second = labels(picture)
    assert first.y > 40 > second.y


def test_an_arc_ends_where_it_is_told() -> None:
    picture = Picture(100, 100)
    picture.arc((50, 50), 10, start=0, end=270)
    (run,) = runs(picture)
    points = flatten(run.vertices, closed=False)
    assert points[0] == pytest.approx((60, 50)) and points[-1] == pytest.approx((50, 40))
    assert all(hypot(x - 50, y - 50) == pytest.approx(10) for x, y in points)
    assert max(y for _, y in points) == pytest.approx(60)


@given(st.floats(-3, 3).filter(lambda bulge: abs(bulge) > 0.05))
def test_every_point_of_a_bulge_lies_on_its_circle(bulge: float) -> None:
    start, end = (1.0, 2.0), (7.0, -1.0)
    centre = arc_centre(start, end, bulge=bulge)
    radius = arc_radius(start, end, bulge=bulge)
    for x, y in flatten([(*start, bulge), (*end, 0.0)], closed=False):
        assert hypot(x - centre[0], y - centre[1]) == pytest.approx(radius, rel=1e-9)


@pytest.mark.parametrize("angle", [0.0, 45.0, 90.0, 133.0])
def test_hatching_covers_the_area_and_leaves_the_hole_out(angle: float) -> None:
    square = [(0.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 40.0, 0.0), (0.0, 40.0, 0.0)]
    hole = [(10.0, 20.0, 1.0), (30.0, 20.0, 1.0)]
    strokes = hatch_lines([square, hole], angle=angle, spacing=0.5)
    length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in strokes)
    # Strokes half a millimetre apart stand for strips; their ends cost less than one per cent here.
    assert length * 0.5 == pytest.approx(1600 - pi * 100, rel=0.01)
    assert all(hypot((a[0] + b[0]) / 2 - 20, (a[1] + b[1]) / 2 - 20) > 9.9 for a, b in strokes)


def test_hatching_without_a_distance_is_refused() -> None:
    with pytest.raises(EntryError, match=r"a distance between its lines \(given: 0 mm\)"):
        Picture(10, 10).hatch([[(0, 0), (1, 0), (1, 1)]], spacing=0)


def test_hatching_is_drawn_with_its_own_thin_pen() -> None:
    picture = Picture(50, 50)
    picture.hatch([[(0, 0), (20, 0), (20, 20), (0, 20)]])
    assert len(runs(picture)) > 10 and {run.pen for run in runs(picture)} == {HATCH}


def test_every_pen_has_a_layer_in_plain_words_and_a_width_a_drafting_standard_knows() -> None:
    assert len({pen.layer for pen in PENS}) == len(PENS)
    assert all(pen.layer == pen.layer.lower() and "_" not in pen.layer for pen in PENS)
    assert {pen.width for pen in PENS} <= {0.13, 0.18, 0.25, 0.35, 0.5, 0.7}
