"""Brings records of any released schema to the newest one, all or nothing, after a copy of them as they were."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from sqlalchemy import Connection, Engine, inspect, text

from plowwright.errors import StoreError
from plowwright.store.database import writing

if TYPE_CHECKING:
    from alembic.config import Config

NEWEST: Final = "2"
"""The schema this program writes."""
RELEASED: Final = ("1", "2")
"""Every schema that was ever released, in order."""
_TABLE: Final = "alembic_version"


def schema_of(connection: Connection) -> str:
    """The schema of these records, or "" for an empty database.

    Args:
        connection: To the records.
    """
    if not inspect(connection).has_table(_TABLE):
        return ""
    return str(connection.execute(text(f"SELECT version_num FROM {_TABLE}")).scalar_one_or_none() or "")


def bring_up(engine: Engine, *, to: str = NEWEST) -> tuple[str, str]:
    """Bring the records to a schema, in one transaction.

    Args:
        engine: Of the records.
        to: The schema wanted, the newest unless a test wants an older one.

    Returns:
        The schema before ("" for none) and after.

    Raises:
        StoreError: The records were written by a newer program.
    """
    with writing(engine) as connection:
        before = schema_of(connection)
        refuse_unknown(before)
        if before != to:
            _upgrade(connection, to)
        return before, to


def refuse_unknown(schema: str) -> None:
    """Refuse records that a newer program wrote.

    Args:
        schema: What they say.

    Raises:
        StoreError: It is not one of `RELEASED`.
    """
    if schema and schema not in RELEASED:
        raise StoreError(
            "these records were written by a newer program",
            value=f"schema {schema}",
            limit=f"schema {NEWEST}",
            way_out="Install the newer program, or open a backup made before.",
        )


def _upgrade(connection: Connection, to: str) -> None:
    from alembic import command

    command.upgrade(config(connection), to)


def config(connection: Connection | None = None) -> Config:
    """What the migration tool needs to know, without any file of settings.

    Args:
        connection: The one to run on, inside its own transaction.
    """
    from alembic.config import Config

    made = Config(attributes={"connection": connection} if connection is not None else {})
    # A percent sign in a folder's name would be read as a placeholder.
    made.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    made.set_main_option("path_separator", "os")
    return made


def steps() -> list[Any]:
    """The steps on disk, oldest first."""
    from alembic.script import ScriptDirectory

    return list(reversed(list(ScriptDirectory.from_config(config()).walk_revisions())))
