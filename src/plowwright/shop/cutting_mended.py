"""A released cut plan before and after it is mended: what its sticks count for, and what its drops are called."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from plowwright.shop.cutting_model import CutPlan, CutStick, SectionPlan, Stick


def tagged(plan: CutPlan, number: int) -> CutPlan:
    """The plan with a tag for each kept drop that no other plan gives.

    Args:
        plan: The plan.
        number: Of the plan [-].
    """

    def named(c: CutStick) -> CutStick:
        return replace(c, drop_tag=f"R{number}-{c.number}" if c.kept else "")

    return replace(plan, sections=tuple(replace(s, sticks=tuple(map(named, s.sticks))) for s in plan.sections))


def as_they_stand(
    plan: CutPlan, there: Sequence[Stick], fetched: Sequence[Stick], *, done: Collection[int]
) -> tuple[CutPlan, tuple[Stick, ...]]:
    """The plan and its sticks as they stand now: what lies in the rack, and what the plan took out of it already.

    The drop of a stick that is done is in the rack, so nothing more is cut from the stick itself.

    Args:
        plan: The plan in hand.
        there: What can be cut from now, of every section of the plan.
        fetched: The plan's own sticks that were taken off the rack.
        done: Numbers of its sticks that are done.
    """
    own = {_kind(c.stick): c.stick for c in plan.sticks}
    now: dict[object, Stick] = {_kind(one): one for one in there}
    counts = {kind: now[kind].on_hand if kind in now else 0 for kind in (*now, *own)}
    for stick in fetched:
        counts[_kind(stick)] += 1
    # The plan goes on at the prices it was made with.
    sticks = {kind: replace(own.get(kind) or now[kind], on_hand=count) for kind, count in counts.items()}

    def fresh(c: CutStick) -> CutStick:
        stick = sticks[_kind(c.stick)]
        if c.number in done:
            return replace(c, stick=stick, drop=0.0, kept=False, cost=stick.price, drop_tag="")
        return replace(c, stick=stick)

    return _resummed(plan, [fresh(c) for c in plan.sticks]), tuple(sticks.values())


def with_drops_of(plan: CutPlan, before: CutPlan, *, done: Collection[int]) -> CutPlan:
    """A mended plan in which the sticks that were done have their drops again.

    Args:
        plan: The mended plan.
        before: The plan it was mended from.
        done: Numbers of the sticks that were done.
    """
    old = {c.number: c for c in before.sticks if c.number in done}

    def same(c: CutStick) -> CutStick:
        if c.number not in old:
            return c
        was = old[c.number]
        return replace(c, drop=was.drop, kept=was.kept, cost=c.stick.price - (was.stick.price - was.cost),
                       drop_tag=was.drop_tag)  # fmt: skip

    return _resummed(plan, [same(c) for c in plan.sticks])


def _kind(stick: Stick) -> object:
    """What makes two sticks one kind, however many there are and whatever they cost today."""
    return stick.stock, round(stick.length, 6), stick.tag


def _resummed(plan: CutPlan, sticks: Sequence[CutStick]) -> CutPlan:
    sections: list[SectionPlan] = []
    for section in plan.sections:
        own = tuple(c for c in sticks if c.stick.stock == section.stock)
        cost = sum(c.cost for c in own)
        over = section.cost - section.bound
        sections.append(replace(section, sticks=own, cost=cost, bound=max(0.0, cost - over),
                                linear_bound=max(0.0, cost - over)))  # fmt: skip
    return replace(plan, sections=tuple(sections))
