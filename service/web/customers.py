"""Customers with their dogs and orders; a new order copies the sizes of an old one."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import tr
from service.orders import WORDS
from service.storage import (
    Connection,
    Customer,
    Dog,
    Measurement,
    Member,
    Order,
    OrdersOpen,
    Photo,
    StaleWrite,
    add_dog,
    change_customer,
    dogs_of,
    erase_customer,
    everything_about,
    find_customers,
    measurements_of,
    orders_of,
    photos_of_customer,
    record,
)
from service.web.access import act, form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.giving import zipped
from service.web.house import House, house_of
from service.web.kept import how_words, read_back, the_customer
from service.web.order_page import MEASURED, again_path
from service.web.photos import PhotoShown, photos_shown
from service.web.proving import WrongNow, prove
from service.web.query import address
from service.web.shop_words import searched, sum_words
from service.web.typed import typed_length
from service.web.typed_contact import NAME_MAX, check_contacts, read_line, read_lines
from service.web.words import moment
from service.workshop import Workshop

MOST: Final = 50
NOTES_MAX: Final = 2000


@dataclass(frozen=True, slots=True)
class OrderLine:
    """An order in a customer's list, with its photos; `again` begins another in the same sizes."""

    number: int
    href: str
    dog: str
    stage: str
    price: str
    again: str
    photos: tuple[PhotoShown, ...] = ()


@dataclass(frozen=True, slots=True)
class SizeLine:
    """Something measured on a dog."""

    what: str
    read: str
    how: str
    at: str


@dataclass(frozen=True, slots=True)
class DogLine:
    """A dog with everything measured, the newest first; `quote` begins an order for it."""

    name: str
    breed: str
    notes: str
    sizes: tuple[SizeLine, ...]
    quote: str


@dataclass(frozen=True, slots=True)
class CustomerLine:
    """A customer in the list, with dogs and orders in short."""

    href: str
    name: str
    contact: str
    dogs: str
    orders: tuple[OrderLine, ...]


@dataclass(frozen=True, slots=True)
class CustomersPage:
    """The list, or what a search leaves of it; `cut` when there are more."""

    frame: Frame
    search: str
    customers: tuple[CustomerLine, ...]
    cut: bool


@dataclass(frozen=True, slots=True)
class ContactField:
    """A field of a customer's contact: what is kept, what is typed, and what is wrong with it."""

    name: str
    label: str
    kind: str
    kept: str
    typed: str
    error: str = ""

    @property
    def differs(self) -> bool:
        """Whether what was typed is another than what is kept."""
        return self.typed != self.kept


@dataclass(frozen=True, slots=True)
class CustomerPage:
    """A customer; `notice` says why something sent was not kept.

    `erasing` says why they are still here, `giving` why nothing was given out.
    """

    frame: Frame
    path: str
    name: str
    since: str
    seen: int
    fields: tuple[ContactField, ...]
    dogs: tuple[DogLine, ...]
    orders: tuple[OrderLine, ...]
    quote: str
    notice: str
    new_dog: Mapping[str, str]
    dog_error: str
    erasing: str
    giving: str


def customers(request: Request) -> Response:
    """The list."""
    member = signed_in(request)
    house = house_of(request)
    search = searched(request.query_params.get("q", ""))
    with house.database.reading() as connection:
        found = find_customers(connection, house.workshop_id, search, MOST + 1)
        lines = tuple(_customer_line(connection, house, one) for one in found[:MOST])
    frame = frame_for(member, house.workshop.name, "customers")
    return shown(request, "customers/list.html", CustomersPage(frame, search, lines, len(found) > MOST))


def _customer_line(connection: Connection, house: House, one: Customer) -> CustomerLine:
    dogs = dogs_of(connection, one.id)
    orders = orders_of(connection, one.id)
    return CustomerLine(
        f"/shop/customers/{one.id}",
        one.name,
        one.phone or one.email,
        ", ".join(dog.name for dog in dogs),
        tuple(_order_line(house, order, dogs) for order in orders[:3]),
    )


