"""Mail that waits to be sent: queued in the same writing as what it tells of; neither is kept alone.

What waits is what a mail is about. Its text, to whom it goes and the secret of its link are made when it is
sent, so that none of them lies in the queue or in a backup.
"""

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any, Final, Literal

from sqlalchemy import Connection, delete, func, select, update

from service.storage.faults import NotKept
from service.storage.rows import all_as, first_as, keep, select_as
from service.storage.tables import customer, mail_queue, orders

MailKind = Literal[
    "enquiry-to-shop", "enquiry-to-customer", "order-link", "proof-link", "answer-to-shop", "receipt"
]
"""What a mail is about: an enquiry that came in, a link the shop sends, a customer's answer to a proof."""

WAITS: Final = mail_queue.c.sent_at.is_(None) & mail_queue.c.given_up_at.is_(None)


@dataclass(frozen=True, slots=True)
class Mail:
    """A mail about an order and, where it is about one, a `version` of its proof (else 0).

    It waits since `queued_at`, is due from `due_at` on, and was tried `tries` times, last with `trouble`.
    """

    id: str
    workshop_id: str
    order_id: str
    kind: MailKind
    version: int
    queued_at: datetime
    due_at: datetime
    tries: int = 0
    trouble: str = ""
    sent_at: datetime | None = None
    given_up_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class MailWaiting:
    """How many mails wait, since when the oldest does, and how many were given up."""

    waiting: int
    oldest: datetime | None
    given_up: int


@dataclass(frozen=True, slots=True)
class MailLine:
    """A mail that waits or was given up, with the number of its order."""

    id: str
    number: int
    kind: MailKind
    queued_at: datetime
    due_at: datetime
    tries: int
    trouble: str
    given_up_at: datetime | None


def queue_mail(connection: Connection, new: Mail) -> None:
    """Let a mail wait to be sent; queued under the same id before, it is one mail."""
    if first_as(Mail, connection, select_as(Mail, mail_queue).where(mail_queue.c.id == new.id)) is None:
        keep(connection, mail_queue, new)


def take_due_mail(connection: Connection, at: datetime, until: datetime) -> Mail | None:
    """Return a mail that is due, and hold it back `until` then, so that no other process sends it too."""
    chosen = select_as(Mail, mail_queue).where(WAITS, mail_queue.c.due_at <= at)
    due = first_as(Mail, connection, chosen.order_by(mail_queue.c.due_at, mail_queue.c.id).limit(1))
    if due is not None:
        _change(connection, due.id, due_at=until)
    return due


def mail_is_due(connection: Connection, at: datetime) -> bool:
    """Tell whether a mail is due; nothing is written."""
    chosen = select(mail_queue.c.id).where(WAITS, mail_queue.c.due_at <= at).limit(1)
    return connection.execute(chosen).first() is not None


def mail_sent(connection: Connection, mail_id: str, at: datetime) -> None:
    """Keep that a mail was sent."""
    _change(connection, mail_id, sent_at=at)


def mail_failed(connection: Connection, mail: Mail, trouble: str, due_at: datetime) -> None:
    """Let a mail wait for another try."""
    _change(connection, mail.id, tries=mail.tries + 1, trouble=trouble, due_at=due_at)


def mail_given_up(connection: Connection, mail: Mail, trouble: str, at: datetime) -> None:
    """Keep that a mail can't be sent."""
    _change(connection, mail.id, tries=mail.tries + 1, trouble=trouble, given_up_at=at)


def try_mail_again(connection: Connection, workshop_id: str, mail_id: str, at: datetime) -> None:
    """Have a mail that waits or was given up tried at once, as if it were new; raises NotKept."""
    here = (mail_queue.c.id == mail_id) & (mail_queue.c.workshop_id == workshop_id)
    anew: dict[str, Any] = {"given_up_at": None, "tries": 0, "queued_at": at, "due_at": at}
    again = update(mail_queue).where(here, mail_queue.c.sent_at.is_(None)).values(anew)
    if connection.execute(again).rowcount != 1:
        raise NotKept("mail", "that waits under this id")


def mail_waiting(connection: Connection) -> MailWaiting:
    """Return how it stands with the mail."""
    count, oldest = connection.execute(
        select(func.count(), func.min(mail_queue.c.queued_at)).where(WAITS)
    ).one()
    lost = select(func.count()).where(mail_queue.c.given_up_at.is_not(None))
    return MailWaiting(count, oldest, connection.execute(lost).scalar_one())


def mail_lines(connection: Connection, workshop_id: str, limit: int = 100) -> tuple[MailLine, ...]:
    """Return a workshop's mail that is not sent: what was given up first, then what waits longest."""
    own = (mail_queue.c[field.name] for field in fields(MailLine) if field.name != "number")
    chosen = select(*own, orders.c.number).join(orders, orders.c.id == mail_queue.c.order_id)
    here = (mail_queue.c.workshop_id == workshop_id) & mail_queue.c.sent_at.is_(None)
    first = (mail_queue.c.given_up_at.is_(None), mail_queue.c.queued_at, mail_queue.c.id)
    return all_as(MailLine, connection, chosen.where(here).order_by(*first).limit(limit))


def mails_of(connection: Connection, order_id: str) -> tuple[Mail, ...]:
    """Return an order's mails, sent or not, the newest first."""
    chosen = select_as(Mail, mail_queue).where(mail_queue.c.order_id == order_id)
    return all_as(Mail, connection, chosen.order_by(mail_queue.c.queued_at.desc(), mail_queue.c.id))


def mails_to(connection: Connection, email: str, kind: MailKind, since: datetime) -> int:
    """Return how many mails of a kind were queued for customers of an address since then."""
    chosen = select(func.count()).join(orders, orders.c.id == mail_queue.c.order_id)
    chosen = chosen.join(customer, customer.c.id == orders.c.customer_id)
    here = (mail_queue.c.kind == kind) & (func.lower(customer.c.email) == email.lower())
    return int(connection.execute(chosen.where(here, mail_queue.c.queued_at >= since)).scalar_one())


def forget_sent_mail(connection: Connection, before: datetime) -> None:
    """Forget what was sent before then."""
    connection.execute(delete(mail_queue).where(mail_queue.c.sent_at < before))


def _change(connection: Connection, mail_id: str, **changes: str | int | datetime) -> None:
    connection.execute(update(mail_queue).where(mail_queue.c.id == mail_id).values(**changes))
