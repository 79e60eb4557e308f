"""The customer's page that follows an order, opened by its private link and without an account."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from service.design import kind_of, make_pattern
from service.drawing import figures
from service.errors import GirthwrightError
from service.language import mark, tr
from service.orders import STAGES, WORDS, Decision, Entry, Proof, Stage
from service.storage import (
    Connection,
    Link,
    Order,
    Purpose,
    answers_of,
    customer_by_id,
    dogs_of,
    link_by_token,
    link_seen,
    mails_of,
    measurements_of,
    newest_proof,
    order_by_id,
    photos_of,
    proof_drawing_of,
    record_of,
)
from service.web.clock import local_day
from service.web.configurator import summary
from service.web.family import add_page, shown
from service.web.fields import system_of_design, system_typed
from service.web.house import House, house_of, origin
from service.web.languages import speak_to
from service.web.pace import GUESSES, PAGES, keep_pace
from service.web.page import Row
from service.web.photos import FOR_CUSTOMERS, PhotoShown, photo_answer, photo_of, photos_shown
from service.web.proofs import STRAP, WORN
from service.web.words import coins, day, moment, sentence
from service.workshop import Workshop

WAY: Final[tuple[Stage, ...]] = tuple(one for one in STAGES if one not in {"changes-asked", "cancelled"})
"""The stages that an order passes when all goes well."""
SEEN_AGAIN: Final = timedelta(minutes=5)
"""A page that is looked at again so soon is not noted again."""
HAPPENED: Final[Mapping[str, str]] = {
    "enquiry": mark("The shop was asked to make it."),
    "order-made": mark("The shop wrote the order down."),
    "quoted": mark("The shop named a price."),
    "proof-sent": mark("The shop sent version {version} of the proof."),
    "approve": mark("{name} approved version {version} of the proof."),
    "ask-changes": mark("Changes to version {version} of the proof were asked for."),
}
"""What happened, by the actions on record that concern the customer."""

PRICES: Final[Mapping[Stage, str]] = {
    "enquiry": mark("An estimate. The price that counts will be on the proof."),
    "quoted": mark("The price that the shop quoted."),
}
"""What is said of a price that no proof states yet."""


class LinkEnded(GirthwrightError):
    """The link has run out, or was closed."""


@dataclass(frozen=True, slots=True)
class EndedPage:
    """What is shown for a link that opens nothing any more; `typed` is what was sent to it."""

    shop: str
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A stage on the order's way: behind it, where it is, or ahead."""

    name: str
    state: str


@dataclass(frozen=True, slots=True)
class Told:
    """Something that happened, and what was written with it."""

    at: str
    text: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class ProofLink:
    """The newest proof: whether it waits for an answer, and where it is."""

    href: str
    version: int
    code: str
    waits: bool


@dataclass(frozen=True, slots=True)
class Look:
    """The collar itself, as it was asked for or as its proof shows it."""

    sentence: str
    price: str
    price_note: str
    worn: tuple[str, ...]
    strap: tuple[str, ...]
    sizes: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class FollowedPage:
    """Everything that the customer is told of an order."""

    shop: str
    number: int
    dog: str
    stage: str
    next: str
    steps: tuple[Step, ...]
    promised: str
    look: Look
    notes: str
    proof: ProofLink | None
    history: tuple[Told, ...]
    share_url: str
    mailed: bool
    ends: str
    cautions: tuple[str, ...]
    sent_photos: tuple[PhotoShown, ...]
    finished_photos: tuple[PhotoShown, ...]


def show_order(request: Request, token: str) -> Response:
    """The order as its customer sees it; reading it changes nothing."""
    house = house_of(request)
    try:
        with house.database.reading() as connection:
            link = opened(request, connection, token, ("order",))
            speak_for(request, connection, link)
            page = _page(house, connection, link, f"{origin(request)}/o/{token}", token)
    except LinkEnded:
        return ended(request)
    return shown(request, "order/page.html", page)


def show_photo(request: Request, token: str, photo: str) -> Response:
    """A photo that the customer sent, or one that the shop shows them."""
    house = house_of(request)
    try:
        with house.database.reading() as connection:
            link = opened(request, connection, token, ("order",))
            found = photo_of(connection, link.order_id, photo)
            if found.purpose not in FOR_CUSTOMERS:
                raise HTTPException(HTTPStatus.NOT_FOUND)
            number = order_by_id(connection, link.order_id).number
            name = f"order-{number}-photo"
            return photo_answer(connection, found, name, request.query_params.get("size", ""))
    except LinkEnded:
        return ended(request)


def followed_routes(app: FastAPI) -> None:
    """Add the customer's page of an order."""
    add_page(app, "/o/{token}", show_order)
    add_page(app, "/o/{token}/photos/{photo}.jpg", show_photo)
    add_page(app, "/o/{token}/seen", take=note_seen)
    add_page(app, "/p/{token}/seen", take=note_seen)


def note_seen(request: Request, token: str) -> Response:
    """Note that a browser shows the page to somebody; the page's script says so, and reading it never does.

    Weak evidence: whoever has the link can say so without looking.
    """
    keep_pace(request, PAGES)
    house = house_of(request)
    with suppress(LinkEnded):
        with house.database.reading() as connection:
            link = opened(request, connection, token)
        if link.seen_at is None or house.now() - link.seen_at > SEEN_AGAIN:
            with house.database.writing() as connection:
                link_seen(connection, link.id, house.now())
    return Response(status_code=HTTPStatus.NO_CONTENT)


