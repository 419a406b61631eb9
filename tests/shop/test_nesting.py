"""Nests: what must come out, and what every nest must keep."""

from __future__ import annotations

import time
from math import cos, inf, pi, sin

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright.errors import NoPlanInTimeError, PlanInputError
from plowwright.physics.regions import Loop, circle, polygon, rectangle
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_limits import Progress
from plowwright.shop.nesting_model import NestPlan, Outline, RestRule, Sheet
from plowwright.units.constants import INCH
from tests.references.nesting_models import fewest_sheets, strip_length

SQUARE_TURNS = (0.0, pi / 2, pi, 3 * pi / 2)
STOCK = "plate 1/4"


def piece(tag: str, outer: Loop, **changes: object) -> Outline:
    return Outline(stock=STOCK, outer=outer, tag=tag, **changes)  # type: ignore[arg-type]


def sheet(length: float, width: float, price: float = 100.0, **changes: object) -> Sheet:
    return Sheet(stock=STOCK, length=length, width=width, price=price, **changes)  # type: ignore[arg-type]


def nest(
    outlines: list[Outline], sheets: list[Sheet], gap: float = 0.0, seconds: float = 3.0, **more: object
) -> NestPlan:
    return plan(outlines, sheets, gap, SQUARE_TURNS, seconds, **more)  # type: ignore[arg-type]


def frame(size: float, wall: float) -> dict[str, object]:
    return {
        "outer": rectangle(0, 0, size, size),
        "inner": (rectangle(wall, wall, size - wall, size - wall),),
    }


def test_what_fits_exactly_still_fits_and_is_proved_best() -> None:
    found = nest([piece(f"q{n}", rectangle(0, 0, 0.5, 0.3)) for n in range(4)], [sheet(1.0, 0.6)])
    assert found.sheets_used == 1
    assert found.utilisation == pytest.approx(1.0)
    assert found.status == "proved best"
    assert found.cost == found.bound == 100.0


def test_the_gap_and_the_edge_take_their_room_to_the_hair() -> None:
    four = [piece(f"q{n}", rectangle(0, 0, 0.5, 0.3)) for n in range(4)]
    just = sheet(1.0 + 0.01 + 2 * 0.02, 0.6 + 0.01 + 2 * 0.02)
    assert nest(four, [just], 0.01, edge=0.02).sheets_used == 1
    short = sheet(just.length - 0.001, just.width)
    assert nest(four, [short], 0.01, edge=0.02).sheets_used == 2


def test_two_angles_of_iron_shape_interlock_where_their_boxes_would_not() -> None:
    ell = polygon([(0, 0), (0.5, 0), (0.5, 0.1), (0.1, 0.1), (0.1, 0.5), (0, 0.5)])
    found = nest([piece("a", ell), piece("b", ell)], [sheet(0.7, 0.62)], 0.005)
    assert found.sheets_used == 1


def test_a_part_lies_in_the_opening_of_another_where_that_is_the_only_way() -> None:
    host = Outline(stock=STOCK, tag="frame", **frame(0.58, 0.06))  # type: ignore[arg-type]
    small = piece("plug", circle(0.0, 0.0, 0.2))
    found = nest([host, small], [sheet(0.6, 0.6, buyable=False, on_hand=1)], 0.01)
    placed = {p.outline.tag: p for p in found.sheets[0].placed}
    assert found.sheets_used == 1
    assert placed["plug"].inside == "frame" and placed["frame"].inside == ""


def test_a_frame_in_a_frame_in_a_frame_takes_one_sheet() -> None:
    frames = [Outline(stock=STOCK, tag=f"f{n}", **frame(0.58 - 0.2 * n, 0.04)) for n in range(3)]  # type: ignore[arg-type]
    found = nest(frames, [sheet(0.6, 0.6)], 0.01)
    inside = {p.outline.tag: p.inside for p in found.sheets[0].placed}
    assert found.sheets_used == 1
    assert inside == {"f0": "", "f1": "f0", "f2": "f1"}


def test_an_opening_too_small_for_any_piece_is_not_looked_at() -> None:
    host = Outline(stock=STOCK, tag="frame", **frame(0.3, 0.14))  # type: ignore[arg-type]
    found = nest([host, piece("strip", rectangle(0, 0, 0.03, 0.2))], [sheet(0.6, 0.6)], 0.01)
    assert all(not p.inside for p in found.sheets[0].placed)


