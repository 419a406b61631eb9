"""What a customer does with his blade, as far as he told us: ground, driver, snow, gates, road, wishes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

Ground = Literal["", "pavement", "gravel", "sidewalk", "mixed"]
Driver = Literal["", "owner", "hired"]
GROUNDS: Final[tuple[Ground, ...]] = ("", "pavement", "gravel", "sidewalk", "mixed")
"""Grounds that can be told; "" while nobody has asked."""
DRIVERS: Final[tuple[Driver, ...]] = ("", "owner", "hired")
"""Who drives; "" while nobody has asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The work of an enquiry; what was not told stays unknown and blocks only what leans on it.

    Attributes:
        ground: What is cleared, "" while unknown.
        driver: Careful owner or hired driver, "" while unknown.
        curbs: Whether there are curbs, rings or stones to meet; None while unknown.
        road: Whether it travels on a public road with the blade on; None while unknown.
        ice: Whether it scrapes ice or packed snow; None while unknown.
        snow: State of the snow as `physics.snow.DENSITIES` names it, "" for the shop's usual.
        depth: Snow it is to push [m], None while unknown.
        gate: Narrowest gate or walk it must pass [m], None where there is none or it is unknown.
        width: Width he wishes [m], None where he leaves it to us.
        duty_class: Class he wishes, "" where he leaves it to us.
        note: Whatever else was said.
    """

    ground: Ground = ""
    driver: Driver = ""
    curbs: bool | None = None
    road: bool | None = None
    ice: bool | None = None
    snow: str = ""
    depth: float | None = None
    gate: float | None = None
    width: float | None = None
    duty_class: str = ""
    note: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The work for a machine, lengths in metres."""
        return {
            "ground": self.ground, "driver": self.driver, "curbs": self.curbs, "road": self.road, "ice": self.ice,
            "snow": self.snow, "depth_m": self.depth, "gate_m": self.gate, "width_m": self.width,
            "duty_class": self.duty_class, "note": self.note,
        }  # fmt: skip


UNTOLD: Final = Work()
"""Work of which nothing was told."""
