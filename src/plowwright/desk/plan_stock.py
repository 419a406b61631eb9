"""Steel that a released plan takes off the rack and gives back: lines of the ledger, all inside the plan's command."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError
from plowwright.shop.cutting_model import Stick
from plowwright.shop.nesting_model import Sheet
from plowwright.shop.stock_items import item_of, remnant_item, sheet_item, sheet_remnant_item, stick_item
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

SAW, TABLE = "saw", "plate_and_drill"
CUT_BY, LAID_BY = "cut_plan", "nest"
"""Names under which an order keeps the number of the released plan that its steel, or its plate, is cut by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One stick or sheet as the ledger knows it.

    Attributes:
        item: Its name.
        tag: Of a remnant, "" for whole ones.
    """

    item: str
    tag: str = ""

    def in_words(self) -> str:
        """As a person names it."""
        return f"{self.item}, tag {self.tag}" if self.tag else self.item


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What released plans hold that planners must leave alone.

    Attributes:
        saw: Orders whose steel is cut, or is in a released plan: number of the plan, 0 where it is cut.
        table: The same of their plate.
        spoken: Whole sticks and sheets a released plan has still to fetch, by item [-].
    """

    saw: Mapping[str, int] = field(default_factory=dict[str, int])
    table: Mapping[str, int] = field(default_factory=dict[str, int])
    spoken: Mapping[str, int] = field(default_factory=dict[str, int])


NOTHING = Taken()


def need_of(one: Stick | Sheet) -> Need:
    """What a stick or sheet is called in the ledger.

    Args:
        one: As a plan has it.
    """
    if isinstance(one, Stick):
        item = remnant_item(one.stock, one.length) if one.tag else stick_item(one.stock, one.length)
    elif one.tag:
        item = sheet_remnant_item(one.stock, one.length, one.width)
    else:
        item = sheet_item(one.stock, one.length, one.width)
    return Need(item=item, tag=one.tag)


def held_orders(reads: Reads, key: str, operation: str) -> dict[str, int]:
    """Open orders that a released plan holds, or whose operation is done.

    Args:
        reads: A steady view.
        key: `CUT_BY` or `LAID_BY`.
        operation: The operation it ends with.
    """
    found: dict[str, int] = {}
    for row in reads.wall(("order", "released"), limit=1000):
        more = more_of(row.more)
        if operation in more.work:
            found[row.number] = 0
        elif key in more.rest:
            found[row.number] = int(more.rest[key])
    return found


def fetch(
    c: Command, needs: Collection[Need], *, orders: Collection[str], spoken: Mapping[str, int], reason: str
) -> Counter[Need]:
    """Issue what lies there of what a plan wants; how many of each were.

    Pieces reserved for the plan's own orders are released first; what an older plan has still to fetch is left to it.

    Args:
        c: The command.
        needs: One for each stick or sheet.
        orders: Of the plan.
        spoken: What older plans have still to fetch, by item [-].
        reason: For the ledger.

    Raises:
        EntryError: A remnant is gone.
    """
    got: Counter[Need] = Counter()
    for need, count in Counter(needs).items():
        item, lots = need.item, _lots(c, need.item)
        if need.tag:
            item, lots = _tagged(c, need)
        free = sum(lots.values()) - (0 if need.tag else spoken.get(need.item, 0))
        # A tag is one piece, whatever a list says.
        wanted = left = max(0, min(1 if need.tag else count, free))
        _release(c, item, wanted, orders, reason)
        for lot, there in lots.items():
            part = min(left, there)
            if part > 0:
                c.line(kind="issue", item=item, lot=lot, count=part, reason=reason)
                left -= part
        if wanted:
            got[need] = wanted
    return got


def give_back(c: Command, needs: Iterable[Need], *, reason: str, facts: Mapping[Need, Mapping[str, float]]) -> None:
    """Return whole sticks, remnants and drops to the rack.

    Args:
        c: The command.
        needs: One for each.
        reason: For the ledger.
        facts: Size [m] and book value [money] of each remnant.
    """
    for need, count in Counter(list(needs)).items():
        c.line(kind="return", item=need.item, lot=need.tag, count=count, reason=reason, facts=facts.get(need))


def _lots(c: Command, item: str) -> dict[str, int]:
    return {one.lot: one.on_hand for one in c.find(r.OnHand, item=item) if one.on_hand > 0}


def _tagged(c: Command, need: Need) -> tuple[str, dict[str, int]]:
    """The item a tagged remnant is kept under, and its lot."""
    stock = item_of(need.item).stock
    for one in c.find(r.OnHand, lot=need.tag):
        if one.on_hand > 0 and item_of(one.item).stock == stock:
            return one.item, {one.lot: one.on_hand}
    raise EntryError(
        "this remnant is not in the rack any more", value=need.tag, where=need.item,
        way_out="Somebody took it since: plan again.",
    )  # fmt: skip


def _release(c: Command, item: str, count: int, orders: Collection[str], reason: str) -> None:
    left = count
    for held in c.reserved(item):
        part = min(left, held.count)
        if part > 0 and held.order in orders:
            c.line(kind="release", item=item, count=part, order=held.order, needed=held.needed, reason=reason)
            left -= part
