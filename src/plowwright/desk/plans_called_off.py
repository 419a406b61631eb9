"""Pieces of orders that were called off after their cut plan or nest was released: they are not to be sawn any more.

What was sawn before is steel the shop keeps. A stick nothing is left to be sawn from waits until somebody lays it back.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import Final

from plowwright.desk.plans_kept import KEYS, WORDS, Sort, Version, keep_version, version_of
from plowwright.errors import EntryError
from plowwright.store import records as r
from plowwright.store.commands import Command

BARS: Final = {"cut": ("stick", "sticks"), "nest": ("sheet", "sheets")}
"""What is cut by a plan of each sort, one and many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lies:
    """A piece of a plan.

    Attributes:
        tag: Its tag.
        order: Its order.
        number: Of the stick or sheet it is on.
    """

    tag: str
    order: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """What orders that were called off leave in a plan.

    Attributes:
        sort: Cut plan or nest.
        orders: Their numbers.
        tags: Tags of all their pieces.
        unsawn: Tags that are not to be sawn any more.
        kept: Tags that were sawn before.
        idle: Numbers of sticks or sheets that are not done and nothing is left to be sawn from.
        waiting: Those of them that were taken off the rack, so that somebody has to lay them back.
        over: Whether nothing at all is left to be sawn.
    """

    sort: Sort
    orders: tuple[str, ...] = ()
    tags: frozenset[str] = frozenset()
    unsawn: frozenset[str] = frozenset()
    kept: frozenset[str] = frozenset()
    idle: frozenset[int] = frozenset()
    waiting: frozenset[int] = frozenset()
    over: bool = False

    @property
    def in_words(self) -> str:
        """What the saw or the plate table has to know, "" where nothing of the plan is called off."""
        if not self.orders:
            return ""
        one, many = BARS[self.sort]
        parts: list[str] = []
        if self.unsawn:
            parts.append(f"{_pieces(self.unsawn)} not to be cut")
        if self.kept:
            parts.append(f"{_pieces(self.kept)} cut before {'is a kept piece' if len(self.kept) == 1 else 'are kept'}")
        if self.waiting:
            how_many = f"{len(self.waiting)} {one if len(self.waiting) == 1 else many} to be laid back"
            parts.append(f"nothing left to cut: {how_many}" if self.over else how_many)
        return f"{self.named} called off: {'; '.join(parts)}"

    @property
    def named(self) -> str:
        """The orders with their verb."""
        return f"{', '.join(self.orders)} {'is' if len(self.orders) == 1 else 'are'}"


def off_of(version: Version, sort: Sort, places: Iterable[Lies]) -> Off:
    """What orders that were called off leave in a plan.

    Args:
        version: The plan as it stands.
        sort: Cut plan or nest.
        places: Its pieces.
    """
    lying = list(places)
    gone = [one for one in lying if one.order in version.called_off]
    if not gone:
        return Off(sort=sort)
    tags = frozenset(one.tag for one in gone)
    live = {one.number for one in lying if one.tag not in version.ticked and one.tag not in tags}
    idle = frozenset({one.number for one in gone} - version.done - live)
    return Off(
        sort=sort, orders=tuple(o for o in version.called_off if any(one.order == o for one in gone)), tags=tags,
        unsawn=tags - version.ticked, kept=tags & version.ticked, idle=idle, waiting=idle & version.fetched,
        over=not live,
    )  # fmt: skip


def done_of(version: Version, off: Off, places: Iterable[Lies], ticked: Collection[str]) -> set[int]:
    """Sticks or sheets that are done: all that is to be cut of them is ticked, and not all of it was called off.

    Args:
        version: The plan as it stood.
        off: What is not to be cut.
        places: Its pieces.
        ticked: Tags that are cut now.
    """
    lying = list(places)
    waiting = {one.number for one in lying if one.tag not in ticked and one.tag not in off.unsawn}
    unsawn = {one.number for one in lying if one.tag in off.unsawn}
    wanted = {one.number for one in lying if one.tag not in off.tags}
    return ({one.number for one in lying} - waiting - (unsawn - wanted)) | version.done


def refuse(off: Off, tags: Collection[str], number: int) -> None:
    """Refuse to tick pieces that are not to be cut.

    Args:
        off: What is not to be cut.
        tags: That are ticked, or said to be spoilt.
        number: Of the plan.

    Raises:
        EntryError: One of them is of an order that was called off.
    """
    named = sorted(set(tags))
    if named:
        raise EntryError(
            f"{off.named} called off, and this is not to be cut",
            value=", ".join(named), where=f"{WORDS[off.sort]} {number}",
            way_out="Go on with the other pieces. One that is cut already lies on the shelf for what comes: count it.",
        )  # fmt: skip


def to_lay_back(off: Off, number: int, whole: int) -> str:
    """What is said of steel that is laid back because it is not cut.

    Args:
        off: What is not to be cut.
        number: Of the plan.
        whole: How many go back whole [-].

    Raises:
        EntryError: Nothing is to be laid back.
    """
    one, many = BARS[off.sort]
    where = f"{WORDS[off.sort]} {number}"
    if not off.waiting:
        raise EntryError("nothing is to be laid back", where=where, limit=f"no {one} waits that was called off",
                         way_out="Call the order off first, if it is.")  # fmt: skip
    return f"{where}: {off.named} called off, {whole} {one if whole == 1 else many} laid back whole"


def let_go(c: Command, sort: Sort, number: int, orders: Collection[str]) -> None:
    """Take orders that were called off out of the list of those a plan waits for.

    Args:
        c: The command.
        sort: Cut plan or nest.
        number: Of the plan.
        orders: Their numbers.
    """
    key, _ = KEYS[sort]
    for one in orders:
        row = c.get(r.Order, one)
        if row.more.get(key) == number:
            c.change(r.Order, one, more={name: value for name, value in row.more.items() if name != key})


def not_cut_any_more(c: Command, sort: Sort, order: str, off_of_plan: Callable[[Version], Off]) -> str:
    """Leave out of a released plan what is not cut yet of an order that was called off.

    Args:
        c: The command that called it off.
        sort: Cut plan or nest.
        order: Its number.
        off_of_plan: What is called off in a plan as it stands.

    Returns:
        What the saw or the plate table has to know, "" where the order is in no plan.
    """
    number = c.get(r.Order, order).more.get(KEYS[sort][0])
    if number is None:
        return ""
    version = version_of(c, sort, int(number))
    off = off_of_plan(version)
    keep_version(
        c, sort, version.number, plain=None, base=version.base, ticked=version.ticked, done=version.done,
        fetched=version.fetched, wants={n: item for n, item in version.wants.items() if n not in off.idle},
        asked={"what": "called off"}, laid_back=version.laid_back,
    )  # fmt: skip
    if not off.waiting:
        let_go(c, sort, version.number, off.orders)
    return f"{WORDS[sort]} {version.number}, {off.in_words}"


def _pieces(tags: Collection[str]) -> str:
    return "1 piece" if len(tags) == 1 else f"{len(tags)} pieces"
