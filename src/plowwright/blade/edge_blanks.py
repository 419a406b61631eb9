"""Which stocked blank an edge is cut from, what the bottom angle is drilled to, and what fits what.

A blade's bottom angle and its edge must have one layout per width, whichever bar the edge came from.
Two policies give one:

* "own rule": the angle is drilled as an undrilled bar of that length would be. A stocked blank serves
  only if the edge cut from it comes out with those places. Stock may change; the angle does not.
* "stocked blank": the angle is drilled to the edge cut from the shortest stocked blank that can be cut at
  all. Less waste now, but the layout hangs on the list of blanks: change the list and a later spare may
  not fit an earlier blade.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from plowwright.blade.edge_bars import TOLERANCE, tape, tape_list
from plowwright.blade.edge_layouts import HoleLayout, HoleRule, in_inches, same_places
from plowwright.blade.edges import CutDown, cut_from, layout
from plowwright.errors import EdgeError

Policy = Literal["own rule", "stocked blank"]


@dataclass(frozen=True, kw_only=True)
class Match:
    """Which holes of an edge meet those of its bottom angle, both laid middle on middle.

    Attributes:
        met: Places where both have a hole, from the angle's left end [m].
        angle_only: Holes of the angle without one in the edge, from the angle's left end [m].
        edge_only: Bolt holes of the edge without one in the angle, from the angle's left end [m].
    """

    met: tuple[float, ...]
    angle_only: tuple[float, ...]
    edge_only: tuple[float, ...]

    @property
    def fits(self) -> bool:
        """Whether every bolt hole of both meets one of the other."""
        return not self.angle_only and not self.edge_only

    def in_words(self) -> str:
        """The match as one sentence."""
        if self.fits:
            return f"all {len(self.met)} holes meet"
        return (
            f"{len(self.met)} holes meet; the angle alone has {tape_list(self.angle_only)}, the edge alone "
            f"{tape_list(self.edge_only)}"
        )


def meets(edge: HoleLayout, angle: HoleLayout) -> Match:
    """Lay an edge on a bottom angle, middle on middle, and see which holes meet within 1/32 in.

    Args:
        edge: Layout of the edge.
        angle: Layout of the bottom angle.
    """
    shift = (angle.length - edge.length) / 2
    on_angle = tuple(p + shift for p in edge.positions)

    def has(places: tuple[float, ...], place: float) -> bool:
        return any(abs(p - place) <= TOLERANCE for p in places)

    return Match(
        met=tuple(p for p in angle.positions if has(on_angle, p)),
        angle_only=tuple(p for p in angle.positions if not has(on_angle, p)),
        edge_only=tuple(p for p in on_angle if not has(angle.positions, p)),
    )


@dataclass(frozen=True, kw_only=True)
class Interchange:
    """Edges that can take each other's place.

    Attributes:
        names: In the order they were given.
        notes: What still differs, one sentence each.
    """

    names: tuple[str, ...]
    notes: tuple[str, ...]


def interchange(layouts: Mapping[str, HoleLayout]) -> tuple[Interchange, ...]:
    """Group edges that interchange: same length, holes, height, hole line and hole, within 1/32 in.

    An edge of another thickness fits the same angle, with bolts to suit; it is grouped and noted.

    Args:
        layouts: Name to layout.
    """
    groups: list[list[str]] = []
    for name, candidate in layouts.items():
        home = next((g for g in groups if _same_edge(layouts[g[0]], candidate)), None)
        if home is None:
            groups.append([name])
        else:
            home.append(name)
    return tuple(Interchange(names=tuple(g), notes=_notes(g, layouts)) for g in groups)


def _same_edge(one: HoleLayout, other: HoleLayout) -> bool:
    """Whether the two interchange; two whose bars are both unknown are judged by places alone."""
    if abs(one.length - other.length) > TOLERANCE or not same_places(one.positions, other.positions):
        return False
    a, b = one.rule.bar, other.rule.bar
    if a is None or b is None:
        return a is b
    same_size = all(
        abs(x - y) <= TOLERANCE
        for x, y in ((a.height, b.height), (a.hole_line, b.hole_line), (a.hole.size, b.hole.size))
    )
    return same_size and a.hole.shape == b.hole.shape


def _notes(group: list[str], layouts: Mapping[str, HoleLayout]) -> tuple[str, ...]:
    first = layouts[group[0]].rule.bar
    if first is None:
        if len(group) < 2:
            return ()
        return ("on condition that height, hole line and hole are the same: the bars are not known",)
    notes: list[str] = []
    for name in group[1:]:
        bar = layouts[name].rule.bar
        if bar is not None and abs(bar.thickness - first.thickness) > TOLERANCE:
            word = "thicker" if bar.thickness > first.thickness else "thinner"
            notes.append(
                f"{name} fits, but is {word} than {group[0]}: {tape(bar.thickness)} against "
                f"{tape(first.thickness)}; bolts to suit"
            )
    return tuple(notes)


@dataclass(frozen=True, kw_only=True)
class CutFound:
    """A stocked blank that serves.

    Attributes:
        blank: Length [m].
        waste: Length that does not become edge, kerf included [m].
        cut: How it is cut down.
    """

    blank: float
    waste: float
    cut: CutDown

    def in_words(self) -> str:
        """One sentence for the saw."""
        words = f"{tape(self.blank)} serves, waste {tape(self.waste)}, {len(self.cut.new_holes)} new holes"
        idle = self.cut.layout.idle
        return f"{words}, old holes at {tape_list(idle)} stay unused" if idle else words


@dataclass(frozen=True, kw_only=True)
class CutRefused:
    """A stocked blank that does not serve.

    Attributes:
        blank: Length [m].
        why: The reason with its values.
    """

    blank: float
    why: str

    def in_words(self) -> str:
        """One sentence for the saw."""
        return f"{tape(self.blank)} does not serve: {self.why}"


@dataclass(frozen=True, kw_only=True)
class BlankChoice:
    """The stocked blanks tried for one edge.

    Attributes:
        wanted: The layout the bottom angle has.
        policy: Where that layout comes from [-].
        candidates: Every stocked blank, shortest first.
    """

    wanted: HoleLayout
    policy: Policy
    candidates: tuple[CutFound | CutRefused, ...]

    @property
    def serving(self) -> tuple[CutFound, ...]:
        """Blanks that serve, least waste first."""
        return tuple(c for c in self.candidates if isinstance(c, CutFound))

    def best(self) -> CutFound:
        """The shortest stocked blank that serves.

        Raises:
            EdgeError: None serves; the text gives every reason and offers an undrilled bar.
        """
        if self.serving:
            return self.serving[0]
        length = self.wanted.length
        raise EdgeError(
            f"no stocked blank serves a {tape(length)} edge; "
            + "; ".join(c.in_words() for c in self.candidates if isinstance(c, CutRefused)),
            value=tape(length),
            limit=f"holes at {tape_list(self.wanted.positions)}",
            way_out=self.undrilled(),
        )

    def undrilled(self) -> str:
        """The other way to this edge, in words."""
        places = tape_list(self.wanted.positions)
        return f"Take an undrilled bar of at least {tape(self.wanted.length)} and drill it at {places}."

    def in_words(self) -> tuple[str, ...]:
        """Every candidate with its reason, then the undrilled bar."""
        return (*(c.in_words() for c in self.candidates), self.undrilled())

    def as_dict(self) -> dict[str, Any]:
        """The choice for a machine; lengths in inches."""
        return {
            "wanted": self.wanted.as_dict(),
            "policy": self.policy,
            "serving_in": [in_inches(c.blank) for c in self.serving],
            "candidates": [
                {"blank_in": in_inches(c.blank), "serves": isinstance(c, CutFound), "words": c.in_words()}
                for c in self.candidates
            ],
            "undrilled": self.undrilled(),
        }


def standard_layout(
    width: float, blanks: Sequence[float], rule: HoleRule, *, policy: Policy = "own rule"
) -> HoleLayout:
    """The one layout that the bottom angle of a width is drilled to.

    "own rule": `layout(width, rule)`, whatever is stocked. "stocked blank": that of the edge cut from the
    shortest stocked blank that can be cut at all; the rule's own when none can. Basis: the shop's rule.

    Args:
        width: Length of the edge [m].
        blanks: Lengths of the stocked blanks, each drilled by the same rule [m].
        rule: The hole rule.
        policy: Which of the two [-].

    Raises:
        EdgeError: The width is too short for the rule.
    """
    own = layout(width, rule)
    if policy == "own rule":
        return own
    for blank in sorted(blanks):
        tried = _try_cut(blank, width, rule)
        if isinstance(tried, CutFound):
            return tried.cut.layout
    return own


def blank_for(length: float, blanks: Sequence[float], rule: HoleRule, *, policy: Policy = "own rule") -> BlankChoice:
    """Try every stocked blank for an edge that must meet the bottom angle's standard layout.

    Args:
        length: Of the edge [m].
        blanks: Lengths of the stocked blanks, each drilled by the same rule [m].
        rule: The hole rule.
        policy: Where the standard layout comes from [-].

    Raises:
        EdgeError: The edge is too short for the rule.
    """
    wanted = standard_layout(length, blanks, rule, policy=policy)
    candidates: list[CutFound | CutRefused] = []
    for blank in sorted(blanks):
        tried = _try_cut(blank, length, rule)
        if isinstance(tried, CutFound):
            match = meets(tried.cut.layout, wanted)
            if not match.fits:
                tried = CutRefused(
                    blank=blank, why=f"cut down, its holes do not meet the bottom angle: {match.in_words()}"
                )
        candidates.append(tried)
    return BlankChoice(wanted=wanted, policy=policy, candidates=tuple(candidates))


def _try_cut(blank: float, length: float, rule: HoleRule) -> CutFound | CutRefused:
    try:
        cut = cut_from(blank, length, rule)
    except EdgeError as refusal:
        return CutRefused(blank=blank, why=refusal.what)
    return CutFound(blank=blank, waste=cut.waste, cut=cut)
