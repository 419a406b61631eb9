"""What may be begun or called done on the floor: the chain of operations, cure, arrivals, hours as they are typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from plowwright import units
from plowwright.desk.order_more import CHAIN, More, Waits
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop import crew_jobs
from plowwright.shop.crew_answer import said
from plowwright.shop.crew_jobs import in_words

CHAINS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "blade": dict(crew_jobs.CHAIN),
    "refit": {
        "take_in": (),
        "saw": (),
        "plate_and_drill": (),
        "fit_and_weld": ("take_in",),
        "clean": ("take_in",),
        "paint": ("take_in",),
        "assemble": ("take_in",),
        "test_and_weigh": ("take_in",),
    },
    "spares": {"pack": ()},
}
"""Operations of an order by its kind, and what comes before each.

What a refit needs differs from one to the next, so only what goes for all of them is asked: nothing is done to an old
blade that nobody looked over, *common practice*.
"""
MUST: Final[Mapping[str, tuple[str, ...]]] = {"refit": ("take_in", "test_and_weigh")}
"""What every order of a kind needs, where that is not its whole chain."""
_PART: Final = re.compile(r"(?P<amount>[\d.,/ ]*\d)\s*(?P<unit>[a-z]+)\.?", re.IGNORECASE)
_LONGEST: Final = 24 * 60
"""More minutes than anybody works on one operation in one sitting [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shut:
    """Why an operation may not be begun yet.

    Attributes:
        why: In words.
        value: What was found.
        limit: What is asked for.
        way_out: What to do instead.
        until: When it may, where that is known.
    """

    why: str
    value: str = ""
    limit: str = ""
    way_out: str = ""
    until: datetime | None = None

    def error(self, where: str) -> RefusedError:
        """The same as a refusal.

        Args:
            where: Order and operation.
        """
        return RefusedError(self.why, value=self.value, limit=self.limit, way_out=self.way_out, where=where)


def operations(kind: str) -> tuple[str, ...]:
    """The operations of an order, in their order.

    Args:
        kind: Blade, refit or spares.
    """
    return tuple(CHAINS[kind])


def left(kind: str, more: More) -> tuple[str, ...]:
    """What is still to be done.

    Args:
        kind: Blade, refit or spares.
        more: What is kept of the order.
    """
    begun = {one.operation for one in more.under_way}
    must = MUST.get(kind, operations(kind))
    return tuple(name for name in operations(kind) if name not in more.work and (name in must or name in begun))


def named(text: str, kind: str = "blade") -> str:
    """An operation as somebody typed it: "weld" will do for fit and weld.

    Args:
        text: Its name, in the rulebook's or the wall's spelling, or a word of it.
        kind: Of the order.

    Raises:
        NotFoundError: None is called that, or more than one.
    """
    wanted = text.strip().lower().replace("_", " ")
    names = operations(kind)
    exact = [name for name in names if in_words(name) == wanted]
    found = exact or [name for name in names if wanted and wanted in in_words(name).split()]
    if len(found) != 1:
        raise NotFoundError("no operation is called that", value=text, limit=", ".join(map(in_words, names)),
                            way_out="Name one of these.")  # fmt: skip
    return found[0]


def shut(kind: str, operation: str, more: More, *, at: datetime, handle: float) -> Shut | None:
    """Why an operation may not be begun at a moment, or None where it may.

    Args:
        kind: Blade, refit or spares.
        operation: As hours.toml names it.
        more: What is kept of the order.
        at: The moment.
        handle: How long paint cures until it may be handled [s].
    """
    if operation in more.work:
        one = more.work[operation]
        return Shut(
            why=f"{in_words(operation)} is done already", value=f"{one.by or 'nobody noted who'}, {clock(one.ended)}",
            way_out="If that is wrong, put it right; nothing was written now.",
        )  # fmt: skip
    open_before = [name for name in CHAINS[kind][operation] if name not in more.work]
    if open_before:
        return Shut(
            why=f"{in_words(operation)} comes after {' and '.join(map(in_words, open_before))}",
            value="not done", limit=f"{', '.join(map(in_words, open_before))} done first",
            way_out=f"If it is done, say so first: {in_words(open_before[0])}.",
        )  # fmt: skip
    last = max((more.work[name] for name in CHAINS[kind][operation]), key=lambda one: one.ended, default=None)
    if last is not None and at < last.ended:
        return Shut(
            why=f"{in_words(operation)} comes after what was done at {clock(last.ended)}", value=clock(at),
            limit=f"not before {clock(last.ended)}", way_out="Look at the hour again, or put the earlier one right.",
        )  # fmt: skip
    return _curing(operation, more, at=at, handle=handle) or _waiting(operation, more, at=at)


def _curing(operation: str, more: More, *, at: datetime, handle: float) -> Shut | None:
    if operation != "assemble" or more.painted is None:
        return None
    until = more.painted + timedelta(seconds=handle)
    if at >= until:
        return None
    return Shut(
        why=f"the paint cures until {clock(until)}; before that it is not handled",
        value=f"painted {clock(more.painted)}", limit=f"{units.say(handle, 'time')} to handle",
        way_out="Leave it on its stand. If it was painted earlier, put the paint right with its hour.", until=until,
    )  # fmt: skip


def _waiting(operation: str, more: More, *, at: datetime) -> Shut | None:
    # Due today is looked for on the rack before anybody is sent away.
    waits = [w for w in waits_of(operation, more) if day_of(w.on) > at.date()]
    if not waits:
        return None
    last = max(waits, key=lambda w: day_of(w.on))
    return Shut(
        why=f"{in_words(operation)} waits for {last.what}", value=f"due {clock(last.on)}", limit="it is here",
        way_out="If it is here, say so on its sheet; if it comes later, tell the owner.",
        until=datetime.combine(day_of(last.on), time()),
    )  # fmt: skip


def waits_of(operation: str, more: More) -> list[Waits]:
    """What an operation waits for; an old blade that is awaited is waited for by taking it in.

    Args:
        operation: As hours.toml names it.
        more: What is kept of the order.
    """
    known = {name for chain in CHAINS.values() for name in chain}
    return [w for w in more.waits if w.operation == operation or (operation == "take_in" and w.operation not in known)]


def follows(kind: str, operation: str, more: More) -> tuple[str, ...]:
    """Operations that are done, and could not have been without this one.

    Args:
        kind: Blade, refit or spares.
        operation: As hours.toml names it.
        more: What is kept of the order.
    """
    return tuple(name for name, before in CHAINS[kind].items() if operation in before and name in more.work)


def place(operation: str) -> int:
    """Where an operation stands in the chain, for putting a list in order.

    Args:
        operation: As hours.toml names it.
    """
    return CHAIN.index(operation) if operation in CHAIN else len(CHAIN)


# Hours ------------------------------------------------------------------------------------------------------------


def minutes_of(text: str, where: str = "hours") -> int:
    """Working time as somebody typed it, in whole minutes.

    >>> minutes_of("3 h 20 min")
    200

    Args:
        text: As "3 h 20 min", "2.5 h" or "45 min".
        where: The field.

    Raises:
        EntryError: No unit, nothing, or more than a day.
    """
    parts = [f"{one['amount'].strip()} {one['unit']}" for one in _PART.finditer(text)]
    if not parts or re.sub(r"[\s.]", "", _PART.sub("", text).replace("and", "")):
        parts = [text]
    seconds = sum(units.si(part, "time", where) for part in parts)
    minutes = round(seconds / 60)
    if not 0 < minutes <= _LONGEST:
        raise EntryError("not a time worked", value=text, limit="above 0 min, up to 24 h", where=where,
                         way_out="Write it as 3 h 20 min; several days are said day by day.")  # fmt: skip
    return minutes


def said_minutes(minutes: int) -> str:
    """Working time as it is said.

    >>> said_minutes(200)
    '3 h 20 min'

    Args:
        minutes: So many; a minus is kept [-].
    """
    hours, rest = divmod(abs(minutes), 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours)
    return ("-" if minutes < 0 else "") + " ".join(parts)


def moment_of(text: str, now: datetime) -> datetime:
    """When something was done, as somebody typed it; nothing means now.

    Args:
        text: "" or as "2026-11-10T15:00", or "15:00" for today.
        now: The shop's clock.

    Raises:
        EntryError: Not a moment, or one that is still to come.
    """
    if not text.strip():
        return now
    try:
        told = text.strip()
        moment = (
            datetime.combine(now.date(), time.fromisoformat(told)) if len(told) <= 5 else datetime.fromisoformat(told)
        )
    except ValueError as fault:
        raise EntryError("not a day and hour", value=text, where="when",
                         way_out="Write 15:00 for today, or 2026-11-10 15:00.") from fault  # fmt: skip
    if moment > now:
        raise EntryError("that hour is still to come", value=clock(moment), limit=f"until now, {clock(now)}",
                         where="when", way_out="Say it when it is done.")  # fmt: skip
    return moment


def clock(moment: date | datetime) -> str:
    """A moment, or a day without an hour, as it is said in the shop.

    Args:
        moment: Which.
    """
    if isinstance(moment, datetime):
        return said(moment) if moment.time() != time() else f"{said(moment)} 00:00"
    return said(datetime.combine(moment, time()))


def day_of(moment: date | datetime) -> date:
    """The day of a moment.

    Args:
        moment: A day, with or without an hour.
    """
    return moment.date() if isinstance(moment, datetime) else moment