def opened(
    request: Request, connection: Connection, token: str, purposes: tuple[Purpose, ...] = ("order", "proof")
) -> Link:
    """Return the link of a token; raises LinkEnded, and 404 when no such link was ever made for this.

    Whoever tries many links that there are not gets TooOften.
    """
    link = link_by_token(connection, token)
    if link is None or link.purpose not in purposes:
        keep_pace(request, GUESSES)
        raise HTTPException(HTTPStatus.NOT_FOUND)
    if not link.open_at(house_of(request).now()):
        raise LinkEnded
    return link


def speak_for(request: Request, connection: Connection, link: Link) -> None:
    """Have what a link opens said in the language of the order's customer, unless another was chosen."""
    order = order_by_id(connection, link.order_id)
    speak_to(request, customer_by_id(connection, order.customer_id).language)


def ended(request: Request, typed: str = "") -> Response:
    """Return the page for a link that opens nothing any more."""
    page = EndedPage(house_of(request).workshop.name, typed)
    return shown(request, "order/ended.html", page, HTTPStatus.GONE)


def _page(house: House, connection: Connection, link: Link, here: str, token: str) -> FollowedPage:
    order = order_by_id(connection, link.order_id)
    proof = newest_proof(connection, order.id)
    region, words = order.kept.region, WORDS[order.stage]
    dog = next((dog for dog in dogs_of(connection, order.customer_id) if dog.id == order.dog_id), None)
    entries, mails = record_of(connection, order.workshop_id, order.id), mails_of(connection, order.id)
    photos = photos_shown(photos_of(connection, order.id), f"/o/{token}/photos")
    return FollowedPage(
        shop=house.workshop.name,
        number=order.number,
        dog=dog.name if dog else "",
        stage=words.name,
        next=words.customer,
        steps=_steps(order.stage),
        promised=day(order.promised_on, region) if order.promised_on else "",
        look=_as_proved(connection, proof) if proof else _as_asked(connection, order),
        notes=order.notes,
        proof=_proof_link(order, proof, f"/p/{token}") if proof else None,
        history=tuple(told(entries, answers_of(connection, order.id), house.workshop)),
        share_url=here,
        mailed=any(one.kind == "enquiry-to-customer" and one.sent_at for one in mails),
        ends=day(local_day(link.expires_at, house.workshop), region),
        cautions=tuple(map(tr, kind_of(order.design).cautions)),
        sent_photos=tuple(one for one in photos if one.purpose == "enquiry"),
        finished_photos=tuple(one for one in photos if one.purpose == "finished"),
    )


def _as_asked(connection: Connection, order: Order) -> Look:
    rows, pattern = order.kept, make_pattern(order.design, order.kept)
    measured = measurements_of(connection, order.dog_id) if order.dog_id else ()
    typed = next((row.typed for row in measured if row.what == kind_of(order.design).reads_in), "")
    system = system_typed(typed, rows) if typed else system_of_design(order.design, rows)
    drawn, price = figures(pattern, system), ""
    if order.quote_minor is not None and order.currency is not None:
        price = coins(order.quote_minor, order.currency, rows.rates.minor_digits, rows.region)
    return Look(
        sentence(pattern, system),
        price,
        tr(PRICES.get(order.stage, "")),
        tuple(one.svg for one in drawn.worn),
        drawn.flat,
        summary(pattern, system),
    )


def _as_proved(connection: Connection, proof: Proof) -> Look:
    body, kept = proof.body, {}
    for one in body.drawings:
        kept[one.name] = proof_drawing_of(connection, proof.seen, one.name).content.decode()
    sizes = [Row(row.name, row.size.words, row.how) for row in body.measures]
    sizes += [Row(row.name, row.value) for row in body.choices]
    sizes += [Row(row.name, row.size.words) for row in body.sizes]
    if body.lettering:
        sizes.append(Row(tr("Lettering"), body.lettering))
    return Look(
        body.sentence,
        body.price.total.words,
        tr("As on version {version} of the proof. {tax}", version=proof.version, tax=body.price.tax),
        tuple(text for name, text in kept.items() if name.startswith(WORN)),
        tuple(text for name, text in kept.items() if name.startswith(STRAP)),
        tuple(sizes),
    )


def _steps(stage: Stage) -> tuple[Step, ...]:
    """The way of an order; while changes are asked for it stands where the proof does."""
    if stage == "cancelled":
        return ()
    here = WAY.index("proof-sent" if stage == "changes-asked" else stage)
    states = ("done",) * here + ("here",) + ("ahead",) * (len(WAY) - here - 1)
    names = [WORDS[stage if number == here else one].name for number, one in enumerate(WAY)]
    return tuple(map(Step, names, states))


def _proof_link(order: Order, proof: Proof, href: str) -> ProofLink:
    return ProofLink(href, proof.version, proof.code, order.stage == "proof-sent")


def told(entries: Iterable[Entry], answers: Iterable[Decision], workshop: Workshop) -> Iterator[Told]:
    """Yield what the record tells the customer, oldest first; what is the shop's own affair is left out."""
    by_version = {answer.seen.version: answer for answer in answers}
    for entry in entries:
        fact = entry.fact
        at, answer = moment(datetime.fromisoformat(fact.at), workshop), by_version.get(fact.version)
        if fact.action in HAPPENED:
            name = answer.name if answer else ""
            text = tr(HAPPENED[fact.action], version=fact.version, name=name or tr("The customer"))
            yield Told(at, text, answer.message if answer and fact.action == "ask-changes" else "")
        elif (stage := _moved_to(fact.detail)) is not None:
            yield Told(at, f"{WORDS[stage].name}. {WORDS[stage].customer}")


def _moved_to(detail: str) -> Stage | None:
    """The stage that an entry says the order has moved to."""
    was, _, now = detail.partition(",")[0].partition(" to ")
    return next((stage for stage in STAGES if stage == now), None) if was in STAGES else None
