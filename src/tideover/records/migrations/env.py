"""Run the migrations on the connection handed over by ``records.upgrade``."""

from __future__ import annotations

from alembic import context

from tideover.records.tables import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, transactional_ddl=True)
context.run_migrations()
