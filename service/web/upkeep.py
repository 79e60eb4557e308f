"""Upkeep: the mail that waits or was given up, and the backups; what a shop looks after now and then."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from fastapi import FastAPI, Request
from fastapi.responses import Response

from service.storage import (
    Connection,
    Mail,
    MailKind,
    MailLine,
    backups_in,
    mail_lines,
    mail_waiting,
    try_mail_again,
)
from service.web.access import form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of
from service.web.words import moment, plural

HERE: Final = "/shop/upkeep"
KINDS: Final[Mapping[MailKind, str]] = {
    "enquiry-to-shop": "An enquiry, to the shop",
    "enquiry-to-customer": "Enquiry received, to the customer",
    "order-link": "The order's page, to the customer",
    "proof-link": "The proof, to the customer",
    "answer-to-shop": "An answer, to the shop",
    "receipt": "The receipt, to the customer",
}
CUSTOMER_MAILS: Final[Mapping[MailKind, str]] = {
    "enquiry-to-customer": "That the enquiry arrived",
    "order-link": "A link to the order's page",
    "proof-link": "A link to the proof",
    "receipt": "The receipt",
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
    waiting: int
    given_up: int
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
        tuple(_row(line, house.workshop.region) for line in lines),
        count.waiting,
        count.given_up,
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
        "every hour" if hours == 1 else f"every {hours} hours",
        str(settings.backups),
        len(there),
        moment(last, house.workshop.region) if last else "",
        late,
    )


def given_up_notice(connection: Connection) -> str:
    """Return what the board says when mail was given up, empty when none was."""
    count = mail_waiting(connection).given_up
    return f"{plural(count, 'mail')} could not be delivered." if count else ""


def mail_state(mail: Mail | MailLine, region: str) -> str:
    """Return what became of a mail, in a few words."""
    if isinstance(mail, Mail) and mail.sent_at is not None:
        return f"mailed {moment(mail.sent_at, region)}"
    if mail.given_up_at is not None:
        return f"given up {moment(mail.given_up_at, region)}"
    if not mail.tries:
        return "waits to be sent"
    tried = "once" if mail.tries == 1 else f"{mail.tries} times"
    return f"tried {tried}, again {moment(mail.due_at, region)}"


def _row(line: MailLine, region: str) -> MailRow:
    return MailRow(
        line.id,
        KINDS[line.kind],
        line.number,
        moment(line.queued_at, region),
        mail_state(line, region),
        line.trouble,
        bool(line.tries),
    )


def upkeep_routes(app: FastAPI) -> None:
    """Add the page of upkeep."""
    add_page(app, HERE, upkeep)
    add_page(app, f"{HERE}/mail", take=try_again)
