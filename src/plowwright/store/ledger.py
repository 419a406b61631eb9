"""The stock ledger: lines that are only ever added, and the two sums kept beside them.

What may be reserved or sold is decided by the rules of `shop.stock`; here stands what can never be otherwise: nothing
below zero on hand, nothing released that is not reserved, nothing reserved or issued beyond what will be there.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, Final

from sqlalchemy import Connection, CursorResult, select

from plowwright.errors import EntryError, NotFoundError
from plowwright.store import statements as st
from plowwright.store.tables import ledger

ON_HAND: Final = {"receive": 1, "return": 1, "issue": -1, "scrap": -1, "count": 1}
"""What a piece in a line of each kind does to the pieces on hand [-]."""
RESERVED: Final = {"reserve": 1, "release": -1}
"""What it does to the pieces reserved [-]."""
KINDS: Final = (*ON_HAND, *RESERVED)
"""Kinds of line: `count` is a difference found by counting and may be negative."""


def checked(line: dict[str, Any]) -> dict[str, Any]:
    """A line as it may be written, or a refusal.

    Args:
        line: Its columns.

    Raises:
        EntryError: The kind is unknown, the count makes no sense, or a reservation has no day.
    """
    kind, count = line["kind"], line["count"]
    if kind not in KINDS:
        raise EntryError("no such line in the stock ledger", value=str(kind), limit=", ".join(KINDS))
    if isinstance(count, bool) or not isinstance(count, int) or count == 0:
        raise EntryError("a count is a whole number of pieces, not nothing", value=repr(count), where=line["item"])
    if count < 0 and kind != "count" and not line["reverses"]:
        raise EntryError(
            "only a count line or a reversal may be negative",
            value=f"{kind} {count}",
            way_out="Write a line of the other kind, or reverse the line that was wrong.",
            where=line["item"],
        )
    if kind in RESERVED and line["needed"] is None:
        raise EntryError(
            f"a {kind} line needs the day the pieces are needed", way_out="Give needed=.", where=line["item"]
        )
    if not str(line["item"]).strip():
        raise EntryError("a stock line names no item", way_out="Give the item as the rulebook calls it.")
    return line


def reversal(connection: Connection, number: int, *, day: date, reason: str) -> dict[str, Any]:
    """The line that undoes another one.

    Args:
        connection: Of the command.
        number: The line that was wrong.
        day: Today.
        reason: Why it was wrong.

    Raises:
        NotFoundError: There is no such line.
        EntryError: It was reversed already, or is a reversal itself.
    """
    old = connection.execute(select(ledger).where(ledger.c.id == number)).mappings().one_or_none()
    if old is None:
        raise NotFoundError("no such line in the stock ledger", value=str(number))
    if old["reverses"] is not None:
        raise EntryError(f"line {number} is a reversal itself", way_out="Write the right line again.")
    again = connection.execute(select(ledger.c.id).where(ledger.c.reverses == number)).scalar_one_or_none()
    if again is not None:
        raise EntryError(f"line {number} was reversed already, by line {again}")
    same = {name: old[name] for name in ("kind", "item", "lot", "needed", "order")}
    return {**same, "count": -old["count"], "day": day, "reason": reason, "reverses": number, "facts": {}}


def write(connection: Connection, line: dict[str, Any]) -> int:
    """Write one line and bring its sum along; its number.

    Args:
        connection: Of the command.
        line: All its columns, checked.

    Raises:
        EntryError: The pieces are not there.
    """
    done = connection.execute(st.added("ledger"), line)
    add_up(connection, line)
    return key_of(done)


def key_of(done: CursorResult[Any]) -> int:
    """The number the database gave a new row.

    Args:
        done: Its insertion.
    """
    given = done.inserted_primary_key
    assert given is not None, "a single row was inserted"
    return int(given[0])


def write_many(connection: Connection, lines: list[dict[str, Any]]) -> None:
    """Write many lines, in their order, and bring the sums along once.

    Args:
        connection: Of the command.
        lines: All columns of each, checked.

    Raises:
        EntryError: In the end, the pieces are not there.
    """
    connection.execute(st.added("ledger"), lines)
    sums: dict[tuple[Any, ...], dict[str, Any]] = {}
    for line in lines:
        hand = line["kind"] in ON_HAND
        key = (line["item"], line["lot"]) if hand else (line["item"], line["order"], line["needed"])
        sign = (ON_HAND if hand else RESERVED)[line["kind"]]
        total = sums.setdefault((hand, *key), {**line, "kind": "receive" if hand else "reserve", "count": 0})
        total["count"] += sign * line["count"]
    for total in sums.values():
        # An item that came and went is still one the shop knows; a reservation that did is none.
        if total["count"] or total["kind"] == "receive":
            add_up(connection, total)


def add_up(connection: Connection, line: dict[str, Any]) -> None:
    """Bring the sum along that a line belongs to.

    Args:
        connection: Of the command.
        line: The line.

    Raises:
        EntryError: The sum would fall below zero.
    """
    hand = line["kind"] in ON_HAND
    if hand:
        step = ON_HAND[line["kind"]] * line["count"]
        key = {"item": line["item"], "lot": line["lot"]}
    else:
        step = RESERVED[line["kind"]] * line["count"]
        key = {"item": line["item"], "order": line["order"] or "", "needed": line["needed"]}
    same = {f"is_{name}": value for name, value in key.items()}
    moved = connection.execute(st.HAND_MOVED if hand else st.HELD_MOVED, {**same, st.STEP: step})
    if moved.rowcount == 0:
        there = connection.execute(st.HAND_NOW if hand else st.HELD_NOW, same).scalar_one_or_none()
        if step < 0 or there is not None:
            _refuse(line, there or 0, -step)
        table, column = ("stock", "on_hand") if hand else ("reservations", "count")
        connection.execute(st.added(table), {**key, column: step})
    if step < 0 and not hand:
        connection.execute(st.HELD_GONE, same)


def _refuse(line: dict[str, Any], there: int, asked: int) -> None:
    if line["kind"] in RESERVED:
        raise EntryError(
            f"only {there} reserved for {line['order'] or 'nobody'} on {line['needed']}",
            value=str(asked),
            way_out="Look at the reservations of this order.",
            where=line["item"],
        )
    lot = f", lot {line['lot']}" if line["lot"] else ""
    raise EntryError(
        f"only {there} on hand{lot}",
        value=f"{line['kind']} {asked}",
        limit=str(there),
        way_out="Somebody may have just taken it. Count the rack; if there are more, write a count line first.",
        where=line["item"],
    )


def hold_to_what_will_be_there(connection: Connection, items: Iterable[str]) -> None:
    """Refuse when more of an item is reserved than is on hand and on its way.

    Args:
        connection: Of the command.
        items: Those that the command reserved or issued.

    Raises:
        EntryError: Too much is reserved of one; it is named.
    """
    for item in items:
        hand, held, coming = sums(connection, item)
        if held > hand + coming:
            raise EntryError(
                f"{held} would be reserved, and only {hand + coming} will be there",
                value=f"{hand} on hand, {coming} on the way",
                limit=str(hand + coming),
                way_out="Buy more first, or release a reservation.",
                where=item,
            )


def sums(connection: Connection, item: str) -> tuple[int, int, int]:
    """Pieces on hand, reserved and on the way.

    Args:
        connection: To the records.
        item: Which one.
    """
    row = connection.execute(st.SUMS, {"the_item": item}).one()
    return int(row[0]), int(row[1]), int(row[2])
