"""Every table. Ids are random text made by the caller; moments are UTC; money is whole minor units.

A column `row_version` counts the changes of its row, so that nobody overwrites what they have not seen.
"""

from typing import Any, Final

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.schema import SchemaItem
from sqlalchemy.types import TypeEngine

from service.design import WISHES, Wish
from service.storage.columns import MINOR, REAL, Day, Document, Moment
from service.storage.second_factor import SecondFactor
from service.workshop import Workshop

METADATA: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *items: SchemaItem) -> Table:
    return Table(name, METADATA, *items, sqlite_strict=True)


def _must(
    name: str, kind: type[TypeEngine[Any]] | TypeEngine[Any] = Text, *, key: bool = False
) -> Column[Any]:
    return Column(name, kind, primary_key=key, nullable=False)


def _may(name: str, kind: type[TypeEngine[Any]] | TypeEngine[Any] = Text) -> Column[Any]:
    return Column(name, kind, nullable=True)


def _of(table: str, *, key: bool = False) -> Column[Any]:
    """Belongs to a row of another table."""
    return Column(
        f"{table}_id", Text, ForeignKey(f"{table}.id"), primary_key=key, nullable=False, index=not key
    )


def _may_be_of(table: str) -> Column[Any]:
    return Column(f"{table}_id", Text, ForeignKey(f"{table}.id"), nullable=True, index=True)


# The version of the catalogue in force, and the number last given to an order.
workshop: Final = _table(
    "workshop",
    _must("id", key=True),
    _must("catalogue_version", Integer),
    _must("last_order", Integer),
    _must("settings"),
    _must("row_version", Integer),
)

# The whole catalogue, once for each change; kept for good.
catalogue: Final = _table(
    "catalogue",
    _of("workshop", key=True),
    _must("version", Integer, key=True),
    _must("schema_version", Integer),
    _must("rows", Document(Workshop)),
    _must("change"),
    _must("made_by"),
    _must("made_at", Moment),
)

# What is on the shelves, of the rows that are counted: pieces, square centimetres of a leather,
# or millilitres of a dye. Less than nothing when more went out than was counted.
stock: Final = _table(
    "stock",
    _of("workshop", key=True),
    _must("kind", key=True),
    _must("code", key=True),
    _must("count", Integer),
    _may("low", Integer),
    _must("counted_at", Moment),
    _must("row_version", Integer),
)

customer: Final = _table(
    "customer",
    _must("id", key=True),
    _of("workshop"),
    _must("name"),
    _must("email"),
    _must("phone"),
    _must("language"),
    _must("notes"),
    _must("sought"),
    _must("consented_at", Moment),
    _must("made_at", Moment),
    _may("erased_at", Moment),
    _must("row_version", Integer),
)

dog: Final = _table(
    "dog",
    _must("id", key=True),
    _of("customer"),
    _must("name"),
    _must("breed"),
    _must("notes"),
    _must("made_at", Moment),
    _must("row_version", Integer),
)

# What was measured, each time anew: `typed` as a person wrote it, `value` what it was read as, in `unit`.
# `fingers` and `coat` go with a neck; what was measured before they were kept doesn't say.
measurement: Final = _table(
    "measurement",
    _must("id", key=True),
    _of("dog"),
    _must("what"),
    _must("value", REAL),
    _must("unit"),
    _must("typed"),
    _must("method"),
    _may("fingers", Integer),
    _may("coat"),
    _must("made_by"),
    _must("made_at", Moment),
    CheckConstraint("unit IN ('mm', 'kg')", name="unit"),
)

# `version` is that of the last proof. `kept` are the catalogue's rows that the design was made from, `taken`
# what was taken off the shelves for it, empty as long as nothing was.
orders: Final = _table(
    "orders",
    _must("id", key=True),
    _of("workshop"),
    _must("number", Integer),
    _must("stage"),
    _must("version", Integer),
    _of("customer"),
    _may_be_of("dog"),
    _must("schema_version", Integer),
    _must("design", Document(Wish, WISHES)),
    _must("kept", Document(Workshop)),
    _may("quote_minor", MINOR),
    _may("currency"),
    _may("promised_on", Day),
    _may("due_on", Day),
    _must("notes"),
    _must("bench_notes"),
    _must("sought"),
    Column("taken", Text, nullable=False, server_default=""),
    _must("made_at", Moment),
    _must("changed_at", Moment),
    _must("row_version", Integer),
    UniqueConstraint("workshop_id", "number"),
    Index(None, "workshop_id", "stage", "due_on"),
    CheckConstraint("(quote_minor IS NULL) = (currency IS NULL)", name="quote"),
)

