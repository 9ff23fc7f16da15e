"""Since when a customer wants her outline on the card; null while she does not."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Change the tables."""
    op.add_column("sittings", sa.Column("outline_at", sa.Double(), nullable=True))
