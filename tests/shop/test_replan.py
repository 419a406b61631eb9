"""After a miscut or a bent bar: what is cut stays, and only changed tags are issued again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import PlanInputError
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Stick
from plowwright.shop.replan import Replan, replan
from plowwright.units.constants import INCH

KERF, TRIM = INCH / 8, INCH / 2
RULE = RemnantRule(least=18 * INCH, value_share=0.5)
STICKS = (
    Stick(stock="tube", length=240 * INCH, price=100.0, on_hand=3),
    Stick(stock="tube", length=288 * INCH, price=115.2),
    Stick(stock="tube", length=70 * INCH, price=10.0, on_hand=1, buyable=False, tag="R1", trimmed_ends=1),
)


def made(*lengths: float) -> CutPlan:
    what = [Piece(stock="tube", length=x * INCH, tag=f"p{n}", rush=n == 2) for n, x in enumerate(lengths)]
    return plan(what, STICKS, KERF, TRIM, RULE, 3.0)


def places(p: CutPlan) -> dict[str, tuple[int, float]]:
    return {x.piece.tag: (c.number, x.start) for c in p.sticks for x in c.placed}


def untouched(before: CutPlan, after: Replan, tags: set[str]) -> bool:
    was, now = places(before), places(after.plan)
    return all(was[t] == now[t] for t in tags)


def test_a_miscut_piece_goes_on_a_drop_and_one_tag_is_issued_again() -> None:
    before = made(100, 90, 80, 70, 60)
    first = before.sticks[0]
    spoilt = first.placed[0].piece.tag
    done = {p.piece.tag for p in first.placed[1:]}
    after = replan(before, STICKS, cut=done, miscut={spoilt}, seconds=4.0)
    assert [c.tag for c in after.changes if c.why == "miscut"] == [spoilt]
    assert untouched(before, after, done)
    assert {p.tag for p in after.plan.pieces} == {p.tag for p in before.pieces}
    assert after.extra_cost > 0 or before.cost == after.plan.cost


def test_a_bent_bar_with_nothing_cut_is_set_aside_and_its_pieces_move() -> None:
    before = made(100, 90, 80, 70, 60, 50, 110)
    bent = before.sticks[-1]
    after = replan(before, STICKS, cut=(), bent={bent.number}, seconds=4.0)
    moved = {p.piece.tag for p in bent.placed}
    assert moved <= {c.tag for c in after.changes}
    assert bent.number not in {c.number for c in after.plan.sticks}
    assert after.changes[0].in_words().startswith(after.changes[0].tag + ": stick")


def test_what_is_cut_from_a_bar_before_it_is_found_bent_stays() -> None:
    before = made(100, 90, 80, 70, 60, 50)
    bar = next(c for c in before.sticks if len(c.placed) > 1)
    done = {bar.placed[0].piece.tag}
    after = replan(before, STICKS, cut=done, bent={bar.number}, seconds=4.0)
    assert untouched(before, after, done)
    stays = next(c for c in after.plan.sticks if c.number == bar.number)
    assert [p.piece.tag for p in stays.placed] == [bar.placed[0].piece.tag]
    assert (stays.drop, stays.kept) == (0.0, False)


def test_nothing_happened_changes_nothing() -> None:
    before = made(100, 90, 80)
    assert replan(before, STICKS, cut=["p0"]) == Replan(plan=before, changes=(), extra_cost=0.0)


def test_dear_tags_keep_every_other_stick_as_it_is() -> None:
    before = made(100, 90, 80, 70, 60, 50, 110, 120)
    spoilt = before.sticks[0].placed[0].piece.tag
    after = replan(before, STICKS, cut=(), miscut={spoilt}, worth_a_tag=1e6, seconds=4.0)
    assert [c.tag for c in after.changes] == [spoilt]


@given(st.lists(st.integers(20, 120), min_size=4, max_size=9), st.data())
def test_any_mishap_leaves_what_is_cut_and_loses_no_piece(lengths: list[int], data: st.DataObject) -> None:
    what = [Piece(stock="tube", length=x * INCH, tag=f"p{n}", rush=n == 2) for n, x in enumerate(lengths)]
    before = plan(what, STICKS, KERF, TRIM, RULE, 0.3)
    begun = data.draw(st.integers(0, len(before.sticks) - 1))
    cut = {p.piece.tag for c in before.sticks[:begun] for p in c.placed}
    row = [p.piece.tag for p in before.sticks[begun].placed]
    good = data.draw(st.integers(0, len(row) - 1))
    cut |= set(row[:good])
    mishap = data.draw(st.sampled_from(["miscut", "bent"]))
    after = replan(
        before, STICKS, cut=cut, miscut={row[good]} if mishap == "miscut" else (),
        bent={before.sticks[begun].number} if mishap == "bent" else (), seconds=0.4,
    )  # fmt: skip
    assert untouched(before, after, cut)
    assert sorted(p.tag for p in after.plan.pieces) == sorted(p.tag for p in before.pieces)
    again = {c.tag for c in after.changes}
    was, now = places(before), places(after.plan)
    assert {t for t in was if was[t][0] != now[t][0]} <= again


@pytest.mark.parametrize(
    ("cut", "miscut", "bent", "says"),
    [
        ((), ("p9",), (), "no piece of the plan has this tag (given: p9)"),
        (("p1",), ("p1",), (), "a piece cannot be cut well and miscut (given: p1)"),
        ((), (), (77,), "no stick of the plan has this number (given: 77)"),
    ],
)
def test_a_wrong_tag_or_number_is_refused(
    cut: tuple[str, ...], miscut: tuple[str, ...], bent: tuple[int, ...], says: str
) -> None:
    with pytest.raises(PlanInputError) as refused:
        replan(made(100, 90, 80), STICKS, cut=cut, miscut=miscut, bent=bent)
    assert says in str(refused.value)


def test_the_rest_of_a_stick_whose_only_piece_was_miscut_is_still_used() -> None:
    before = made(60)
    stick = before.sticks[0]
    short = (Stick(stock="tube", length=240 * INCH, price=100.0, on_hand=1, buyable=False),)
    alone = plan(before.pieces, short, KERF, TRIM, RULE, 2.0)
    after = replan(alone, short, cut=(), miscut={"p0"}, seconds=2.0)
    (again,) = after.plan.sticks
    assert again.number == stick.number and again.placed[0].start > 60 * INCH
    assert after.spoilt == () and [c.why for c in after.changes] == ["miscut"]


def test_a_stick_spoilt_in_an_earlier_mishap_is_not_found_in_the_rack_again() -> None:
    few = (Stick(stock="tube", length=240 * INCH, price=100.0, on_hand=2, buyable=False),
           Stick(stock="tube", length=288 * INCH, price=500.0))  # fmt: skip
    before = plan([Piece(stock="tube", length=200 * INCH, tag="p")], few, KERF, TRIM, RULE, 2.0)
    once = replan(before, few, cut=(), bent={1}, seconds=2.0)
    twice = replan(once.plan, few, cut=(), bent={once.plan.sticks[0].number}, gone=once.spoilt, seconds=2.0)
    assert [c.stick.length for c in once.plan.sticks] == [240 * INCH]
    assert [c.stick.length for c in twice.plan.sticks] == [288 * INCH]