def test_the_cheaper_sheet_that_holds_them_is_taken() -> None:
    pieces = [piece(f"p{n}", rectangle(0, 0, 0.4, 0.4)) for n in range(2)]
    found = nest(pieces, [sheet(2.0, 1.0, 90.0), sheet(1.0, 0.5, 25.0), sheet(0.5, 0.5, 20.0)], 0.01)
    assert [n.sheet.price for n in found.sheets] == [25.0]


def test_a_remnant_at_its_book_value_is_used_before_a_whole_sheet_and_only_once() -> None:
    pieces = [piece(f"p{n}", rectangle(0, 0, 0.4, 0.4)) for n in range(2)]
    scrap = sheet(0.5, 0.5, 5.0, tag="P-41", buyable=False, on_hand=1)
    found = nest(pieces, [sheet(0.5, 0.5, 20.0), scrap], 0.01)
    assert sorted(n.sheet.tag for n in found.sheets) == ["", "P-41"]
    assert found.cost == pytest.approx(25.0)


def test_what_is_left_of_a_part_filled_sheet_goes_back_with_its_worth() -> None:
    rule = RestRule(least=0.3, value_share=0.4)
    found = nest([piece("p", rectangle(0, 0, 0.5, 0.98))], [sheet(2.0, 1.0)], 0.01, rest_rule=rule, edge=0.01)
    (rest,) = found.sheets[0].rests
    a, b, c, d = rest.box
    assert (c - a, d - b) == pytest.approx((2.0 - 0.52, 1.0), abs=1e-4)
    assert rest.tag == "rest 1"
    assert found.cost == pytest.approx(100.0 - 0.4 * 100.0 * rest.area / 2.0)


def test_a_rest_too_narrow_to_keep_is_worth_nothing() -> None:
    rule = RestRule(least=1.6, value_share=0.4)
    found = nest([piece("p", rectangle(0, 0, 0.5, 0.98))], [sheet(2.0, 1.0)], 0.01, rest_rule=rule)
    assert found.sheets[0].rests == () and found.cost == 100.0


def test_a_part_with_grain_lies_along_the_sheet() -> None:
    long = rectangle(0, 0, 0.2, 0.6)
    free = nest([piece("p", long)], [sheet(1.0, 0.3)], 0.01)
    assert free.sheets[0].placed[0].turn in (pi / 2, 3 * pi / 2)
    with pytest.raises(PlanInputError, match="fits on no sheet"):
        nest([piece("p", long, grain=True)], [sheet(1.0, 0.3)], 0.01)
    kept = nest([piece("p", rectangle(0, 0, 0.6, 0.2), grain=True)], [sheet(1.0, 0.8)], 0.01)
    assert kept.sheets[0].placed[0].turn in (0.0, pi)


def test_a_part_lies_only_at_the_angles_it_names() -> None:
    found = nest([piece("p", rectangle(0, 0, 0.6, 0.1), turns=(pi / 4,))], [sheet(1.0, 0.6)], 0.01)
    assert found.sheets[0].placed[0].turn == pytest.approx(pi / 4)


def test_a_piece_too_large_is_refused_with_its_size_the_largest_sheet_and_the_way_out() -> None:
    with pytest.raises(PlanInputError) as caught:
        nest([piece("12 skin", rectangle(0, 0, 120 * INCH, 35 * INCH))], [sheet(120 * INCH, 60 * INCH)], edge=INCH / 2)
    text = str(caught.value)
    assert text.startswith("12 skin: a piece fits on no sheet (given: 120 in x 35 in)")
    assert "60 in x 120 in, of which 59 in x 119 in is left inside the edge" in text
    assert "Add a larger sheet" in text


def test_more_metal_than_is_on_hand_is_refused_and_a_search_without_luck_says_so() -> None:
    last = [sheet(1.0, 0.5, buyable=False, on_hand=1)]
    with pytest.raises(PlanInputError, match="what is on hand cannot hold every piece"):
        nest([piece(f"p{n}", rectangle(0, 0, 0.5, 0.4)) for n in range(3)], last)
    with pytest.raises(NoPlanInTimeError, match="no nest was found that lays every piece"):
        nest([piece(f"p{n}", rectangle(0, 0, 0.6, 0.3)) for n in range(2)], last, seconds=0.5)


