"""Telling people by mail, where mail is set up: what is queued when, and the link that a maker has mailed."""

import re
from datetime import timedelta
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.errors import Unreadable
from service.language import tr
from service.orders import Decision
from service.saying import say
from service.storage import (
    Connection,
    Mail,
    MailKind,
    customer_by_id,
    mails_to,
    order_by_id,
    queue_mail,
)
from service.web.access import form, signed_in
from service.web.family import add_page, go_on
from service.web.house import House, house_of
from service.web.kept import the_order

LINKS: Final[dict[str, MailKind]] = {"order": "order-link", "proof": "proof-link"}
KEY: Final = re.compile(r"[A-Za-z0-9_-]{16,64}")
"""The key of a form, so that it sent twice is one mail."""
ENQUIRIES_A_DAY: Final = 3
"""So many answers to enquiries go to one address in a day: whoever asks may have typed another's."""


def tell_of_enquiry(connection: Connection, house: House, order_id: str) -> None:
    """Let the shop know that an enquiry came in, and the customer that it arrived."""
    if house.settings.smtp is None:
        return
    _queue(connection, house, order_id, "enquiry-to-shop")
    email = _email(connection, order_id)
    since = house.now() - timedelta(days=1)
    if email and mails_to(connection, email, "enquiry-to-customer", since) < ENQUIRIES_A_DAY:
        _queue(connection, house, order_id, "enquiry-to-customer")


def tell_of_answer(connection: Connection, house: House, answer: Decision) -> None:
    """Let the shop know what a customer answered; whoever approved gets a receipt."""
    if house.settings.smtp is None:
        return
    seen = answer.seen
    _queue(connection, house, seen.order, "answer-to-shop", seen.version)
    if answer.kind == "approve" and _email(connection, seen.order):
        _queue(connection, house, seen.order, "receipt", seen.version)


def link_mailer(request: Request, number: str) -> Response:
    """Mail the customer a link; it is made when the mail is sent, so that nobody else ever has it."""
    signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    purpose, key = typed.get("purpose", ""), typed.get("key", "")
    if purpose not in LINKS:
        raise Unreadable(purpose, say("A link opens an order or a proof."), "order")
    if house.settings.smtp is None:
        raise Unreadable(
            purpose, say("This service sends no mail."), tr("make a link, and hand it on yourself")
        )
    with house.database.writing() as connection:
        order = the_order(connection, house, number)
        if purpose == "proof" and not order.version:
            reason = say("There is no proof yet. Make one first, then mail it.")
            raise Unreadable(purpose, reason, "order")
        if not customer_by_id(connection, order.customer_id).email:
            raise Unreadable(
                "", say("The customer has no e-mail address."), tr("add it on the customer's page")
            )
        mail_id = key if KEY.fullmatch(key) else house.reference()
        _queue(connection, house, order.id, LINKS[purpose], order.version, mail_id)
    return go_on(f"/shop/orders/{number}#links")


def _queue(
    connection: Connection, house: House, order_id: str, kind: MailKind, version: int = 0, key: str = ""
) -> None:
    now = house.now()
    queue_mail(
        connection, Mail(key or house.reference(), house.workshop_id, order_id, kind, version, now, now)
    )


def _email(connection: Connection, order_id: str) -> str:
    return customer_by_id(connection, order_by_id(connection, order_id).customer_id).email


def mailing_routes(app: FastAPI) -> None:
    """Add the address that has a link mailed."""
    add_page(app, "/shop/orders/{number}/mail", take=link_mailer)
