"""Run by Alembic: carries out steps on the connection it is handed, in its transaction."""

from __future__ import annotations

from alembic import context

from ui.record.schema import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
context.run_migrations()
