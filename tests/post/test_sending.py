"""Mail goes over a verified TLS, addressed to one person, and whatever goes wrong is sorted out."""

import re
from datetime import UTC, datetime
from email.message import EmailMessage

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.post.letters import Letter
from service.post.sending import (
    BrokenOff,
    MailTrouble,
    PutOff,
    Refused,
    ServerTrouble,
    mail_session,
    message_of,
)
from service.settings import MailServer
from tests.post.mail_server import PASSWORD, USER, Box, Certificates, authenticate, free_port, running

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def message(
    recipient: str = "ada@mail.example",
    shop: str = "Oxlip Bench",
    subject: str = "Order 12",
    body: str = "Look.",
) -> EmailMessage:
    return message_of(
        Letter(subject, body),
        key="mail_key-1",
        shop=shop,
        sender="orders@collars.example",
        recipient=recipient,
        reply_to="ola@collars.example",
        at=NOON,
    )


def test_a_mail_arrives_as_it_was_written() -> None:
    box = Box()
    text = "Grüße – £45.30\n\nhttps://collars.example/p/" + "x" * 300 + "\n.\nFrom here on\n"
    with running(box) as server, mail_session(server, "collars.example") as send:
        send(message(body=text, shop='Öxlip "Bench", Ltd <x>', subject="Order 12 – Öxlip"))
    (mail,) = box.mails
    assert mail.get_content().replace("\r\n", "\n") == text
    assert mail["From"].addresses[0].display_name == 'Öxlip "Bench", Ltd <x>'
    assert [mail[name] for name in ("Subject", "To", "Reply-To", "Message-ID", "Auto-Submitted")] == [
        "Order 12 – Öxlip",
        "ada@mail.example",
        "ola@collars.example",
        "<mail_key-1@collars.example>",
        "auto-generated",
    ]
    assert mail["Date"].datetime == NOON


def test_over_starttls_the_name_and_the_password_are_given_once_the_server_is_known(
    certificates: Certificates, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificates.authority))
    box, tls = Box(), {"tls_context": certificates.context, "require_starttls": True}
    with running(box, "smtp", USER, authenticator=authenticate, auth_required=True, **tls) as server:
        with mail_session(server, "collars.example") as send:
            send(message())
        assert len(box.mails) == 1
        wrong = MailServer(server.scheme, server.host, server.port, USER, "another password")
        with pytest.raises(ServerTrouble, match="535") as trouble, mail_session(wrong, "collars.example"):
            pass
        assert "another password" not in str(trouble.value)


def test_a_server_that_cannot_prove_who_it_is_gets_neither_mail_nor_password(
    certificates: Certificates,
) -> None:
    box = Box()
    with (
        running(box, "smtp", USER, tls_context=certificates.context, authenticator=authenticate) as server,
        pytest.raises(ServerTrouble, match="certificate verify failed"),
        mail_session(server, "collars.example"),
    ):
        pass
    assert box.mails == []


def test_a_server_without_tls_is_refused_where_tls_is_wanted() -> None:
    with (
        running(Box(), "smtp") as server,
        pytest.raises(ServerTrouble, match="STARTTLS"),
        mail_session(server, "collars.example"),
    ):
        pass


def test_with_smtps_every_word_is_encrypted(
    certificates: Certificates, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificates.authority))
    box = Box()
    with (
        running(box, "smtps", ssl_context=certificates.context) as server,
        mail_session(server, "collars.example") as send,
    ):
        send(message())
    assert len(box.mails) == 1


def test_a_server_that_is_away_is_said_without_a_password() -> None:
    away = MailServer("smtp-plain", "localhost", free_port(), "", PASSWORD)
    with pytest.raises(ServerTrouble, match="server: Connection refused") as trouble, mail_session(away, "x"):
        pass
    assert PASSWORD not in str(trouble.value) + repr(away)


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        ("550 5.1.1 No such person", Refused),
        ("552 Too large", Refused),
        ("451 4.7.1 Greylisted, come again", PutOff),
        ("421 Closing", BrokenOff),
        ("530 Authentication required", ServerTrouble),
        (None, BrokenOff),
    ],
)
def test_what_the_server_answers_decides_whether_it_is_tried_again(
    answer: str | None, kind: type[MailTrouble]
) -> None:
    box = Box(answer=lambda _: answer)
    with (
        running(box) as server,
        mail_session(server, "collars.example") as send,
        pytest.raises(MailTrouble) as trouble,
    ):
        send(message())
    assert type(trouble.value) is kind
    assert (answer or "closed")[:20] in str(trouble.value)


def test_after_a_refused_mail_the_next_goes_over_the_same_connection() -> None:
    box = Box(answer=lambda to: "550 No" if to.startswith("no") else "250 OK")
    with running(box) as server, mail_session(server, "collars.example") as send:
        with pytest.raises(Refused):
            send(message("nobody@mail.example"))
        send(message())
    assert (len(box.mails), box.greeted) == (1, 1)


@pytest.mark.parametrize(
    "recipient",
    [
        "a@b.example\r\nBcc: x@y.example",
        "a@b.example\nBcc: x@y.example",
        "a@b.example, x@y.example",
        "a,x@y.example",
        "<x@y.example>",
        "a b@c.example",
        "@x.example",
        "a@",
        "",
        "ä@b.example",
        "a@ö.example",
    ],
)
def test_what_is_no_single_address_is_written_to_by_nobody(recipient: str) -> None:
    with pytest.raises(Refused):
        message(recipient)


@given(st.text(), st.text(), st.text())
def test_no_text_makes_another_header_or_another_recipient(shop: str, subject: str, body: str) -> None:
    try:
        raw = message(shop=shop, subject=subject, body=body).as_bytes()
    except (Refused, UnicodeEncodeError):  # half a surrogate pair is in no text that is kept
        return
    head = raw.partition(b"\r\n\r\n")[0]
    names = re.findall(rb"^([A-Za-z-]+):", head, re.MULTILINE)
    wanted = ["From", "To", "Reply-To", "Subject", "Message-ID", "Date", "Auto-Submitted"]
    wanted += ["Content-Type", "Content-Transfer-Encoding", "MIME-Version"]
    assert sorted(names) == sorted(name.encode() for name in wanted)
    assert b"\r\nTo: ada@mail.example\r\n" in head
