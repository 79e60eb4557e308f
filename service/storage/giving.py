"""What is kept, as files to take away: everything for the workshop, or all about one customer for them."""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from mimetypes import guess_extension
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, LargeBinary, Table, select

from service.storage.people import all_about, plain_row
from service.storage.tables import METADATA, PASSING, orders, photo, proof_drawing

WITHHELD: Final = frozenset({"member_session", "throttle"}) | PASSING
"""Tables that are about signing in alone and gone in a month, or gone in hours."""
SECRETS: Final = frozenset({"token_hash", "key_hash", "password_hash", "second_factor", "sought"})
"""Columns that open something, or only help to search."""
AT_ONCE: Final = 200
"""So many rows are read at once."""
FORMULAS: Final = ("=", "+", "-", "@", "\t", "\r")
"""What spreadsheets take for a formula when a cell begins with it (OWASP, CSV injection)."""


@dataclass(frozen=True, slots=True)
class Given:
    """A file: its name, with its folders, and its content piece by piece."""

    name: str
    pieces: Iterable[bytes]


def everything(connection: Connection) -> Iterator[Given]:
    """Yield every table as JSON and as CSV, and drawings and photos; take each file before the next."""
    for table in METADATA.sorted_tables:
        if table.name not in WITHHELD:
            yield Given(f"json/{table.name}.json", _json(connection, table))
            yield Given(f"csv/{table.name}.csv", _csv(connection, table))
    yield from _drawings(connection)
    yield from _photos(connection)


def everything_about(connection: Connection, customer_id: str) -> Iterator[Given]:
    """Yield all about a customer as JSON, with drawings and photos as files; raises NotKept."""
    kept = all_about(connection, customer_id)
    for one in kept["photos"]:
        del one["content"]  # it is a file of its own
    yield Given("customer.json", [json.dumps(kept, ensure_ascii=False, indent=2).encode()])
    own = orders.c.customer_id == customer_id
    yield from _drawings(connection, own)
    yield from _photos(connection, own)


def _json(connection: Connection, table: Table) -> Iterator[bytes]:
    """Yield the rows as a JSON array, one in a line."""
    joint = "[\n"
    for row in _rows(connection, table):
        yield (joint + json.dumps(row, ensure_ascii=False)).encode()
        joint = ",\n"
    yield b"[]\n" if joint == "[\n" else b"\n]\n"


def _csv(connection: Connection, table: Table) -> Iterator[bytes]:
    """Yield the rows as CSV (RFC 4180), in UTF-8 with the mark by which spreadsheets know it."""
    names = [column.name for column in _columns(table)]
    yield "\ufeff".encode() + _line(names)
    for row in _rows(connection, table):
        yield _line([_cell(row[name]) for name in names])


def _line(cells: list[str]) -> bytes:
    text = io.StringIO()
    csv.writer(text).writerow(cells)
    return text.getvalue().encode()


def _cell(value: Any) -> str:  # noqa: ANN401 - whatever a column holds
    if value is None:
        return ""
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    if not isinstance(value, str):
        return str(value)
    return f"'{value}" if value.startswith(FORMULAS) else value


def _columns(table: Table) -> list[ColumnElement[Any]]:
    return [
        column
        for column in table.columns
        if column.name not in SECRETS and not isinstance(column.type, LargeBinary)
    ]


def _rows(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    chosen = select(*_columns(table)).order_by(*table.primary_key)
    for row in connection.execute(chosen, execution_options={"yield_per": AT_ONCE}).mappings():
        yield plain_row(dict(row))


def _drawings(connection: Connection, which: ColumnElement[bool] | None = None) -> Iterator[Given]:
    table = proof_drawing.c
    keys = select(orders.c.number, table.order_id, table.version, table.name, table.media_type)
    keys = keys.join(orders, orders.c.id == table.order_id).order_by(
        orders.c.number, table.version, table.name
    )
    for number, order_id, version, name, kind in connection.execute(_of(keys, which)).all():
        here = (table.order_id == order_id) & (table.version == version) & (table.name == name)
        content = connection.execute(select(table.content).where(here)).scalar_one()
        yield Given(f"drawings/order-{number}/proof-{version}/{name}{_ending(kind)}", [content])


def _photos(connection: Connection, which: ColumnElement[bool] | None = None) -> Iterator[Given]:
    table = photo.c
    keys = select(orders.c.number, table.id, table.purpose, table.media_type)
    keys = keys.join(orders, orders.c.id == table.order_id).order_by(orders.c.number, table.made_at, table.id)
    for number, photo_id, purpose, kind in connection.execute(_of(keys, which)).all():
        content = connection.execute(select(table.content).where(table.id == photo_id)).scalar_one()
        yield Given(f"photos/order-{number}/{purpose}-{photo_id}{_ending(kind)}", [content])


def _of(keys: Any, which: ColumnElement[bool] | None) -> Any:  # noqa: ANN401 - a selection of any columns
    return keys if which is None else keys.where(which)


def _ending(media_type: str) -> str:
    return guess_extension(media_type) or ""
