"""All that is known of a load before it leaves: the piece, what is ticked, how wide it travels, how it is lifted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from plowwright.findings import Finding
from plowwright.shop.dock_freight import FreightClass, Lifting, Packed, Travel
from plowwright.shop.dock_papers import PackingRow
from plowwright.units import say

CAUTIONS: Final = (
    "Nobody under the load or beside it. Lift an inch, see that it hangs level, set it down and move the hook if not.",
    "Slings and hook carry a tag with what they are rated for; without a tag, or below the pull said here, they stay on"
    " the wall. Springs, hoses, cylinder and skin are no handles.",
    "Hydraulic pressure let off, hoses capped and tied, trip springs slack or guarded before it is strapped.",
    "Strapping a load and driving it follow the rules of the road and of the place; who drives answers for it.",
)
"""The usual cautions at loading; *common practice*."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One load.

    Attributes:
        number: Order number.
        name: The blade, as "Basalt 84 in".
        customer: Who gets it.
        carrier: The machine it goes on, or "".
        serial: Serial number, or "".
        state: How far the order is.
        promise: When it is promised, or None.
        bare: Mass without packing: what the scale said, else the prediction [kg].
        weighed: Whether the scale said it.
        piece: As packed.
        by: Its freight class.
        travel: How wide it is on the road.
        lift: Where slings go.
        rows: What is ticked.
        cure: Whether it may be strapped.
        gates: What must hold before it is loaded.
        freight: Whether it goes by freight, not by the customer's own trailer.
    """

    number: str
    name: str
    customer: str
    carrier: str
    serial: str
    state: str
    promise: datetime | None
    bare: float
    weighed: bool
    piece: Packed
    by: FreightClass
    travel: Travel
    lift: Lifting
    rows: tuple[PackingRow, ...]
    cure: Finding
    gates: tuple[Finding, ...]
    freight: bool

    @property
    def may_go(self) -> bool:
        """Whether every gate is open."""
        return all(gate.verdict in ("holds", "near limit") for gate in self.gates)

    def as_dict(self) -> dict[str, Any]:
        """The load for a machine, sizes in words."""
        return {
            "number": self.number,
            "name": self.name,
            "customer": self.customer,
            "serial": self.serial,
            "state": self.state,
            "mass": say(self.bare, "mass"),
            "weighed": self.weighed,
            "packed": self.piece.as_dict(),
            "class": self.by.freight_class,
            "class_said": self.by.finding.sentence,
            "travel_width": say(self.travel.crosswise, "length"),
            "travel_width_angled": say(self.travel.angled, "length"),
            "travel_depth": say(self.travel.lengthwise, "length"),
            "lifting": self.lift.sentence,
            "packing_list": [{"count": r.count, "name": r.name, "where": r.where, "note": r.note} for r in self.rows],
            "cure": self.cure.as_dict(),
            "may_go": self.may_go,
            "gates": [gate.as_dict() for gate in self.gates],
        }
