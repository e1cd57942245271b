"""With each evidence picture, where it shows the plane in which the board turns."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of pictures that are there the plane is not known."""
    op.add_column("picture", sa.Column("plane_px", sa.JSON(), nullable=True))
