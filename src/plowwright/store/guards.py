"""Triggers with which the database itself refuses to change or delete what is written once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

REFUSAL = "is written once and never changed; put a mistake right with a new row"


def statements(dialect: str, tables: Iterable[str]) -> Iterator[str]:
    """The statements that guard these tables.

    Args:
        dialect: "sqlite" or "postgresql".
        tables: Their names.
    """
    if dialect == "postgresql":
        yield (
            "CREATE OR REPLACE FUNCTION plowwright_written_once() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"RAISE EXCEPTION '% {REFUSAL}', TG_TABLE_NAME; END $$"
        )
    for table in tables:
        if dialect == "postgresql":
            yield (
                f"CREATE TRIGGER {table}_written_once BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION plowwright_written_once()"
            )
            yield (
                f"CREATE TRIGGER {table}_never_emptied BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION plowwright_written_once()"
            )
        else:
            for verb in ("UPDATE", "DELETE"):
                yield (
                    f"CREATE TRIGGER {table}_{verb.lower()}_refused BEFORE {verb} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{table} {REFUSAL}'); END"
                )
