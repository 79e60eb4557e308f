"""A mail made from what the store holds when it is sent: to whom, its text, and a link of its own."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from service import orders
from service.language import ENGLISH, Language, speaking
from service.orders import Decision
from service.post.letters import (
    Letter,
    answer_to_shop,
    enquiry_to_customer,
    enquiry_to_shop,
    order_link,
    proof_link,
    receipt_letter,
)
from service.post.sending import MailTrouble
from service.settings import Settings
from service.storage import (
    LINK_OPENS,
    ORDER_PAGE_OPENS,
    Act,
    Connection,
    Link,
    Mail,
    MailKind,
    Order,
    Purpose,
    answers_of,
    current_catalogue,
    customer_by_id,
    entry_of,
    make_link,
    order_by_id,
    proof_of_version,
    token_hash,
)

OPENS: Final[dict[MailKind, tuple[Purpose, timedelta]]] = {
    "enquiry-to-customer": ("order", ORDER_PAGE_OPENS),
    "order-link": ("order", LINK_OPENS),
    "proof-link": ("proof", LINK_OPENS),
}
"""The mails with a link of their own: what it opens, and for how long."""
PATHS: Final[dict[Purpose, str]] = {"order": "/o/", "proof": "/p/"}
TO_SHOP: Final[frozenset[MailKind]] = frozenset({"enquiry-to-shop", "answer-to-shop"})
"""The mails that the shop gets; the others go to the customer."""
BY_MAIL: Final = ", by mail"
LABEL_MAX: Final = 60
"""Longest label of a link [characters]."""


class NotToBeSent(MailTrouble):
    """What the mail is about is no longer so; `kind` says what."""

    def __init__(self, kind: Literal["no-address", "cancelled", "no-answer"]) -> None:
        super().__init__()
        self.kind = kind


@dataclass(frozen=True, slots=True)
class Composed:
    """A letter, to whom it goes, and the shop that signs it."""

    letter: Letter
    recipient: str
    shop: str


def compose(
    connection: Connection, settings: Settings, languages: Mapping[str, Language], mail: Mail, token: str
) -> Composed:
    """Return the mail as it is to be sent, in its reader's language; `token` is the secret of its link.

    Raises NotToBeSent, and NotKept when the order is gone.
    """
    order = order_by_id(connection, mail.order_id)
    customer = customer_by_id(connection, order.customer_id)
    shop = current_catalogue(connection, mail.workshop_id).rows.name
    to_shop = mail.kind in TO_SHOP
    recipient = settings.mail_shop if to_shop else customer.email
    if not recipient:
        raise NotToBeSent("no-address")
    if mail.kind in OPENS and order.stage == "cancelled":
        raise NotToBeSent("cancelled")
    with speaking(ENGLISH if to_shop else languages.get(customer.language, ENGLISH)):
        return Composed(_letter(connection, settings, mail, order, shop, token), recipient, shop)


def keep_link(connection: Connection, mail: Mail, link_id: str, token: str, at: datetime) -> None:
    """Keep the link that goes with a mail."""
    purpose, lasts = OPENS[mail.kind]
    customer = customer_by_id(connection, order_by_id(connection, mail.order_id).customer_id)
    label = f"{customer.name[: LABEL_MAX - len(BY_MAIL)]}{BY_MAIL}"
    link = Link(link_id, mail.order_id, purpose, label, token_hash(token), at, at + lasts)
    make_link(connection, link, Act("service", "mail", at))


def _letter(
    connection: Connection, settings: Settings, mail: Mail, order: Order, shop: str, token: str
) -> Letter:
    number = order.number
    shop_page = f"{settings.origin}/shop/orders/{number}"
    match mail.kind:
        case "enquiry-to-shop":
            return enquiry_to_shop(number, shop_page)
        case "enquiry-to-customer":
            return enquiry_to_customer(shop, number, _address(settings, mail, token))
        case "order-link":
            return order_link(shop, number, _address(settings, mail, token))
        case "proof-link":
            return proof_link(shop, number, _address(settings, mail, token))
        case "answer-to-shop":
            answer = _answer(connection, mail)
            return answer_to_shop(number, mail.version, answer.message, shop_page)
        case "receipt":
            answer = _answer(connection, mail)
            proof = proof_of_version(connection, order.id, mail.version)
            text = orders.receipt(answer, proof, entry_of(connection, mail.workshop_id, answer))
            return receipt_letter(shop, number, mail.version, text)


def _address(settings: Settings, mail: Mail, token: str) -> str:
    return f"{settings.origin}{PATHS[OPENS[mail.kind][0]]}{token}"


def _answer(connection: Connection, mail: Mail) -> Decision:
    for answer in answers_of(connection, mail.order_id):
        if answer.seen.version == mail.version:
            return answer
    raise NotToBeSent("no-answer")
