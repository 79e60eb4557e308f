"""Alembic's door: it runs the steps on the connection that `migrate` hands it, in that one transaction."""

from typing import Literal

from alembic import context
from sqlalchemy.types import TypeDecorator

from service.storage.tables import METADATA


def plain(kind: str, item: object, _: object) -> str | Literal[False]:
    """Write our own kinds of column into a new step as what they are in the store."""
    if kind == "type" and isinstance(item, TypeDecorator):
        return f"sa.{item.impl_instance!r}"
    return False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite rebuilds a table to change it
    render_item=plain,
    transactional_ddl=True,  # SQLite's tables are transactional too, once the driver leaves BEGIN to us
)
context.run_migrations()
