"""What is on the shelves, and what an order has taken off them."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "stock",
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("low", sa.Integer(), nullable=True),
        sa.Column("counted_at", sa.Text(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshop.id"], name=op.f("fk_stock_workshop_id_workshop")),
        sa.PrimaryKeyConstraint("workshop_id", "kind", "code", name=op.f("pk_stock")),
        sqlite_strict=True,
    )
    op.add_column("orders", sa.Column("taken", sa.Text(), nullable=False, server_default=""))


def downgrade() -> None:
    op.drop_column("orders", "taken")
    op.drop_table("stock")
