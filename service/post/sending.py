"""Handing mail to the server: over TLS whose certificate is verified, with what went wrong sorted out.

MailTrouble
├── ServerTrouble   the server can't be used just now, for this mail or any other
├── PutOff          it doesn't take this mail just now; trying later may work
│   └── BrokenOff   and it takes no other on this connection
└── Refused         it will never take this mail
    └── NotAddressable  nobody can be written to there
"""

import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP as ON_THE_WIRE
from email.utils import format_datetime
from smtplib import (
    SMTP,
    SMTP_SSL,
    SMTPException,
    SMTPRecipientsRefused,
    SMTPResponseException,
)
from typing import Final

from service.errors import GirthwrightError
from service.post.letters import Letter
from service.settings import MailServer

TIMEOUT_S: Final = 60
"""How long an answer of the server is waited for."""
SERVER_CODES: Final = frozenset({454, 530, 534, 535, 538})
"""Answers that are about the server or our account, not about a mail (RFC 3207, 4; RFC 4954, 6)."""
CLOSING: Final = 421
"""The answer of a server that closes the connection (RFC 5321, 4.2.3)."""
NEVER: Final = 500
"""From this answer on, trying again is no use (RFC 5321, 4.2.1)."""
SHOWN: Final = 200

Send = Callable[[EmailMessage], None]


class MailTrouble(GirthwrightError):
    """A mail was not handed over; `kind` says why in a word, `said` what the server or system said.

    Never raised itself. The shop's pages have the words for each kind.
    """

    kind = ""

    def __init__(self, said: str = "") -> None:
        self.said = said
        super().__init__()

    def __str__(self) -> str:
        """Return it as it is kept: "refused: 550 No such person"."""
        return f"{self.kind}: {self.said}" if self.said else self.kind


class ServerTrouble(MailTrouble):
    """The mail server can't be used just now."""

    kind = "server"


class PutOff(MailTrouble):
    """The server doesn't take this mail just now."""

    kind = "put-off"


class BrokenOff(PutOff):
    """The server closed the connection over this mail; whether it took it is not known."""

    kind = "broken-off"


class Refused(MailTrouble):
    """The server will never take this mail."""

    kind = "refused"


class NotAddressable(Refused):
    """The recipient is no address that mail can be sent to."""

    kind = "not-an-address"


def message_of(
    letter: Letter, *, key: str, shop: str, sender: str, recipient: str, reply_to: str, at: datetime
) -> EmailMessage:
    """Return a letter as it goes over the wire; its id is made from `key`, so that a repeat is recognised.

    Raises NotAddressable for a recipient that is no address, is more than one, or goes beyond ASCII.
    """
    message = EmailMessage(policy=ON_THE_WIRE)
    if not recipient.isascii():
        raise NotAddressable
    try:
        message["From"] = Address(display_name=" ".join(shop.split()), addr_spec=sender)
        message["To"] = Address(addr_spec=recipient)
        message["Reply-To"] = Address(addr_spec=reply_to)
        message["Subject"] = " ".join(letter.subject.split())
        message["Message-ID"] = f"<{key}@{sender.partition('@')[2]}>"
    except (ValueError, IndexError, MessageError) as fault:  # what the parser meets in hostile addresses
        raise NotAddressable from fault
    message["Date"] = format_datetime(at)
    message["Auto-Submitted"] = "auto-generated"  # so that no answering machine answers (RFC 3834)
    message.set_content(letter.body, cte="quoted-printable")
    return message


@contextmanager
def mail_session(server: MailServer, hello: str) -> Iterator[Send]:
    """Say hello to the server, and send whatever is handed over until the block ends; raises ServerTrouble.

    What is handed over raises ServerTrouble, PutOff or Refused when it is not taken.
    """
    try:
        session = _opened(server, hello)
    except (SMTPException, OSError) as fault:
        raise ServerTrouble(_said(fault)) from fault
    try:
        yield lambda message: _hand_over(session, message)
    finally:
        with suppress(SMTPException, OSError):
            session.quit()
        session.close()


def _opened(server: MailServer, hello: str) -> SMTP:
    context = ssl.create_default_context()
    if server.scheme == "smtps":
        session: SMTP = SMTP_SSL(server.host, server.port, hello, timeout=TIMEOUT_S, context=context)
    else:
        session = SMTP(server.host, server.port, hello, timeout=TIMEOUT_S)
    try:
        if server.scheme == "smtp":
            session.starttls(context=context)
        if server.user:
            session.login(server.user, server.password)
    except (SMTPException, OSError):
        session.close()
        raise
    return session


def _hand_over(session: SMTP, message: EmailMessage) -> None:
    try:
        session.sendmail(_address(message, "From"), [_address(message, "To")], message.as_bytes())
    except SMTPRecipientsRefused as fault:
        ((code, said),) = fault.recipients.values()
        raise _sorted(code, _text(said)) from fault
    except SMTPResponseException as fault:
        raise _sorted(fault.smtp_code, _said(fault)) from fault
    except (SMTPException, OSError) as fault:
        raise BrokenOff(_said(fault)) from fault


def _address(message: EmailMessage, header: str) -> str:
    return str(message[header].addresses[0].addr_spec)


def _sorted(code: int, said: str) -> MailTrouble:
    if code in SERVER_CODES:
        return ServerTrouble(said)
    if code == CLOSING:
        return BrokenOff(said)
    return Refused(said) if code >= NEVER else PutOff(said)


def _said(fault: Exception) -> str:
    """The server's own words, else the system's; never a password, which neither repeats."""
    if isinstance(fault, SMTPResponseException):
        return f"{fault.smtp_code} {_text(fault.smtp_error)}"
    return _text(str(getattr(fault, "strerror", None) or fault) or type(fault).__name__)


def _text(said: bytes | str) -> str:
    """What a server said as one line that can be shown."""
    text = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())[:SHOWN]
