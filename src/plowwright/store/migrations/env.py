"""Runs the steps on the connection that `store.migrating` hands over; there is no other way in."""

from __future__ import annotations

from alembic import context

from plowwright.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
