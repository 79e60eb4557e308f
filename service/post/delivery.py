"""Delivering the mail that waits: each is tried with growing delays, and none holds up another.

A mail is held back while it is on its way, so that it is sent by one process at a time. Killed between
handing it over and noting that, the process leaves it to be sent once more, under the same Message-ID: better
twice than never.
"""

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from random import SystemRandom
from secrets import token_urlsafe
from typing import Final
from urllib.parse import urlsplit

from service.errors import GirthwrightError
from service.language import Language
from service.post.composing import OPENS, Composed, compose, keep_link
from service.post.sending import (
    BrokenOff,
    MailTrouble,
    PutOff,
    Send,
    ServerTrouble,
    mail_session,
    message_of,
)
from service.settings import MailServer, Settings
from service.storage import (
    Database,
    Mail,
    NotKept,
    mail_failed,
    mail_given_up,
    mail_is_due,
    mail_sent,
    take_due_mail,
)

HELD: Final = timedelta(minutes=10)
"""How long a mail is held back once taken: longer than the server may take over it."""
FIRST_DELAY: Final = timedelta(minutes=1)
LONGEST_DELAY: Final = timedelta(hours=2)
GIVEN_UP_AFTER: Final = timedelta(days=2)
"""A mail that could not be handed over for so long is given up."""
AT_ONCE: Final = 50
"""So many mails go over one connection."""


@dataclass(slots=True)
class Post:
    """The post of a service. `made` are the links of mails on their way: link id and secret by mail.

    The secret of a link is known here alone, and a mail tried again gets the same as long as this process
    runs. After that it gets another link.
    """

    settings: Settings
    database: Database
    server: MailServer
    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    stopping: Callable[[], bool] = lambda: False
    languages: Mapping[str, Language] = field(default_factory=dict)
    session: Callable[[MailServer, str], AbstractContextManager[Send]] = mail_session
    made: dict[str, tuple[str, str]] = field(default_factory=dict)


@dataclass(slots=True)
class Round:
    """What came of a round: how many mails were sent, put off and given up."""

    sent: int = 0
    put_off: int = 0
    given_up: int = 0


def deliver(post: Post) -> Round:
    """Send what is due. The server is greeted first: as long as it can't be used, no link is made."""
    done = Round()
    with post.database.reading() as connection:
        if not mail_is_due(connection, post.now()):
            return done
    try:
        with post.session(post.server, urlsplit(post.settings.origin).hostname or "localhost") as send:
            for _ in range(AT_ONCE):
                mail = None if post.stopping() else _taken(post)
                if mail is None:
                    break
                _send(post, mail, send, done)
    except BrokenOff:
        pass  # what else is due goes over another connection, in the next round
    except ServerTrouble as fault:
        while (mail := _taken(post)) is not None:
            _put_off(post, mail, fault, done)
    return done


def delay_of(tries: int, chance: float) -> timedelta:
    """Return how long to wait after so many tries: each time twice as long, give or take a quarter."""
    usual = min(LONGEST_DELAY, FIRST_DELAY * (1 << min(tries, 10)))
    return usual * (0.75 + chance / 2)


def _taken(post: Post) -> Mail | None:
    now = post.now()
    with post.database.writing() as connection:
        return take_due_mail(connection, now, now + HELD)


def _send(post: Post, mail: Mail, send: Send, done: Round) -> None:
    """Send one mail and note what came of it; what is about the server or the connection is raised on."""
    try:
        composed = _composed(post, mail)
        message = message_of(
            composed.letter,
            key=mail.id,
            shop=composed.shop,
            sender=post.settings.mail_from,
            recipient=composed.recipient,
            reply_to=post.settings.mail_shop,
            at=post.now(),
        )
        send(message)
    except NotKept:
        post.made.pop(mail.id, None)  # the order was erased, and the mail with it
    except (PutOff, ServerTrouble) as fault:
        _put_off(post, mail, fault, done)
        if isinstance(fault, (BrokenOff, ServerTrouble)):
            raise
    except GirthwrightError as fault:
        _give_up(post, mail, fault, done)
    else:
        with post.database.writing() as connection:
            mail_sent(connection, mail.id, post.now())
        post.made.pop(mail.id, None)
        done.sent += 1


def _composed(post: Post, mail: Mail) -> Composed:
    """The mail with its link, which is kept before anybody can follow it."""
    if mail.kind not in OPENS:
        with post.database.reading() as connection:
            return compose(connection, post.settings, post.languages, mail, "")
    link_id, token = post.made.get(mail.id) or (token_urlsafe(16), token_urlsafe(32))
    with post.database.writing() as connection:
        composed = compose(connection, post.settings, post.languages, mail, token)
        if mail.id not in post.made:
            keep_link(connection, mail, link_id, token, post.now())
    post.made[mail.id] = (link_id, token)
    return composed


def _put_off(post: Post, mail: Mail, fault: MailTrouble, done: Round) -> None:
    now = post.now()
    if now - mail.queued_at >= GIVEN_UP_AFTER:
        _give_up(post, mail, fault, done)
        return
    due_at = now + delay_of(mail.tries, SystemRandom().random())
    with post.database.writing() as connection:
        mail_failed(connection, mail, str(fault), due_at)
    done.put_off += 1


def _give_up(post: Post, mail: Mail, fault: GirthwrightError, done: Round) -> None:
    with post.database.writing() as connection:
        mail_given_up(connection, mail, str(fault), post.now())
    done.given_up += 1
