"""Rows as frozen values: a dataclass whose fields are named as the columns it holds."""

from dataclasses import fields
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import Connection, Select, Table, insert, select, update

from service.storage.faults import NotKept, StaleWrite

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Value = TypeVar("Value", bound="DataclassInstance")


def select_as(kind: type[Value], table: Table) -> Select[Any]:
    """Return the selection of a value's columns."""
    return select(*(table.c[field.name] for field in fields(kind)))


def all_as(kind: type[Value], connection: Connection, chosen: Select[Any]) -> tuple[Value, ...]:
    """Return every chosen row as a value."""
    return tuple(kind(**row) for row in connection.execute(chosen).mappings())


def first_as(kind: type[Value], connection: Connection, chosen: Select[Any]) -> Value | None:
    """Return the first chosen row as a value, or None."""
    row = connection.execute(chosen).mappings().first()
    return None if row is None else kind(**row)


def by_id(kind: type[Value], connection: Connection, table: Table, key: str) -> Value:
    """Return the row of that id; raises NotKept."""
    value = first_as(kind, connection, select_as(kind, table).where(table.c.id == key))
    if value is None:
        raise NotKept(table.name, key)
    return value


def as_row(value: "DataclassInstance") -> dict[str, Any]:
    """Return a value's fields by column."""
    return {field.name: getattr(value, field.name) for field in fields(value)}


def keep(connection: Connection, table: Table, value: "DataclassInstance") -> None:
    """Keep a new row."""
    connection.execute(insert(table).values(as_row(value)))


def overwrite(connection: Connection, table: Table, key: str, *, seen: int, changes: dict[str, Any]) -> int:
    """Change the row that is still at the version that was seen; return its new one.

    Raises StaleWrite when someone else was first, NotKept when it is gone.
    """
    here = (table.c.id == key) & (table.c.row_version == seen)
    changed = connection.execute(update(table).where(here).values(**changes, row_version=seen + 1))
    if changed.rowcount == 1:
        return seen + 1
    now = connection.execute(select(table.c.row_version).where(table.c.id == key)).scalar_one_or_none()
    if now is None:
        raise NotKept(table.name, key)
    raise StaleWrite(table.name, key, seen=seen, now=now)
