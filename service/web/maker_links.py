"""Links that a maker hands out: made for one recipient, shown once, with a QR code; ended sooner or later."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from http import HTTPStatus
from typing import Final, cast, get_args
from urllib.parse import quote

import segno
from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.errors import Unreadable
from service.language import mark, tr
from service.saying import say
from service.storage import (
    LINK_OPENS,
    Link,
    Member,
    NotKept,
    Order,
    Purpose,
    customer_by_id,
    links_of,
    make_link,
    move_link_end,
    revoke_link,
    token_hash,
)
from service.text import clean_line
from service.web.access import act, form, is_secure, signed_in
from service.web.clock import end_of, local_day
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of, origin
from service.web.kept import the_order
from service.web.words import moment
from service.workshop import Workshop

LONGEST: Final = timedelta(days=365)
"""So far ahead a maker may put its end."""
IN_SIGHT_S: Final = 600
"""How long [s] the browser that made a link can show it."""
LABEL_MAX: Final = 60
PATHS: Final[dict[Purpose, str]] = {"order": "/o/", "proof": "/p/"}
SAID: Final[dict[Purpose, str]] = {
    "order": mark("Here is your order, with its price and how far it is:"),
    "proof": mark("Here is the proof of your order. Look it over, then approve it or ask for changes:"),
}
"""What goes with a link: no names, since nobody knows who else reads it."""
OPENS: Final[dict[Purpose, str]] = {
    "order": mark("the order's page"),
    "proof": mark("the proof, to be answered"),
}


@dataclass(frozen=True, slots=True)
class LinkRow:
    """A link as the maker sees it: for whom, what it opens, until when, and what has become of it."""

    id: str
    href: str
    label: str
    opens: str
    until: str
    seen: str
    is_open: bool
    revoked: bool


@dataclass(frozen=True, slots=True)
class EndField:
    """The field for a link's last day: what stands in it, between which days, what is wrong."""

    typed: str
    first: str
    last: str
    error: str


@dataclass(frozen=True, slots=True)
class LinkPage:
    """One link. `address` and `qr` are there only for the browser that has just made it."""

    frame: Frame
    number: int
    row: LinkRow
    address: str
    qr: str
    mail: str
    text_message: str
    end: EndField
    can_move: bool


def fresh_link(house: House, order: Order, purpose: Purpose, label: str) -> tuple[Link, str]:
    """Return a new link to an order, not kept yet, and its secret."""
    now, token = house.now(), house.token()
    link = Link(house.reference(), order.id, purpose, label, token_hash(token), now, now + LINK_OPENS)
    return link, token


def to_link(request: Request, order: Order, link: Link, token: str) -> Response:
    """Go on to the page of a link that was just made, with its secret for this browser alone.

    The secret is kept nowhere else: not in an address, which browsers remember, nor in the store.
    """
    path = _path(order.number, link.id)
    answer = go_on(path)
    secure = is_secure(request)
    answer.set_cookie(
        _cookie_name(request),
        token,
        max_age=IN_SIGHT_S,
        path=path,
        httponly=True,
        secure=secure,
        samesite="strict",
    )
    return answer


def _cookie_name(request: Request) -> str:
    """The cookie's name; bound to one page's path, it can't have the prefix that binds it to the host."""
    return "__Secure-fresh" if is_secure(request) else "fresh"


def link_rows(house: House, order: Order, links: tuple[Link, ...]) -> tuple[LinkRow, ...]:
    """Return an order's links as the maker sees them."""
    return tuple(_row(order, link, house.now(), house.workshop) for link in links)


def _row(order: Order, link: Link, now: datetime, workshop: Workshop) -> LinkRow:
    if link.revoked_at is not None:
        until = tr("Revoked {moment}", moment=moment(link.revoked_at, workshop))
    else:
        ends = moment(link.expires_at, workshop)
        until = (
            tr("Opens until {moment}", moment=ends)
            if now < link.expires_at
            else tr("Ended {moment}", moment=ends)
        )
    seen = tr("not seen to be looked at")
    if link.seen_at:
        seen = tr("last looked at {moment}", moment=moment(link.seen_at, workshop))
    return LinkRow(
        link.id,
        _path(order.number, link.id),
        link.label,
        tr(OPENS[link.purpose]),
        until,
        seen,
        link.open_at(now),
        link.revoked_at is not None,
    )


def _path(number: int | str, link_id: str) -> str:
    return f"/shop/orders/{number}/links/{link_id}"


