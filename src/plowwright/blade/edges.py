"""Cutting edges: laying out holes by the shop's rule, and cutting a longer edge down.

A layout is worked from the middle of the edge outwards, so it is the same from both ends. Which stocked
blank serves, which edges interchange and what meets the bottom angle is in `edge_blanks`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from plowwright.blade.edge_bars import TOLERANCE, tape, tape_list
from plowwright.blade.edge_layouts import HoleLayout, HoleRule, in_inches, same_places, tape_or_number
from plowwright.errors import EdgeError
from plowwright.units.constants import INCH

__all__ = ["CutDown", "HoleLayout", "HoleRule", "OldHole", "cut_from", "layout"]

Fate = Literal["used", "idle", "cut through", "cut away"]


def layout(length: float, rule: HoleRule) -> HoleLayout:
    """Where the holes of an edge go by the rule.

    Basis: the shop's rule. Worked example: 84 in, ends 3 in, pitch 12 in: 3, 12, 24, 36, 48, 60, 72, 81.

    Args:
        length: Of the edge [m].
        rule: The hole rule.

    Raises:
        EdgeError: The edge is too short for its two end holes.
    """
    span = length - 2 * rule.end
    if not math.isfinite(length) or span < rule.least_end_gap - TOLERANCE:
        raise EdgeError(
            "the edge is too short for its two end holes",
            value=tape_or_number(length),
            limit=f"at least {tape(2 * rule.end + rule.least_end_gap)}: two ends of {tape(rule.end)} and "
            f"a gap of {tape(rule.least_end_gap)}",
            way_out="Use a longer edge, or a rule with its first hole nearer the end.",
        )
    half = span / 2
    if rule.fill == "even":
        count = max(1, math.ceil((span - TOLERANCE) / rule.pitch))
        steps = [half * (1 - 2 * i / count) for i in range(count + 1)]
        return HoleLayout(length=length, positions=tuple(length / 2 - s for s in steps), rule=rule)
    starts = {"hole": (0.0,), "gap": (rule.pitch / 2,), "best": (0.0, rule.pitch / 2)}[rule.middle]
    offsets = min((_from_middle(half, start, rule) for start in starts), key=lambda o: _rank(o, rule))
    positions = sorted({length / 2 - o for o in offsets} | {length / 2 + o for o in offsets})
    return HoleLayout(length=length, positions=tuple(positions), rule=rule)


def _from_middle(half: float, start: float, rule: HoleRule) -> tuple[float, ...]:
    """Distances of one half's holes from mid-length, the end hole last."""
    room = half - rule.least_end_gap + TOLERANCE - start
    count = math.floor(room / rule.pitch) + 1 if room >= 0 else 0
    return (*(start + i * rule.pitch for i in range(count)), half)


def _rank(offsets: Sequence[float], rule: HoleRule) -> tuple[float, float, int]:
    """Smaller is better, by the words of `HoleRule.middle`; rounded so that equal gaps do tie."""
    gap = offsets[-1] - offsets[-2] if len(offsets) > 1 else 2 * offsets[-1]
    over = max(0.0, gap - rule.pitch - TOLERANCE)
    short = max(0.0, rule.pitch - gap)
    holes = 2 * len(offsets) - (1 if offsets[0] == 0 else 0)
    return (round(over, 6), round(short, 6), holes)


@dataclass(frozen=True, kw_only=True)
class OldHole:
    """What becomes of one hole of the blank.

    Attributes:
        in_blank: From the blank's left end [m].
        in_edge: From the edge's left end [m]; below zero or beyond its length when it is cut away.
        fate: "used" carries a bolt, "idle" stays in the bar without one, "cut through" leaves half a hole
            in the sawn end, "cut away" is gone [-].
        why: The reason in words.
    """

    in_blank: float
    in_edge: float
    fate: Fate
    why: str


