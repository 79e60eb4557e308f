"""Orders in the store: taken as an enquiry, found, listed, and changed by whoever saw them last."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import Connection, Select, func, select, update

from service.design import Wish, make_pattern
from service.errors import GirthwrightError
from service.language import tr
from service.orders import WORDS, Piece, Stage, may_edit, move, pieces_for
from service.storage.audit import Act, record
from service.storage.faults import NotKept
from service.storage.rows import all_as, as_row, by_id, first_as, keep, overwrite, select_as
from service.storage.stock import settle
from service.storage.tables import customer, dog, orders, workshop
from service.workshop import Workshop

FIXED: Final = {"id", "workshop_id", "number", "customer_id", "made_at"}
"""What never changes in an order."""
KEPT_BY_THE_STORE: Final = {"schema_version", "sought", "taken", "changed_at", "row_version"}
"""What the store sees to itself."""
DESIGN: Final = {"design", "kept", "quote_minor", "currency"}
"""What a customer approves; frozen once they have."""


class DesignFrozen(GirthwrightError):
    """The order, at `stage`, is approved: its design and price stay as they are."""

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        super().__init__(
            tr(
                "This order is at “{stage}”: its design and price stay as they were approved. To change"
                " something, send a new proof.",
                stage=WORDS[stage].name,
            )
        )


@dataclass(frozen=True, slots=True)
class Enquiry:
    """What a customer asks for, before it has a number."""

    id: str
    workshop_id: str
    customer_id: str
    dog_id: str | None
    design: Wish
    kept: Workshop
    notes: str = ""
    due_on: date | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """An order; the quote is in minor units of its currency, `version` that of its last proof, 0 for none."""

    id: str
    workshop_id: str
    number: int
    stage: Stage
    version: int
    customer_id: str
    dog_id: str | None
    schema_version: int
    design: Wish
    kept: Workshop
    quote_minor: int | None
    currency: str | None
    promised_on: date | None
    due_on: date | None
    notes: str
    bench_notes: str
    sought: str
    taken: str
    made_at: datetime
    changed_at: datetime
    row_version: int


@dataclass(frozen=True, slots=True)
class OrderCard:
    """An order as the board shows it."""

    id: str
    number: int
    stage: Stage
    version: int
    customer: str
    dog: str | None
    quote_minor: int | None
    currency: str | None
    promised_on: date | None
    due_on: date | None
    made_at: datetime
    changed_at: datetime


def take_enquiry(connection: Connection, enquiry: Enquiry, act: Act) -> Order:
    """Keep a new order under the workshop's next number, and return it."""
    here = workshop.c.id == enquiry.workshop_id
    counted = update(workshop).where(here).values(last_order=workshop.c.last_order + 1)
    number = connection.execute(counted.returning(workshop.c.last_order)).scalar_one_or_none()
    if number is None:
        raise NotKept("workshop", enquiry.workshop_id)
    order = Order(
        **as_row(enquiry),
        number=number,
        stage="enquiry",
        version=0,
        schema_version=enquiry.design.schema_version,
        quote_minor=None,
        currency=None,
        promised_on=None,
        bench_notes="",
        sought=_sought(connection, number, enquiry.customer_id, enquiry.dog_id),
        taken="",
        made_at=act.at,
        changed_at=act.at,
        row_version=1,
    )
    keep(connection, orders, order)
    record(connection, order.workshop_id, "enquiry", act, order=order.id, detail=f"order {number}")
    return order


def order_by_id(connection: Connection, order_id: str) -> Order:
    """Return an order; raises NotKept."""
    return by_id(Order, connection, orders, order_id)


def order_by_number(connection: Connection, workshop_id: str, number: int) -> Order:
    """Return a workshop's order of that number; raises NotKept."""
    here = (orders.c.workshop_id == workshop_id) & (orders.c.number == number)
    order = first_as(Order, connection, select_as(Order, orders).where(here))
    if order is None:
        raise NotKept("order", str(number))
    return order


def orders_of(connection: Connection, customer_id: str) -> tuple[Order, ...]:
    """Return a customer's orders, the newest first."""
    chosen = select_as(Order, orders).where(orders.c.customer_id == customer_id)
    return all_as(Order, connection, chosen.order_by(orders.c.number.desc()))


def list_orders(
    connection: Connection,
    workshop_id: str,
    *,
    stages: Collection[Stage] = (),
    search: str = "",
    limit: int = 200,
) -> tuple[OrderCard, ...]:
    """Return orders at these stages (all when none is given), what is due first; then by number.

    `search` finds a number, or parts of the names of customer and dog, in any order and letter case.
    """
    chosen = _cards().where(orders.c.workshop_id == workshop_id)
    if stages:
        chosen = chosen.where(orders.c.stage.in_([*stages]))
    for word in search.casefold().split():
        chosen = chosen.where(orders.c.sought.contains(word, autoescape=True))
    due = (orders.c.due_on.is_(None), orders.c.due_on, orders.c.number)
    return all_as(OrderCard, connection, chosen.order_by(*due).limit(limit))


