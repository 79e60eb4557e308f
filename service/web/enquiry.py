"""Asking the shop to make a design: who asks, for which dog, and the order that comes of it."""

import re
from base64 import urlsafe_b64encode
from contextlib import suppress
from dataclasses import dataclass, replace
from hashlib import sha256
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.design import Pattern
from service.drawing import figures
from service.errors import DesignRefused
from service.language import mark, spoken, tr
from service.orders import kept_rows
from service.pricing import estimate, included
from service.storage import (
    ORDER_PAGE_OPENS,
    Act,
    Connection,
    Customer,
    Dog,
    Enquiry,
    Link,
    NotKept,
    Order,
    SentPhoto,
    StorageUnavailable,
    add_customer,
    add_dog,
    change_order,
    customer_by_id,
    dogs_of,
    let_wait,
    make_link,
    order_by_id,
    take_enquiry,
    token_hash,
    waiting_photos,
)
from service.web.access import act
from service.web.again import sent_with
from service.web.configurator import summary, total_note
from service.web.counts import Pace
from service.web.enquiry_form import AGREED, AskField, Typed, ask_fields, read_ask
from service.web.family import add_page, go_on, shown
from service.web.fields import system_of
from service.web.house import House, house_of
from service.web.kept import written_measures
from service.web.mailing import tell_of_enquiry
from service.web.pace import BODIES, ENQUIRIES, PAGES, PHOTOS, TooOften, keep_pace
from service.web.page import Fix, Row
from service.web.parameters import ALL
from service.web.photo_form import KEPT, LOST, UPLOAD_MAX, SentForm, photo_form, ticked, with_waiting
from service.web.photos import kept_photos
from service.web.query import Asked, address, design, linked, read_query
from service.web.throttle import in_words
from service.web.words import moment, money, sentence
from service.workshop import Workshop

KEY: Final = re.compile(r"[A-Za-z0-9_-]{43}")
NOT_SENT: Final = mark(
    "Not sent: the shop's records can't be written just now. What you typed is still here: send it again."
)
LEFT_OUT: Final = mark(
    "The photos were left out: too much came from where you are. Wait {time}, then choose them again, or "
    "send the form without."
)
NO_KEY: Final = mark("Not sent: the form came without its key. What you typed is still here: send it again.")


@dataclass(frozen=True, slots=True)
class Wanted:
    """The design as the form shows it, with what it is estimated to cost."""

    sentence: str
    views: tuple[str, ...]
    summary: tuple[Row, ...]
    total: str
    total_note: str
    included: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SentBefore:
    """That this form was sent before, with other words: the order that came of it, and its page."""

    number: int
    at: str
    href: str


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that can't be made as asked, and the addresses that the form can go to instead."""

    text: str
    fixes: tuple[Fix, ...]


@dataclass(frozen=True, slots=True)
class AskPage:
    """The page that asks the shop to make a design; without `wanted` the design can't be made."""

    shop: str
    wanted: Wanted | None
    troubles: tuple[Trouble, ...]
    fields: tuple[AskField, ...]
    agreed: bool
    agree_error: str
    key: str
    action: str
    change_href: str
    notice: str = ""
    sent: SentBefore | None = None
    photos: tuple[str, ...] = ()
    photos_error: str = ""

    @property
    def problems(self) -> tuple[tuple[str, str, str], ...]:
        """Every error: id of the input, its name, what is wrong."""
        found = [(one.ident, one.label, one.error) for one in self.fields if one.error]
        if self.photos_error:
            found.append(("field-photos", tr("Photos"), self.photos_error))
        if self.agree_error:
            found.append(("field-agreed", tr("Keeping this"), self.agree_error))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Names:
    """The order's id and the secret of its page, both made from the key that the form carried.

    So the same form sent twice finds the order that it made, and leads to the same page, although of the
    secret only a hash is kept. The key has 256 random bits, and nobody but the form's reader has it.
    """

    order: str
    token: str


def show_ask(request: Request) -> Response:
    """The design, and the form that asks the shop to make it."""
    house = house_of(request)
    asked = _asked(request, house)
    pattern = design(asked, house.workshop)
    return shown(request, "enquiry/page.html", _page(house, asked, pattern, Typed({}), house.token()))


