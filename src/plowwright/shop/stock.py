"""The stock ledger's rules: lines are only ever added, a balance is a sum, a mistake is reversed by a new line.

Nothing here keeps anything: lines come in, an answer or more lines go out. Reserved is dated: for every day, what is
reserved up to it is never more than what lies there and arrives by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.stock_book import (
    HAND,
    HELD,
    KINDS,
    Balance,
    Coming,
    Entry,
    LedgerLine,
    LineKind,
    applied,
    balance,
    overdrawn,
)


def add(lines: Sequence[Entry], entry: Entry, coming: Iterable[Coming] = ()) -> tuple[Entry, ...]:
    """The ledger with one line more.

    Args:
        lines: The ledger so far.
        entry: The line; it gets the next number.
        coming: What is on its way.

    Raises:
        EntryError: The line makes no sense, the pieces are not there, or they are spoken for.
        NotFoundError: It reverses a line that is not there.
    """
    if entry.reverses is not None:
        _same_backwards(lines, entry)
    allow(entry, balance(lines, entry.item), coming)
    return (*lines, replace(entry, id=len(lines) + 1))


def allow(entry: Entry, now: Balance, coming: Iterable[Coming] = ()) -> Balance:
    """Whether a line may be written, from the sums alone; how the item stands after it.

    Args:
        entry: The line.
        now: How its item stands.
        coming: What is on its way.

    Raises:
        EntryError: The line makes no sense, the pieces are not there, or they are spoken for.
    """
    _sense(entry)
    after = applied(now, entry)
    _never_below_zero(entry, after, now)
    over = overdrawn(after, coming)
    if over is not None and not _helps(entry):
        raise EntryError(
            f"{over.held} would be reserved up to {over.day:%d %b}, and only {over.there} will be there",
            value=f"{entry.kind} {entry.count}", limit=str(over.there), where=entry.item,
            way_out=f"Spoken for by {', '.join(over.orders)}: release one, take later ones, or buy more first.",
        )  # fmt: skip
    return after


def add_all(lines: Sequence[Entry], entries: Iterable[Entry], coming: Iterable[Coming] = ()) -> tuple[Entry, ...]:
    """The ledger with several lines more, all or none.

    Args:
        lines: The ledger so far.
        entries: The lines, in their order.
        coming: What is on its way.

    Raises:
        EntryError: One of them cannot be taken.
    """
    on_way = tuple(coming)
    after = tuple(lines)
    for entry in entries:
        after = add(after, entry, on_way)
    return after


def take(now: Balance, count: int, *, order: str, day: date, lot: str | None = None) -> tuple[Entry, ...]:
    """The lines with which an order takes its pieces: its reservation is released, then they are issued.

    Args:
        now: How the item stands.
        count: Pieces [-].
        order: Who takes them.
        day: When.
        lot: From which lot; left out, the first by name that has enough, else from several.

    Raises:
        EntryError: Not as many are there.
    """
    if count > now.on_hand:
        raise EntryError(f"only {now.on_hand} on hand", value=f"issue {count}", limit=str(now.on_hand), where=now.item,
                         way_out="Somebody may have just taken it. Count the rack first.")  # fmt: skip
    lines: list[Entry] = []
    left = count
    for held in now.held:
        if held.order == order and left:
            part = min(left, held.count)
            lines.append(Entry(kind="release", item=now.item, count=part, day=day, order=order, needed=held.needed,
                               reason="taken"))  # fmt: skip
            left -= part
    lots = {lot: now.lots.get(lot, 0)} if lot is not None else now.lots
    enough = [name for name, there in lots.items() if there >= count]
    left = count
    for name in enough[:1] or lots:
        part = min(left, lots[name])
        if part > 0:
            lines.append(Entry(kind="issue", item=now.item, count=part, day=day, lot=name, order=order))
            left -= part
    if left:
        raise EntryError(f"lot {lot} has only {count - left}", value=f"issue {count}", limit=str(count - left),
                         where=now.item, way_out="Take the rest from another lot.")  # fmt: skip
    return tuple(lines)


def loss(now: Balance, coming: Iterable[Coming], line: Entry) -> tuple[Entry, ...]:
    """A scrap or count line that may bite into what is spoken for, with the releases it forces.

    The shelf is what it is: the line is written, and the orders that need theirs last lose their reservation first.

    Args:
        now: How the item stands.
        coming: What is on its way.
        line: The loss.
    """
    lots = {**now.lots, line.lot: now.lots.get(line.lot, 0) + HAND[line.kind] * line.count}
    after = Balance(item=now.item, on_hand=sum(lots.values()), lots=lots, held=now.held)
    return (*forced(after, coming, day=line.day, reason=f"{line.kind}: {line.reason or 'not there any more'}"), line)


def forced(now: Balance, coming: Iterable[Coming], *, day: date, reason: str) -> tuple[Entry, ...]:
    """The releases that bring what is reserved down to what will be there, those that are needed last first.

    Args:
        now: How the item stands.
        coming: What is on its way.
        day: Today.
        reason: What took the pieces away, or kept them from coming.
    """
    on_way, held = tuple(coming), list(now.held)
    freed: list[Entry] = []
    while True:
        over = overdrawn(replace(now, held=tuple(held)), on_way)
        if over is None:
            return tuple(freed)
        at = max(i for i, one in enumerate(held) if one.needed <= over.day)
        part = min(held[at].count, over.held - over.there)
        freed.append(Entry(kind="release", item=now.item, count=part, day=day, order=held[at].order or None,
                           needed=held[at].needed, reason=reason))  # fmt: skip
        held[at] = replace(held[at], count=held[at].count - part)
        if not held[at].count:
            del held[at]


def reversal(lines: Iterable[LedgerLine], number: int, *, day: date, reason: str) -> Entry:
    """The line that undoes another one.

    Args:
        lines: The ledger.
        number: The line that was wrong [-].
        day: Today.
        reason: Why it was wrong.

    Raises:
        NotFoundError: There is no such line.
        EntryError: No reason, reversed already, or a reversal itself.
    """
    if not reason.strip():
        raise EntryError("a reversal says why", value=f"line {number}", way_out='Write it as "typed twice".')
    every = tuple(lines)
    old = next((line for line in every if line.id == number), None)
    if old is None:
        raise NotFoundError("no such line in the stock ledger", value=str(number))
    if old.reverses is not None:
        raise EntryError(f"line {number} is a reversal itself", way_out="Write the right line again.")
    again = next((line.id for line in every if line.reverses == number), None)
    if again is not None:
        raise EntryError(f"line {number} was reversed already, by line {again}")
    return Entry(kind=_kind(old.kind), item=old.item, lot=old.lot, count=-old.count, day=day, order=old.order,
                 needed=old.needed, reason=reason.strip(), reverses=number)  # fmt: skip


def _kind(said: str) -> LineKind:
    for kind in KINDS:
        if kind == said:
            return kind
    raise EntryError("no such line in the stock ledger", value=said, limit=", ".join(KINDS))


def _helps(entry: Entry) -> bool:
    """Whether a line can only make things better: more there, or less reserved."""
    step = HAND.get(entry.kind, 0) * entry.count
    return step > 0 or (entry.kind in HELD and HELD[entry.kind] * entry.count < 0)


def _sense(entry: Entry) -> None:
    _kind(entry.kind)
    if not entry.item.strip():
        raise EntryError("a stock line names no item", way_out="Give the item as the rulebook calls it.")
    if entry.count == 0:
        raise EntryError("a line of no pieces says nothing", value="0", where=entry.item, way_out="Leave it out.")
    if entry.count < 0 and entry.kind != "count" and entry.reverses is None:
        raise EntryError("only a count line or a reversal may be negative", value=f"{entry.kind} {entry.count}",
                         where=entry.item, way_out="Write the opposite kind, or reverse the wrong line.")  # fmt: skip
    if entry.kind in HELD and entry.needed is None:
        raise EntryError(f"a {entry.kind} line needs the day the pieces are needed", where=entry.item,
                         way_out="Give it as 2026-11-20.")  # fmt: skip


def _same_backwards(lines: Sequence[Entry], entry: Entry) -> None:
    wanted = reversal(lines, entry.reverses or 0, day=entry.day, reason=entry.reason)
    if replace(entry, id=0, reason="") != replace(wanted, reason=""):
        raise EntryError(f"this does not undo line {entry.reverses}", value=f"{entry.kind} {entry.count}",
                         limit=f"{wanted.kind} {wanted.count}", where=entry.item,
                         way_out="A reversal is the same line with the opposite count.")  # fmt: skip


def _never_below_zero(entry: Entry, now: Balance, was: Balance) -> None:
    lot = now.lots.get(entry.lot, 0)
    if entry.kind in HAND and lot < 0:
        there = was.lots.get(entry.lot, 0)
        raise EntryError(f"only {there} on hand{f', lot {entry.lot}' if entry.lot else ''}",
                         value=f"{entry.kind} {abs(entry.count)}", limit=str(there), where=entry.item,
                         way_out="Somebody may have just taken it. Count the rack; if there are more, write a count "
                         "line first.")  # fmt: skip
    low = next((one for one in now.held if one.count < 0), None)
    if low is not None:
        there = low.count + abs(entry.count)
        raise EntryError(f"only {there} reserved for {low.order or 'nobody'} on {low.needed:%d %b %Y}",
                         value=f"{entry.kind} {abs(entry.count)}", limit=str(there), where=entry.item,
                         way_out="Look at the reservations of this order.")  # fmt: skip
