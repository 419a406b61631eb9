"""The engine: SQLite in one folder by default, or PostgreSQL by its address; one writer at a time on both.

On SQLite a command opens with BEGIN IMMEDIATE, on PostgreSQL with an advisory lock. A shop of five people never waits
for either, and the last piece on the rack is never given out twice.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import DataError, DBAPIError, IntegrityError
from sqlalchemy.pool import NullPool

from plowwright.errors import EntryError, PlowwrightError, StoreError
from plowwright.store.guards import REFUSAL

FILE: Final = "shop.db"
"""Name of the database in the shop's folder."""
PATIENCE: Final = 10.0
"""How long a command waits for another one to end [s]."""
_LOCK: Final = 0x504C4F57
_LOCK_TIMEOUT: Final = "55P03"
"""PostgreSQL's own code for it, in whatever language its messages are."""
_POSTGRES: Final = ("postgresql://", "postgres://", "postgresql+psycopg://")


def is_address(where: str | Path) -> bool:
    """Whether this names a PostgreSQL, not a folder.

    Args:
        where: A folder, or an address as `postgresql://shop@localhost/shop`.
    """
    return str(where).startswith(_POSTGRES)


def engine_of(where: str | Path, *, patience: float = PATIENCE) -> Engine:
    """The engine for a folder or an address.

    Args:
        where: A folder, or the address of a PostgreSQL.
        patience: How long a command waits for another one to end [s].
    """
    if is_address(where):
        address = "postgresql+psycopg://" + str(where).split("://", 1)[1]
        # Named here, whatever the server's own setting: under a stricter one a command that waited for its turn
        # would go on with what was there before it waited.
        return create_engine(address, pool_pre_ping=True, isolation_level="READ COMMITTED", json_serializer=_json())
    engine = create_engine(
        f"sqlite:///{Path(where) / FILE}", connect_args={"timeout": patience}, json_serializer=_json()
    )
    _prepare_sqlite(engine, patience)
    return engine


def sqlite_file(file: Path) -> Engine:
    """An engine on one SQLite file, without a pool, for backups.

    Args:
        file: The database.
    """
    engine = create_engine(f"sqlite:///{file}", poolclass=NullPool, json_serializer=_json())
    _prepare_sqlite(engine, PATIENCE)
    return engine


def _json() -> Any:
    from plowwright.store.plain import written

    return written


def _prepare_sqlite(engine: Engine, patience: float) -> None:
    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # so that our own BEGIN is the only one
        for pragma in (
            f"busy_timeout = {int(patience * 1000)}",
            "journal_mode = WAL",
            "foreign_keys = ON",
            "synchronous = FULL",
        ):
            connection.execute(f"PRAGMA {pragma}")


@contextmanager
def writing(engine: Engine, *, patience: float = PATIENCE) -> Iterator[Connection]:
    """One transaction that no other writer can overlap: all of it is kept, or nothing.

    Args:
        engine: Of the records.
        patience: How long to wait for another one to end [s].

    Raises:
        StoreError: Another command did not end in time, or the database cannot be written.
    """
    with translated(), engine.connect() as connection, connection.begin():
        if engine.dialect.name == "sqlite":
            _begin(connection, "BEGIN IMMEDIATE")
        else:
            connection.execute(text(f"SET LOCAL lock_timeout = '{int(patience * 1000)}ms'"))
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A steady view: all that is read in it is of one moment.

    Args:
        engine: Of the records.
    """
    with translated(), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        transaction = connection.begin()
        if engine.dialect.name == "sqlite":
            _begin(connection, "BEGIN")
        try:
            yield connection
        finally:
            transaction.rollback()  # nothing was written; and unlike a commit it ends even over damaged pages


def _begin(connection: Connection, statement: str) -> None:
    # By the driver itself: a listener for it on the engine would slow every statement down.
    try:
        connection.connection.cursor().execute(statement)
    except sqlite3.Error as refusal:
        raise _said_as_ours(str(refusal)) from refusal


@contextmanager
def translated() -> Iterator[None]:
    """The database's own refusals, said in the shop's words."""
    try:
        yield
    except PlowwrightError:
        raise
    except IntegrityError as refusal:
        said = str(refusal.orig)
        if REFUSAL in said:
            raise EntryError(f"a row of {said.split(REFUSAL, maxsplit=1)[0].strip()} {REFUSAL}") from refusal
        raise EntryError("the records refuse this", value=said.splitlines()[0], way_out=_way_out(said)) from refusal
    except DataError as refusal:
        raise _cannot_hold(str(refusal.orig)) from refusal
    except OverflowError as refusal:
        if "SQLite" not in str(refusal):
            raise
        raise _cannot_hold(str(refusal)) from refusal
    except DBAPIError as refusal:
        waited = getattr(refusal.orig, "sqlstate", None) == _LOCK_TIMEOUT
        said = "locked" if waited else str(refusal.orig) or type(refusal.orig).__name__
        raise _said_as_ours(said) from refusal


def _cannot_hold(said: str) -> EntryError:
    return EntryError("the records cannot hold this", value=said.splitlines()[0],
                      way_out="Look at what was typed: a number too long, or a sign that is no letter.")  # fmt: skip


def _said_as_ours(said: str) -> PlowwrightError:
    if REFUSAL in said:
        return EntryError(f"a row of {said.split(REFUSAL, maxsplit=1)[0].strip()} {REFUSAL}")
    if "locked" in said:
        return StoreError(
            "another command is still being written", way_out="Nothing was changed. Do it again in a moment."
        )
    if "connect" in said:
        return StoreError(
            "the database does not answer",
            value=said.splitlines()[0],
            way_out="See that its server runs, and that the address is right.",
        )
    return StoreError(
        "the records could not be read or written",
        value=said.splitlines()[0],
        way_out="Nothing was changed. Run `plowwright check`; if it names damage, restore the last backup.",
    )


def _way_out(said: str) -> str:
    lower = said.lower()
    if "on_hand" in lower:
        return "There is not as much on hand: count the rack, then write a count line."
    if "reservations" in lower:
        return "Not as much is reserved there: look at the reservations of this order."
    if "foreign key" in lower or "fk_" in lower:
        return "It names an order, customer, build or row that is not on file."
    if any(sign in lower for sign in ("unique", "uq_", "pk_")):
        return "It is there already, or was reversed already."
    return ""