def take_ask(request: Request) -> Response:
    """Take the enquiry, once, however often it is sent; the customer goes on to the order's own page.

    With `look` nothing is taken: the page is shown for another design, and what was typed stays.
    """
    house = house_of(request)
    asked = _asked(request, house)
    keep_pace(request, BODIES, _size(request))
    held = _held_up(request, PAGES)

    def refuse(size: int) -> str:
        fault = held or _held_up(request, PHOTOS, size)
        return "" if fault is None else tr(LEFT_OUT, time=in_words(fault.wait))

    sent = photo_form(request, refuse)
    key = sent.fields.get("key", "")
    typed = read_ask(with_waiting(sent, _brought_before(house, sent, key)), house.workshop)
    notice = "" if KEY.fullmatch(key) else tr(NO_KEY)
    try:
        pattern = design(asked, house.workshop)
    except DesignRefused as refused:
        page = _page(house, asked, None, typed, house.token(), _troubles(refused, asked, house.workshop))
        return _again(request, page, typed, HTTPStatus.UNPROCESSABLE_ENTITY)
    if held is not None:
        return _not_sent(request, _page(house, asked, pattern, typed, key), typed, held)
    if typed.fields.get("look"):
        looked = Typed(typed.fields, photos=typed.photos)
        return _again(request, _page(house, asked, pattern, looked, house.token()), typed, HTTPStatus.OK)
    if typed.errors or notice:
        page = _page(house, asked, pattern, typed, house.token() if notice else key, notice=notice)
        return _again(request, page, typed, HTTPStatus.UNPROCESSABLE_ENTITY)
    return _sent(request, house, asked, pattern, typed, key)


def _held_up(request: Request, pace: Pace, count: int = 1) -> TooOften | None:
    try:
        keep_pace(request, pace, count)
    except TooOften as fault:
        return fault
    return None


def _size(request: Request) -> int:
    """How many bytes are coming; as many as may come where that isn't said."""
    said = request.headers.get("content-length", "")
    return int(said) if said.isdecimal() else UPLOAD_MAX


def _waits(house: House, key: str, photos: tuple[SentPhoto, ...]) -> bool:
    """Let a form's photos wait, if they don't already; tell whether they do."""
    try:
        with house.database.reading() as connection:
            there = waiting_photos(connection, key, house.now())
        if photos != there:
            with house.database.writing() as connection:
                let_wait(connection, key, photos, house.now())
    except StorageUnavailable:
        return False
    return True


def _brought_before(house: House, sent: SentForm, key: str) -> tuple[SentPhoto, ...]:
    """The photos that the form brought when it was sent before, if it is still to have any of them."""
    if ticked(sent):
        with suppress(StorageUnavailable), house.database.reading() as connection:
            return waiting_photos(connection, key, house.now())
    return ()


def _sent(request: Request, house: House, asked: Asked, pattern: Pattern, typed: Typed, key: str) -> Response:
    """Take an enquiry that can be taken, and lead to the order that comes of it."""
    names = _names(key)
    try:
        keep_pace(request, ENQUIRIES)
        before = _take(request, house, asked, pattern, typed, names)
    except (StorageUnavailable, TooOften) as fault:
        return _not_sent(request, _page(house, asked, pattern, typed, key), typed, fault)
    if before is None:
        return go_on(f"/o/{names.token}")
    page = replace(_page(house, asked, pattern, typed, house.token()), sent=before)
    return _again(request, page, typed, HTTPStatus.CONFLICT)


def _again(request: Request, page: AskPage, typed: Typed, status: int) -> Response:
    """The form once more; its photos wait for it, since a browser doesn't fill in files."""
    house = house_of(request)
    if typed.photos and not _waits(house, page.key, typed.photos):
        page = replace(page, photos=(), photos_error=f"{page.photos_error} {tr(LOST)}".strip())
    waiting = {f"{KEPT}{number}": "yes" for number, _ in enumerate(page.photos, 1)}
    sent_with(request, {**typed.fields, **waiting})
    return shown(request, "enquiry/page.html", page, status)


def _not_sent(
    request: Request, page: AskPage, typed: Typed, fault: StorageUnavailable | TooOften
) -> Response:
    """The form as it was filled in, with why it was not taken and when to send it again."""
    notice, status, again = tr(NOT_SENT), HTTPStatus.SERVICE_UNAVAILABLE, "5"
    if isinstance(fault, TooOften):
        notice = tr("Not sent. {why} What you typed is kept.", why=fault)
        status, again = HTTPStatus.TOO_MANY_REQUESTS, fault.seconds
    answer = _again(request, replace(page, notice=notice), typed, status)
    answer.headers["Retry-After"] = again
    return answer


def enquiry_routes(app: FastAPI) -> None:
    """Add the page that asks the shop to make a design."""
    add_page(app, "/ask", show_ask, take_ask, body_max=UPLOAD_MAX)


def _asked(request: Request, house: House) -> Asked:
    return read_query(request.scope["query_string"], house.settings.query_max)