@dataclass(frozen=True, kw_only=True)
class CutDown:
    """An edge cut from a longer one, the same off each end.

    Attributes:
        blank: The longer edge as drilled.
        layout: The edge that results.
        off_each_end: [m].
        old_holes: Every hole of the blank and what becomes of it.
        new_holes: Holes to drill, from the edge's left end [m].
    """

    blank: HoleLayout
    layout: HoleLayout
    off_each_end: float
    old_holes: tuple[OldHole, ...]
    new_holes: tuple[float, ...]

    @property
    def waste(self) -> float:
        """Length of the blank that does not become edge, saw kerf included [m]."""
        return self.blank.length - self.layout.length

    @property
    def used(self) -> tuple[OldHole, ...]:
        """Old holes that carry a bolt."""
        return tuple(h for h in self.old_holes if h.fate == "used")

    @property
    def idle(self) -> tuple[OldHole, ...]:
        """Old holes that stay in the bar without a bolt."""
        return tuple(h for h in self.old_holes if h.fate == "idle")

    @property
    def lost(self) -> tuple[OldHole, ...]:
        """Old holes cut away or cut through."""
        return tuple(h for h in self.old_holes if h.fate in ("cut away", "cut through"))

    def follows_rule(self) -> bool:
        """Whether the result has the places that an undrilled bar of this length would get by the rule."""
        own = layout(self.layout.length, self.layout.rule)
        return same_places(self.layout.positions, own.positions)

    def steps(self) -> tuple[str, ...]:
        """What the saw and the drill do, one sentence each."""
        edge = self.layout
        steps: list[str] = []
        if self.off_each_end > TOLERANCE:
            steps.append(
                f"Cut {tape(self.off_each_end)} off each end of the {tape(self.blank.length)} edge; "
                f"{tape(edge.length)} is left."
            )
        if self.new_holes:
            steps.append(f"Drill new end holes at {tape_list(self.new_holes)}, countersunk from the front.")
        else:
            steps.append("No new holes.")
        steps.append(f"Bolt through {len(self.used)} old holes at {tape_list(tuple(h.in_edge for h in self.used))}.")
        steps.extend(f"Do not use the old hole at {tape(h.in_edge)}: {h.why}." for h in self.idle)
        steps.extend(
            f"Dress the end at {tape(max(0.0, h.in_edge))}: {h.why}." for h in self.lost if h.fate == "cut through"
        )
        if not self.follows_rule():
            own = layout(edge.length, edge.rule)
            steps.append(
                f"Drill the bottom angle to this edge, at {tape_list(edge.positions)}; the rule alone would "
                f"have given {tape_list(own.positions)}."
            )
        return tuple(steps)

    def as_dict(self) -> dict[str, Any]:
        """The cut for a machine: the layout's own keys and how it leaves the blank; lengths in inches."""
        return {
            **self.layout.as_dict(),
            "from_blank_in": in_inches(self.blank.length),
            "off_each_end_in": in_inches(self.off_each_end),
            "waste_in": in_inches(self.waste),
            "old_holes": [
                {
                    "in_blank_in": in_inches(h.in_blank),
                    "in_edge_in": in_inches(h.in_edge),
                    "fate": h.fate,
                    "why": h.why,
                }
                for h in self.old_holes
            ],
            "new_holes_in": [in_inches(p) for p in self.new_holes],
            "follows_rule": self.follows_rule(),
            "steps": list(self.steps()),
        }


def cut_from(blank: HoleLayout | float, length: float, rule: HoleRule, *, off_left: float | None = None) -> CutDown:
    """Cut an edge down from a longer drilled one, the same off each end, with new end holes.

    Old holes inside are kept where they leave the least end gap; nearer ones stay in the bar unused.
    Basis: common practice and the shop's rule. Worked example: 84 in from 90 in, ends 3, pitch 12: 3 in
    off each end, new holes at 3 and 81, old ones used at 12, 24, 36, 48, 60, 72.

    Args:
        blank: The longer edge; a length [m] means one drilled by the same rule.
        length: Of the edge wanted [m].
        rule: The hole rule.
        off_left: What is to come off the left end [m]; left out, half of the difference. Anything but
            half is refused.

    Raises:
        EdgeError: The blank is too short or not symmetric, the cut is not symmetric, or an old hole
            stands too near a new one.
    """
    source = layout(blank, rule) if isinstance(blank, float | int) else blank
    target = layout(length, rule)
    off = source.length - length
    if off < -TOLERANCE:
        raise EdgeError(
            "the blank is shorter than the edge",
            value=f"{tape(source.length)} blank for a {tape(length)} edge",
            limit=f"at least {tape(length)}",
            way_out="Take a longer blank.",
        )
    if off_left is not None and abs(off_left - off / 2) > TOLERANCE:
        raise _one_sided(source, target, off_left)
    if not source.is_symmetric():
        raise EdgeError(
            "a blank whose holes do not read the same from both ends cannot be cut down to an edge that does",
            value=f"holes at {tape_list(source.positions)} of {tape(source.length)}",
            limit=f"the same from both ends within {tape(TOLERANCE)}",
            way_out="Take another blank or an undrilled bar.",
        )
    old = _fates(source, length, rule)
    clashing = _clash(old, length, rule)
    if clashing is not None:
        raise _too_near(source, length, rule, clashing)
    if off <= TOLERANCE:
        return CutDown(blank=source, layout=source, off_each_end=0.0, old_holes=old, new_holes=())
    ends = (rule.end, length - rule.end)
    new = tuple(e for e in ends if not any(abs(h.in_edge - e) <= TOLERANCE for h in old))
    kept = tuple(h.in_edge for h in old if h.fate == "used")
    result = HoleLayout(
        length=length,
        positions=tuple(sorted((*kept, *new))),
        rule=rule,
        idle=tuple(h.in_edge for h in old if h.fate == "idle"),
    )
    return CutDown(blank=source, layout=result, off_each_end=off / 2, old_holes=old, new_holes=new)


