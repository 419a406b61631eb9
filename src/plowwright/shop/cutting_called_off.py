"""A stick some of whose pieces are not to be sawn any more: what is left on it, and the longer drop it then gives."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from plowwright.shop.cutting_model import CutPlan, CutStick, Placed, SectionPlan, cut_width


def without(plan: CutPlan, off: Collection[str], *, only: Collection[int] | None = None) -> CutPlan:
    """The plan without pieces that are not sawn; a stick with nothing left on it is in it no more.

    Args:
        plan: The plan.
        off: Tags of the pieces.
        only: Numbers of the sticks they are taken off, None for all.
    """
    return replace(plan, sections=tuple(_section(plan, s, off, only) for s in plan.sections))


def _section(plan: CutPlan, section: SectionPlan, off: Collection[str], only: Collection[int] | None) -> SectionPlan:
    racked = sum(c.kept for c in section.sticks)
    sticks: list[CutStick] = []
    for c in section.sticks:
        if only is not None and c.number not in only:
            sticks.append(c)
            continue
        full = plan.remnant_rule.places is not None and racked >= plan.remnant_rule.places and not c.kept
        made = _stick(plan, c, off, full=full)
        if made is not None:
            racked += made.kept - c.kept
            sticks.append(made)
    if tuple(sticks) == section.sticks:
        return section
    cost = sum(c.cost for c in sticks)
    least = max(0.0, cost - (section.cost - section.bound))
    return replace(section, sticks=tuple(sticks), cost=cost, bound=least, linear_bound=least)


def _stick(plan: CutPlan, c: CutStick, off: Collection[str], *, full: bool) -> CutStick | None:
    placed = _closed_up(plan, c.placed, off)
    if placed == c.placed:
        return c
    if not placed:
        return None
    last = placed[-1]
    drop = max(0.0, c.stick.length - last.from_to[1] - cut_width(plan.kerf, last.ends[1]))
    worth = 0.0 if full else plan.remnant_rule.worth(drop, c.stick)
    return replace(c, placed=placed, drop=drop, kept=worth > 0, cost=c.stick.price - worth,
                   drop_tag=(c.drop_tag or f"drop {c.number}") if worth > 0 else "")  # fmt: skip


def _closed_up(plan: CutPlan, placed: tuple[Placed, ...], off: Collection[str]) -> tuple[Placed, ...]:
    """The pieces that stay, each moved to the left over what is not sawn before it."""
    out: list[Placed] = []
    before: Placed | None = None
    for p in placed:
        if p.piece.tag in off:
            before = None
            continue
        if before is not None and out:
            out.append(replace(p, start=out[-1].start + p.start - before.start))  # its neighbour is still its neighbour
        else:
            free = placed[0].from_to[0]
            if out:
                free = out[-1].from_to[1] + cut_width(plan.kerf, out[-1].ends[1])
            out.append(replace(p, start=min(p.start, p.start + free - p.from_to[0])))
        before = p
    return tuple(out)
