"""A released cut plan as it stands, and how it is kept: as plain values, with what its mishaps left in it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from plowwright.desk.cutting import Edges, Week
from plowwright.desk.plans_called_off import Lies, Off, off_of
from plowwright.desk.plans_kept import Version
from plowwright.errors import NotFoundError
from plowwright.shop.cutting_called_off import without
from plowwright.shop.cutting_mended import tagged
from plowwright.shop.cutting_model import CutPlan
from plowwright.shop.cutting_plain import CutKept, cut_from_plain, cut_to_plain
from plowwright.shop.replan import Change


@dataclass(frozen=True, kw_only=True)
class CutInHand:
    """A released cut plan as it stands.

    Attributes:
        version: What is ticked, done and fetched.
        week: The plan with everything around it.
        off: What orders that were called off leave in it.
        changes: Tags issued again by the last mishap.
        extra: What that costs in steel [money].
    """

    version: Version
    week: Week
    off: Off
    changes: tuple[Change, ...] = ()
    extra: float = 0.0

    @property
    def number(self) -> int:
        """Number of the plan."""
        return self.version.number

    @property
    def left(self) -> int:
        """Sticks something is still to be sawn from [-]."""
        return len(self.week.plan.sticks) - len(self.version.done | self.off.idle)

    def to_saw(self, number: int) -> frozenset[str]:
        """Tags of a stick that are to be sawn from it: all but those of orders that were called off.

        Args:
            number: Of the stick.

        Raises:
            NotFoundError: No stick of the plan has this number.
        """
        for stick in self.week.plan.sticks:
            if stick.number == number:
                return frozenset(p.piece.tag for p in stick.placed) - self.off.unsawn
        raise NotFoundError("no stick of the plan has this number", value=str(number),
                            way_out="The number stands at the left of the saw sheet.")  # fmt: skip


def plain_of(week: Week, changes: tuple[Change, ...], extra: float) -> dict[str, Any]:
    """A plan as it is kept.

    Args:
        week: The plan with everything around it.
        changes: Tags issued again by the last mishap.
        extra: What that costs in steel [money].
    """
    kept = CutKept(
        plan=week.plan, pieces=week.pieces, sticks=week.sticks, spoilt=week.spoilt, buys=week.buys, alike=week.alike,
        edges=tuple((one.bar, one.plan) for one in week.edges), changes=changes, extra=extra,
    )  # fmt: skip
    return {"plan": cut_to_plain(kept), "orders": list(week.orders), "on": week.on.isoformat()}


def week_of(kept: CutKept, plain: Mapping[str, Any]) -> tuple[Week, tuple[Change, ...], float]:
    """The plan that `plain_of` was given, the tags issued again, and what that costs in steel [money].

    Args:
        kept: The plan, read.
        plain: As it is kept.
    """
    week = Week(
        orders=tuple(plain["orders"]), pieces=kept.pieces, sticks=kept.sticks, plan=kept.plan, buys=kept.buys,
        edges=tuple(Edges(bar=bar, plan=plan) for bar, plan in kept.edges), alike=kept.alike, spoilt=kept.spoilt,
        on=date.fromisoformat(plain["on"]),
    )  # fmt: skip
    return week, kept.changes, kept.extra


def in_hand(version: Version) -> CutInHand:
    """A released plan, read.

    Args:
        version: As the records have it.
    """
    kept = cut_from_plain(version.plain["plan"], where=f"cut plan {version.number}")
    week, changes, extra = week_of(kept, version.plain)
    return CutInHand(version=version, week=week, off=off_of(version, "cut", lying_of(week.plan)), changes=changes,
                     extra=extra)  # fmt: skip


def lying_of(plan: CutPlan) -> list[Lies]:
    """Where its pieces lie.

    Args:
        plan: The plan.
    """
    return [Lies(tag=p.piece.tag, order=p.piece.order, number=s.number) for s in plan.sticks for p in s.placed]


def cut_short(held: CutInHand, off: Off, numbers: Collection[int]) -> tuple[Week, dict[str, Any] | None]:
    """The plan without what is not sawn from these sticks, and its plain values where that changes it.

    Args:
        held: The plan as it stands.
        off: What is not sawn.
        numbers: Of the sticks nothing more is sawn from.
    """
    gone = {p.tag for p in lying_of(held.week.plan) if p.number in numbers and p.tag in off.unsawn}
    if not gone:
        return held.week, None
    plan = tagged(without(held.week.plan, gone, only=numbers), held.number)
    week = replace(held.week, plan=plan, pieces=tuple(p for p in held.week.pieces if p.tag not in gone))
    return week, plain_of(week, held.changes, held.extra)
