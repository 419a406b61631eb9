"""The shop's orders as its file has them (orders.toml)."""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from plowwright.blade.spec import Spec, from_dict
from plowwright.desk.order_more import Waits
from plowwright.errors import EntryError, NotFoundError


@dataclass(frozen=True, kw_only=True)
class Order:
    """One order on the wall.

    Attributes:
        number: Number with its check letter.
        customer: Who it is for.
        carrier: The customer's machine, as the shop calls it.
        kind: "blade", "refit" or "spares".
        spec: The blade to build; None for a refit or spares.
        due: Promised day, with the hour where one was given.
        state: How far it is, in the shop's words.
        note: What else must be known.
        serial: Serial number of an existing blade, or "".
        spares: Spares sold, for an order of spares.
        waits: What it waits for from outside.
        asks: What nobody has answered yet.
        rules: Fingerprint of the rulebook it was frozen with, "" for the one in force.
    """

    number: str
    customer: str
    carrier: str
    kind: str
    spec: Spec | None
    due: date | datetime
    state: str
    note: str
    serial: str = ""
    spares: tuple[str, ...] = ()
    waits: tuple[Waits, ...] = ()
    asks: tuple[str, ...] = ()
    rules: str = ""


@dataclass(frozen=True, kw_only=True)
class Wall:
    """All open orders and the shop's clock.

    Attributes:
        now: The clock the file was written for.
        orders: The orders, in the file's order.
    """

    now: datetime
    orders: tuple[Order, ...]

    def order(self, number: str) -> Order:
        """The order with this number.

        Args:
            number: Number with its check letter; small letters will do.

        Raises:
            NotFoundError: There is none; near numbers are named, because swapped figures are the usual fault.
        """
        wanted = number.strip().upper()
        for order in self.orders:
            if order.number == wanted:
                return order
        numbers = [o.number for o in self.orders]
        swapped = [n for n in numbers if sorted(n) == sorted(wanted)]
        near = swapped or difflib.get_close_matches(wanted, numbers, n=3, cutoff=0.5)
        raise NotFoundError(
            "no open order has this number",
            value=number,
            way_out=f"Near it: {', '.join(near)}." if near else f"Open orders: {', '.join(numbers)}.",
        )


def load(path: Path) -> Wall:
    """Read the orders' file.

    Args:
        path: orders.toml.

    Raises:
        NotFoundError: No such file.
        EntryError: Not TOML, or an order that cannot be read; names the file and the order.
    """
    if not path.is_file():
        raise NotFoundError("no orders here", value=path.name, way_out="Keep the open orders in orders.toml.")
    try:
        entry = tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        raise EntryError("this is not TOML", where=path.name, value=str(fault)) from fault
    now = entry.get("today")
    if not isinstance(now, datetime):
        raise EntryError(
            "the clock is missing", where=f"{path.name}, today", way_out="Write today = 2026-11-11T08:00:00."
        )
    return Wall(now=now, orders=tuple(_order(one, path.name) for one in entry.get("orders", ())))


def _order(entry: dict[str, Any], file: str) -> Order:
    number = str(entry.get("number", ""))
    where = f"{file}, order {number or '?'}"
    missing = [name for name in ("number", "customer", "due", "state") if name not in entry]
    if missing:
        raise EntryError(f"not complete: {', '.join(missing)}", where=where, way_out="Add a line for each.")
    due = entry["due"]
    if not isinstance(due, date):
        raise EntryError("not a day", where=f"{where}, due", value=str(due), way_out="Write due = 2026-11-20.")
    spec = entry.get("spec")
    extra = {"number": number, "customer": str(entry["customer"])}
    return Order(
        number=number,
        customer=str(entry["customer"]),
        carrier=str(entry.get("carrier", "")),
        kind=str(entry.get("kind", "blade")),
        spec=from_dict({**spec, **extra}, where=where) if spec else None,
        due=due,
        state=str(entry["state"]),
        note=str(entry.get("note", "")),
        serial=str(entry.get("serial", "")),
        spares=tuple(str(s) for s in entry.get("spares", ())),
        waits=tuple(_waits(one, f"{where}, waits") for one in entry.get("waits", ())),
        asks=tuple(str(a) for a in entry.get("asks", ())),
    )


def _waits(entry: dict[str, Any], where: str) -> Waits:
    missing = [name for name in ("operation", "what", "on") if name not in entry]
    if missing or not isinstance(entry["on"], date):
        raise EntryError("not complete: what it waits for", where=where, value=str(entry), way_out="Write "
                         '{ operation = "assemble", what = "its edge", on = 2026-11-17 }.')  # fmt: skip
    return Waits(operation=str(entry["operation"]), what=str(entry["what"]), on=entry["on"])
