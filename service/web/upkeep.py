"""Upkeep: the mail that waits or was given up, and the backups; what a shop looks after now and then."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.language import mark, tr, tr_many
from service.storage import (
    Connection,
    Mail,
    MailKind,
    MailLine,
    MailWaiting,
    backups_in,
    mail_lines,
    mail_waiting,
    try_mail_again,
)
from service.web.access import form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.words import moment
from service.workshop import Workshop

HERE: Final = "/shop/upkeep"
KINDS: Final[Mapping[MailKind, str]] = {
    "enquiry-to-shop": mark("An enquiry, to the shop"),
    "enquiry-to-customer": mark("Enquiry received, to the customer"),
    "order-link": mark("The order's page, to the customer"),
    "proof-link": mark("The proof, to the customer"),
    "answer-to-shop": mark("An answer, to the shop"),
    "receipt": mark("The receipt, to the customer"),
}
TROUBLES: Final[Mapping[str, str]] = {
    "server": mark("The mail server can't be used just now: {said}"),
    "put-off": mark("The mail server puts it off: {said}"),
    "broken-off": mark("The mail server broke off: {said}"),
    "refused": mark("The mail server refuses it: {said}"),
    "not-an-address": mark("No mail can be sent to an address like that. Ask the customer for another."),
    "no-address": mark("The customer has no e-mail address."),
    "cancelled": mark("The order is cancelled."),
    "no-answer": mark("That version of the proof has no answer."),
}
"""What is said of each kind of trouble; `said` are the mail server's own words."""
CUSTOMER_MAILS: Final[Mapping[MailKind, str]] = {
    "enquiry-to-customer": mark("That the enquiry arrived"),
    "order-link": mark("A link to the order's page"),
    "proof-link": mark("A link to the proof"),
    "receipt": mark("The receipt"),
}
"""What the mails to a customer are called on the order's page."""
LATE_AFTER: Final = 2
"""A backup is late after so many times the time between two."""


@dataclass(frozen=True, slots=True)
class MailRow:
    """A mail that was not sent: what it is, its order, since when, and why; `failed` once it was tried."""

    id: str
    what: str
    number: int
    since: str
    state: str
    trouble: str
    failed: bool


@dataclass(frozen=True, slots=True)
class BackupState:
    """How it stands with the backups; `late` says that one should have been made."""

    made: bool
    often: str
    folder: str
    count: int
    last: str
    late: bool


@dataclass(frozen=True, slots=True)
class UpkeepPage:
    """The page; `server` is where mail goes out by, empty where none is sent."""

    frame: Frame
    server: str
    shop_reads: str
    mails: tuple[MailRow, ...]
    count: str
    backups: BackupState


def upkeep(request: Request) -> Response:
    """How it stands with mail and backups."""
    member = signed_in(request)
    house = house_of(request)
    with house.database.reading() as connection:
        lines, count = mail_lines(connection, house.workshop_id), mail_waiting(connection)
    settings = house.settings
    page = UpkeepPage(
        frame_for(member, house.workshop.name),
        settings.smtp.host if settings.smtp else "",
        settings.mail_shop,
        tuple(_row(line, house.workshop) for line in lines),
        _count_words(count),
        backup_state(house),
    )
    return shown(request, "upkeep/page.html", page)


def try_again(request: Request) -> Response:
    """Have a mail tried at once."""
    signed_in(request, "maker")
    house, typed = house_of(request), form(request)
    with house.database.writing() as connection:
        try_mail_again(connection, house.workshop_id, typed.get("mail", ""), house.now())
    return go_on(HERE)


def backup_state(house: House) -> BackupState:
    """Return how it stands with the backups, from the names in their folder."""
    settings, now = house.settings, house.now()
    there = backups_in(settings.backups)
    hours = settings.backup_hours
    last = there[0].at if there else None
    late = bool(hours) and (last is None or now - last > timedelta(hours=hours) * LATE_AFTER)
    return BackupState(
        bool(hours),
        tr_many("every hour", "every {count} hours", hours),
        str(settings.backups),
        len(there),
        moment(last, house.workshop) if last else "",
        late,
    )


def given_up_notice(connection: Connection) -> str:
    """Return what the board says when mail was given up, empty when none was."""
    count = mail_waiting(connection).given_up
    said = tr_many("{count} mail could not be delivered.", "{count} mails could not be delivered.", count)
    return said if count else ""


def mail_state(mail: Mail | MailLine, workshop: Workshop) -> str:
    """Return what became of a mail, in a few words."""
    if isinstance(mail, Mail) and mail.sent_at is not None:
        return tr("mailed {moment}", moment=moment(mail.sent_at, workshop))
    if mail.given_up_at is not None:
        return tr("given up {moment}", moment=moment(mail.given_up_at, workshop))
    if not mail.tries:
        return tr("waits to be sent")
    again = moment(mail.due_at, workshop)
    return tr_many(
        "tried once, again {moment}", "tried {count} times, again {moment}", mail.tries, moment=again
    )


def trouble_words(trouble: str) -> str:
    """Return in words why a mail was not sent, from what was kept of it."""
    kind, _, said = trouble.partition(": ")
    return tr(TROUBLES[kind], said=said) if kind in TROUBLES else trouble


def _count_words(of: MailWaiting) -> str:
    return tr_many(
        "{count} waits, {lost} given up.", "{count} wait, {lost} given up.", of.waiting, lost=of.given_up
    )


def _row(line: MailLine, workshop: Workshop) -> MailRow:
    return MailRow(
        line.id,
        tr(KINDS[line.kind]),
        line.number,
        moment(line.queued_at, workshop),
        mail_state(line, workshop),
        trouble_words(line.trouble),
        bool(line.tries),
    )


def upkeep_routes(app: FastAPI) -> None:
    """Add the page of upkeep."""
    add_page(app, HERE, upkeep)
    add_page(app, f"{HERE}/mail", take=try_again)
