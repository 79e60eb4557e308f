"""Mail that waits to be sent: queued in the same writing as what it tells of; neither is kept alone."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select, update

from service.storage.rows import all_as, keep, select_as
from service.storage.tables import mail_queue


@dataclass(frozen=True, slots=True)
class Mail:
    """A mail in plain text; it is due from `due_at` on, and was tried `tries` times, last with `trouble`."""

    id: str
    workshop_id: str
    order_id: str | None
    recipient: str
    subject: str
    body: str
    made_at: datetime
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


def queue_mail(connection: Connection, new: Mail) -> None:
    """Let a mail wait to be sent."""
    keep(connection, mail_queue, new)


def take_due_mail(connection: Connection, at: datetime, until: datetime, limit: int = 20) -> tuple[Mail, ...]:
    """Return mails that are due, and hold them back `until` then, so that no other process sends them too."""
    waits = mail_queue.c.sent_at.is_(None) & mail_queue.c.given_up_at.is_(None)
    chosen = select_as(Mail, mail_queue).where(waits, mail_queue.c.due_at <= at)
    due = all_as(Mail, connection, chosen.order_by(mail_queue.c.due_at, mail_queue.c.id).limit(limit))
    held = mail_queue.c.id.in_([mail.id for mail in due])
    connection.execute(update(mail_queue).where(held).values(due_at=until))
    return due


def mail_sent(connection: Connection, mail_id: str, at: datetime) -> None:
    """Keep that a mail was sent."""
    _change(connection, mail_id, sent_at=at)


def mail_failed(connection: Connection, mail: Mail, trouble: str, due_at: datetime) -> None:
    """Let a mail wait for another try."""
    _change(connection, mail.id, tries=mail.tries + 1, trouble=trouble, due_at=due_at)


def mail_given_up(connection: Connection, mail: Mail, trouble: str, at: datetime) -> None:
    """Keep that a mail can't be sent."""
    _change(connection, mail.id, tries=mail.tries + 1, trouble=trouble, given_up_at=at)


def mail_waiting(connection: Connection) -> MailWaiting:
    """Return how it stands with the mail."""
    waits = mail_queue.c.sent_at.is_(None) & mail_queue.c.given_up_at.is_(None)
    count, oldest = connection.execute(
        select(func.count(), func.min(mail_queue.c.made_at)).where(waits)
    ).one()
    lost = select(func.count()).where(mail_queue.c.given_up_at.is_not(None))
    return MailWaiting(count, oldest, connection.execute(lost).scalar_one())


def _change(connection: Connection, mail_id: str, **changes: str | int | datetime) -> None:
    connection.execute(update(mail_queue).where(mail_queue.c.id == mail_id).values(**changes))
