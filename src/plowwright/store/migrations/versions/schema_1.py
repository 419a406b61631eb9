"""Schema 1: the first one."""

from __future__ import annotations

from alembic import op

from plowwright.store import guards
from plowwright.store.migrations.tables_1 import KEPT, metadata

revision = "1"
down_revision = None


def upgrade() -> None:
    """Make all tables and guard those that are written once."""
    connection = op.get_bind()
    metadata.create_all(connection)
    for statement in guards.statements(connection.dialect.name, KEPT):
        op.execute(statement)