def _names(key: str) -> Names:
    def made(what: str, size: int) -> str:
        digest = sha256(f"{what} of {key}".encode()).digest()[:size]
        return urlsafe_b64encode(digest).decode().rstrip("=")

    return Names(made("order", 16), made("page", 32))


def _troubles(refused: DesignRefused, asked: Asked, workshop: Workshop) -> tuple[Trouble, ...]:
    system = system_of(asked, workshop)
    known = {name: text for name, text in linked(asked, workshop).items() if name in ALL}
    return tuple(
        Trouble(
            problem.message.said(system),
            tuple(
                Fix(way.text.said(system), address("/ask", known, **way.values))
                for way in problem.would_work
                if way.field in ALL
            ),
        )
        for problem in refused.problems
    )


def _page(
    house: House,
    asked: Asked,
    pattern: Pattern | None,
    typed: Typed,
    key: str,
    troubles: tuple[Trouble, ...] = (),
    notice: str = "",
) -> AskPage:
    return AskPage(
        shop=house.workshop.name,
        wanted=None if pattern is None else _wanted(asked, pattern, house.workshop),
        troubles=troubles,
        fields=ask_fields(typed),
        agreed=typed.fields.get("agreed") == AGREED,
        agree_error=typed.errors.get("agreed", ""),
        key=key,
        action=address("/ask", linked(asked, house.workshop)),
        change_href=address("/", linked(asked, house.workshop)),
        notice=notice,
        photos=tuple(photo.name for photo in typed.photos),
        photos_error=typed.errors.get("photos", ""),
    )


def _wanted(asked: Asked, pattern: Pattern, workshop: Workshop) -> Wanted:
    system, quote = system_of(asked, workshop), estimate(pattern, workshop)
    drawn = figures(pattern, system)
    return Wanted(
        sentence(pattern, system),
        tuple(one.svg for one in drawn.worn),
        summary(pattern, system),
        money(quote.total, quote.currency, workshop.region),
        total_note(workshop),
        included(pattern, workshop.rates, system),
    )


def _take(
    request: Request, house: House, asked: Asked, pattern: Pattern, typed: Typed, names: Names
) -> SentBefore | None:
    """Keep the enquiry with everything that belongs to it; or say that its form was sent with other words."""
    now = house.now()
    link = Link(
        house.reference(),
        names.order,
        "order",
        typed.read["name"],
        token_hash(names.token),
        now,
        now + ORDER_PAGE_OPENS,
    )
    with house.database.writing() as connection:
        before = _kept(connection, names.order)
        if before is None:
            _keep(connection, house, asked, pattern, typed, link, act(request, link=link))
            return None
        if _same(connection, before, pattern, typed):
            return None
    at = moment(before.made_at, house.workshop)
    return SentBefore(before.number, at, f"/o/{names.token}")


def _kept(connection: Connection, order_id: str) -> Order | None:
    try:
        return order_by_id(connection, order_id)
    except NotKept:
        return None


def _same(connection: Connection, order: Order, pattern: Pattern, typed: Typed) -> bool:
    """Tell whether an order is the one that this very form made."""
    customer = customer_by_id(connection, order.customer_id)
    names = [dog.name for dog in dogs_of(connection, customer.id) if dog.id == order.dog_id]
    said = [typed.read[name] for name in ("name", "email", "phone", "notes", "dog")]
    return order.design == pattern.spec and said == [
        customer.name,
        customer.email,
        customer.phone,
        order.notes,
        *names,
    ]


def _keep(
    connection: Connection,
    house: House,
    asked: Asked,
    pattern: Pattern,
    typed: Typed,
    link: Link,
    by: Act,
) -> None:
    said, rows = typed.read, house.workshop
    who = Customer(
        house.reference(),
        house.workshop_id,
        said["name"],
        said["email"],
        said["phone"],
        spoken().code,
        "",
        by.at,
        by.at,
    )
    add_customer(connection, who, by)
    dog = Dog(house.reference(), who.id, said["dog"], "", "", by.at)
    add_dog(connection, dog)
    written_measures(connection, house, dog, asked.given, pattern.spec, by)
    kept = kept_rows(pattern, rows)
    wanted = Enquiry(link.order_id, house.workshop_id, who.id, dog.id, pattern.spec, kept, said["notes"])
    order = take_enquiry(connection, wanted, by)
    quote = estimate(pattern, kept)
    minor = int(quote.total.scaleb(rows.rates.minor_digits))
    change_order(connection, replace(order, quote_minor=minor, currency=quote.currency), by, "estimated")
    kept_photos(connection, house, order, typed.photos, by)
    make_link(connection, link, by)
    tell_of_enquiry(connection, house, order.id)