@pytest.mark.parametrize(
    ("outlines", "text"),
    [
        ([piece("a", rectangle(0, 0, 0.1, 0.1))] * 2, "two pieces share a tag"),
        ([piece("bow", polygon([(0, 0), (1, 1), (1, 0), (0, 1)]))], "bow: an outline crosses itself"),
        ([piece("line", polygon([(0, 0), (1, 0)]))], "line: an outline encloses nothing"),
        ([piece("a", rectangle(0, 0, 0.1, 0.1), inner=(circle(0.1, 0.1, 0.02),))], "a, opening 1: .*reaches out"),
        ([piece("a", rectangle(0, 0, 0.1, 0.1), turns=())], "a: a piece has no angle"),
        ([Outline(stock="plate 9", outer=rectangle(0, 0, 1, 1), tag="a")], "no sheet of this stock is listed"),
    ],
)
def test_outlines_that_make_no_sense_are_refused_by_name(outlines: list[Outline], text: str) -> None:
    with pytest.raises(PlanInputError, match=text):
        nest(outlines, [sheet(1.0, 1.0)])


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"gap": -0.001}, "the gap must not be below zero"),
        ({"edge": inf}, "the distance to the edge must not be below zero"),
        ({"seconds": 0.0}, "a nest needs some time"),
        ({"rest_rule": RestRule(least=0.3, value_share=1.0)}, "share 0 or more and below 1"),
        ({"sheets": [sheet(1.0, 0.0)]}, "a sheet needs a length and a width"),
        ({"sheets": [sheet(1.0, 1.0, 0.0)]}, "needs a price; a remnant may be free"),
        ({"sheets": [sheet(1.0, 1.0, tag="P", on_hand=2, buyable=False)]}, "a tagged remnant is there once"),
    ],
)
def test_settings_and_sheets_that_make_no_sense_are_refused(changes: dict[str, object], text: str) -> None:
    given: dict[str, object] = {"gap": 0.0, "seconds": 1.0, "sheets": [sheet(1.0, 1.0)]}
    with pytest.raises(PlanInputError, match=text):
        nest([piece("a", rectangle(0, 0, 0.1, 0.1))], **(given | changes))  # type: ignore[arg-type]


def test_stop_hands_back_the_best_so_far_with_every_piece() -> None:
    pieces = [piece(f"p{n}", polygon([(0, 0), (0.3, 0), (0.1, 0.25 + 0.01 * n)])) for n in range(12)]
    begin = time.perf_counter()
    found = nest(pieces, [sheet(0.7, 0.4)], 0.01, seconds=60.0, stop=lambda: True)
    assert found.status == "stopped" and len(found.pieces) == 12
    assert time.perf_counter() - begin < 20


def test_progress_is_told_with_cost_and_bound() -> None:
    heard: list[Progress] = []
    nest([piece("a", rectangle(0, 0, 0.1, 0.1))], [sheet(1.0, 1.0)], progress=heard.append)
    assert heard and heard[-1].cost == 100.0 and 0 < heard[-1].bound <= 100.0 and heard[-1].total == 1


def test_the_same_seed_tries_the_same_nests_in_the_same_order() -> None:
    pieces = [piece(f"p{n}", polygon([(0, 0), (0.3, 0), (0.1, 0.2 + 0.01 * n)])) for n in range(9)]
    rule = RestRule(least=0.1, value_share=0.5)

    def made(seed: int) -> tuple[list[float], list[dict[str, object]]]:
        asked = iter(range(18))
        costs: list[float] = []
        found = nest(
            pieces, [sheet(2.0, 0.5)], 0.01, seconds=60.0, rest_rule=rule, seed=seed,
            stop=lambda: next(asked, None) is None, progress=lambda p: costs.append(p.cost),
        )  # fmt: skip
        return costs, [s.as_dict() for s in found.sheets]

    assert made(1) == made(1)
    assert made(4) == made(4)


def test_nothing_to_nest_is_an_empty_nest() -> None:
    found = nest([], [sheet(1.0, 1.0)])
    assert (found.sheets_used, found.cost, found.utilisation, found.status) == (0, 0.0, 0.0, "proved best")


