"""The tables of schema 1, frozen: what was released is never edited."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
)

metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _to(target: str) -> ForeignKey:
    # Held at the end of the command: a row may be written before the event that explains it.
    return ForeignKey(target, deferrable=True, initially="DEFERRED")


def _id() -> Column[Any]:
    return Column("id", Integer, primary_key=True)


def _event() -> Column[Any]:
    return Column("event", Integer, _to("events.number"), nullable=False)


def _text(name: str, *, default: bool = True) -> Column[Any]:
    return Column(name, Text, nullable=False, server_default="" if default else None)


events = Table(
    "events",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", DateTime, nullable=False),
    _text("who", default=False),
    _text("command", default=False),
    Column("key", Text, nullable=False, unique=True),
    Column("asked", JSON, nullable=False),
    Column("changed", JSON, nullable=False),
    Column("answer", JSON, nullable=False),
    _text("digest", default=False),
)
touched = Table(
    "touched",
    metadata,
    _id(),
    _event(),
    _text("kind", default=False),
    _text("key", default=False),
    Index(None, "kind", "key"),
)
rulebooks = Table(
    "rulebooks",
    metadata,
    Column("fingerprint", Text, primary_key=True),
    Column("day", Date, nullable=False),
    Column("files", JSON, nullable=False),
    _event(),
)
builds = Table(
    "builds",
    metadata,
    _id(),
    _text("fingerprint", default=False),
    Column("spec", JSON, nullable=False),
    Column("rulebook_day", Date, nullable=False),
    _text("rulebook", default=False),
    Column("facts", JSON, nullable=False),
    _text("digest", default=False),
    _event(),
    Index(None, "fingerprint"),
)
customers = Table(
    "customers",
    metadata,
    _id(),
    _text("name", default=False),
    _text("phone"),
    _text("address"),
    _text("note"),
    _event(),
    Index(None, "name"),
    Index(None, "phone"),
)
carriers = Table(
    "carriers",
    metadata,
    _id(),
    Column("customer", Integer, _to("customers.id")),
    _text("name", default=False),
    _text("kind"),
    Column("facts", JSON, nullable=False),
    _text("note"),
    _event(),
    Index(None, "customer"),
)
enquiries = Table(
    "enquiries",
    metadata,
    _id(),
    Column("day", Date, nullable=False),
    Column("customer", Integer, _to("customers.id")),
    Column("carrier", Integer, _to("carriers.id")),
    Column("told", JSON, nullable=False),
    _text("state", default=False),
    _text("note"),
    _event(),
    Index(None, "state", "day"),
)
quotes = Table(
    "quotes",
    metadata,
    _id(),
    Column("enquiry", Integer, _to("enquiries.id")),
    Column("customer", Integer, _to("customers.id")),
    Column("build", Integer, _to("builds.id")),
    Column("lines", JSON, nullable=False),
    Column("cents", Integer, nullable=False),
    Column("day", Date, nullable=False),
    Column("valid_until", Date, nullable=False),
    _text("note"),
    _event(),
    Index(None, "customer"),
)
orders = Table(
    "orders",
    metadata,
    Column("number", Text, primary_key=True),
    _text("kind", default=False),
    _text("state", default=False),
    Column("customer", Integer, _to("customers.id")),
    Column("carrier", Integer, _to("carriers.id")),
    Column("quote", Integer, _to("quotes.id")),
    Column("build", Integer, _to("builds.id")),
    Column("cents", Integer, nullable=False, server_default="0"),
    Column("deposit_cents", Integer, nullable=False, server_default="0"),
    Column("promise", DateTime),
    Column("wished", DateTime),
    _text("hold"),
    _text("copied_from"),
    _text("note"),
    Column("more", JSON, nullable=False),
    _event(),
    Index(None, "state", "promise"),
    Index(None, "customer"),
)
changes = Table(
    "changes",
    metadata,
    _id(),
    Column("order", Text, _to("orders.number"), nullable=False),
    Column("day", Date, nullable=False),
    _text("note", default=False),
    Column("cents", Integer, nullable=False, server_default="0"),
    Column("promise_was", DateTime),
    Column("promise", DateTime),
    Column("build", Integer, _to("builds.id")),
    _event(),
    Index(None, "order"),
)
money = Table(
    "money",
    metadata,
    _id(),
    Column("order", Text, _to("orders.number"), nullable=False),
    _text("kind", default=False),
    Column("cents", Integer, nullable=False),
    Column("day", Date, nullable=False),
    _text("note"),
    Column("reverses", Integer, _to("money.id"), unique=True),
    _event(),
    Index(None, "order"),
)
ledger = Table(
    "ledger",
    metadata,
    _id(),
    _text("kind", default=False),
    _text("item", default=False),
    _text("lot"),
    Column("count", Integer, nullable=False),
    Column("day", Date, nullable=False),
    Column("needed", Date),
    Column("order", Text, _to("orders.number")),
    _text("reason"),
    Column("reverses", Integer, _to("ledger.id"), unique=True),
    Column("facts", JSON, nullable=False),
    _event(),
    CheckConstraint("kind IN ('receive','reserve','release','issue','return','scrap','count')", name="kind"),
    CheckConstraint('"count" <> 0', name="count"),
    Index(None, "item", "id"),
    Index(None, "order"),
    Index(None, "lot"),
)
stock = Table(
    "stock",
    metadata,
    Column("item", Text, primary_key=True),
    Column("lot", Text, primary_key=True),
    Column("on_hand", Integer, nullable=False),
    CheckConstraint("on_hand >= 0", name="on_hand"),
)
reservations = Table(
    "reservations",
    metadata,
    Column("item", Text, primary_key=True),
    Column("order", Text, primary_key=True),
    Column("needed", Date, primary_key=True),
    Column("count", Integer, nullable=False),
    CheckConstraint('"count" >= 0', name="count"),
    Index(None, "order"),
)
arrivals = Table(
    "arrivals",
    metadata,
    _id(),
    _text("item", default=False),
    Column("count", Integer, nullable=False),
    Column("due", Date, nullable=False),
    _text("state", default=False),
    _text("supplier"),
    _text("note"),
    _event(),
    CheckConstraint("state IN ('expected','arrived','cancelled')", name="state"),
    CheckConstraint('"count" > 0', name="count"),
    Index(None, "item", "state"),
    Index(None, "state", "due"),
)
hours = Table(
    "hours",
    metadata,
    _id(),
    Column("order", Text, _to("orders.number"), nullable=False),
    _text("operation", default=False),
    _text("person", default=False),
    Column("day", Date, nullable=False),
    Column("minutes", Integer, nullable=False),
    _text("note"),
    Column("reverses", Integer, _to("hours.id"), unique=True),
    _event(),
    Index(None, "order"),
    Index(None, "operation", "day"),
)
blades = Table(
    "blades",
    metadata,
    Column("serial", Text, primary_key=True),
    Column("order", Text, _to("orders.number")),
    Column("build", Integer, _to("builds.id")),
    Column("customer", Integer, _to("customers.id")),
    Column("carrier", Integer, _to("carriers.id")),
    Column("built", Date),
    Column("marks", JSON, nullable=False),
    _text("note"),
    _event(),
    Index(None, "order"),
    Index(None, "customer"),
)
tickets = Table(
    "tickets",
    metadata,
    _id(),
    Column("order", Text, _to("orders.number")),
    Column("serial", Text, _to("blades.serial")),
    Column("at", DateTime, nullable=False),
    Column("mass", Float, nullable=False),
    Column("predicted", Float),
    _text("packed"),
    _text("explained"),
    Column("facts", JSON, nullable=False),
    _event(),
    Index(None, "order"),
    Index(None, "serial"),
)
chapters = Table(
    "chapters",
    metadata,
    _id(),
    Column("serial", Text, _to("blades.serial"), nullable=False),
    _text("kind", default=False),
    Column("day", Date, nullable=False),
    _text("place"),
    _text("said"),
    Column("facts", JSON, nullable=False),
    Column("build", Integer, _to("builds.id")),
    Column("replaces", Integer, _to("chapters.id")),
    _event(),
    Index(None, "serial"),
    Index(None, "kind", "place"),
)
fitted = Table(
    "fitted",
    metadata,
    _id(),
    Column("chapter", Integer, _to("chapters.id"), nullable=False),
    Column("serial", Text, _to("blades.serial"), nullable=False),
    _text("item", default=False),
    _text("lot"),
    _text("place"),
    _event(),
    Index(None, "item", "lot"),
    Index(None, "serial"),
)
files = Table(
    "files",
    metadata,
    Column("digest", Text, primary_key=True),
    _text("name", default=False),
    _text("media"),
    Column("size", Integer, nullable=False),
    _event(),
)
attachments = Table(
    "attachments",
    metadata,
    _id(),
    Column("file", Text, _to("files.digest")),
    _text("about", default=False),
    _text("key", default=False),
    Column("day", Date, nullable=False),
    _text("note"),
    _event(),
    Index(None, "about", "key"),
)
plans = Table(
    "plans",
    metadata,
    _id(),
    _text("kind", default=False),
    _text("state", default=False),
    Column("at", DateTime, nullable=False),
    Column("asked", JSON, nullable=False),
    Column("body", JSON, nullable=False),
    _event(),
    Index(None, "kind", "state", "id"),
)

KEPT: Final = (
    "events",
    "touched",
    "rulebooks",
    "builds",
    "quotes",
    "changes",
    "money",
    "ledger",
    "hours",
    "tickets",
    "chapters",
    "fitted",
    "files",
    "attachments",
    "plans",
)
"""Tables whose rows are never changed or deleted; a mistake is put right by a new row."""
SUMS: Final = ("stock", "reservations")
"""Tables that only hold sums of the ledger."""
