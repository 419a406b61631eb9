"""What is written into the stock ledger, inside one command: every rule is asked of what that command reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from plowwright.desk.stock_shelf import coming_of, stands
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.stock import allow, forced, loss, take
from plowwright.shop.stock_book import HELD, KINDS, Balance, Entry, LineKind
from plowwright.shop.stock_counting import CountRow, count_lines, count_sheet
from plowwright.shop.stock_dates import dated
from plowwright.shop.stock_holding import Holding, hold, let_go
from plowwright.shop.stock_shortages import Want
from plowwright.store import records as r
from plowwright.store.commands import Command


def write(c: Command, entries: Iterable[Entry], *, facts: Mapping[str, Any] | None = None) -> tuple[r.Line, ...]:
    """Write lines, each held against how its item stands when its turn comes.

    Args:
        c: The command.
        entries: As the rules of stock give them.
        facts: Kept with every line that moves pieces.

    Raises:
        EntryError: A line makes no sense, the pieces are not there, or they are spoken for.
    """
    sums: dict[str, Balance] = {}
    written: list[r.Line] = []
    for entry in entries:
        now = sums.get(entry.item) or stands(c, entry.item)
        sums[entry.item] = allow(entry, now, coming_of(c, entry.item))
        if entry.reverses is not None:
            written.append(c.reverse(entry.reverses, reason=entry.reason, day=entry.day))
            continue
        written.append(
            c.line(kind=entry.kind, item=entry.item, count=entry.count, day=entry.day, lot=entry.lot,
                   order=entry.order, needed=entry.needed, reason=entry.reason,
                   facts=facts if entry.kind not in HELD else None)
        )  # fmt: skip
    return tuple(written)


def reserve(c: Command, wants: Sequence[Want], *, today: date) -> Holding:
    """Reserve for an order what can be had by its day.

    Args:
        c: The command.
        wants: What it needs.
        today: The day.
    """
    items = dict.fromkeys(item for want in wants for item in want.serves)
    coming = tuple(one for item in items for one in coming_of(c, item))
    found = hold(wants, {item: stands(c, item) for item in items}, coming, today=today)
    write(c, found.lines)
    return found


def give_up(c: Command, order: str, *, today: date, reason: str) -> tuple[Entry, ...]:
    """Give back all an order has reserved.

    Args:
        c: The command.
        order: Its number.
        today: The day.
        reason: Why.
    """
    items = dict.fromkeys(one.item for one in c.find(r.Reservation, order=order))
    lines = let_go([stands(c, item) for item in items], order, today=today, reason=reason)
    write(c, lines)
    return lines


def take_item(
    c: Command, item: str, count: int, *, order: str, today: date, lot: str | None = None
) -> tuple[r.Line, ...]:  # fmt: skip
    """Issue pieces of one item to an order, its reservation of them released first.

    Args:
        c: The command.
        item: As the ledger calls it.
        count: Pieces [-].
        order: Its number.
        today: The day.
        lot: From which lot; left out, whichever has enough.

    Raises:
        EntryError: Not as many are there, or they are spoken for.
    """
    return write(c, take(stands(c, item), count, order=order, day=today, lot=lot))


def take_wants(
    c: Command, wants: Sequence[Want], *, order: str, today: date
) -> tuple[tuple[r.Line, ...], tuple[Want, ...]]:  # fmt: skip
    """Issue to an order what it still needs and what lies there free for it; what is missing is given back.

    Args:
        c: The command.
        wants: What it needs.
        order: Its number.
        today: The day.
    """
    lines: list[r.Line] = []
    missing: list[Want] = []
    for want in wants:
        left = want.count
        for item in sorted(want.serves, key=lambda one: not _reserved(stands(c, one), order)):
            part = min(left, free_for(stands(c, item), c, order, today=today))
            if part > 0:
                lines += take_item(c, item, part, order=order, today=today)
                left -= part
        if left:
            missing.append(replace(want, count=left))
    return tuple(lines), tuple(missing)


def _reserved(now: Balance, order: str) -> int:
    return sum(one.count for one in now.held if one.order == order)


def free_for(now: Balance, c: Command, order: str, *, today: date) -> int:
    """How many of an item an order may take today: its own, and those nobody else reserved [-].

    Args:
        now: How the item stands.
        c: The command.
        order: Its number.
        today: The day.
    """
    others = replace(now, held=tuple(one for one in now.held if one.order != order))
    return min(now.on_hand, dated(others, coming_of(c, now.item), today=today).free(today))


def lose(c: Command, line: Entry, *, facts: Mapping[str, Any] | None = None) -> tuple[Entry, ...]:
    """Write a line that takes pieces away whatever is reserved, with the releases it forces.

    Args:
        c: The command.
        line: A scrap, count or issue line.
        facts: Kept with it.

    Raises:
        EntryError: The pieces are not there.
    """
    now = stands(c, line.item)
    there = now.lots.get(line.lot, 0)
    if line.count > there and line.kind != "count":
        raise EntryError(f"only {there} on hand{f', lot {line.lot}' if line.lot else ''}",
                         value=f"{line.kind} {line.count}", limit=str(there), where=line.item,
                         way_out="Look at the lot again, or count the rack.")  # fmt: skip
    lines = loss(now, coming_of(c, line.item), line)
    write(c, lines, facts=facts)
    return lines


def settle(c: Command, items: Iterable[str], *, today: date, reason: str) -> tuple[Entry, ...]:
    """Release what no longer can be there by its day, after something on its way has changed.

    Args:
        c: The command.
        items: Which items.
        today: The day.
        reason: What has changed.
    """
    out: list[Entry] = []
    for item in dict.fromkeys(items):
        out += forced(stands(c, item), coming_of(c, item), day=today, reason=reason)
    write(c, out)
    return tuple(out)


def count(
    c: Command, counted: Mapping[tuple[str, str], int], seen: Mapping[tuple[str, str], int], *, who: str, today: date
) -> tuple[tuple[CountRow, ...], tuple[Entry, ...]]:
    """Put the book right by a filled-in count sheet.

    Args:
        c: The command.
        counted: Pieces counted, by item and lot [-].
        seen: What the book said when the sheet was made, where that is known [-].
        who: Who counted.
        today: The day.

    Raises:
        EntryError: A count below zero, or the book has moved since the sheet was made.
    """
    balances = [stands(c, item) for item in dict.fromkeys(item for item, _ in counted)]
    rows = [row for row in count_sheet(balances, counted) if row.counted is not None]
    for row in rows:
        was = seen.get((row.item, row.lot))
        if was is not None and was != row.book:
            raise EntryError(
                f"the book has moved from {was} to {row.book} since this sheet was made",
                where=f"{row.item} {row.lot}".strip(), value=str(row.counted), way_out="Count this row again.",
            )  # fmt: skip
    coming = tuple(one for stand in balances for one in coming_of(c, stand.item))
    lines = count_lines(balances, rows, coming, day=today, who=who)
    write(c, lines)
    return tuple(rows), lines


def reverse(c: Command, number: int, *, reason: str, today: date) -> tuple[r.Line, r.Line]:
    """Undo a line by its opposite; the old one and the new one.

    Args:
        c: The command.
        number: Of the line.
        reason: Why it was wrong.
        today: The day.

    Raises:
        NotFoundError: There is no such line.
        EntryError: No reason, reversed already, or its pieces are gone or spoken for.
    """
    if not reason.strip():
        raise EntryError("a reversal says why", value=f"line {number}", way_out='Write it as "typed twice".')
    old = c.look(r.Line, number)
    if old is None:
        raise NotFoundError("no such line in the stock ledger", value=str(number),
                            way_out="Read it off the item's page.")  # fmt: skip
    if old.reverses is None and not c.find(r.Line, reverses=number):
        back = Entry(kind=_kind(old.kind), item=old.item, lot=old.lot, count=-old.count, day=today, order=old.order,
                     needed=old.needed, reason=reason.strip(), reverses=number)  # fmt: skip
        allow(back, stands(c, old.item), coming_of(c, old.item))
    return old, c.reverse(number, reason=reason.strip(), day=today)


def _kind(said: str) -> LineKind:
    return next(one for one in KINDS if one == said)


def lots_for(now: Balance, count_: int) -> list[tuple[str, int]]:
    """From which lots so many pieces come: one that has enough, else several.

    Args:
        now: How the item stands.
        count_: Pieces [-].
    """
    whole = next((lot for lot, there in now.lots.items() if there >= count_), None)
    if whole is not None:
        return [(whole, count_)]
    out: list[tuple[str, int]] = []
    for lot, there in now.lots.items():
        part = min(there, count_ - sum(n for _, n in out))
        if part > 0:
            out.append((lot, part))
    return out
