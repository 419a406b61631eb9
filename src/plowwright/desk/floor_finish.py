"""What bars work on an order besides its chain, what comes after the last operation, and the test card's times."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from plowwright import units
from plowwright.blade.carried import moved
from plowwright.blade.moving.card import PACK_NAME, CardRow, card_of
from plowwright.blade.moving.geometry import LEFT
from plowwright.desk.floor_chain import Shut, clock, in_words, left, operations
from plowwright.desk.order_file import standing_of
from plowwright.desk.order_more import More, more_of
from plowwright.desk.shop_air import cure_now
from plowwright.errors import EntryError, PlowwrightError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.orders import advance, next_step
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

TEST: Final = "test_and_weigh"
TIMES: Final[Mapping[str, tuple[str, str]]] = {
    "left": ("time", "left end forward"),
    "right": ("time", "right end forward"),
    "oil": ("temperature", "oil of the pack"),
}
"""What the test card asks for: kind and words of each."""
_LONGEST: Final = 120.0
"""A blade that takes longer from stop to stop does not swing, *common practice* [s]."""


def barred(order: r.Order, more: More, operation: str) -> Shut | None:
    """Why nothing is done at an order, whatever the operation; None where it stands open.

    Args:
        order: Its row.
        more: What is kept beside the row's columns.
        operation: The one that was asked for.
    """
    if operation in more.work:
        return None  # that it is done already says more
    if order.hold:
        return Shut(why=f"{order.number} is on hold", value=order.hold, limit="not on hold",
                    way_out="Nothing is done at it before the hold is lifted on its order page.")  # fmt: skip
    if order.state in ("enquiry", "quote", "order"):
        asks = f"; still to be asked: {'; '.join(more.asks)}" if more.asks else ""
        return Shut(why=f"{order.number} is not released to the floor", value=f"{order.state}{asks}",
                    limit="released", way_out="The owner releases it on its order page.")  # fmt: skip
    if order.state != "released":
        return Shut(why=f"{order.number} is {order.state}: its work is done", value=order.state, limit="released",
                    way_out="If something is still to be done, step it back on its order page.")  # fmt: skip
    return None


def last(kind: str, operation: str) -> bool:
    """Whether an operation is the last of its order.

    Args:
        kind: Blade, refit or spares.
        operation: As hours.toml names it.
    """
    return operations(kind)[-1] == operation


def finished(c: Command, number: str) -> list[str]:
    """Take the step to done where its gates are open; what is said of it.

    Args:
        c: The command.
        number: Order.
    """
    order = c.get(r.Order, number)
    if left(order.kind, more_of(order.more)):
        return []
    standing = standing_of(c, number)
    step = next_step(standing, c.at.date())
    if step is None or not step.open:
        missing = "; ".join(gate.sentence for gate in step.missing) if step else ""
        return [f"All its work is done, but {missing}."] if missing else []
    c.change(r.Order, number, state=advance(standing, "done", c.at.date()))
    after = "It is packed." if order.kind == "spares" else "Next it goes on the scale."
    return [f"{number} is done. {after}"]


def cured_at(reads: Reads, rulebook: Rulebook, painted: datetime) -> tuple[datetime, datetime]:
    """From when paint may be handled, and from when strapped.

    Args:
        reads: A steady view, or a command; for the temperature of the shop.
        rulebook: For cure.
        painted: When the paint was done.
    """
    cure = cure_now(reads, rulebook)
    return painted + timedelta(seconds=cure.handle), painted + timedelta(seconds=cure.strap)


# The test card ----------------------------------------------------------------------------------------------------


def test_of(operation: str, told: Mapping[str, str]) -> dict[str, str]:
    """The test card's times and temperature, read and written again with their units; nothing for other operations.

    Args:
        operation: As hours.toml names it.
        told: As typed, by name.

    Raises:
        EntryError: The blade is not timed both ways, or a value cannot be one.
    """
    if operation != TEST:
        return {}
    lacks = [words for name, (_, words) in TIMES.items() if not told.get(name, "").strip()]
    if lacks:
        raise EntryError("the test card is not filled in", value=f"missing: {', '.join(lacks)}", where=in_words(TEST),
                         limit="seconds each way and the oil's temperature",
                         way_out="Stop to stop three times each way; write the middle one down, as 5.6 s.")  # fmt: skip
    found: dict[str, str] = {}
    for name, (kind, words) in TIMES.items():
        value = units.si(told[name], kind, words)
        if kind == "time" and not 0.0 < value <= _LONGEST:
            raise EntryError("no such swing", value=told[name], where=words, limit=f"above 0 s, up to {_LONGEST:g} s",
                             way_out="Time it stop to stop; if it stands still, say problem.")  # fmt: skip
        if kind == "temperature" and not -40.0 <= value <= 120.0:
            raise EntryError("no oil is that warm", value=told[name], where=words, limit="-40 to 120 degC",
                             way_out="Write it as 70 F.")  # fmt: skip
        found[name] = f"{value:g} s" if kind == "time" else units.say(value, kind)
    return found


def card_rows(desk: Desk, number: str) -> tuple[CardRow, ...]:
    """What the stopwatch must show on the shop's test pack; nothing where it cannot be told.

    Args:
        desk: The shop.
        number: Order.
    """
    try:
        order = desk.order(number)
        if order.spec is None:
            return ()
        build = desk.build_of(order)
        swing = moved(build, None).swinging
        return tuple(row for row in card_of(build, swing).rows if row.on == PACK_NAME) if swing else ()
    except PlowwrightError:
        return ()  # a blade whose swing cannot be worked out is still timed


def remarks(desk: Desk, number: str, told: Mapping[str, str]) -> list[str]:
    """Times that the card does not pass, each with what it passes.

    Args:
        desk: The shop.
        number: Order.
        told: As typed.
    """
    found: list[str] = []
    for row in card_rows(desk, number) if told else ():
        name = "left" if row.says == LEFT else "right"
        value = units.si(told[name], "time", name) if told.get(name, "").strip() else None
        if value is not None and not row.low <= value <= row.high:
            found.append(f"Look again: {row.says} took {value:g} s, the card passes {row.low:.1f} to {row.high:.1f} s "
                         f"with oil at {units.say(row.oil, 'temperature')}.")  # fmt: skip
    return found


def under_way_said(more: More) -> str:
    """Who is at an order, in words; "" where nobody is.

    Args:
        more: What is kept of it.
    """
    return "; ".join(f"{one.by} at {in_words(one.operation)} since {clock(one.begun)}" for one in more.under_way)
