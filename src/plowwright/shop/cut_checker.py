"""The checker of cut plans: measures a plan's sticks and believes nothing it says. Shares no code with the planner.

A mitred bar is checked on its near and on its far face, so two pieces that share a cut may overlap by their long points
and still be apart everywhere by the width of the cut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from math import cos, tan

from plowwright.errors import PlanFaultError
from plowwright.shop.cutting_model import CutPlan, CutStick, Piece, Placed, RemnantRule, Stick
from plowwright.units import tape

HAIR = 2e-6
"""What a place may be off, from the sums of lengths in metres [m]."""
_CENT = 1e-6


def check(
    plan: CutPlan,
    pieces: Sequence[Piece],
    sticks: Sequence[Stick],
    kerf: float,
    trim: float,
    rule: RemnantRule,
    *,
    ordered: bool = True,
) -> None:
    """Refuse a plan that loses a piece, overlaps two, oversteps a trim or a stock, or says a wrong cost.

    Args:
        plan: The plan.
        pieces: What was to be cut.
        sticks: What there was to cut from.
        kerf: Width of a cut [m].
        trim: Off each trimmed end [m].
        rule: Which drops are kept and what they are worth [-].
        ordered: Whether the numbers put sticks with rush pieces first; after a mishap old numbers stay.

    Raises:
        PlanFaultError: It breaks one of its rules; names stick, piece and value.
    """
    _every_piece_once(plan, pieces)
    _stock_respected(plan, sticks)
    for cut in plan.sticks:
        _stick(cut, kerf, trim)
        _money(cut, rule)
    _totals(plan, rule)
    _order(plan, ordered=ordered)


def _every_piece_once(plan: CutPlan, pieces: Sequence[Piece]) -> None:
    wanted = {p.tag: p for p in pieces}
    seen = Counter(p.tag for p in plan.pieces)
    _refuse("a piece is not on any stick", (tag for tag in wanted if tag not in seen))
    _refuse("a piece nobody asked for is on a stick", (tag for tag in seen if tag not in wanted))
    _refuse("a piece is cut more than once", (tag for tag, count in seen.items() if count > 1))
    _refuse("a piece is not as it was asked for", (p.tag for p in plan.pieces if p != wanted[p.tag]))


def _stock_respected(plan: CutPlan, sticks: Sequence[Stick]) -> None:
    there = Counter[Stick]()
    endless: set[Stick] = set()
    for stick in sticks:
        there[stick] += stick.on_hand
        if stick.buyable:
            endless.add(stick)
    used = Counter(c.stick for c in plan.sticks)
    for stick, count in used.items():
        if stick not in there:
            raise PlanFaultError("a stick that is not in the list is cut", value=stick.in_words())
        if stick not in endless and count > there[stick]:
            raise PlanFaultError(
                "more is cut than there is", value=f"{count} of {stick.in_words()}", limit=f"{there[stick]} on hand"
            )


def _stick(cut: CutStick, kerf: float, trim: float) -> None:
    where = f"stick {cut.number} ({cut.stick.in_words()})"
    if not cut.placed:
        raise PlanFaultError("a stick with nothing on it", where=where)
    for placed in cut.placed:
        if placed.piece.stock != cut.stick.stock:
            raise PlanFaultError(
                "a piece lies on another section", where=where,
                value=f"{placed.piece.tag} wants {placed.piece.stock}", limit=cut.stick.stock,
            )  # fmt: skip
        if (placed.turned or placed.flipped) and not placed.piece.flips:
            raise PlanFaultError("a piece that may not be turned is turned", where=where, value=placed.piece.tag)
    begin = trim if cut.stick.trimmed_ends > 1 else 0.0
    end = cut.stick.length - trim
    profiles = [_profile(p) for p in cut.placed]
    for (left, right), placed in zip(profiles, cut.placed, strict=True):
        if min(left) < begin - HAIR or max(right) > end + HAIR:
            raise PlanFaultError(
                "a piece reaches into the trim or off the stick", where=where,
                value=f"{placed.piece.tag} from {tape(min(left))} to {tape(max(right))}",
                limit=f"{tape(begin)} to {tape(end)}",
            )  # fmt: skip
    for (_, right), (left, _), a, b in zip(profiles, profiles[1:], cut.placed, cut.placed[1:], strict=False):
        room = min(left[face] - right[face] for face in (0, 1))
        needed = kerf / cos(_lean(a, 1))
        if room < needed - HAIR:
            raise PlanFaultError(
                "two pieces lie closer than a cut is wide", where=where, value=f"{a.piece.tag}, {b.piece.tag}",
                limit=f"{needed * 1000:.2f} mm, there are {room * 1000:.2f} mm",
            )  # fmt: skip
    last = max(profiles[-1][1]) + kerf / cos(_lean(cut.placed[-1], 1))
    if cut.drop > max(0.0, cut.stick.length - last) + HAIR:
        raise PlanFaultError("the drop is shorter than the plan says", where=where, value=tape(cut.drop))


def _lean(placed: Placed, end: int) -> float:
    """Angle of the left (0) or right (1) end as the piece lies, above zero where the far face is longer."""
    at = 1 - end if placed.turned else end
    mitre = placed.piece.ends[at]
    angle = mitre.angle if mitre else 0.0
    return -angle if placed.flipped else angle


def _profile(placed: Placed) -> tuple[tuple[float, float], tuple[float, float]]:
    """Left and right outline: where each end meets the near and the far face."""
    depth = max((m.depth for m in placed.piece.ends if m), default=0.0)
    out = [0.5 * depth * tan(_lean(placed, end)) for end in (0, 1)]
    run = placed.piece.length - abs(out[0]) - abs(out[1])
    a, b = placed.start, placed.start + run
    return (a + out[0], a - out[0]), (b - out[1], b + out[1])


def _money(cut: CutStick, rule: RemnantRule) -> None:
    where = f"stick {cut.number} ({cut.stick.in_words()})"
    worth = rule.value_share * cut.stick.price * cut.drop / cut.stick.length - rule.handling
    if cut.kept and cut.drop < rule.least - HAIR:
        raise PlanFaultError(
            "a drop is kept that is of no use", where=where, value=tape(cut.drop), limit=f"at least {tape(rule.least)}"
        )
    cost = cut.stick.price - (max(0.0, worth) if cut.kept else 0.0)
    if abs(cost - cut.cost) > _CENT * max(1.0, cost):
        raise PlanFaultError(
            "a stick's cost does not add up", where=where, value=f"{cut.cost:.4f}", limit=f"{cost:.4f}"
        )


def _totals(plan: CutPlan, rule: RemnantRule) -> None:
    for section in plan.sections:
        total = sum(c.cost for c in section.sticks)
        if abs(total - section.cost) > _CENT * max(1.0, abs(total)):
            raise PlanFaultError(
                "a section's cost does not add up", where=section.stock, value=f"{section.cost:.4f}",
                limit=f"{total:.4f}",
            )  # fmt: skip
        if section.bound > section.cost + _CENT * max(1.0, abs(section.cost)):
            raise PlanFaultError(
                "a plan costs less than its bound", where=section.stock, value=f"{section.cost:.4f}",
                limit=f"{section.bound:.4f}",
            )  # fmt: skip
        kept = sum(c.kept for c in section.sticks)
        if rule.places is not None and kept > rule.places:
            raise PlanFaultError(
                "more drops are kept than the rack takes", where=section.stock, value=str(kept),
                limit=str(rule.places),
            )  # fmt: skip


def _order(plan: CutPlan, *, ordered: bool) -> None:
    sticks = sorted((c for s in plan.sections for c in s.sticks), key=lambda c: c.number)
    numbers = [c.number for c in sticks]
    if len(set(numbers)) != len(numbers):
        raise PlanFaultError("two sticks have one number", value=", ".join(map(str, numbers)))
    rush = [c.rush for c in sticks]
    if ordered and rush != sorted(rush, reverse=True):
        late = next(c.number for c in reversed(sticks) if c.rush)
        raise PlanFaultError("a stick with a rush piece is cut after one without", value=f"stick {late}")


def _refuse(what: str, tags: Iterable[str]) -> None:
    named = sorted(tags)
    if named:
        raise PlanFaultError(what, value=", ".join(named[:5]) + (f" and {len(named) - 5} more" if named[5:] else ""))
