"""A mail server on this machine that really speaks SMTP, takes what it is told to take, and keeps it."""

import socket
import ssl
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, Envelope

from service.settings import MailServer

USER, PASSWORD = "orders@collars.example", "four plain words"
TAKEN = "250 OK"


@dataclass
class Box:
    """What the server took. `answer` says what it answers to a recipient's next mail; None breaks off."""

    mails: list[EmailMessage] = field(default_factory=list)
    answer: Callable[[str], str | None] = lambda _: TAKEN
    greeted: int = 0

    async def handle_EHLO(self, _: Any, session: Any, __: Any, hostname: str, lines: list[str]) -> list[str]:  # noqa: ANN401, N802 - as aiosmtpd calls it
        session.host_name, self.greeted = hostname, self.greeted + 1
        return lines

    async def handle_DATA(self, server: Any, _: Any, envelope: Envelope) -> str:  # noqa: ANN401, N802 - the same
        assert isinstance(envelope.content, bytes)
        said = self.answer(envelope.rcpt_tos[0])
        if said is None:
            server.transport.close()
            return "421 gone"
        if said == TAKEN:
            mail = message_from_bytes(envelope.content, policy=policy.default)
            assert isinstance(mail, EmailMessage)
            self.mails.append(mail)
        return said

    def to(self, recipient: str) -> list[EmailMessage]:
        """The mails that somebody got."""
        return [mail for mail in self.mails if mail["To"] == recipient]


def authenticate(_: Any, __: Any, ___: Any, mechanism: str, data: Any) -> AuthResult:  # noqa: ANN401 - as aiosmtpd calls it
    assert mechanism in {"LOGIN", "PLAIN"}
    right = (data.login, data.password) == (USER.encode(), PASSWORD.encode())
    return AuthResult(success=right, handled=False)


def free_port() -> int:
    """A port that nobody listens on."""
    with closing(socket.socket()) as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@contextmanager
def running(box: Box, scheme: str = "smtp-plain", user: str = "", **more: Any) -> Iterator[MailServer]:  # noqa: ANN401 - settings of aiosmtpd
    """The server while it is needed, and how it is reached."""
    port = free_port()
    controller = Controller(box, hostname="127.0.0.1", port=port, server_hostname="localhost", **more)
    controller.start()
    try:
        yield MailServer(scheme, "localhost", port, user, PASSWORD if user else "")
    finally:
        controller.stop()


@dataclass
class Certificates:
    """What a server shows, and the authority that has vouched for it."""

    context: ssl.SSLContext
    authority: Path


@pytest.fixture(scope="session")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Certificates:
    authority = trustme.CA()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("localhost").configure_cert(context)
    file = tmp_path_factory.mktemp("authority") / "authority.pem"
    authority.cert_pem.write_to_path(file)
    return Certificates(context, file)
