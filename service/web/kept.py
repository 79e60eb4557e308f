"""What the shop's pages look up and note: an order by its number, a dog with its owner, what was measured."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from service.design import Collar
from service.saying import Length, Mass
from service.storage import (
    Act,
    Connection,
    Customer,
    Dog,
    Measurement,
    NotKept,
    Order,
    add_measurement,
    customer_by_id,
    dogs_of,
    measurements_of,
    order_by_number,
)
from service.web.fields import mass_system_typed, system_typed
from service.web.house import House
from service.workshop import Workshop

COUNT: Final = re.compile(r"[1-9][0-9]{0,8}")
"""A number of an order or a proof: no store counts further."""
SAME_MM: Final = 0.01
"""Two measures nearer than that [mm] are the same one."""


@dataclass(frozen=True, slots=True)
class Owned:
    """A customer, and the dog of theirs that is meant."""

    customer: Customer
    dog: Dog | None


def the_order(connection: Connection, house: House, number: str) -> Order:
    """Return this workshop's order of a number, as it stands in an address; raises NotKept."""
    return order_by_number(connection, house.workshop_id, counted("order", number))


def counted(what: str, number: str) -> int:
    """Return the number in an address; raises NotKept for what is none."""
    if COUNT.fullmatch(number) is None:
        raise NotKept(what, number[:12])
    return int(number)


def the_customer(connection: Connection, house: House, customer_id: str) -> Customer:
    """Return this workshop's customer; raises NotKept."""
    found = customer_by_id(connection, customer_id) if customer_id.isprintable() else None
    if found is None or found.workshop_id != house.workshop_id:
        raise NotKept("customer", customer_id[:40])
    return found


def read_back(row: Measurement, workshop: Workshop) -> str:
    """Return a measure in both systems, the one that it was typed in first."""
    if row.unit == "mm":
        return Length(row.value).said(system_typed(row.typed, workshop))
    return Mass(row.value).said(mass_system_typed(row.typed, workshop))


def owned_dog(connection: Connection, house: House, typed: Mapping[str, str]) -> Owned | None:
    """Return the customer and the dog that an address or a form names, or None when it names none."""
    if not typed.get("customer"):
        return None
    customer = the_customer(connection, house, typed["customer"])
    dogs = {dog.id: dog for dog in dogs_of(connection, customer.id)}
    return Owned(customer, dogs.get(typed.get("dog", "")))


def dog_of(connection: Connection, order: Order) -> Dog | None:
    """Return the dog that an order is for."""
    return next((dog for dog in dogs_of(connection, order.customer_id) if dog.id == order.dog_id), None)


def written_measures(
    connection: Connection, house: House, dog: Dog, typed: Mapping[str, str], spec: Collar, by: Act
) -> None:
    """Keep what was measured on a dog, as typed and as it was read, unless that is what is known already."""
    newest: dict[str, Measurement] = {}
    for row in measurements_of(connection, dog.id):
        newest.setdefault(row.what, row)
    rows = [("neck", spec.neck, "mm", spec.measured), ("weight", spec.weight, "kg", "")]
    for what, value, unit, method in rows:
        known = newest.get(what)
        same = known is not None and value is not None and abs(known.value - value) < SAME_MM
        typed_now = typed.get(what, "").strip()
        if value is None or not typed_now or (same and known is not None and known.method == method):
            continue
        add_measurement(
            connection,
            Measurement(
                house.reference(),
                dog.id,
                what,
                value,
                "mm" if unit == "mm" else "kg",
                typed_now[:40],
                method,
                by.who,
                by.at,
            ),
        )
