"""The checker finds every way in which a plan can be wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import inf, pi

import pytest

from plowwright.errors import PlanFaultError
from plowwright.shop.cut_checker import check
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import CutPlan, CutStick, Mitre, Piece, RemnantRule, Stick
from plowwright.units.constants import INCH

KERF, TRIM, RULE = INCH / 8, INCH / 2, RemnantRule(least=18 * INCH, value_share=0.5, places=2)
MITRE = Mitre(angle=pi / 6, depth=3 * INCH)
PIECES = (
    *(Piece(stock="tube", length=60 * INCH, tag=f"a{n}", rush=n == 0) for n in range(5)),
    *(Piece(stock="tube", length=30 * INCH, tag=f"m{n}", ends=(MITRE, MITRE), flips=True) for n in range(3)),
)
STICKS = (
    Stick(stock="tube", length=240 * INCH, price=100.0),
    Stick(stock="tube", length=70 * INCH, price=0.0, on_hand=1, buyable=False, tag="R1", trimmed_ends=1),
)


@pytest.fixture(scope="module")
def good() -> CutPlan:
    return plan(PIECES, STICKS, KERF, TRIM, RULE, 5.0)


def changed(good: CutPlan, at: int, change: Callable[[CutStick], CutStick]) -> CutPlan:
    section = good.sections[0]
    sticks = list(section.sticks)
    sticks[at] = change(sticks[at])
    return replace(good, sections=(replace(section, sticks=tuple(sticks)),))


def shifted(c: CutStick, by: float) -> CutStick:
    first, second, *rest = c.placed
    return replace(c, placed=(first, replace(second, start=second.start + by), *rest))


def with_second(good: CutPlan) -> int:
    return next(at for at, c in enumerate(good.sections[0].sticks) if len(c.placed) > 1)


def refused(broken: CutPlan, says: str) -> None:
    with pytest.raises(PlanFaultError) as fault:
        check(broken, PIECES, STICKS, KERF, TRIM, RULE)
    assert says in str(fault.value)


def test_a_good_plan_passes(good: CutPlan) -> None:
    check(good, PIECES, STICKS, KERF, TRIM, RULE)
    assert any(c.shared_cuts for c in good.sticks)


def test_a_lost_piece_is_named(good: CutPlan) -> None:
    at = with_second(good)
    tag = good.sections[0].sticks[at].placed[-1].piece.tag
    refused(changed(good, at, lambda c: replace(c, placed=c.placed[:-1])), f"not on any stick (given: {tag})")


def test_a_piece_cut_twice_is_named(good: CutPlan) -> None:
    refused(changed(good, 0, lambda c: replace(c, placed=(*c.placed, c.placed[0]))), "cut more than once")


def test_a_piece_of_another_length_is_named(good: CutPlan) -> None:
    def shorter(c: CutStick) -> CutStick:
        p = c.placed[0]
        return replace(c, placed=(replace(p, piece=replace(p.piece, length=0.1)), *c.placed[1:]))

    refused(changed(good, 0, shorter), "a piece is not as it was asked for")


def test_two_pieces_half_a_kerf_apart_are_named(good: CutPlan) -> None:
    refused(changed(good, with_second(good), lambda c: shifted(c, -KERF / 2)), "closer than a cut is wide")


def test_a_piece_in_the_trim_or_off_the_end_is_named(good: CutPlan) -> None:
    def pushed(c: CutStick, by: float) -> CutStick:
        return replace(c, placed=tuple(replace(p, start=p.start + by) for p in c.placed), drop=0.0)

    refused(changed(good, 0, lambda c: pushed(c, -TRIM)), "reaches into the trim or off the stick")
    refused(changed(good, 0, lambda c: pushed(c, c.stick.length)), "reaches into the trim or off the stick")


def test_mitres_that_only_look_shared_are_found_out(good: CutPlan) -> None:
    at = next(n for n, c in enumerate(good.sections[0].sticks) if c.shared_cuts)

    def turned_back(c: CutStick) -> CutStick:
        return replace(c, placed=tuple(replace(p, flipped=False, turned=False) for p in c.placed))

    refused(changed(good, at, turned_back), "closer than a cut is wide")


def test_a_remnant_used_twice_and_a_stick_nobody_has_are_named(good: CutPlan) -> None:
    refused(changed(good, 0, lambda c: replace(c, stick=replace(c.stick, length=9.0))), "not in the list")
    section = good.sections[0]
    twice = [replace(c, stick=STICKS[1]) for c in section.sticks]
    refused(replace(good, sections=(replace(section, sticks=tuple(twice)),)), "more is cut than there is")


def test_a_wrong_sum_a_wrong_bound_and_a_drop_too_long_are_named(good: CutPlan) -> None:
    refused(changed(good, 0, lambda c: replace(c, cost=c.cost - 1)), "cost does not add up")
    section = good.sections[0]
    refused(replace(good, sections=(replace(section, cost=section.cost + 1),)), "section's cost does not add up")
    refused(replace(good, sections=(replace(section, bound=section.cost + 1),)), "costs less than its bound")
    refused(changed(good, 0, lambda c: replace(c, drop=c.drop + 0.5)), "drop is shorter than the plan says")


def test_a_full_rack_and_a_useless_drop_are_named(good: CutPlan) -> None:
    crowded = replace(RULE, places=0)
    if any(c.kept for c in good.sticks):
        with pytest.raises(PlanFaultError, match="more drops are kept than the rack takes"):
            check(good, PIECES, STICKS, KERF, TRIM, crowded)
    refused(changed(good, 0, lambda c: replace(c, kept=True, drop=0.01)), "a drop is kept that is of no use")


def test_a_rush_piece_behind_the_others_is_named(good: CutPlan) -> None:
    refused(changed(good, 0, lambda c: replace(c, number=99)), "a stick with a rush piece is cut after one without")


def test_an_angle_that_was_turned_is_named() -> None:
    fixed = tuple(replace(p, flips=False) for p in PIECES)
    shared = plan(PIECES, STICKS, KERF, TRIM, RemnantRule(least=inf), 5.0)
    sections = tuple(
        replace(s, sticks=tuple(replace(c, placed=tuple(replace(p, piece=replace(p.piece, flips=False))
                                                        for p in c.placed)) for c in s.sticks))
        for s in shared.sections
    )  # fmt: skip
    with pytest.raises(PlanFaultError, match="a piece that may not be turned is turned"):
        check(replace(shared, sections=sections), fixed, STICKS, KERF, TRIM, RemnantRule(least=inf))
