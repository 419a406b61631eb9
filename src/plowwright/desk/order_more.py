"""What is kept of an order beside its columns, read and written in one place: work, questions, waits, scale, stamp.

The records keep it as open content, so that a new kind of fact needs no new schema. Every name that is used stands
here; one that is not known is carried along untouched.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, Final

from plowwright.shop.orders import Scale

CHAIN: Final = ("saw", "plate_and_drill", "fit_and_weld", "clean", "paint", "assemble", "test_and_weigh")
"""Operations of a blade in their order, as hours.toml names them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """An operation that is done.

    Attributes:
        ended: When.
        by: Who, "" where nobody noted it.
    """

    ended: datetime
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderWay:
    """An operation somebody is at.

    Attributes:
        operation: As hours.toml names it.
        by: Who.
        begun: Since when.
        left: Working time left as somebody said, None where nobody did [s].
    """

    operation: str
    by: str
    begun: datetime
    left: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Waits:
    """Something from outside that an operation waits for.

    Attributes:
        operation: As hours.toml names it.
        what: What it is, in words.
        on: When it is due.
    """

    operation: str
    what: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """All of it.

    Attributes:
        work: Operations done.
        under_way: Operations somebody is at.
        waits: What is waited for from outside.
        asks: What nobody has answered yet.
        problems: What the floor said is wrong and nobody has settled, newest last.
        scale: What the scale said.
        matched: Whether order, stamp and label said the same; None while nobody looked.
        serial: Serial number, of the blade made or of the old one it is about, or "".
        spares: Spares sold, for an order of spares.
        terms: Who may take the goods before the balance, in the owner's words, or "".
        test: Test card: names and values, each with its unit.
        taken: Whether what it takes off the shelf was taken before the records began.
        rest: Whatever else is kept.
    """

    work: Mapping[str, Done] = field(default_factory=dict[str, Done])
    under_way: tuple[UnderWay, ...] = ()
    waits: tuple[Waits, ...] = ()
    asks: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    scale: Scale = "not weighed"
    matched: bool | None = None
    serial: str = ""
    spares: tuple[str, ...] = ()
    terms: str = ""
    test: Mapping[str, str] = field(default_factory=dict[str, str])
    taken: bool = False
    rest: Mapping[str, Any] = field(default_factory=dict[str, Any])

    @property
    def left(self) -> tuple[str, ...]:
        """Operations of a blade that are not done yet, in their order."""
        return tuple(name for name in CHAIN if name not in self.work)

    @property
    def painted(self) -> datetime | None:
        """When the paint was done, or None."""
        return self.work["paint"].ended if "paint" in self.work else None

    def done(self, operation: str, *, ended: datetime, by: str) -> More:
        """The same with one operation done; nobody is at it any more.

        Args:
            operation: As hours.toml names it.
            ended: When.
            by: Who.
        """
        return replace(
            self, work={**self.work, operation: Done(ended=ended, by=by)},
            under_way=tuple(one for one in self.under_way if one.operation != operation),
        )  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """As the records keep it; what says nothing is left out."""
        told: dict[str, Any] = {
            "work": {name: {"ended": one.ended.isoformat(), "by": one.by} for name, one in self.work.items()},
            "under_way": [
                {"operation": one.operation, "by": one.by, "begun": one.begun.isoformat(),
                 **({} if one.left is None else {"left_s": one.left})}
                for one in self.under_way
            ],
            "waits": [{"operation": w.operation, "what": w.what, "on": w.on.isoformat()} for w in self.waits],
            "asks": list(self.asks),
            "problems": list(self.problems),
            "scale": "" if self.scale == "not weighed" else self.scale,
            "serial": self.serial,
            "spares": list(self.spares),
            "terms": self.terms,
            "test": dict(self.test),
            "taken": self.taken,
        }  # fmt: skip
        kept = {name: value for name, value in told.items() if value}
        return {**self.rest, **kept, **({} if self.matched is None else {"matched": self.matched})}


_NAMES: Final = ("work", "under_way", "waits", "asks", "problems", "scale", "matched", "serial", "spares", "terms",
                 "test", "taken")  # fmt: skip


def more_of(entry: Mapping[str, Any]) -> More:
    """What the records keep of an order, read.

    Args:
        entry: `Order.more` of the records.
    """
    return More(
        work={
            name: Done(ended=datetime.fromisoformat(one["ended"]), by=one.get("by", ""))
            for name, one in entry.get("work", {}).items()
        },
        under_way=tuple(
            UnderWay(operation=one["operation"], by=one["by"], begun=datetime.fromisoformat(one["begun"]),
                     left=one.get("left_s"))
            for one in entry.get("under_way", ())
        ),
        waits=tuple(
            Waits(operation=one["operation"], what=one["what"], on=_day(one["on"])) for one in entry.get("waits", ())
        ),
        asks=tuple(entry.get("asks", ())),
        problems=tuple(entry.get("problems", ())),
        scale=entry.get("scale") or "not weighed",
        matched=entry.get("matched"),
        serial=entry.get("serial", ""),
        spares=tuple(entry.get("spares", ())),
        terms=entry.get("terms", ""),
        test=dict(entry.get("test", {})),
        taken=bool(entry.get("taken", False)),
        rest={name: value for name, value in entry.items() if name not in _NAMES},
    )  # fmt: skip


_WORDS: Final = (
    ("test_and_weigh", "tested"),
    ("assemble", "assembled"),
    ("paint", "painted"),
    ("clean", "cleaned"),
    ("fit_and_weld", "welded"),
)


def state_in_words(state: str, kind: str, hold: str, more: More) -> str:
    """How far an order is, as the shop says it: the word on the wall.

    Args:
        state: State of the records.
        kind: Blade, refit or spares.
        hold: Why it waits, or "".
        more: What else is kept of it.
    """
    if hold:
        return "on hold"
    if state in ("enquiry", "quote"):
        return "quote only"
    if state in ("done", "weighed", "loaded", "cancelled"):
        return state
    if kind == "spares":
        return "to pack"
    if kind == "refit" and more.waits:
        return "waiting for the blade"
    if any(one.operation == "fit_and_weld" for one in more.under_way):
        return "welding"
    for operation, word in _WORDS:
        if operation in more.work:
            return word
    return "cut" if "saw" in more.work and "plate_and_drill" in more.work else "not started"


def _day(text: str) -> date:
    return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