def link_maker(request: Request, number: str) -> Response:
    """Make a link for a recipient."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    purpose = typed.get("purpose", "order")
    if purpose not in get_args(Purpose):
        raise Unreadable(purpose, say("A link opens an order or a proof."), "order")
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        if purpose == "proof" and not order.version:
            reason = say("There is no proof yet. Make one first, then a link to it.")
            raise Unreadable(purpose, reason, "order")
        label = clean_line(typed.get("label", ""), LABEL_MAX)
        label = label or customer_by_id(connection, order.customer_id).name[:LABEL_MAX]
        link, token = fresh_link(house, order, cast("Purpose", purpose), label)
        make_link(connection, link, act(request, member))
    return to_link(request, order, link, token)


def link_page(request: Request, number: str, link_id: str) -> Response:
    """A link: as text to copy and a QR code when it was just made, and in any case how long it opens."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        order = the_order(connection, house, number)
        link = _of(order, links_of(connection, order.id), link_id)
    return _page(request, member, order, link)


def _page(
    request: Request, member: Member, order: Order, link: Link, typed: str = "", error: str = ""
) -> Response:
    house = house_of(request)
    token = request.cookies.get(_cookie_name(request), "")
    fresh = bool(token) and token_hash(token) == link.token_hash
    address = origin(request) + PATHS[link.purpose] + token if fresh else ""
    subject, said = tr("Your order"), f"{tr(SAID[link.purpose])} {address}"
    page = LinkPage(
        frame_for(member, house.workshop.name),
        order.number,
        _row(order, link, house.now(), house.workshop),
        address,
        qr_of(address) if fresh else "",
        f"mailto:?subject={quote(subject)}&body={quote(said)}" if fresh else "",
        f"sms:?&body={quote(said)}" if fresh else "",
        EndField(
            typed or max(local_day(link.expires_at, house.workshop), house.today).isoformat(),
            house.today.isoformat(),
            (house.today + LONGEST).isoformat(),
            error,
        ),
        can_move=link.revoked_at is None and order.stage != "cancelled",
    )
    status = HTTPStatus.UNPROCESSABLE_ENTITY if error else HTTPStatus.OK
    return shown(request, "maker_order/link.html", page, status)


def qr_of(address: str) -> str:
    """Return an address as a QR code (ISO/IEC 18004) that is read by a camera: an SVG for a page."""
    code = segno.make(address, error="m", micro=False)
    return str(
        code.svg_inline(
            omitsize=True,
            border=4,
            dark="#000",
            light="#fff",
            svgclass="qr",
            lineclass=None,
            title=tr("QR code"),
        )
    )


def end_mover(request: Request, number: str, link_id: str) -> Response:
    """Let a link open until the end of another day, later or sooner."""
    member = signed_in(request, "maker")
    house, typed = house_of(request), form(request).get("until", "").strip()
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        link = _of(order, links_of(connection, order.id), link_id)
        day, error = _last_day(typed, house.today)
        if link.revoked_at is not None:
            error = tr("A revoked link stays closed. Make a new one on the order's page.")
        elif order.stage == "cancelled":
            error = tr("The order is cancelled, and nothing opens its links again.")
        if error:
            return _page(request, member, order, link, typed, error)
        move_link_end(connection, link.id, end_of(day, house.workshop), act(request, member))
    return go_on(_path(number, link_id))


def _last_day(typed: str, today: date) -> tuple[date, str]:
    """The day that was typed, and what is wrong with it."""
    example = tr(
        "Type the last day as year-month-day, for example {day}.", day=(today + LINK_OPENS).isoformat()
    )
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return today, example
    if day < today:
        return day, tr("That day is over. {how} To close the link at once, revoke it.", how=example)
    if day > today + LONGEST:
        return day, tr("That is more than a year ahead. {how}", how=example)
    return day, ""


def revoker(request: Request, number: str, link_id: str) -> Response:
    """Close a link for good."""
    member = signed_in(request, "maker")
    house = house_of(request)
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        link = _of(order, links_of(connection, order.id), link_id)
        revoke_link(connection, link.id, act(request, member))
    return go_on(_path(number, link_id))


def _of(order: Order, links: tuple[Link, ...], link_id: str) -> Link:
    found = next((link for link in links if link.id == link_id), None)
    if found is None:
        raise NotKept("link", f"of order {order.number}")
    return found


def link_routes(app: FastAPI) -> None:
    """Add the addresses of links."""
    add_page(app, "/shop/orders/{number}/links", take=link_maker)
    add_page(app, "/shop/orders/{number}/links/{link_id}", link_page)
    add_page(app, "/shop/orders/{number}/links/{link_id}/end", take=end_mover)
    add_page(app, "/shop/orders/{number}/links/{link_id}/revoke", take=revoker)
