"""What the shop's pages look up and note: an order by its number, a dog with its owner, what was measured."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from service.design import CHOICE_NAMES, Buckled, Wish, Worn
from service.language import mark, tr
from service.saying import Length, Mass, named, say
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

WAYS = {
    "existing-collar": mark("from an existing collar"),
    "tape-two-fingers": mark("tape, two fingers under it"),
    "tape-snug": mark("tape, snug"),
}
"""How a neck was measured, in a few words."""


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


def how_words(row: Measurement) -> str:
    """Return how something was measured: "tape, snug, over a thick coat, for two fingers"."""
    how = tr(WAYS.get(row.method, row.method))
    if not row.method or row.method == "existing-collar":
        return how
    if row.coat in CHOICE_NAMES and row.coat != "short":
        how = str(say("{how}, {coat}", how=named(how), coat=CHOICE_NAMES[row.coat]))
    if row.fingers is None:
        return how
    return str(say("{how}, for {fingers}", how=named(how), fingers=CHOICE_NAMES[str(row.fingers)]))


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
    connection: Connection, house: House, dog: Dog, typed: Mapping[str, str], spec: Wish, by: Act
) -> None:
    """Keep what was measured on a dog, as typed and as it was read, unless that is what is known already.

    With the neck goes what was answered on fingers and coat.
    """
    newest: dict[str, Measurement] = {}
    for row in measurements_of(connection, dog.id):
        newest.setdefault(row.what, row)
    for row in measured(house, dog, typed, spec, by):
        known = newest.get(row.what)
        if known is None or abs(known.value - row.value) >= SAME_MM or _how(known) != _how(row):
            add_measurement(connection, row)


def measured(house: House, dog: Dog, typed: Mapping[str, str], spec: Wish, by: Act) -> Iterator[Measurement]:
    """Yield what was measured on a dog, as typed and as it was read: the neck, and the weight if it was."""
    neck, weight = (typed.get(name, "").strip()[:40] for name in ("neck", "weight"))
    if neck and isinstance(spec, Worn):
        fingers = spec.fingers if isinstance(spec, Buckled) else None
        how = spec.measured, by.who, by.at, fingers, spec.coat
        yield Measurement(house.reference(), dog.id, "neck", spec.neck, "mm", neck, *how)
    if weight and spec.weight is not None:
        yield Measurement(house.reference(), dog.id, "weight", spec.weight, "kg", weight, "", by.who, by.at)


def measured_as(spec: Wish, what: str) -> float | None:
    """Return what a design takes for a measure: the neck [mm] or the weight [kg]; None where it has none."""
    found = {"neck": spec.neck if isinstance(spec, Worn) else None, "weight": spec.weight}
    return found.get(what)


def _how(row: Measurement) -> tuple[str, int | None, str | None]:
    return row.method, row.fingers, row.coat