def orders_after(
    connection: Connection, workshop_id: str, number: int, *, stage: Stage | None = None, limit: int = 50
) -> tuple[OrderCard, ...]:
    """Return a workshop's orders of higher numbers than that, at a stage if one is given, by number."""
    chosen = _cards().where(orders.c.workshop_id == workshop_id, orders.c.number > number)
    if stage is not None:
        chosen = chosen.where(orders.c.stage == stage)
    return all_as(OrderCard, connection, chosen.order_by(orders.c.number).limit(limit))


def count_by_stage(connection: Connection, workshop_id: str) -> dict[Stage, int]:
    """Return how many orders a workshop has at each stage."""
    chosen = select(orders.c.stage, func.count()).where(orders.c.workshop_id == workshop_id)
    return {row[0]: row[1] for row in connection.execute(chosen.group_by(orders.c.stage))}


def change_order(connection: Connection, order: Order, act: Act, action: str = "changed") -> Order:
    """Keep an order that was read and changed (by `dataclasses.replace`), and return it as it is kept.

    Raises StaleWrite when someone else has changed it since it was read, MoveRefused for a stage it can't
    go to, DesignFrozen for a change of what is approved.
    """
    now = order_by_id(connection, order.id)
    changes = _changes(now, order)
    if DESIGN & {*changes} and not may_edit(now.stage):
        raise DesignFrozen(now.stage)
    return write_order(connection, now, order, act, action)


def write_order(
    connection: Connection, now: Order, order: Order, act: Act, action: str, *, sha256: str = ""
) -> Order:
    """Keep a changed order, whatever is changed; for what has its own rule about that."""
    changes = _changes(now, order)
    if "stage" in changes:
        move(now.stage, order.stage)
    written = replace(
        order,
        schema_version=order.design.schema_version,
        taken=now.taken,
        sought=_sought(connection, order.number, order.customer_id, order.dog_id),
        changed_at=act.at,
        row_version=order.row_version + 1,
    )
    columns = {name: value for name, value in as_row(written).items() if name not in {*FIXED, "row_version"}}
    overwrite(connection, orders, order.id, seen=order.row_version, changes=columns)
    written = _settled(connection, now, written, act)
    moved = [f"{now.stage} to {order.stage}"] if "stage" in changes else []
    detail = ", ".join([*moved, *sorted({*changes} - {"stage"})])
    record(
        connection,
        order.workshop_id,
        action,
        act,
        order=order.id,
        version=order.version,
        sha256=sha256,
        detail=detail,
    )
    return written


def _settled(connection: Connection, now: Order, written: Order, act: Act) -> Order:
    """The order with what is taken off the shelves for it at the stage it has come to."""
    if written.stage == now.stage:
        return written
    taken = settle(connection, now, written.stage, lambda: pieces_of(written), act)
    if taken != now.taken:
        connection.execute(update(orders).where(orders.c.id == now.id).values(taken=taken))
    return replace(written, taken=taken)


def pieces_of(order: Order) -> tuple[Piece, ...]:
    """Return what an order takes off the shelves."""
    return pieces_for(make_pattern(order.design, order.kept), order.kept.rates)


def needed_pieces(connection: Connection, workshop_id: str) -> Counter[tuple[str, str]]:
    """Return what the approved orders will take off the shelves, by table and code."""
    here = (orders.c.workshop_id == workshop_id) & (orders.c.stage == "approved")
    found = Counter[tuple[str, str]]()
    for order in all_as(Order, connection, select_as(Order, orders).where(here)):
        for piece in pieces_of(order):
            found[piece.kind, piece.code] += piece.count
    return found


def seek_orders_anew(connection: Connection, customer_id: str) -> None:
    """Bring what orders are found by up to date, after a customer or a dog of theirs has another name."""
    chosen = select(orders.c.id, orders.c.number, orders.c.dog_id).where(orders.c.customer_id == customer_id)
    for row in connection.execute(chosen).all():
        sought = _sought(connection, row.number, customer_id, row.dog_id)
        connection.execute(update(orders).where(orders.c.id == row.id).values(sought=sought))


def _changes(now: Order, order: Order) -> list[str]:
    """The columns in which an order differs from what is kept; what never changes may not."""
    before, after = as_row(now), as_row(order)
    changed = [name for name in before if before[name] != after[name] and name not in KEPT_BY_THE_STORE]
    if fixed := FIXED & {*changed}:
        raise ValueError(f"an order keeps its {', '.join(sorted(fixed))}")
    return changed


def _cards() -> Select[Any]:
    own = ("id", "number", "stage", "version", "quote_minor", "currency", "promised_on", "due_on")
    return (
        select(
            *(orders.c[name] for name in own),
            orders.c.made_at,
            orders.c.changed_at,
            customer.c.name.label("customer"),
            dog.c.name.label("dog"),
        )
        .join(customer, customer.c.id == orders.c.customer_id)
        .outerjoin(dog, dog.c.id == orders.c.dog_id)
    )


def _sought(connection: Connection, number: int, customer_id: str, dog_id: str | None) -> str:
    people = select(customer.c.name).where(customer.c.id == customer_id)
    dogs = select(dog.c.name).where(dog.c.id == dog_id)
    names = [*connection.execute(people).scalars(), *connection.execute(dogs).scalars()]
    return " ".join([str(number), *names]).casefold()
