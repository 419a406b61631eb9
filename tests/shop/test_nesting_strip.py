"""A sheet laid anew by the strip library: the same pieces come back, none overlapping, guests with their hosts."""

from __future__ import annotations

from math import pi

import pytest
from shapely import affinity

from plowwright.physics.regions import circle, polygon, rectangle
from plowwright.shop.nesting_bound import each_by_itself, held_area, least_cost
from plowwright.shop.nesting_fill import Bed, Ground, Item
from plowwright.shop.nesting_model import Outline, RestRule, Sheet
from plowwright.shop.nesting_shapes import Shapes
from plowwright.shop.nesting_strip import blocks, hosts, lay_strip, single

TURNS = (0.0, pi / 2, pi, 3 * pi / 2)
SHEET = Sheet(stock="p", length=1.5, width=0.6, price=10.0)
WEDGE = polygon([(0, 0), (0.3, 0), (0.05, 0.2)])


def ground(gap: float = 0.01) -> Ground:
    return Ground(shapes=Shapes(gap=gap), gap=gap, edge=gap, rule=RestRule(least=0.1, value_share=0.5))


def items(on: Ground, *outlines: Outline) -> list[Item]:
    made: list[Item] = []
    for number, outline in enumerate(outlines):
        poses = on.shapes.of(outline, TURNS if outline.turns is None else outline.turns, least_hole=0.05)
        made.append(Item(number=number, outline=outline, poses=poses, area=poses[0].area))
    return made


def wedges(count: int) -> list[Outline]:
    return [Outline(stock="p", outer=WEDGE, tag=f"w{n}") for n in range(count)]


@pytest.mark.parametrize("across", [False, True])
def test_every_piece_comes_back_once_and_none_overlaps(across: bool) -> None:
    on = ground()
    own = items(on, *wedges(6), Outline(stock="p", outer=circle(0, 0, 0.08), tag="o", turns=(0.3,)))
    bed = lay_strip(on, SHEET, single(own), seconds=1.0, seed=3, across=across)
    assert bed is not None
    assert sorted(lay.item.number for lay in bed.laid) == list(range(7))
    there = [affinity.translate(lay.pose.polygon, lay.x, lay.y) for lay in bed.laid]
    length, width = on.field(SHEET)
    for at, shape in enumerate(there):
        low_x, low_y, high_x, high_y = shape.bounds
        assert min(low_x, low_y, length - high_x, width - high_y) > -1e-9
        assert all(shape.intersection(other).area < 1e-6 for other in there[:at])
    side = bed.far[1] / width if across else bed.far[0] / length
    assert side < 0.6


def test_pieces_in_an_opening_stay_in_it_and_go_with_their_host() -> None:
    on = ground()
    frame = Outline(stock="p", outer=rectangle(0, 0, 0.4, 0.4), inner=(rectangle(0.05, 0.05, 0.35, 0.35),), tag="frame")
    guest = Outline(stock="p", outer=rectangle(0, 0, 0.2, 0.2), tag="guest")
    bed = Bed(ground=on, sheet=SHEET)
    assert bed.fill(items(on, frame, guest, *wedges(2)), "along") == []
    assert hosts(bed) == {1: 0}
    (block,) = [b for b in blocks(bed) if b.guests]
    assert len(block.poses) == 1 and [g.item.outline.tag for g in block.guests] == ["guest"]
    again = lay_strip(on, SHEET, blocks(bed), seconds=1.0, seed=1, across=False)
    assert again is not None
    named = {again.laid[a].item.outline.tag: again.laid[b].item.outline.tag for a, b in hosts(again).items()}
    assert named == {"guest": "frame"}


def test_what_does_not_fit_is_not_laid() -> None:
    on = ground()
    small = Sheet(stock="p", length=0.5, width=0.25, price=1.0)
    assert lay_strip(on, small, single(items(on, *wedges(8))), seconds=1.0, seed=1, across=False) is None


def test_a_bound_counts_the_gap_the_sheets_and_what_cannot_share_one() -> None:
    on = ground()
    large = [Outline(stock="p", outer=rectangle(0, 0, 0.9, 0.4), tag=f"l{n}") for n in range(3)]
    own = items(on, *large)
    sheets = [SHEET, Sheet(stock="p", length=0.5, width=0.5, price=1.0)]
    assert each_by_itself(own, sheets, on) == ((3, [0]),)
    assert held_area(large[0], 0.01, 1.0) == pytest.approx(0.91 * 0.41, rel=1e-3)
    fields = [a * b for a, b in (on.field(s) for s in sheets)]
    held = sum(held_area(o, 0.01, 1.0) for o in large)
    none = RestRule(least=9.0)
    # By area alone the small sheets would do: five of them for 1 each; by pairs three large ones are needed.
    assert least_cost(large, held, fields, sheets, none) == pytest.approx(5.0)
    assert least_cost(large, held, fields, sheets, none, [(3, [0])]) == pytest.approx(30.0)
    half = RestRule(least=0.1, value_share=0.5)
    kept = least_cost(large, held, fields[:1], sheets[:1], half, [(3, [0])])
    assert kept == pytest.approx(0.5 * 30.0 + 0.5 * 10.0 / SHEET.area * 3 * 0.36)
    assert 15.0 < least_cost(large, held, fields, sheets, half, [(3, [0])]) <= kept


def test_two_large_pieces_that_interlock_may_share_a_sheet() -> None:
    on = ground()
    ell = polygon([(0, 0), (0.5, 0), (0.5, 0.1), (0.1, 0.1), (0.1, 0.5), (0, 0.5)])
    own = items(on, *(Outline(stock="p", outer=ell, tag=f"l{n}") for n in range(2)))
    tight = Sheet(stock="p", length=0.72, width=0.63, price=1.0)
    assert each_by_itself(own, [tight], on)[0][0] == 1
    assert each_by_itself(own, [Sheet(stock="p", length=0.55, width=0.55, price=1.0)], on)[0][0] == 2


def test_a_bound_by_pairs_asks_for_the_large_sheets_as_well_as_for_the_count() -> None:
    on = ground()
    own = items(
        on,
        Outline(stock="p", outer=rectangle(0, 0, 1.4, 0.4), tag="long"),
        *(Outline(stock="p", outer=rectangle(0, 0, 0.45, 0.45), tag=f"s{n}") for n in range(2)),
    )
    short = Sheet(stock="p", length=0.55, width=0.55, price=1.0)
    sheets = [Sheet(stock="p", length=1.5, width=0.45, price=10.0), short]
    assert {(count, tuple(held)) for count, held in each_by_itself(own, sheets, on)} == {(1, (0,)), (2, (1,))}
    wide = [Sheet(stock="p", length=1.5, width=0.55, price=10.0), short]
    assert {(count, tuple(held)) for count, held in each_by_itself(own, wide, on)} == {(1, (0,)), (2, (0, 1))}
