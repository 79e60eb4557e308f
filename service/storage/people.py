"""Customers, their dogs and what was measured; export of all about a customer, and erasure."""

from base64 import b64encode
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final, Literal

from pydantic import BaseModel
from sqlalchemy import Connection, Table, delete, insert, select, update

from service.errors import GirthwrightError
from service.language import tr
from service.orders import WORDS, Stage
from service.storage.audit import Act, record
from service.storage.columns import moment_text
from service.storage.orders import orders_of, seek_orders_anew
from service.storage.rows import all_as, as_row, by_id, keep, overwrite, select_as
from service.storage.tables import (
    customer,
    decision,
    dog,
    link,
    mail_queue,
    measurement,
    orders,
    photo,
    proof,
    proof_drawing,
)

ENDED: Final[frozenset[Stage]] = frozenset({"handed-over", "cancelled"})
"""Stages at which nothing is owed any more."""


class OrdersOpen(GirthwrightError):
    """The customer has orders under way, by `numbers`; erased now, nobody would know whose they are."""

    def __init__(self, numbers: tuple[int, ...]) -> None:
        self.numbers = numbers
        super().__init__(
            tr(
                "Orders {numbers} are under way: bring them to “{done}” or “{off}” first, then erase.",
                numbers=", ".join(map(str, numbers)),
                done=WORDS["handed-over"].name,
                off=WORDS["cancelled"].name,
            )
        )


@dataclass(frozen=True, slots=True)
class Customer:
    """A customer; `language` is a tag (BCP 47), `consented_at` when they agreed to be kept here."""

    id: str
    workshop_id: str
    name: str
    email: str
    phone: str
    language: str
    notes: str
    consented_at: datetime
    made_at: datetime
    erased_at: datetime | None = None
    row_version: int = 1


@dataclass(frozen=True, slots=True)
class Dog:
    """A customer's dog."""

    id: str
    customer_id: str
    name: str
    breed: str
    notes: str
    made_at: datetime
    row_version: int = 1


@dataclass(frozen=True, slots=True)
class Measurement:
    """One measure of a dog, as typed and as it was read, in `unit`; an older one stays when a newer comes.

    With a neck go the `fingers` wanted under the collar and where a tape lay on a thick `coat`, if known.
    """

    id: str
    dog_id: str
    what: str
    value: float
    unit: Literal["mm", "kg"]
    typed: str
    method: str
    made_by: str
    made_at: datetime
    fingers: int | None = None
    coat: str | None = None


def add_customer(connection: Connection, new: Customer, act: Act) -> None:
    """Keep a new customer."""
    connection.execute(insert(customer).values(**as_row(new), sought=""))
    _seek_anew(connection, new.id)
    record(connection, new.workshop_id, "customer-added", act, detail=f"customer {new.id}")


def customer_by_id(connection: Connection, customer_id: str) -> Customer:
    """Return a customer; raises NotKept."""
    return by_id(Customer, connection, customer, customer_id)


def change_customer(connection: Connection, changed: Customer, act: Act) -> None:
    """Keep a customer that was read and changed; raises StaleWrite, NotKept."""
    changes = {name: getattr(changed, name) for name in ("name", "email", "phone", "language", "notes")}
    overwrite(connection, customer, changed.id, seen=changed.row_version, changes=changes)
    _seek_anew(connection, changed.id)
    record(connection, changed.workshop_id, "customer-changed", act, detail=f"customer {changed.id}")


def find_customers(
    connection: Connection, workshop_id: str, search: str = "", limit: int = 50
) -> tuple[Customer, ...]:
    """Return customers by name; `search` finds parts of name, contacts or a dog's name, in any order."""
    chosen = select_as(Customer, customer).where(customer.c.workshop_id == workshop_id)
    for word in search.casefold().split():
        chosen = chosen.where(customer.c.sought.contains(word, autoescape=True))
    return all_as(Customer, connection, chosen.order_by(customer.c.sought, customer.c.id).limit(limit))


def add_dog(connection: Connection, new: Dog) -> None:
    """Keep a customer's dog."""
    keep(connection, dog, new)
    _seek_anew(connection, new.customer_id)


def change_dog(connection: Connection, changed: Dog) -> None:
    """Keep a dog that was read and changed; raises StaleWrite, NotKept."""
    changes = {name: getattr(changed, name) for name in ("name", "breed", "notes")}
    overwrite(connection, dog, changed.id, seen=changed.row_version, changes=changes)
    _seek_anew(connection, changed.customer_id)