# `body` is canonical JSON (RFC 8785), and `sha256` its hash.
proof: Final = _table(
    "proof",
    Column("order_id", Text, ForeignKey("orders.id"), primary_key=True),
    _must("version", Integer, key=True),
    _must("sha256"),
    _must("body"),
    _must("made_by"),
    _must("made_at", Moment),
    CheckConstraint("length(sha256) = 64", name="sha256"),
)

proof_drawing: Final = _table(
    "proof_drawing",
    _must("order_id", key=True),
    _must("version", Integer, key=True),
    _must("name", key=True),
    _must("media_type"),
    _must("sha256"),
    _must("content", LargeBinary),
    ForeignKeyConstraint(["order_id", "version"], ["proof.order_id", "proof.version"]),
)

# A decision answers one proof. `key` came with the form: sent twice, it is one decision.
decision: Final = _table(
    "decision",
    _must("key", key=True),
    _must("order_id"),
    _must("version", Integer),
    _must("sha256"),
    _must("kind"),
    _must("name"),
    _must("message"),
    _must("at"),
    ForeignKeyConstraint(["order_id", "version"], ["proof.order_id", "proof.version"]),
    CheckConstraint("kind IN ('approve', 'ask-changes')", name="kind"),
    UniqueConstraint("order_id", "version"),
)

# Only the hash of a link's token is kept.
link: Final = _table(
    "link",
    _must("id", key=True),
    Column("order_id", Text, ForeignKey("orders.id"), nullable=False, index=True),
    _must("purpose"),
    _must("label"),
    _must("token_hash"),
    _must("made_at", Moment),
    _must("expires_at", Moment),
    _may("revoked_at", Moment),
    _may("seen_at", Moment),
    UniqueConstraint("token_hash"),
)

# One chain for each workshop: `hash` covers the entry and `prev`, the hash before it. It refers to nothing,
# since it outlives what it tells of.
audit: Final = _table(
    "audit",
    _must("workshop_id", key=True),
    _must("number", Integer, key=True),
    _must("at"),
    _must("actor"),
    _must("who"),
    _must("action"),
    _must("order"),
    _must("version", Integer),
    _must("sha256"),
    _must("address"),
    _must("agent"),
    _must("detail"),
    _must("prev"),
    _must("hash"),
    Index(None, "order"),
)

# What is to be mailed, in a word, and of which proof; the text and its link are made when it is sent.
mail_queue: Final = _table(
    "mail_queue",
    _must("id", key=True),
    _of("workshop"),
    Column("order_id", Text, ForeignKey("orders.id"), nullable=False, index=True),
    _must("kind"),
    _must("version", Integer),
    _must("queued_at", Moment),
    _must("due_at", Moment),
    _must("tries", Integer),
    _must("trouble"),
    _may("sent_at", Moment),
    _may("given_up_at", Moment),
    Index(None, "sent_at", "due_at"),
)

# `second_factor` holds its secret as it is: whatever it could be encrypted with would lie beside it.
member: Final = _table(
    "member",
    _must("id", key=True),
    _of("workshop"),
    _must("name"),
    _must("password_hash"),
    _must("role"),
    _may("second_factor", Document(SecondFactor)),
    _must("made_at", Moment),
    _may("left_at", Moment),
    _must("row_version", Integer),
    UniqueConstraint("workshop_id", "name"),
    CheckConstraint("role IN ('owner', 'maker', 'read-only')", name="role"),
)

member_session: Final = _table(
    "member_session",
    _must("token_hash", key=True),
    _of("member"),
    _must("agent"),
    _must("made_at", Moment),
    _must("seen_at", Moment),
    _must("expires_at", Moment),
    _may("revoked_at", Moment),
)

throttle: Final = _table(
    "throttle",
    _must("key", key=True),
    _must("tries", Integer),
    _must("first_at", Moment),
    _must("open_at", Moment),
)

photo: Final = _table(
    "photo",
    _must("id", key=True),
    Column("order_id", Text, ForeignKey("orders.id"), nullable=False, index=True),
    _must("purpose"),
    _must("caption"),
    _must("media_type"),
    _must("width", Integer),
    _must("height", Integer),
    _must("sha256"),
    _must("content", LargeBinary),
    _must("made_at", Moment),
)

# Photos of a form that has to be sent once more, by the hash of the form's key.
waiting_photo: Final = _table(
    "waiting_photo",
    _must("form_hash", key=True),
    _must("number", Integer, key=True),
    _must("name"),
    _must("width", Integer),
    _must("height", Integer),
    _must("content", LargeBinary),
    _must("at", Moment),
)
PASSING: Final = frozenset({waiting_photo.name})
"""Tables of what is gone in a few hours: no backup holds their rows."""

api_key: Final = _table(
    "api_key",
    _must("id", key=True),
    _of("workshop"),
    _must("label"),
    _must("key_hash"),
    _must("made_at", Moment),
    _may("revoked_at", Moment),
    _may("seen_at", Moment),
    UniqueConstraint("key_hash"),
)