def test_sheets_with_rush_pieces_have_the_first_numbers_and_stocks_are_kept_apart() -> None:
    pieces = [piece("a", rectangle(0, 0, 0.9, 0.9)), piece("b", rectangle(0, 0, 0.9, 0.8), rush=True)]
    pieces.append(Outline(stock="plate 3/8", outer=rectangle(0, 0, 0.1, 0.1), tag="c"))
    found = nest(pieces, [sheet(1.0, 1.0), Sheet(stock="plate 3/8", length=1.0, width=1.0, price=50.0)])
    assert found.sheets[0].placed[0].outline.tag == "b" and found.sheets[0].number == 1
    assert {s.stock: len(s.sheets) for s in found.stocks} == {"plate 1/4": 2, "plate 3/8": 1}
    assert found.cost == 250.0
    assert found.as_dict()["sheets_used"] == 3


def test_rectangles_take_no_more_sheets_than_an_exact_model_proves() -> None:
    sizes = [(60, 40), (50, 40), (40, 30), (30, 30), (60, 20), (45, 35), (25, 20), (70, 15)]
    best = fewest_sheets(sizes, 100, 60, 4, 20.0)
    pieces = [piece(f"p{n}", rectangle(0, 0, a / 100, b / 100)) for n, (a, b) in enumerate(sizes)]
    found = nest(pieces, [sheet(1.0, 0.6)], seconds=6.0)
    assert found.sheets_used == best


def test_a_strip_is_hardly_longer_than_the_strip_library_alone_makes_it() -> None:
    shapes = [polygon([(0, 0), (0.3, 0), (0.3, 0.08), (0.08, 0.25), (0, 0.25)]) for _ in range(8)]
    pieces = [piece(f"p{n}", shape) for n, shape in enumerate(shapes)]
    alone = strip_length(pieces, 0.6, 2)
    rule = RestRule(least=0.05, value_share=0.9)
    found = nest(pieces, [sheet(3.0, 0.6)], rest_rule=rule, seconds=5.0)
    assert sum(n.used_area for n in found.sheets) <= 1.03 * alone * 0.6


@st.composite
def simple_shapes(draw: st.DrawFn) -> Loop:
    """Stars about their middle: corners sorted by angle never cross."""
    count = draw(st.integers(3, 8))
    radii = draw(st.lists(st.floats(0.05, 0.2), min_size=count, max_size=count))
    corners = [(r * cos(2 * pi * k / count), r * sin(2 * pi * k / count)) for k, r in enumerate(radii)]
    arcs = draw(st.lists(st.sampled_from([0.0, 0.0, 0.2, -0.05]), min_size=count, max_size=count))
    return tuple((u, v, b if min(radii) > 0.12 else 0.0) for (u, v), b in zip(corners, arcs, strict=True))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    shapes=st.lists(simple_shapes(), min_size=1, max_size=7),
    gap=st.sampled_from([0.0, 0.004, 0.012]),
    turns=st.sampled_from([(0.0,), SQUARE_TURNS, (0.0, 0.3, 2.0)]),
    holed=st.booleans(),
    seed=st.integers(0, 5),
)
def test_any_shapes_are_nested_without_a_fault(
    shapes: list[Loop], gap: float, turns: tuple[float, ...], holed: bool, seed: int
) -> None:
    outlines = [piece(f"p{n}", shape) for n, shape in enumerate(shapes)]
    if holed:
        outlines.append(Outline(stock=STOCK, tag="frame", **frame(0.6, 0.05)))  # type: ignore[arg-type]
    scrap = sheet(0.5, 0.45, 3.0, tag="R", buyable=False, on_hand=1)
    rule = RestRule(least=0.2, value_share=0.4, handling=1.0)
    # The checker runs inside and raises on any fault of the nest.
    found = plan(outlines, [sheet(1.0, 0.8), scrap], gap, turns, 0.4, rest_rule=rule, edge=gap / 2 + 0.003, seed=seed)
    assert sorted(o.tag for o in found.pieces) == sorted(o.tag for o in outlines)
    assert found.bound <= found.cost + 1e-9
    assert 0 < found.utilisation <= 1
