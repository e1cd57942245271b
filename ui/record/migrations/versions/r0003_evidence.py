"""With each reading, how far each story was behind the best."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of readings that are there the stories are not known."""
    op.add_column("reading", sa.Column("evidence", sa.JSON(), nullable=True))