def dogs_of(connection: Connection, customer_id: str) -> tuple[Dog, ...]:
    """Return a customer's dogs by name."""
    chosen = select_as(Dog, dog).where(dog.c.customer_id == customer_id)
    return all_as(Dog, connection, chosen.order_by(dog.c.name, dog.c.id))


def add_measurement(connection: Connection, new: Measurement) -> None:
    """Keep what was measured; what was measured before stays."""
    keep(connection, measurement, new)


def measurements_of(connection: Connection, dog_id: str) -> tuple[Measurement, ...]:
    """Return everything measured on a dog, the newest first."""
    chosen = select_as(Measurement, measurement).where(measurement.c.dog_id == dog_id)
    return all_as(Measurement, connection, chosen.order_by(measurement.c.made_at.desc(), measurement.c.id))


def all_about(connection: Connection, customer_id: str) -> dict[str, Any]:
    """Return everything kept about a customer, ready to be written as JSON; raises NotKept.

    What is no text, such as a photo, is in Base64 (RFC 4648).
    """
    kept = customer_by_id(connection, customer_id)
    own = orders_of(connection, customer_id)
    ids = [order.id for order in own]
    tables = {"proofs": proof, "answers": decision, "links": link, "mail": mail_queue, "photos": photo}
    return {
        "customer": plain_row(as_row(kept)),
        "dogs": [
            {**plain_row(as_row(each)), "measurements": _measured(connection, each)}
            for each in dogs_of(connection, customer_id)
        ],
        "orders": [plain_row(as_row(order)) for order in own],
        **{name: _rows(connection, table, ids) for name, table in tables.items()},
    }


def erase_customer(connection: Connection, customer_id: str, act: Act) -> None:
    """Erase a customer with all orders, proofs, photos and mail; raises NotKept, OrdersOpen.

    What stays is the record: for each order its number, stage, day and sum, and no person.
    """
    kept = customer_by_id(connection, customer_id)
    own = orders_of(connection, customer_id)
    if under_way := tuple(order.number for order in own if order.stage not in ENDED):
        raise OrdersOpen(under_way)
    for order in own:
        price = "" if order.quote_minor is None else f", {order.quote_minor} minor units of {order.currency}"
        detail = f"order {order.number}, {order.stage}, {order.changed_at:%Y-%m-%d}{price}"
        record(connection, kept.workshop_id, "order-erased", act, order=order.id, detail=detail)
    connection.execute(update(customer).where(customer.c.id == customer_id).values(erased_at=act.at))
    ids = [order.id for order in own]
    for table in (decision, proof_drawing, proof, photo, link, mail_queue):
        connection.execute(delete(table).where(table.c.order_id.in_(ids)))
    connection.execute(delete(orders).where(orders.c.customer_id == customer_id))
    dogs = select(dog.c.id).where(dog.c.customer_id == customer_id)
    connection.execute(delete(measurement).where(measurement.c.dog_id.in_(dogs)))
    connection.execute(delete(dog).where(dog.c.customer_id == customer_id))
    connection.execute(delete(customer).where(customer.c.id == customer_id))
    record(connection, kept.workshop_id, "customer-erased", act, detail=f"customer {customer_id}")


def _seek_anew(connection: Connection, customer_id: str) -> None:
    """Bring what a customer and their orders are found by up to date."""
    kept = customer_by_id(connection, customer_id)
    words = (kept.name, kept.email, kept.phone, *(each.name for each in dogs_of(connection, customer_id)))
    sought = " ".join(words).casefold()
    connection.execute(update(customer).where(customer.c.id == customer_id).values(sought=sought))
    seek_orders_anew(connection, customer_id)


def _measured(connection: Connection, of: Dog) -> list[dict[str, Any]]:
    return [plain_row(as_row(row)) for row in measurements_of(connection, of.id)]


def _rows(connection: Connection, table: Table, order_ids: list[str]) -> list[dict[str, Any]]:
    chosen = select(table).where(table.c.order_id.in_(order_ids)).order_by(*table.primary_key)
    return [plain_row(dict(row)) for row in connection.execute(chosen).mappings()]


def plain_row(row: dict[str, Any]) -> dict[str, Any]:
    """A row as JSON takes it; hashes of secrets are nobody's data."""
    return {name: _plain_value(value) for name, value in row.items() if name not in {"token_hash", "sought"}}


def _plain_value(value: Any) -> Any:  # noqa: ANN401 - whatever a column holds
    if isinstance(value, datetime):
        return moment_text(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes):
        return b64encode(value).decode()
    return value.model_dump(mode="json") if isinstance(value, BaseModel) else value