def _order_line(
    house: House, order: Order, dogs: tuple[Dog, ...], photos: tuple[Photo, ...] = ()
) -> OrderLine:
    dog = next((one for one in dogs if one.id == order.dog_id), None)
    price = sum_words(order.quote_minor, order.currency, order.kept.rates, house.workshop.region)
    name = dog.name if dog else ""
    stage = WORDS[order.stage].name
    href = f"/shop/orders/{order.number}"
    own = photos_shown(tuple(photo for photo in photos if photo.order_id == order.id), f"{href}/photos")
    return OrderLine(order.number, href, name, stage, price, again_path(order, dog), own)


def customer_page(request: Request, customer_id: str) -> Response:
    """A customer."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        page = made_customer_page(house, connection, member, the_customer(connection, house, customer_id))
    return shown(request, "customers/page.html", page)


def made_customer_page(
    house: House,
    connection: Connection,
    member: Member,
    one: Customer,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    notice: str = "",
) -> CustomerPage:
    """Return the page of a customer as they are kept; `typed` and `errors` are those of the forms on it."""
    dogs, typed, errors = dogs_of(connection, one.id), typed or {}, errors or {}
    photos = photos_of_customer(connection, one.id)
    return CustomerPage(
        frame_for(member, house.workshop.name, "customers"),
        f"/shop/customers/{one.id}",
        one.name,
        moment(one.made_at, house.workshop),
        one.row_version,
        _fields(one, typed, errors),
        tuple(_dog_line(connection, one, dog, house.workshop) for dog in dogs),
        tuple(_order_line(house, order, dogs, photos) for order in orders_of(connection, one.id)),
        address("/shop/quote", {"customer": one.id}),
        notice,
        {"called": typed.get("called", ""), "breed": typed.get("breed", "")},
        errors.get("called", "") or errors.get("breed", ""),
        errors.get("erasing", ""),
        errors.get("giving", ""),
    )


def _fields(one: Customer, typed: Mapping[str, str], errors: Mapping[str, str]) -> tuple[ContactField, ...]:
    rows = (
        ("name", tr("Name"), "text", one.name),
        ("phone", tr("Phone"), "tel", one.phone),
        ("email", tr("E-mail"), "email", one.email),
        ("notes", tr("Notes"), "lines", one.notes),
    )
    return tuple(
        ContactField(name, label, kind, kept, typed.get(name, kept), errors.get(name, ""))
        for name, label, kind, kept in rows
    )


def _dog_line(connection: Connection, one: Customer, dog: Dog, workshop: Workshop) -> DogLine:
    measured = measurements_of(connection, dog.id)
    neck = next((row for row in measured if row.what == "neck"), None)
    given = {"customer": one.id, "dog": dog.id}
    if neck is not None:
        given |= {"neck": typed_length(neck.value), "measured": neck.method}
        answers = {"fingers": neck.fingers, "coat": neck.coat}
        given |= {name: str(answer) for name, answer in answers.items() if answer is not None}
    sizes = tuple(_size(row, workshop) for row in measured)
    return DogLine(dog.name, dog.breed, dog.notes, sizes, address("/shop/quote", given))


def _size(row: Measurement, workshop: Workshop) -> SizeLine:
    read, at = read_back(row, workshop), moment(row.made_at, workshop)
    what = tr(MEASURED.get(row.what, row.what.capitalize()))
    return SizeLine(what, read, how_words(row), at)


def contact_keeper(request: Request, customer_id: str) -> Response:
    """Keep a customer's name, contact and notes."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    errors: dict[str, str] = {}
    name = read_line(typed, "name", NAME_MAX, errors)
    phone, email = read_line(typed, "phone", 40, errors), read_line(typed, "email", 254, errors)
    notes = read_lines(typed, "notes", NOTES_MAX, errors)
    if not name:
        errors.setdefault("name", tr("Type the customer's name, for example Ada Example."))
    check_contacts(email, phone, house.workshop.region, errors)
    with house.database.writing() as connection:
        one = the_customer(connection, house, customer_id)
        changed = replace(one, name=name, phone=phone, email=email, notes=notes)
        if errors:
            page = made_customer_page(house, connection, member, one, typed, errors)
            return shown(request, "customers/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        if changed == one:
            return go_on(f"/shop/customers/{customer_id}")
        if typed.get("seen", "") != str(one.row_version):
            notice = str(StaleWrite("customer", one.id, seen=0, now=one.row_version))
            page = made_customer_page(house, connection, member, one, typed, errors, notice)
            return shown(request, "customers/page.html", page, HTTPStatus.CONFLICT)
        change_customer(connection, changed, act(request, member))
    return go_on(f"/shop/customers/{customer_id}")


def dog_keeper(request: Request, customer_id: str) -> Response:
    """Keep another dog of a customer."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    errors: dict[str, str] = {}
    called = read_line(typed, "called", NAME_MAX, errors)
    breed = read_line(typed, "breed", NAME_MAX, errors)
    if not called:
        errors.setdefault("called", tr("Type what the dog is called."))
    with house.database.writing() as connection:
        one = the_customer(connection, house, customer_id)
        if errors:
            page = made_customer_page(house, connection, member, one, typed, errors)
            return shown(request, "customers/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
        same = {dog.name.casefold() for dog in dogs_of(connection, one.id)}
        if called.casefold() not in same:  # the same form, sent twice
            add_dog(connection, Dog(house.reference(), one.id, called, breed, "", house.now()))
    return go_on(f"/shop/customers/{customer_id}")


def give(request: Request, customer_id: str) -> Response:
    """All that is kept about a customer, as a file to be given to them."""
    member, typed, house = signed_in(request, "owner"), form(request), house_of(request)
    with house.database.reading() as connection:
        one = the_customer(connection, house, customer_id)
    try:
        prove(request, member, typed.get("now", ""))
    except WrongNow as fault:
        with house.database.reading() as connection:
            page = made_customer_page(house, connection, member, one, errors={"giving": str(fault)})
        return shown(request, "customers/page.html", page, HTTPStatus.UNPROCESSABLE_ENTITY)
    with house.database.writing() as connection:
        record(
            connection, house.workshop_id, "customer-given", act(request, member), detail=f"customer {one.id}"
        )
    with house.database.reading() as connection:
        return zipped(everything_about(connection, one.id), f"customer-{house.today.isoformat()}.zip")


def eraser(request: Request, customer_id: str) -> Response:
    """Erase a customer for good, once their name was typed to say so."""
    member = signed_in(request, "owner")
    house, typed = house_of(request), form(request)
    with house.database.writing() as connection:
        one = the_customer(connection, house, customer_id)
        notice = (
            ""
            if typed.get("sure", "").strip() == one.name
            else tr("To erase them, type “{name}”.", name=one.name)
        )
        if not notice:
            try:
                erase_customer(connection, one.id, act(request, member))
            except OrdersOpen as fault:
                notice = str(fault)
        if notice:
            page = made_customer_page(house, connection, member, one, errors={"erasing": notice})
            return shown(request, "customers/page.html", page, HTTPStatus.CONFLICT)
    return go_on("/shop/customers")


def customer_routes(app: FastAPI) -> None:
    """Add the addresses of customers."""
    add_page(app, "/shop/customers", customers)
    add_page(app, "/shop/customers/{customer_id}", customer_page, contact_keeper)
    add_page(app, "/shop/customers/{customer_id}/dogs", take=dog_keeper)
    add_page(app, "/shop/customers/{customer_id}/everything", take=give)
    add_page(app, "/shop/customers/{customer_id}/erase", take=eraser)
