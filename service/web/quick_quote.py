"""The quick quote: three fields to a price, and a second tap that makes it an order with a link."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.design import not_ready
from service.language import mark, tr
from service.orders import kept_rows
from service.pricing import Quote, at_price, estimate
from service.storage import (
    Act,
    Connection,
    Customer,
    Dog,
    Enquiry,
    NotKept,
    Order,
    add_customer,
    add_dog,
    change_order,
    make_link,
    order_by_id,
    take_enquiry,
)
from service.web.access import act, form, signed_in
from service.web.configurator import kinds
from service.web.family import add_page, go_on, shown
from service.web.fields import in_words, system_of
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.kept import Owned, owned_dog, written_measures
from service.web.maker_links import fresh_link, to_link
from service.web.page import Choice, FormField
from service.web.query import Asked, address, read_query
from service.web.quoted import Figures, figures_of, tried
from service.web.shop_form import DesignFields, design_fields, led_to, only_design
from service.web.shop_words import minor_of
from service.web.typed_contact import TypedContact, read_contact, read_day, read_price
from service.web.words import coins, money
from service.workshop import Workshop

USUAL_DAYS: Final = 21
"""The promise that is proposed: three weeks from today. Common practice."""
USUAL: Final = ((mark("Fingers and coat"), ("fingers", "coat")), ("Buckle", ("style",)))
"""What a customer is asked first and a maker mostly leaves as it is, under its headings."""
KEY: Final = re.compile(r"[A-Za-z0-9_-]{16,64}")
"""The key of a form, so that it sent twice counts once: it becomes the order's id."""


@dataclass(frozen=True, slots=True)
class SendField:
    """A field of the second step: what was typed, and what is wrong with it."""

    name: str
    label: str
    typed: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class QuotePage:
    """The page; `fields` and `problems` are the design's, `send` what is asked before it goes out."""

    frame: Frame
    fields: DesignFields
    outcome: Figures | None
    owned: Owned | None
    send: Mapping[str, SendField]
    opened: bool
    notice: str
    key: str
    path: str
    status_sentence: str
    kinds: tuple[Choice, ...]

    @property
    def main(self) -> tuple[FormField, ...]:
        """The fields that are asked at once: what is usual enough is folded away."""
        folded = {name for _, names in USUAL for name in names}
        return tuple(field for field in self.fields.main if field.name not in folded)

    @property
    def more(self) -> tuple[tuple[str, tuple[FormField, ...]], ...]:
        """The fields that are folded away under their headings."""
        main = {field.name: field for field in self.fields.main}
        usual = ((heading, tuple(main[name] for name in names if name in main)) for heading, names in USUAL)
        return (*((tr(heading), fields) for heading, fields in usual if fields), *self.fields.more)

    @property
    def problems(self) -> tuple[FormField, ...]:
        """Every field of the design with an error; before a neck is typed that is none."""
        return self.fields.problems

    @property
    def send_errors(self) -> tuple[SendField, ...]:
        """Every field of the second step with an error."""
        return tuple(field for field in self.send.values() if field.error)


def quick_quote(request: Request) -> Response:
    """The page with the price of what its address asks; for a script in it only what changes."""
    member = signed_in(request, "maker")
    house = house_of(request)
    if not_ready(house.workshop) is not None:
        return go_on("/shop/catalogue")  # it says what is needed first
    asked = read_query(request.scope["query_string"], house.settings.query_max)
    with house.database.reading() as connection:
        owned = owned_dog(connection, house, asked.typed)
    frame = frame_for(member, house.workshop.name, "quote")
    page = made_page(house, frame, asked.without("dog").without("customer"), owned)
    partial = request.headers.get("hx-request") == "true"
    answer = shown(request, "quick_quote/_parts.html" if partial else "quick_quote/page.html", page)
    answer.headers["Vary"] = "HX-Request"
    if page.problems:
        answer.status_code = HTTPStatus.UNPROCESSABLE_ENTITY
    return answer


def made_page(
    house: House,
    frame: Frame,
    asked: Asked,
    owned: Owned | None,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    notice: str = "",
) -> QuotePage:
    """Return the page of what was asked; `typed` and `errors` are those of the second step."""
    path = address("/shop/quote", owned_by(owned))
    problems, pattern = tried(asked, house.workshop)
    outcome = figures_of(pattern, house.workshop, asked) if pattern else None
    fields = design_fields(path, asked, house.workshop, problems, pattern)
    if outcome is None:
        said = in_words(problems, system_of(asked, house.workshop))
    else:
        said = f"{outcome.total}. {outcome.margin}."
    send = _send_fields(typed or {}, errors or {}, house.today)
    key = (typed or {}).get("key", "") or house.reference()
    opened = typed is not None
    others = tuple(replace(one, value=led_to(path, one.value)) for one in kinds(asked, house.workshop))
    return QuotePage(frame, fields, outcome, owned, send, opened, notice, key, path, said, others)


