"""The workshop, its customers and their orders."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("actor", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("order", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("agent", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("prev", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("workshop_id", "number", name=op.f("pk_audit")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_audit_order"), "audit", ["order"], unique=False)
    op.create_table(
        "throttle",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("first_at", sa.Text(), nullable=False),
        sa.Column("open_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_throttle")),
        sqlite_strict=True,
    )
    op.create_table(
        "workshop",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("catalogue_version", sa.Integer(), nullable=False),
        sa.Column("last_order", sa.Integer(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_workshop")),
        sqlite_strict=True,
    )
    op.create_table(
        "api_key",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("key_hash", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("revoked_at", sa.Text(), nullable=True),
        sa.Column("seen_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_api_key_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_key")),
        sa.UniqueConstraint("key_hash", name=op.f("uq_api_key_key_hash")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_api_key_workshop_id"), "api_key", ["workshop_id"], unique=False)
    op.create_table(
        "catalogue",
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("schema_version", sa.Integer(), nullable=False),
        sa.Column("rows", sa.Text(), nullable=False),
        sa.Column("change", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_catalogue_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("workshop_id", "version", name=op.f("pk_catalogue")),
        sqlite_strict=True,
    )
    op.create_table(
        "customer",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("sought", sa.Text(), nullable=False),
        sa.Column("consented_at", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("erased_at", sa.Text(), nullable=True),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_customer_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_workshop_id"), "customer", ["workshop_id"], unique=False)
    op.create_table(
        "member",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("second_factor", sa.Text(), nullable=True),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("left_at", sa.Text(), nullable=True),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.CheckConstraint("role IN ('owner', 'maker', 'read-only')", name=op.f("ck_member_role")),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_member_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_member")),
        sa.UniqueConstraint("workshop_id", "name", name=op.f("uq_member_workshop_id_name")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_member_workshop_id"), "member", ["workshop_id"], unique=False)
    op.create_table(
        "dog",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("customer_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("breed", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_dog_customer_id_customer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dog")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_dog_customer_id"), "dog", ["customer_id"], unique=False)
    op.create_table(
        "member_session",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("member_id", sa.Text(), nullable=False),
        sa.Column("agent", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.Text(), nullable=False),
        sa.Column("revoked_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_member_session_member_id_member")
        ),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_member_session")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_member_session_member_id"), "member_session", ["member_id"], unique=False)
    op.create_table(
        "measurement",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("dog_id", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("value", sa.Double().with_variant(sa.REAL(), "sqlite"), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.CheckConstraint("unit IN ('mm', 'kg')", name=op.f("ck_measurement_unit")),
        sa.ForeignKeyConstraint(["dog_id"], ["dog.id"], name=op.f("fk_measurement_dog_id_dog")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_measurement")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_measurement_dog_id"), "measurement", ["dog_id"], unique=False)
    op.create_table(
        "orders",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Text(), nullable=False),
        sa.Column("dog_id", sa.Text(), nullable=True),
        sa.Column("schema_version", sa.Integer(), nullable=False),
        sa.Column("design", sa.Text(), nullable=False),
        sa.Column("kept", sa.Text(), nullable=False),
        sa.Column("quote_minor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("currency", sa.Text(), nullable=True),
        sa.Column("promised_on", sa.Text(), nullable=True),
        sa.Column("due_on", sa.Text(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("bench_notes", sa.Text(), nullable=False),
        sa.Column("sought", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.CheckConstraint("(quote_minor IS NULL) = (currency IS NULL)", name=op.f("ck_orders_quote")),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_orders_customer_id_customer")
        ),
        sa.ForeignKeyConstraint(["dog_id"], ["dog.id"], name=op.f("fk_orders_dog_id_dog")),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name=op.f("fk_orders_workshop_id_workshop")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orders")),
        sa.UniqueConstraint("workshop_id", "number", name=op.f("uq_orders_workshop_id_number")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_orders_customer_id"), "orders", ["customer_id"], unique=False)
    op.create_index(op.f("ix_orders_dog_id"), "orders", ["dog_id"], unique=False)
    op.create_index(op.f("ix_orders_workshop_id"), "orders", ["workshop_id"], unique=False)
    op.create_index(
        op.f("ix_orders_workshop_id_stage_due_on"), "orders", ["workshop_id", "stage", "due_on"], unique=False
    )
    op.create_table(
        "link",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.Text(), nullable=False),
        sa.Column("revoked_at", sa.Text(), nullable=True),
        sa.Column("seen_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_link_order_id_orders")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_link_token_hash")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_link_order_id"), "link", ["order_id"], unique=False)
    op.create_table(
        "mail_queue",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("workshop_id", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Text(), nullable=True),
        sa.Column("recipient", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
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
    op.create_table(
        "photo",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_photo_order_id_orders")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_photo_order_id"), "photo", ["order_id"], unique=False)
    op.create_table(
        "proof",
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_proof_sha256")),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_proof_order_id_orders")),
        sa.PrimaryKeyConstraint("order_id", "version", name=op.f("pk_proof")),
        sqlite_strict=True,
    )
    op.create_table(
        "decision",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint("kind IN ('approve', 'ask-changes')", name=op.f("ck_decision_kind")),
        sa.ForeignKeyConstraint(
            ["order_id", "version"],
            ["proof.order_id", "proof.version"],
            name=op.f("fk_decision_order_id_version_proof"),
        ),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_decision")),
        sa.UniqueConstraint("order_id", "version", name=op.f("uq_decision_order_id_version")),
        sqlite_strict=True,
    )
    op.create_table(
        "proof_drawing",
        sa.Column("order_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["order_id", "version"],
            ["proof.order_id", "proof.version"],
            name=op.f("fk_proof_drawing_order_id_version_proof"),
        ),
        sa.PrimaryKeyConstraint("order_id", "version", "name", name=op.f("pk_proof_drawing")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("proof_drawing")
    op.drop_table("decision")
    op.drop_table("proof")
    op.drop_table("photo")
    op.drop_table("mail_queue")
    op.drop_table("link")
    op.drop_table("orders")
    op.drop_table("measurement")
    op.drop_table("member_session")
    op.drop_table("dog")
    op.drop_table("member")
    op.drop_table("customer")
    op.drop_table("catalogue")
    op.drop_table("api_key")
    op.drop_table("workshop")
    op.drop_table("throttle")
    op.drop_table("audit")
