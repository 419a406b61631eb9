"""Steel of a released cut plan in the ledger: sticks fetched for the saw, drops put back under their tags."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from plowwright.desk.plan_stock import Need, fetch, give_back, need_of
from plowwright.shop.cutting_model import CutPlan, CutStick
from plowwright.shop.stock_items import remnant_item
from plowwright.store.commands import Command


def fetch_sticks(
    c: Command, number: int, plan: CutPlan, numbers: Collection[int], orders: Collection[str], spoken: Mapping[str, int]
) -> set[int]:
    """Take sticks off the rack, the first in the saw's order first; numbers of those that were there.

    Args:
        c: The command.
        number: Of the plan.
        plan: The plan.
        numbers: Of the sticks wanted.
        orders: Of the plan.
        spoken: What older plans have still to fetch, by item [-].

    Raises:
        EntryError: A remnant is gone.
    """
    wanted = [(s.number, need_of(s.stick)) for s in plan.sticks if s.number in numbers]
    got: Counter[Need] = fetch(c, [need for _, need in wanted], orders=orders, spoken=spoken,
                               reason=f"cut plan {number}")  # fmt: skip
    found: set[int] = set()
    for at, need in wanted:
        if got[need] > 0:
            got[need] -= 1
            found.add(at)
    return found


def return_drops(c: Command, number: int, sticks: Collection[CutStick]) -> None:
    """Put the kept drops of sticks that are done back in the rack under their tags.

    Args:
        c: The command.
        number: Of the plan.
        sticks: Those whose drop is kept.
    """
    needs = {Need(item=remnant_item(s.stick.stock, s.drop), tag=s.drop_tag): s for s in sticks}
    give_back(
        c, needs, reason=f"drop of cut plan {number}",
        facts={need: {"length_m": s.drop, "width_m": 0.0, "book": round(s.stick.price - s.cost, 2)}
               for need, s in needs.items()},
    )  # fmt: skip


def facts_of(sticks: Iterable[CutStick]) -> dict[Need, dict[str, float]]:
    """Size [m] and book value [money] of the remnants among sticks that go back uncut.

    Args:
        sticks: The sticks.
    """
    return {
        need_of(s.stick): {"length_m": s.stick.length, "width_m": 0.0, "book": s.stick.price}
        for s in sticks
        if s.stick.tag
    }


def wants_of(plan: CutPlan, fetched: Collection[int]) -> dict[int, str]:
    """What sticks that were not there are called in the ledger, by their number; a remnant is there or refused.

    Args:
        plan: The plan.
        fetched: Numbers of those that were.
    """
    return {s.number: need_of(s.stick).item for s in plan.sticks if s.number not in fetched and not s.stick.tag}