def owned_by(owned: Owned | None) -> dict[str, str]:
    """Return what an address says of the customer and the dog that a quote is for."""
    if owned is None:
        return {}
    return {"customer": owned.customer.id, "dog": owned.dog.id if owned.dog else ""}


def _send_fields(typed: Mapping[str, str], errors: Mapping[str, str], today: date) -> dict[str, SendField]:
    proposed = (today + timedelta(days=USUAL_DAYS)).isoformat()
    rows = (
        ("name", tr("Customer's name"), ""),
        ("contact", tr("Phone or e-mail"), ""),
        ("called", tr("Dog's name, if you know it"), ""),
        ("agreed", tr("Another price, if you agree one"), ""),
        ("promised", tr("Promised for"), proposed),
    )
    return {
        name: SendField(name, label, typed.get(name, usual), errors.get(name, ""))
        for name, label, usual in rows
    }


def sender(request: Request) -> Response:
    """Make the order that was quoted, and a link to it; sent twice, it is made once."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    if not_ready(house.workshop) is not None:
        return go_on("/shop/catalogue")
    asked = only_design(typed)
    with house.database.reading() as connection:
        owned = owned_dog(connection, house, typed)
    errors: dict[str, str] = {}
    whom = owned or read_contact(typed, errors, house.workshop.region)
    promised = read_day(typed, "promised", errors, house.today)
    agreed = read_price(typed, "agreed", errors, house.workshop.rates.minor_digits)
    problems, pattern = tried(asked, house.workshop)
    quote = estimate(pattern, house.workshop) if pattern else None
    notice = _price_notice(typed, quote, house.workshop)
    if pattern is None or quote is None or problems or errors or notice:
        frame = frame_for(member, house.workshop.name, "quote")
        page = made_page(house, frame, asked, owned, typed, errors, notice)
        status = HTTPStatus.CONFLICT if notice and not errors else HTTPStatus.UNPROCESSABLE_ENTITY
        return shown(request, "quick_quote/page.html", page, status)
    by = act(request, member)
    if agreed is not None:
        quote = at_price(quote, agreed, house.workshop.rates)
    with house.database.writing() as connection:
        key = typed.get("key", "")
        if KEY.fullmatch(key) is None:
            key = house.reference()
        if earlier := _made_before(connection, house, key):
            return go_on(f"/shop/orders/{earlier.number}")
        person = whom if isinstance(whom, Owned) else _new_person(connection, house, whom, by)
        dog_id = person.dog.id if person.dog else None
        rows = kept_rows(pattern, house.workshop)
        wish = Enquiry(key, house.workshop_id, person.customer.id, dog_id, pattern.spec, rows)
        order = _quoted_order(connection, house, wish, person, typed, quote, promised, by)
        link, token = fresh_link(house, order, "order", person.customer.name[:60])
        make_link(connection, link, by)
    return to_link(request, order, link, token)


def _price_notice(typed: Mapping[str, str], quote: Quote | None, workshop: Workshop) -> str:
    """What to say when the price is another than the one that was on the screen."""
    was = typed.get("minor", "")
    if quote is None or not was.isdecimal() or was == str(minor_of(quote.total, workshop.rates)):
        return ""
    digits, region = workshop.rates.minor_digits, workshop.region
    before = coins(int(was[:12]), quote.currency, digits, region)
    now = money(quote.total, quote.currency, region)
    return tr(
        "The catalogue has changed meanwhile: this design was {before} and is {now} now. Send it again if"
        " that is right.",
        before=before,
        now=now,
    )


def _made_before(connection: Connection, house: House, key: str) -> Order | None:
    try:
        found = order_by_id(connection, key)
    except NotKept:
        return None
    return found if found.workshop_id == house.workshop_id else None


def _new_person(connection: Connection, house: House, contact: TypedContact, by: Act) -> Owned:
    customer = Customer(
        house.reference(),
        house.workshop_id,
        contact.name,
        contact.email,
        contact.phone,
        "en",
        "",
        by.at,
        by.at,
    )
    add_customer(connection, customer, by)
    if not contact.called:
        return Owned(customer, None)
    dog = Dog(house.reference(), customer.id, contact.called, "", "", by.at)
    add_dog(connection, dog)
    return Owned(customer, dog)


def _quoted_order(
    connection: Connection,
    house: House,
    wish: Enquiry,
    person: Owned,
    typed: Mapping[str, str],
    quote: Quote,
    promised: date | None,
    by: Act,
) -> Order:
    order = take_enquiry(connection, wish, by)
    if person.dog:
        written_measures(connection, house, person.dog, typed, wish.design, by)
    minor = minor_of(quote.total, house.workshop.rates)
    quoted = replace(order, stage="quoted", quote_minor=minor, currency=quote.currency, promised_on=promised)
    return change_order(connection, quoted, by, "quoted")


def quick_quote_routes(app: FastAPI) -> None:
    """Add the quick quote."""
    add_page(app, "/shop/quote", quick_quote, sender)
