"""What is on the shelves: counted by hand, taken off for an order at the bench, put back if it is called off.

Only rows that somebody has counted have a stock. It changes in the same writing as the order's stage.
"""

import json
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol, get_args

from sqlalchemy import ColumnElement, Connection, delete, update

from service.orders import Piece, Stage
from service.storage.audit import Act, record
from service.storage.catalogue_rows import RowKind
from service.storage.faults import StaleWrite
from service.storage.rows import all_as, keep, select_as
from service.storage.tables import stock

SHELVES: Final[tuple[str, ...]] = tuple(
    kind for kind in get_args(RowKind) if kind not in {"finishes", "stamps", "times", "consumables"}
)
"""The tables of the catalogue whose rows can be counted."""
GIVES_BACK: Final[tuple[Stage, ...]] = ("cancelled", "proof-sent")
"""Stages that an order being made goes to when it isn't made after all, or not so."""

Moved = Sequence[tuple[str, str, int]]
"""Table, code and count of what is moved."""


@dataclass(frozen=True, slots=True)
class Stock:
    """What there is of a row: `count` and `low` (or None) in pieces, cm², ml or, of a thread, cm."""

    workshop_id: str
    kind: str
    code: str
    count: int
    low: int | None
    counted_at: datetime
    row_version: int


class StockedOrder(Protocol):
    """What is asked of an order here."""

    @property
    def id(self) -> str: ...
    @property
    def workshop_id(self) -> str: ...
    @property
    def stage(self) -> Stage: ...
    @property
    def taken(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Counted:
    """A row as somebody counted it, None for no longer counted; `seen` is the version shown, 0 for none."""

    kind: str
    code: str
    count: int | None
    low: int | None
    seen: int


def stock_of(connection: Connection, workshop_id: str) -> tuple[Stock, ...]:
    """Return the stock of every row that is counted."""
    chosen = select_as(Stock, stock).where(stock.c.workshop_id == workshop_id)
    return all_as(Stock, connection, chosen.order_by(stock.c.kind, stock.c.code))


def count_stock(connection: Connection, workshop_id: str, rows: Iterable[Counted], act: Act) -> None:
    """Keep what was counted; raises StaleWrite when a row has moved since it was shown."""
    there = {(row.kind, row.code): row for row in stock_of(connection, workshop_id)}
    for row in rows:
        kept = there.get((row.kind, row.code))
        version = kept.row_version if kept else 0
        if version != row.seen:
            raise StaleWrite("stock", row.code, seen=row.seen, now=version)
        here = _here(workshop_id, row.kind, row.code)
        if row.count is None:
            connection.execute(delete(stock).where(here))
        elif kept is None:
            new = Stock(workshop_id, row.kind, row.code, row.count, row.low, act.at, 1)
            keep(connection, stock, new)
        else:
            counted = {"count": row.count, "low": row.low, "counted_at": act.at, "row_version": version + 1}
            connection.execute(update(stock).where(here).values(counted))
        said = "not counted" if row.count is None else f"{row.count}"
        record(connection, workshop_id, "stock-counted", act, detail=f"{row.kind} {row.code}: {said}")


def settle(
    connection: Connection,
    order: StockedOrder,
    to: Stage,
    pieces: Callable[[], tuple[Piece, ...]],
    act: Act,
) -> str:
    """Bring the shelves in line with an order that goes to another stage; return what is taken for it then.

    Going to the bench takes its pieces, once. Called off or changed while it is being made gives them back;
    once it is finished they are used up, and a new proof of it begins anew.
    """
    if to == "making" and not order.taken:
        return _take(connection, order, pieces(), act)
    if order.stage == "making" and to in GIVES_BACK and order.taken:
        _move(connection, order, json.loads(order.taken), 1, "stock-put-back", act)
        return ""
    return "" if order.stage == "ready" and to == "proof-sent" else order.taken


def _take(connection: Connection, order: StockedOrder, pieces: tuple[Piece, ...], act: Act) -> str:
    counted = {(row.kind, row.code) for row in stock_of(connection, order.workshop_id)}
    wanted = Counter[tuple[str, str]]()
    for piece in pieces:
        wanted[piece.kind, piece.code] += piece.count
    moved = [(*place, count) for place, count in wanted.items() if place in counted]
    _move(connection, order, moved, -1, "stock-taken", act)
    return json.dumps(moved)


def _move(
    connection: Connection, order: StockedOrder, moved: Moved, sign: int, action: str, act: Act
) -> None:
    if not moved:
        return
    for kind, code, count in moved:
        changed = {"count": stock.c.count + sign * count, "row_version": stock.c.row_version + 1}
        connection.execute(update(stock).where(_here(order.workshop_id, kind, code)).values(changed))
    detail = ", ".join(f"{kind} {code} {count}" for kind, code, count in moved)
    record(connection, order.workshop_id, action, act, order=order.id, detail=detail)


def _here(workshop_id: str, kind: str, code: str) -> ColumnElement[bool]:
    return (stock.c.workshop_id == workshop_id) & (stock.c.kind == kind) & (stock.c.code == code)
