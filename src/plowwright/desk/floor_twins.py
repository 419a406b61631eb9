"""Blades in the shop at the same time that are taken for one another, and what tells them apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.blade.looks import looks
from plowwright.desk.orders import Order

MOST: Final = 2
"""So many look-alikes are named; more are read by nobody [-]."""
_SAID: Final = 3
"""So many differences are said [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Twin:
    """Another blade of the shop that this one may be taken for.

    Attributes:
        number: Its order.
        state: How far it is, in words.
        name: Series and width.
        by_eye: What an eye sees, this blade first.
        by_tool: What a caliper, a count or the scale shows, this blade first.
    """

    number: str
    state: str
    name: str
    by_eye: tuple[str, ...]
    by_tool: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What to look at, in one sentence: what can be counted first, sizes last."""
        seen = sorted(map(_short, self.by_eye), key=_rank)
        tools = [t for t in self.by_tool if not t.startswith("measure")] or list(self.by_tool[:1])
        if not seen:
            how = "; ".join(tools) or "only the stamp tells"
            return f"{self.number}, {self.name}, is here too ({self.state}). No eye tells them apart: {how}."
        notches = [t for t in tools if "notches" in t]
        said = [*map(_counted, notches), *seen][:_SAID]
        return f"{self.number}, {self.name}, is here too ({self.state}). This one: {'; '.join(said)}."

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {"order": self.number, "state": self.state, "name": self.name, "by_eye": list(self.by_eye),
                "by_tool": list(self.by_tool), "said": self.sentence}  # fmt: skip


def _counted(notches: str) -> str:
    """Notches as the other counts are said: 1 notch against 3."""
    one, _, other = notches.partition("(")[2].rstrip(")").partition(" against ")
    return f"{one} notch{'es' if one != '1' else ''} against {other}"


def _short(seen: str) -> str:
    """What is on the blade or not, as it is said: has no edge markers, not has no pair of them."""
    said = seen.replace("only the first has", "has").replace("only the second has", "has no")
    return said.replace("has pair of ", "has ").replace("has no pair of ", "has no ")


def _rank(seen: str) -> tuple[bool, bool, str]:
    return not seen.startswith("has"), not seen[0].isdigit(), seen


def look_alikes(order: Order, wall: Sequence[Order], build: Callable[[Order], Build]) -> tuple[Twin, ...]:
    """The blades a blade may be taken for, the most alike first.

    Args:
        order: Whose blade.
        wall: The orders in the shop at the same time.
        build: Works the blade of an order out.
    """
    if order.spec is None:
        return ()
    found: list[tuple[int, Twin]] = []
    for other in wall:
        if other.number == order.number or other.spec is None or not _alike(order, other):
            continue
        told = looks(build(order), build(other))
        twin = Twin(number=other.number, state=other.state, name=build(other).name, by_eye=told.by_eye,
                    by_tool=told.by_tool)  # fmt: skip
        found.append((len(told.by_eye), twin))
    return tuple(twin for _, twin in sorted(found, key=lambda one: (one[0], one[1].number)))[:MOST]


def _alike(one: Order, other: Order) -> bool:
    """Same width on the same mount, or for the same customer on the same day: those are loaded together."""
    if one.spec is None or other.spec is None:
        return False
    same_shape = one.spec.width == other.spec.width and one.spec.mount == other.spec.mount
    return same_shape or (one.customer == other.customer and one.due == other.due)
