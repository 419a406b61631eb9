"""What cut plans and nests have in common in the records: released once, ticked and mended as new versions.

The row a plan is released with is never changed; its number is the plan's. Each version is a row of kind "cut 12" or
"nest 12": it holds the plan where that changed, else the number of the row that does, and what is ticked, done and
fetched. So the whole story stands there, and the newest row is the plan in hand.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final, Literal

from plowwright.desk.acting import Hand
from plowwright.desk.order_more import more_of
from plowwright.desk.plan_stock import CUT_BY, LAID_BY, SAW, TABLE, Taken, held_orders
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.orders import CANCELLED
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Sort = Literal["cut", "nest"]
KEYS: Final[Mapping[Sort, tuple[str, str]]] = {"cut": (CUT_BY, SAW), "nest": (LAID_BY, TABLE)}
"""Name under which an order keeps the plan's number, and the operation that ends with it."""
WORDS: Final[Mapping[Sort, str]] = {"cut": "cut plan", "nest": "nest"}
DRAFTS: Final = 20
"""How many of the last drafts are looked through [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """A released plan as it stands.

    Attributes:
        number: Of the plan.
        row: Number of the newest row [-].
        on: Day the plan was made.
        orders: Their numbers.
        plain: The plan as plain values.
        base: Number of the row it stands in [-].
        ticked: Tags of pieces cut well.
        done: Numbers of sticks or sheets that are done.
        fetched: Numbers of those taken off the rack.
        wants: What each stick or sheet not fetched yet is called in the ledger, by its number.
        laid_back: Numbers of those laid back uncut, because all that was on them was called off.
        called_off: Orders of the plan that were called off after it was released.
        released: When it was released.
        who: Who released it.
    """

    number: int
    row: int
    on: date
    orders: tuple[str, ...]
    plain: Mapping[str, Any]
    base: int
    ticked: frozenset[str]
    done: frozenset[int]
    fetched: frozenset[int]
    wants: Mapping[int, str]
    laid_back: frozenset[int]
    called_off: tuple[str, ...]
    released: datetime
    who: str


def asked_by(orders: Collection[str], seconds: float) -> dict[str, Any]:
    """What a plan is asked for by at the prompt.

    Args:
        orders: Numbers of the orders; none for all that wait.
        seconds: Time given [s].
    """
    return {"orders": sorted(order.strip().upper() for order in orders), "seconds": seconds}


def done_before(desk: Desk, hand: Hand, command: str, asked: Mapping[str, Any]) -> dict[str, Any] | None:
    """The answer of a command that was done under the same key, so that nothing is planned anew for it; else None.

    Args:
        desk: The shop.
        hand: Who, and by which key.
        command: Its name.
        asked: What it was asked for.

    Raises:
        EntryError: The key belongs to another command.
    """
    with desk.book.reading() as reads:
        if reads.event_of(hand.key) is None:
            return None
    return desk.book.run(command, lambda _: {}, who=hand.who, key=hand.key, asked=asked)


def version_of(reads: Reads, sort: Sort, number: int) -> Version:
    """A released plan as it stands.

    Args:
        reads: A steady view.
        sort: Cut plan or nest.
        number: Of the plan.

    Raises:
        NotFoundError: No such plan was released.
    """
    last = reads.last_plan(f"{sort} {number}")
    root = reads.look(r.Plan, number)
    if root is None or root.kind != sort or last is None:
        raise NotFoundError(f"no released {WORDS[sort]} has this number", value=str(number),
                            way_out="Look at its sheet again: the number stands at its head.")  # fmt: skip
    body = last.body
    base = body.get("base") or last.id
    held = last.body if base == last.id else reads.get(r.Plan, base).body
    orders = tuple(root.body["orders"])
    gone = {row.number for row in reads.find(r.Order, number=orders, state=CANCELLED)}
    return Version(
        number=number, row=last.id, on=date.fromisoformat(root.body["on"]), orders=orders,
        plain=held["plan"], base=base, ticked=frozenset(body["ticked"]), done=frozenset(body["done"]),
        fetched=frozenset(body["fetched"]), wants={int(n): item for n, item in body["wants"].items()},
        laid_back=frozenset(body.get("laid_back", ())), called_off=tuple(o for o in orders if o in gone),
        released=root.at, who=reads.get(r.Event, root.event).who,
    )  # fmt: skip


def ticked_at(reads: Reads, sort: str, number: int, row: int) -> frozenset[str]:
    """What was ticked in one version of a plan.

    Args:
        reads: A steady view.
        sort: Cut plan or nest.
        number: Of the plan.
        row: Number of the version's row.

    Raises:
        NotFoundError: It is of no such plan.
    """
    found = reads.look(r.Plan, row)
    if found is None or found.kind != f"{sort} {number}":
        raise NotFoundError("this is no version of that plan", value=str(row), way_out="Open the plan's page again.")
    return frozenset(found.body["ticked"])


def keep_version(
    c: Command, sort: Sort, number: int, *, plain: Mapping[str, Any] | None, base: int, ticked: Collection[str],
    done: Collection[int], fetched: Collection[int], wants: Mapping[int, str], asked: Mapping[str, Any],
    laid_back: Collection[int] = (),
) -> r.Plan:  # fmt: skip
    """Write a version.

    Args:
        c: The command.
        sort: Cut plan or nest.
        number: Of the plan.
        plain: The plan where it changed, else None.
        base: Number of the row it stands in otherwise [-].
        ticked: Tags of pieces cut well.
        done: Numbers of sticks or sheets done.
        fetched: Numbers of those taken off the rack.
        wants: Ledger's name of each not fetched yet, by its number.
        asked: What was done.
        laid_back: Numbers of those laid back uncut.
    """
    body: dict[str, Any] = {
        "ticked": sorted(ticked), "done": sorted(done), "fetched": sorted(fetched),
        "wants": {str(n): item for n, item in sorted(wants.items())},
        **({"laid_back": sorted(laid_back)} if laid_back else {}),
        **({"plan": dict(plain)} if plain is not None else {"base": base}),
    }  # fmt: skip
    return c.add(r.Plan, kind=f"{sort} {number}", state="released", at=c.at, asked=dict(asked), body=body)


def keep_draft(c: Command, sort: Sort, *, asked: Mapping[str, Any], plain: Mapping[str, Any]) -> r.Plan:
    """Keep a plan that was printed, so that its address shows the same one later.

    Args:
        c: The command.
        sort: Cut plan or nest.
        asked: What its address asks for.
        plain: The plan.
    """
    return c.add(r.Plan, kind=sort, state="draft", at=c.at, asked=dict(asked), body={"plan": dict(plain)})


def draft_of(reads: Reads, sort: Sort, asked: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """The plan that was printed for an address, or None where none was.

    Args:
        reads: A steady view.
        sort: Cut plan or nest.
        asked: What the address asks for.
    """
    for one in reads.find(r.Plan, newest=True, limit=DRAFTS, kind=sort, state="draft"):
        if one.asked == asked:
            return one.body["plan"]
    return None


def open_numbers(reads: Reads, sort: Sort) -> tuple[int, ...]:
    """Released plans that some order still waits for, or that somebody has to close, the oldest first.

    Args:
        reads: A steady view.
        sort: Cut plan or nest.
    """
    key, operation = KEYS[sort]
    found = {number for number in held_orders(reads, key, operation).values() if number}
    # Called off while its steel lay at the saw: the plan stays open until that is laid back.
    found |= {int(row.more[key]) for row in reads.find(r.Order, state=CANCELLED) if key in row.more}
    return tuple(sorted(found))


def taken_of(reads: Reads) -> Taken:
    """What released plans hold that planners must leave alone.

    Args:
        reads: A steady view.
    """
    spoken: dict[str, int] = {}
    for sort in ("cut", "nest"):
        for item, count in spoken_of(reads, sort).items():
            spoken[item] = spoken.get(item, 0) + count
    return Taken(saw=held_orders(reads, CUT_BY, SAW), table=held_orders(reads, LAID_BY, TABLE), spoken=spoken)


def spoken_of(reads: Reads, sort: Sort, *, before: int | None = None) -> dict[str, int]:
    """Whole sticks or sheets that released plans have still to fetch, by item [-].

    Args:
        reads: A steady view.
        sort: Cut plans or nests.
        before: Only plans older than this one.
    """
    found: dict[str, int] = {}
    for number in open_numbers(reads, sort):
        if before is None or number < before:
            for item in version_of(reads, sort, number).wants.values():
                found[item] = found.get(item, 0) + 1
    return found


def hold_orders(c: Command, sort: Sort, number: int, orders: Collection[str]) -> None:
    """Give a plan its orders; each goes into one plan only.

    Args:
        c: The command.
        sort: Cut plan or nest.
        number: Of the plan.
        orders: Their numbers.

    Raises:
        EntryError: One is not released to the floor, on hold, cut already or in another plan; all are named.
    """
    rows = [c.get(r.Order, one) for one in orders]
    off = [why for row in rows if (why := _not_cut(row, sort))]
    if off:
        raise _refused(off, orders)
    for row in rows:
        c.change(r.Order, row.number, more={**row.more, KEYS[sort][0]: number})


def _not_cut(row: r.Order, sort: Sort) -> str:
    """Why an order may not be cut, or ""."""
    key, operation = KEYS[sort]
    more = more_of(row.more)
    if row.hold:
        return f"{row.number} is on hold"
    if row.state != "released":
        return f"{row.number} is {'a quote' if row.state == 'quote' else 'at ' + row.state}"
    if operation in more.work:
        return f"{row.number} is cut already"
    return f"{row.number} is in {WORDS[sort]} {more.rest[key]}" if key in more.rest else ""


def ready(desk: Desk, sort: Sort, orders: Collection[str]) -> tuple[str, ...]:
    """Orders a plan can be released for, known before it is made.

    Args:
        desk: The shop.
        sort: Cut plan or nest.
        orders: Their numbers, each of which is then to be ready; none for all that are.

    Raises:
        NotFoundError: A number is not open, or builds no blade.
        PlanInputError: One is cut already, or in a released plan.
        EntryError: One is not released to the floor or on hold, or nothing is ready; all are named.
    """
    chosen = [order.number for order in desk.cutting.chosen(orders, table=sort == "nest")]
    with desk.book.reading() as reads:
        off = {one: why for one in chosen if (why := _not_cut(reads.get(r.Order, one), sort))}
    found = tuple(one for one in chosen if one not in off)
    if not found or (orders and off):
        raise _refused(off.values(), off) if off else EntryError(
            "no order waits to be cut", limit="released to the floor, and in no other plan",
            way_out="Release one on its page, or with plowwright release.")  # fmt: skip
    return found


def _refused(off: Collection[str], orders: Collection[str]) -> EntryError:
    return EntryError(
        f"not every order may be cut: {'; '.join(off)}", value=", ".join(orders),
        limit="released to the floor, and in no other plan",
        way_out="Release them on their pages (deposit, questions, changes), or plan without them.",
    )  # fmt: skip


def end_orders(c: Command, sort: Sort, orders: Collection[str], *, who: str) -> list[str]:
    """Mark orders whose pieces are all cut; which were marked now.

    Args:
        c: The command.
        sort: Cut plan or nest.
        orders: Their numbers.
        who: Who cut the last piece.
    """
    key, operation = KEYS[sort]
    marked: list[str] = []
    for one in orders:
        row = c.get(r.Order, one)
        more = more_of({name: value for name, value in row.more.items() if name != key})
        if operation not in more.work:
            c.change(r.Order, one, more=more.done(operation, ended=c.at, by=who).as_dict())
            marked.append(one)
    return marked


def open_again(c: Command, sort: Sort, number: int, orders: Collection[str]) -> None:
    """Take back that orders are cut, where a piece of theirs is wanted again.

    Args:
        c: The command.
        sort: Cut plan or nest.
        number: Of the plan.
        orders: Their numbers.
    """
    key, operation = KEYS[sort]
    for one in orders:
        row = c.get(r.Order, one)
        work: dict[str, Any] = dict(row.more.get("work", {}))
        if work.pop(operation, None) is not None:
            c.change(r.Order, one, more={**row.more, "work": work, key: number})

