"""Mail waits as what it is about: no text, no address and no secret of a link lies in the queue."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Nothing has ever been put into the queue of before: no release queued mail.
    op.drop_table("mail_queue")
    _make(
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("queued_at", sa.Text(), nullable=False),
    )


def downgrade() -> None:
    # What waits can't be put into the words of before; whoever goes back hands links on by hand.
    op.drop_table("mail_queue")
    _make(
        sa.Column("order_id", sa.Text(), nullable=True),
        sa.Column("recipient", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
    )


def _make(*columns: sa.Column[str] | sa.Column[int]) -> None:
    op.create_table(
        "mail_queue",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        *columns,
        sa.Column("due_at", sa.Text(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("trouble", sa.Text(), nullable=False),
        sa.Column("sent_at", sa.Text(), nullable=True),
        sa.Column("given_up_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_mail_queue_order_id_orders")),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_mail_queue_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail_queue")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_mail_queue_order_id"), "mail_queue", ["order_id"], unique=False)
    op.create_index(op.f("ix_mail_queue_sent_at_due_at"), "mail_queue", ["sent_at", "due_at"], unique=False)
    op.create_index(op.f("ix_mail_queue_workshop_id"), "mail_queue", ["workshop_id"], unique=False)