def _fates(source: HoleLayout, length: float, rule: HoleRule) -> tuple[OldHole, ...]:
    """What becomes of every hole of the blank when both ends are cut alike."""
    shift = (source.length - length) / 2
    places = sorted([(p, True) for p in source.positions] + [(p, False) for p in source.idle])
    holes: list[OldHole] = []
    for place, bolted in places:
        fate, why = _fate(place - shift, length, rule, bolted=bolted or shift > TOLERANCE)
        holes.append(OldHole(in_blank=place, in_edge=place - shift, fate=fate, why=why))
    return tuple(holes)


def _fate(place: float, length: float, rule: HoleRule, *, bolted: bool) -> tuple[Fate, str]:
    """Fate and reason of one old hole at a place of the new edge."""
    to_end = min(place, length - place)
    to_end_hole = to_end - rule.end
    radius = rule.hole_size / 2
    if to_end <= -radius:
        return "cut away", "it lies in the piece that is cut off"
    if to_end < radius:
        return "cut through", "the cut runs through an old hole"
    if not bolted:
        return "idle", "it carried no bolt in the blank"
    if abs(to_end_hole) <= TOLERANCE:
        return "used", "it is where the end hole goes"
    if to_end_hole < 0:
        return "idle", f"it is {tape(to_end)} from the end, the end hole's place is {tape(rule.end)}"
    if to_end_hole < rule.least_end_gap - TOLERANCE:
        return (
            "idle",
            f"it is {tape(to_end_hole)} from the end hole, the least end gap is {tape(rule.least_end_gap)}",
        )
    return "used", "it is inside and clear of the end holes"


def _clash(old: tuple[OldHole, ...], length: float, rule: HoleRule) -> OldHole | None:
    """The first old hole that leaves too little steel beside an end hole, if any."""
    for hole in old:
        apart = abs(min(hole.in_edge, length - hole.in_edge) - rule.end)
        if hole.fate != "cut away" and TOLERANCE < apart < rule.least_between - TOLERANCE:
            return hole
    return None


def _one_sided(source: HoleLayout, target: HoleLayout, off_left: float) -> EdgeError:
    """The refusal of a cut that is not the same off each end."""
    off = source.length - target.length
    old = tuple(p - off_left for p in source.positions if 0 < p - off_left < target.length)
    met = sum(any(abs(p - q) <= TOLERANCE for q in old) for p in target.positions)
    one_end = min(abs(off_left), abs(off - off_left)) <= TOLERANCE
    cut = (
        f"{tape(off)} off one end"
        if one_end
        else f"{tape(off_left)} off the left end and {tape(off - off_left)} off the right"
    )
    return EdgeError(
        f"{cut} leaves an edge that is not flippable, and its holes do not meet the bottom angle: the old "
        f"holes would stand at {tape_list(old)}, the bottom angle has {tape_list(target.positions)}; "
        f"{met} of {len(target.positions)} would be met",
        value=f"{cut} of a {tape(source.length)} edge for one of {tape(target.length)}",
        limit=f"the same off each end within {tape(TOLERANCE)}",
        way_out=f"Cut {tape(off / 2)} off each end.",
    )


def _too_near(source: HoleLayout, length: float, rule: HoleRule, hole: OldHole) -> EdgeError:
    """The refusal of a cut that leaves too little steel between an old hole and a new one."""
    end_hole = rule.end if hole.in_edge < length / 2 else length - rule.end
    other = _workable_blank(length, rule)
    ask = f"A blank of {tape(other)} drilled by the same rule would do, or an" if other else "Take an"
    return EdgeError(
        f"the blank's hole at {tape(hole.in_blank)} would stand at {tape(hole.in_edge)} of the edge, "
        f"{tape(abs(hole.in_edge - end_hole))} from the end hole at {tape(end_hole)}",
        value=f"{tape(length)} edge from a {tape(source.length)} blank",
        limit=f"at least {tape(rule.least_between)} between the centres of two holes",
        way_out=f"{ask} undrilled bar of at least {tape(length)}.",
    )


def _workable_blank(length: float, rule: HoleRule) -> float:
    """Shortest blank, in half inches, that can be cut to the length by the rule [m]; 0 for none."""
    target = layout(length, rule)
    ends = (target.positions[0], target.positions[-1])
    for step in range(1, math.ceil(4 * rule.pitch / INCH)):
        trial = layout(length + step * INCH / 2, rule)
        old = _fates(trial, length, rule)
        inside = [h.in_edge for h in old if h.fate == "used" and ends[0] + TOLERANCE < h.in_edge < ends[1] - TOLERANCE]
        if _clash(old, length, rule) is None and same_places((ends[0], *inside, ends[1]), target.positions):
            return trial.length
    return 0.0
