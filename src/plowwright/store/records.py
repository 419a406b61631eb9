"""What the store hands out: one frozen record for each row, with the names of its columns.

`event` is always the number of the event that wrote the row. Sums of money are whole cents, counts whole pieces.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date, datetime
from functools import cache
from typing import Any, Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One command that was done: who, when, what was asked, what changed, what was answered.

    `digest` is made of the event and of the digest before it, so that nothing can be taken out unseen.
    """

    number: int
    at: datetime
    who: str
    command: str
    key: str
    asked: Any
    changed: list[dict[str, Any]]
    answer: Any
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRulebook:
    """A rulebook as it stood: `files` holds the text of each file by its name."""

    fingerprint: str
    day: date
    files: dict[str, str]
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBuild:
    """A blade as it was worked out: spec, rulebook (day and fingerprint) and the facts it gave, frozen."""

    id: int
    fingerprint: str
    spec: dict[str, Any]
    rulebook_day: date
    rulebook: str
    facts: dict[str, Any]
    digest: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Whoever asks, orders or owns."""

    id: int
    name: str
    phone: str
    address: str
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierFacts:
    """A machine of a customer: `facts` is a list, each with what it is, its source and its day."""

    id: int
    customer: int | None
    name: str
    kind: str
    facts: list[dict[str, Any]]
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Enquiry:
    """What somebody told us, and how far we are with it."""

    id: int
    day: date
    customer: int | None
    carrier: int | None
    told: dict[str, Any]
    state: str
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """A quote: frozen, with its lines, its sum in cents and the day until which it is valid."""

    id: int
    enquiry: int | None
    customer: int | None
    build: int | None
    lines: list[dict[str, Any]]
    cents: int
    day: date
    valid_until: date
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order by its number with the check letter; `hold` says why it waits, `more` whatever else is kept of it.

    A promise at 00:00 is one for the day, without an hour.
    """

    number: str
    kind: str
    state: str
    customer: int | None
    carrier: int | None
    quote: int | None
    build: int | None
    cents: int
    deposit_cents: int
    promise: datetime | None
    wished: datetime | None
    hold: str
    copied_from: str
    note: str
    more: dict[str, Any]
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change to an order as a visible note, with its effect on price (cents) and promise.

    `settles` names the note that this one is the customer's yes to.
    """

    id: int
    order: str
    day: date
    note: str
    cents: int
    promise_was: datetime | None
    promise: datetime | None
    build: int | None
    event: int
    settles: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """Money in or out: deposit, balance, refund; a mistake is reversed by a line of the negative sum."""

    id: int
    order: str
    kind: str
    cents: int
    day: date
    note: str
    reverses: int | None
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the stock ledger; `facts` holds what was measured at receiving, `needed` the day of a reservation."""

    id: int
    kind: str
    item: str
    lot: str
    count: int
    day: date
    needed: date | None
    order: str | None
    reason: str
    reverses: int | None
    facts: dict[str, Any]
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OnHand:
    """Pieces of one lot on hand: the sum of its ledger lines."""

    item: str
    lot: str
    on_hand: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reservation:
    """Pieces spoken for by an order ("" for none) on a day: the sum of its ledger lines."""

    item: str
    order: str
    needed: date
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Pieces on their way; `state` is expected, arrived or cancelled."""

    id: int
    item: str
    count: int
    due: date
    state: str
    supplier: str
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Minutes really worked on an operation of an order; a mistake is reversed by negative minutes."""

    id: int
    order: str
    operation: str
    person: str
    day: date
    minutes: int
    note: str
    reverses: int | None
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Blade:
    """A blade by its serial number: owner and carrier of today, build it left the shop as, and its search marks."""

    serial: str
    order: str | None
    build: int | None
    customer: int | None
    carrier: int | None
    built: date | None
    marks: dict[str, Any]
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """A scale ticket: `mass` found and `predicted` [kg], how it was packed, what explains a difference.

    `explains` names an earlier ticket that was off and that this one clears.
    """

    id: int
    order: str | None
    serial: str | None
    at: datetime
    mass: float
    predicted: float | None
    packed: str
    explained: str
    facts: dict[str, Any]
    event: int
    explains: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter of a blade's life record: as-built, test card, edge, restrictor, refit, owner, failure, advice, note.

    `place` names where on the blade; `replaces` the chapter this one puts right.
    """

    id: int
    serial: str
    kind: str
    day: date
    place: str
    said: str
    facts: dict[str, Any]
    build: int | None
    replaces: int | None
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A part of a lot that went on a blade, for recalls."""

    id: int
    chapter: int
    serial: str
    item: str
    lot: str
    place: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFile:
    """A photo or paper on disk, named by the digest (SHA-256) of what is in it."""

    digest: str
    name: str
    media: str
    size: int
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A note, a photo or both, about a row: `about` is its table, `key` its number there."""

    id: int
    file: str | None
    about: str
    key: str
    day: date
    note: str
    event: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A cut plan, nest or crew plan as it was made: what was asked, the plan itself, and whether it was released."""

    id: int
    kind: str
    state: str
    at: datetime
    asked: Any
    body: Any
    event: int


Record = (
    Event | KeptRulebook | KeptBuild | Customer | CarrierFacts | Enquiry | Quote | Order | Change | Money | Line
    | OnHand | Reservation | Arrival | Hours | Blade | Ticket | Chapter | Fitted | KeptFile | Attachment | Plan
)  # fmt: skip
TABLES: Final[dict[type[Any], str]] = {
    Event: "events",
    KeptRulebook: "rulebooks",
    KeptBuild: "builds",
    Customer: "customers",
    CarrierFacts: "carriers",
    Enquiry: "enquiries",
    Quote: "quotes",
    Order: "orders",
    Change: "changes",
    Money: "money",
    Line: "ledger",
    OnHand: "stock",
    Reservation: "reservations",
    Arrival: "arrivals",
    Hours: "hours",
    Blade: "blades",
    Ticket: "tickets",
    Chapter: "chapters",
    Fitted: "fitted",
    KeptFile: "files",
    Attachment: "attachments",
    Plan: "plans",
}
"""Which table each record is a row of."""
EMPTY: Final[dict[str, Any]] = {"told": {}, "more": {}, "facts": {}, "marks": {}, "asked": {}, "body": {}}
"""What a column of open content holds where nothing was said; `CarrierFacts.facts` is a list."""


@cache
def names(kind: type[Any]) -> tuple[str, ...]:
    """The fields of a record.

    Args:
        kind: The record's class.
    """
    return tuple(field.name for field in fields(kind))
