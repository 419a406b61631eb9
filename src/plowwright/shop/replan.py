"""After a miscut, or a bar found bent: nothing already cut is touched, and only the tags that changed are issued again.

Two answers are worked out. One leaves every stick as it is and finds room only for the pieces that lost their place, on
drops first. The other plans all sticks that are not begun anew. The second is taken only where it saves more than the
changed tags are worth.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import tan
from typing import Literal

from plowwright.errors import PlanInputError
from plowwright.shop import cut_checker
from plowwright.shop.cutting import plan as plan_cuts
from plowwright.shop.cutting_model import CutPlan, CutStick, Piece, Placed, SectionPlan, Stick, cut_width

Why = Literal["miscut", "bent bar", "moved"]
_REST = "rest of stick "


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One tag that is issued again.

    Attributes:
        tag: The piece.
        was: Number of the stick it was on [-].
        now: Number of the stick it is on [-].
        why: Miscut, on a bent bar, or moved to save steel.
    """

    tag: str
    was: int
    now: int
    why: Why

    def in_words(self) -> str:
        """One sentence for the saw."""
        return f"{self.tag}: stick {self.was} -> stick {self.now} ({self.why})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """The plan after a mishap.

    Attributes:
        plan: The whole plan, what is cut already included.
        changes: Tags to issue again, by number of their new stick.
        extra_cost: What the mishap costs in steel [money].
        spoilt: Sticks that are in no plan any more and not in the rack either.
    """

    plan: CutPlan
    changes: tuple[Change, ...]
    extra_cost: float
    spoilt: tuple[Stick, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _State:
    """Where everything stands when the mishap is found."""

    begun: tuple[CutStick, ...]
    whole: tuple[CutStick, ...]
    loose: tuple[Piece, ...]
    spoilt: tuple[CutStick, ...]
    why: dict[str, Why]
    opened: tuple[CutStick, ...] = ()
    gone: tuple[Stick, ...] = ()


def replan(
    plan: CutPlan,
    sticks: Sequence[Stick],
    *,
    cut: Collection[str],
    miscut: Collection[str] = (),
    bent: Collection[int] = (),
    worth_a_tag: float = 1.0,
    seconds: float = 10.0,
    gone: Sequence[Stick] = (),
) -> Replan:
    """Plan again what is not yet cut.

    Args:
        plan: The plan in hand.
        sticks: The sticks it was made from, counted before it was made.
        cut: Tags of pieces cut well so far.
        miscut: Tags of pieces that were spoilt and are wanted again.
        bent: Numbers of sticks found bent; what is cut from them stays, the rest of them is not used.
        worth_a_tag: What issuing one more tag again must save [money].
        seconds: Time given [s].
        gone: Sticks that earlier mishaps spoilt: counted in `sticks`, but no longer there.

    Raises:
        PlanInputError: A tag or stick is not in the plan, or a piece is said to be both cut and miscut.
        NoPlanInTimeError: No whole plan was found in time.
    """
    _check_named(plan, cut, miscut, bent)
    state = replace(_sorted_out(plan, set(cut), set(miscut), set(bent)), gone=tuple(gone))
    if not state.loose:
        return Replan(plan=plan, changes=(), extra_cost=0.0)
    kept = [*state.begun, *state.whole]
    least = _planned(plan, sticks, kept, state.loose, state, seconds / 2)
    freed = (*(p.piece for c in state.whole for p in c.placed), *state.loose)
    anew = _planned(plan, sticks, state.begun, freed, state, seconds / 2)
    anew = _as_before(anew, state.whole)
    changes = [_changes(plan, made, state.why) for made in (least, anew)]
    saves = least.cost - anew.cost
    more = len(changes[1]) - len(changes[0])
    chosen = 1 if saves > max(0, more) * worth_a_tag + 1e-9 else 0
    bounds = {s.stock: s.bound for s in anew.sections}
    made = (least, anew)[chosen]
    made = replace(
        made, sections=tuple(replace(s, bound=min(s.cost, bounds.get(s.stock, s.bound))) for s in made.sections)
    )
    cut_checker.check(made, plan.pieces, sticks, plan.kerf, plan.trim, plan.remnant_rule, ordered=False)
    used = {c.number for c in made.sticks}
    spoilt = [*state.spoilt, *(c for c in state.opened if c.number not in used)]
    wasted = sum(c.stick.price for c in spoilt)
    lost = tuple(c.stick for c in spoilt)
    return Replan(plan=made, changes=changes[chosen], extra_cost=made.cost + wasted - plan.cost, spoilt=lost)


def _check_named(plan: CutPlan, cut: Collection[str], miscut: Collection[str], bent: Collection[int]) -> None:
    tags = {p.tag for p in plan.pieces}
    unknown = sorted(t for t in {*cut, *miscut} if t not in tags)
    if unknown:
        raise PlanInputError(
            "no piece of the plan has this tag", value=", ".join(unknown), limit=f"{len(tags)} pieces in the plan",
            way_out="Read the tag again, order number with its letter first.",
        )  # fmt: skip
    both = sorted(set(cut) & set(miscut))
    if both:
        raise PlanInputError(
            "a piece cannot be cut well and miscut", value=", ".join(both), way_out="Name it in one of the two lists."
        )
    numbers = {c.number for c in plan.sticks}
    odd = sorted(n for n in bent if n not in numbers)
    if odd:
        raise PlanInputError(
            "no stick of the plan has this number", value=", ".join(map(str, odd)),
            limit=f"1 to {max(numbers, default=0)}", way_out="The number stands at the left of the saw sheet.",
        )  # fmt: skip


def _sorted_out(plan: CutPlan, cut: set[str], miscut: set[str], bent: set[int]) -> _State:
    begun: list[CutStick] = []
    whole: list[CutStick] = []
    loose: list[Piece] = []
    spoilt: list[CutStick] = []
    opened: list[CutStick] = []
    why: dict[str, Why] = {}
    for c in plan.sticks:
        tags = {p.piece.tag for p in c.placed}
        is_bent = c.number in bent
        lost = {t for t in tags if t in miscut or (is_bent and t not in cut)}
        loose += [p.piece for p in c.placed if p.piece.tag in lost]
        why |= {t: "miscut" if t in miscut else "bent bar" for t in lost}
        stays = tuple(p for p in c.placed if p.piece.tag not in lost)
        if is_bent:
            # What is left of a bent bar is no drop for the rack.
            bare = replace(c, placed=stays, drop=0.0, kept=False, cost=c.stick.price, drop_tag="")
            (begun if stays else spoilt).append(bare)
        elif not tags & (cut | miscut):
            whole.append(c)
        elif stays:
            begun.append(replace(c, placed=stays))
        else:
            opened.append(replace(c, placed=()))
    return _State(
        begun=tuple(begun), whole=tuple(whole), loose=tuple(loose), spoilt=tuple(spoilt), why=why, opened=tuple(opened)
    )


def _planned(
    plan: CutPlan, sticks: Sequence[Stick], kept: Sequence[CutStick], pieces: Sequence[Piece], state: _State,
    seconds: float,
) -> CutPlan:  # fmt: skip
    """Sticks that stay, with the pieces put on their drops and on new sticks."""
    stocks = {p.stock for p in pieces}
    begun = (*kept, *state.opened)
    rests = [_rest(c) for c in begun if c.drop > plan.trim and c.stick.stock in stocks]
    left: dict[Stick, Stick] = {}
    for stick in dict.fromkeys(sticks):
        gone = sum(c.stick == stick for c in (*begun, *state.spoilt)) + state.gone.count(stick)
        left[replace(stick, on_hand=max(0, sum(s.on_hand for s in sticks if s == stick) - gone))] = stick
    made = plan_cuts(
        pieces, [*rests, *left], plan.kerf, plan.trim, plan.remnant_rule, seconds, share_mitres=plan.share_mitres
    )
    by_rest = {c.stick.tag: c for c in made.sticks if c.stick.tag.startswith(_REST)}
    number = max((c.number for c in plan.sticks), default=0)
    out = [_joined(plan, c, by_rest[f"{_REST}{c.number}"]) if f"{_REST}{c.number}" in by_rest else c for c in begun]
    out = [c for c in out if c.placed]
    for c in made.sticks:
        if c.stick not in left:
            continue
        number += 1
        out.append(replace(c, stick=left[c.stick], number=number, drop_tag=f"drop {number}" if c.kept else ""))
    return _whole_plan(plan, out, made)


def _rest(c: CutStick) -> Stick:
    """The drop of a stick as something to cut from, at what it was to be worth in the rack."""
    return Stick(stock=c.stick.stock, length=c.drop, price=max(0.0, c.stick.price - c.cost), on_hand=1,
                 buyable=False, tag=f"{_REST}{c.number}", trimmed_ends=1)  # fmt: skip


def _joined(plan: CutPlan, c: CutStick, rest: CutStick) -> CutStick:
    """A stick and what is now cut from its drop."""
    begins = c.stick.length - rest.stick.length
    placed = (*c.placed, *(replace(p, start=p.start + begins) for p in rest.placed))
    last: Placed = placed[-1]
    end = last.start + last.piece.centre_line + 0.5 * last.depth * abs(tan(last.ends[1]))
    drop = max(0.0, min(rest.drop, c.stick.length - end - cut_width(plan.kerf, last.ends[1])))
    worth = plan.remnant_rule.worth(drop, c.stick)
    kept = worth > 0
    return replace(c, placed=placed, drop=drop, kept=kept, cost=c.stick.price - worth,
                   drop_tag=f"drop {c.number}" if kept else "")  # fmt: skip


def _whole_plan(plan: CutPlan, sticks: Sequence[CutStick], made: CutPlan) -> CutPlan:
    """All sections again; the bound is that of what could still be changed."""
    fresh = {s.stock: s for s in made.sections}
    sections: list[SectionPlan] = []
    for section in plan.sections:
        own = tuple(c for c in sticks if c.stick.stock == section.stock)
        cost = sum(c.cost for c in own)
        new = fresh.get(section.stock)
        over = new.cost - new.bound if new else 0.0
        sections.append(
            replace(section, sticks=own, cost=cost, bound=max(0.0, cost - over), linear_bound=max(0.0, cost - over),
                    status=new.status if new else section.status, method=new.method if new else section.method)
        )  # fmt: skip
    return replace(plan, sections=tuple(sections), seconds=made.seconds)


def _as_before(made: CutPlan, old: Sequence[CutStick]) -> CutPlan:
    """New sticks that hold the same lengths as an old one become that old one, so that its tags need not change."""
    waiting = list(old)
    sections: list[SectionPlan] = []
    for section in made.sections:
        free = [c for c in section.sticks if not _begun_with(c, old)]
        same: dict[int, CutStick] = {}
        for c in free:
            twin = next((o for o in waiting if o.stick == c.stick and _shapes(o) == _shapes(c)), None)
            if twin is not None:
                waiting.remove(twin)
                same[c.number] = twin
        sections.append(replace(section, sticks=_retagged(section.sticks, same)))
    return replace(made, sections=tuple(sections))


def _begun_with(c: CutStick, old: Sequence[CutStick]) -> bool:
    loosened = {p.piece.tag for o in old for p in o.placed}
    return not any(p.piece.tag in loosened for p in c.placed)


def _shape(piece: Piece) -> Piece:
    return replace(piece, tag="", order="", mark="")


def _shapes(c: CutStick) -> list[str]:
    return sorted(repr(_shape(p.piece)) for p in c.placed)


def _retagged(sticks: Sequence[CutStick], same: dict[int, CutStick]) -> tuple[CutStick, ...]:
    """Old sticks put back; the pieces they take are given to the others in exchange for alike ones."""
    taken = {p.piece.tag for c in same.values() for p in c.placed}
    spare: dict[str, list[Piece]] = {}
    for number in same:
        for p in next(c for c in sticks if c.number == number).placed:
            if p.piece.tag not in taken:
                spare.setdefault(repr(_shape(p.piece)), []).append(p.piece)
    out: list[CutStick] = []
    for c in sticks:
        if c.number in same:
            out.append(same[c.number])
            continue
        placed = [replace(p, piece=spare[repr(_shape(p.piece))].pop()) if p.piece.tag in taken else p for p in c.placed]
        out.append(replace(c, placed=tuple(placed)))
    return tuple(out)


def _changes(before: CutPlan, after: CutPlan, why: dict[str, Why]) -> tuple[Change, ...]:
    was = {p.piece.tag: c.number for c in before.sticks for p in c.placed}
    out: list[Change] = []
    for c in after.sticks:
        for p in c.placed:
            tag = p.piece.tag
            if was[tag] != c.number or tag in why:
                out.append(Change(tag=tag, was=was[tag], now=c.number, why=why.get(tag, "moved")))
    return tuple(out)
