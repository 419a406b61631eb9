"""Schema 2: a change note may settle an earlier one, a scale ticket explain an earlier one."""

from __future__ import annotations

from alembic import op

revision = "2"
down_revision = "1"

LINKS = (("changes", "settles"), ("tickets", "explains"))


def upgrade() -> None:
    """Add the two columns; rows that are there settle and explain nothing."""
    for table, column in LINKS:
        # One plain statement that both databases take, so that no table is copied and every guard stays.
        op.execute(
            f"ALTER TABLE {table} ADD COLUMN {column} INTEGER CONSTRAINT fk_{table}_{column} "
            f"REFERENCES {table} (id) DEFERRABLE INITIALLY DEFERRED"
        )
