"""What the store's tests are made with: an invented workshop with a customer, a dog and an order."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from secrets import token_hex
from typing import Any

from sqlalchemy import Connection

from service.orders import Actor, Kind, Proof, kept_rows, read_decision, seal
from service.storage import (
    Act,
    Answered,
    Customer,
    Database,
    Dog,
    Enquiry,
    Measurement,
    Order,
    add_customer,
    add_dog,
    add_measurement,
    answer_proof,
    drawing,
    found_workshop,
    send_proof,
    take_enquiry,
)
from tests.makers import pattern, workshop
from tests.orders.makers import PLAIN

SHOP = "shop-1"
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
PATTERN = pattern()
KEPT = kept_rows(PATTERN, workshop())
SVG = drawing("worn", "image/svg+xml", b"<svg xmlns='http://www.w3.org/2000/svg'/>")


def new_id(kind: str) -> str:
    """An id that no other row has."""
    return f"{kind}-{token_hex(8)}"


def act(actor: Actor = "maker", who: str = "member-1", minutes: float = 0) -> Act:
    """Someone acting, some minutes after noon."""
    return Act(actor, who, NOON + timedelta(minutes=minutes))


def open_shop(connection: Connection) -> None:
    """The invented workshop moves in."""
    found_workshop(connection, SHOP, workshop(), act("service", "start"))


def customer(name: str = "Ada Example", **changed: Any) -> Customer:  # noqa: ANN401 - any column
    """A customer, not kept yet."""
    plain = Customer(new_id("customer"), SHOP, name, "ada@mail.example", "555 0100", "en", "", NOON, NOON)
    return replace(plain, **changed)


def dog(of: Customer, name: str = "Rex") -> Dog:
    """A dog, not kept yet."""
    return Dog(new_id("dog"), of.id, name, "whippet", "", NOON)


def neck(of: Dog, value: float = 482.6, typed: str = "19 in", minutes: float = 0) -> Measurement:
    """A measure of a neck, not kept yet."""
    at = act(minutes=minutes).at
    return Measurement(new_id("m"), of.id, "neck", value, "mm", typed, "existing-collar", "member-1", at)


def enquiry(connection: Connection, name: str = "Ada Example", called: str = "Rex", **changed: Any) -> Order:  # noqa: ANN401
    """An order as it comes in, with its customer and dog."""
    who = customer(name)
    add_customer(connection, who, act("customer", who.id))
    pet = dog(who, called)
    add_dog(connection, pet)
    add_measurement(connection, neck(pet))
    asked = Enquiry(new_id("order"), SHOP, who.id, pet.id, PATTERN.spec, KEPT, "For walks.")
    return take_enquiry(connection, replace(asked, **changed), act("customer", who.id))


def sealed(order: Order, **changed: Any) -> Proof:  # noqa: ANN401 - any field of a body
    """The next proof of an order."""
    changed = {"sentence": f"This is version {order.version + 1}.", **changed}
    return seal(order.id, order.version + 1, replace(PLAIN, **changed))


def sent(connection: Connection, order: Order, **changed: Any) -> tuple[Order, Proof]:  # noqa: ANN401
    """The order with its next proof sent."""
    made = sealed(order, **changed)
    return send_proof(connection, order, made, [SVG], act()), made


def answered(
    connection: Connection, to: Proof, kind: Kind = "approve", key: str = "", **said: str
) -> Answered:
    """A customer's answer to a proof, taken."""
    key = key or f"{new_id('key'):->20}"
    words = {"name": "Ada Example", "message": "Wider, please." if kind == "ask-changes" else "", **said}
    by = act("customer", "link-1", minutes=5)
    wish = read_decision(kind, to.seen, key, **words, at=by.at.isoformat())
    return answer_proof(connection, wish, by)


def shop_with_an_order(database: Database) -> Order:
    """A store with the workshop and one enquiry in it."""
    with database.writing() as connection:
        open_shop(connection)
        return enquiry(connection)
