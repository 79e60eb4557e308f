"""With a dog's neck: the fingers that go under the collar, and where a tape lay on a thick coat."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # What was measured before doesn't say.
    op.add_column("measurement", sa.Column("fingers", sa.Integer(), nullable=True))
    op.add_column("measurement", sa.Column("coat", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("measurement", "coat")
    op.drop_column("measurement", "fingers")
