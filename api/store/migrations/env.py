"""Alembic runs this file; the connection comes from `api.store.migrate`."""

from __future__ import annotations

from alembic import context

from api.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
