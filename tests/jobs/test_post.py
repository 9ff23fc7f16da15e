"""A message reaches the mail server whole and encrypted, or the reason is told without an address.

All servers are on this machine; the certificates are made by the tests.
"""

import base64
import socket
import traceback
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from email.message import EmailMessage
from pathlib import Path

import pytest

from ellwand.card import CardForms, Sending, as_eml, card_message
from ellwand.jobs.post import PostDelayed, PostRefused, SmtpServer, post, retry_after_s

from ..mime_walk import walk
from .mail_server import HOST, Authority, Mailbox, saying, serving

PDF = b"%PDF-1.7\n" + bytes(range(256)) * 9 + b"\r\n.\r\n"
JSON = '{"warnings": ["Maß 92½"]}\n'.encode()
TO = "canary@workroom.example"
SENDER = "ellwand@measure.example"
PASSWORD = "canary password 7"  # noqa: S105
NOT_ASCII = "canary ß"
TEXT, HTML = "Maß 92½\n.\n", "<p>Maß 92½</p>\n"
CARD = CardForms(TEXT, HTML, PDF, JSON)
MESSAGE = card_message(
    CARD, TO, Sending(SENDER, "job-1", datetime(2026, 11, 25, tzinfo=UTC)), "Maßkarte"
)
OUTCOMES = {"5": PostRefused, "4": PostDelayed}


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("authority"))


@pytest.fixture
def to_port(authority: Authority) -> SmtpServer:
    """A server whose port is still to be filled in."""
    return SmtpServer(HOST, 0, "starttls", SENDER, timeout_s=20, ca_file=authority.ca_file)


def check_arrived(mailbox: Mailbox) -> None:
    (envelope,) = mailbox.messages
    assert (envelope.mail_from, envelope.rcpt_tos) == (SENDER, [TO])
    assert envelope.content == as_eml(MESSAGE)
    assert isinstance(envelope.content, bytes)
    bodies = {part.kind: part.body for part in walk(envelope.content)}
    assert bodies["application/pdf"] == PDF
    assert bodies["application/json"] == JSON
    assert bodies["text/plain"].decode() == TEXT.replace("\n", "\r\n")
    assert bodies["text/html"].decode() == HTML.replace("\n", "\r\n")


def check_nothing_sent(mailbox: Mailbox) -> None:
    assert mailbox.messages == []
    for secret in (PASSWORD, TO, SENDER):
        assert secret.encode() not in mailbox.plain + mailbox.sealed
    for step in (b"AUTH", b"MAIL", b"RCPT", b"DATA"):
        assert step not in (mailbox.plain + mailbox.sealed).upper()


def check_told_without_secrets(error: Exception) -> None:
    shown = "".join(traceback.format_exception(error))
    assert "canary" not in shown
    assert "During handling" not in shown


def test_a_message_arrives_whole_after_starttls(authority: Authority, to_port: SmtpServer) -> None:
    mailbox = Mailbox()
    with serving(mailbox, starttls=authority.context()) as port:
        post(MESSAGE, replace(to_port, port=port))
    check_arrived(mailbox)
    assert mailbox.plain.lower() == b"ehlo measure.example\r\nstarttls\r\n"
    assert TO.encode() in mailbox.sealed


def test_a_message_arrives_whole_over_tls(authority: Authority, to_port: SmtpServer) -> None:
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with serving(mailbox, tls=authority.context()) as port:
        server = replace(to_port, port=port, security="tls", user="workroom", password=PASSWORD)
        post(MESSAGE, server)
    check_arrived(mailbox)
    assert mailbox.logins == ["workroom"]
    assert mailbox.plain == b""


@pytest.mark.parametrize("security", ["starttls", "tls"])
@pytest.mark.parametrize("fault", ["other authority", "other name", "expired"])
def test_a_certificate_that_cannot_be_verified_ends_it(
    authority: Authority, to_port: SmtpServer, security: str, fault: str
) -> None:
    context = authority.context(
        "127.0.0.2" if fault == "other name" else HOST, -1 if fault == "expired" else 1
    )
    server = replace(to_port, user="workroom", password=PASSWORD)
    if fault == "other authority":
        server = replace(server, ca_file=None)
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with serving(mailbox, **{security: context}) as port:
        server = replace(server, port=port, security=security)  # type: ignore[arg-type]
        with pytest.raises(PostRefused, match="certificate"):
            post(MESSAGE, server)
    check_nothing_sent(mailbox)


def test_without_encryption_nothing_is_sent(to_port: SmtpServer) -> None:
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with serving(mailbox) as port:
        server = replace(to_port, port=port, user="workroom", password=PASSWORD)
        with pytest.raises(PostRefused, match="no encryption"):
            post(MESSAGE, server)
        with pytest.raises(PostRefused, match="no encryption"):
            post(MESSAGE, replace(server, user=""))
    check_nothing_sent(mailbox)
    assert mailbox.plain.lower() == b"ehlo measure.example\r\n" * 2


def test_a_server_that_puts_encryption_off_is_tried_again_later(to_port: SmtpServer) -> None:
    with (
        saying(b"220 hello\r\n", b"250-mail\r\n250 STARTTLS\r\n", b"454 not now\r\n") as port,
        pytest.raises(PostDelayed, match="454"),
    ):
        post(MESSAGE, replace(to_port, port=port))


@pytest.mark.parametrize("ca_file", ["missing.pem", "empty.pem"])
def test_a_file_of_certificates_that_cannot_be_read_is_told(
    to_port: SmtpServer, tmp_path: Path, ca_file: str
) -> None:
    (tmp_path / "empty.pem").write_text("")
    with pytest.raises(PostRefused, match="certificates to trust") as caught:
        post(MESSAGE, replace(to_port, ca_file=tmp_path / ca_file))
    assert str(tmp_path) not in str(caught.value)


@pytest.mark.parametrize("login", ["workroom", "nobody"])
def test_a_login_is_checked(authority: Authority, to_port: SmtpServer, login: str) -> None:
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with serving(mailbox, starttls=authority.context()) as port:
        server = replace(to_port, port=port, user=login, password=PASSWORD)
        if login == "workroom":
            post(MESSAGE, server)
        else:
            with pytest.raises(PostRefused, match="the login \\(535\\)") as caught:
                post(MESSAGE, server)
            check_told_without_secrets(caught.value)
    assert mailbox.logins == [login] * len(mailbox.messages)
    assert len(mailbox.messages) == (login == "workroom")
    assert base64.b64encode(f"\0{login}\0{PASSWORD}".encode()) in mailbox.sealed
    assert b"AUTH" not in mailbox.plain


def test_a_server_that_wants_a_login_and_gets_none_refuses(
    authority: Authority, to_port: SmtpServer
) -> None:
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with (
        serving(mailbox, starttls=authority.context()) as port,
        pytest.raises(PostRefused, match="the sender \\(530\\)"),
    ):
        post(MESSAGE, replace(to_port, port=port))
    assert mailbox.messages == []


def test_a_server_that_takes_no_login_is_told(authority: Authority, to_port: SmtpServer) -> None:
    mailbox = Mailbox()
    with serving(mailbox, starttls=authority.context()) as port:
        server = replace(to_port, port=port, user="workroom", password=PASSWORD)
        with pytest.raises(PostRefused, match="no login"):
            post(MESSAGE, server)
    check_nothing_sent(mailbox)


def test_a_password_that_the_protocol_cannot_carry_is_told_and_not_shown(
    authority: Authority, to_port: SmtpServer
) -> None:
    mailbox = Mailbox(users={"workroom": PASSWORD})
    with serving(mailbox, starttls=authority.context()) as port:
        server = replace(to_port, port=port, user="workroom", password=NOT_ASCII)
        with pytest.raises(PostRefused, match="ASCII") as caught:
            post(MESSAGE, server)
    check_told_without_secrets(caught.value)
    assert "canary" not in repr(server)


def test_a_server_name_that_is_none_is_told(to_port: SmtpServer) -> None:
    with pytest.raises(PostRefused, match="name of the mail server"):
        post(MESSAGE, replace(to_port, host="mail..example"))


@pytest.mark.parametrize(
    ("command", "step"),
    [("AUTH", "login"), ("MAIL", "sender"), ("RCPT", "recipient"), ("DATA", "message")],
)
@pytest.mark.parametrize(
    "answer", ["450 4.2.1", "421 4.3.2", "454 4.7.0", "550 5.1.1", "535 5.7.8"]
)
def test_an_answer_of_the_server_decides_whether_it_is_tried_again(
    authority: Authority, to_port: SmtpServer, command: str, step: str, answer: str
) -> None:
    mailbox = Mailbox(answers={command: f"{answer} <{TO}> is not welcome"})
    server = replace(to_port, user="workroom", password=PASSWORD) if command == "AUTH" else to_port
    with (
        serving(mailbox, starttls=authority.context()) as port,
        pytest.raises(OUTCOMES[answer[0]]) as caught,
    ):
        post(MESSAGE, replace(server, port=port))
    assert f"the {step} ({answer[:3]})" in str(caught.value)
    check_told_without_secrets(caught.value)
    assert mailbox.messages == []


@pytest.mark.parametrize(
    ("greeting", "outcome"),
    [
        (b"554 canary\r\n", PostRefused),
        (b"421 canary\r\n", PostDelayed),
        (b"HTTP/1.1 400 canary\r\n", PostDelayed),
        (b"", PostDelayed),
    ],
)
def test_a_greeting_that_is_none_is_told(
    to_port: SmtpServer, greeting: bytes, outcome: type[Exception]
) -> None:
    with saying(greeting) as port, pytest.raises(outcome) as caught:
        post(MESSAGE, replace(to_port, port=port))
    check_told_without_secrets(caught.value)


@pytest.fixture
def deaf() -> Iterator[int]:
    """The port of a server that takes connections and never says a word."""
    with socket.create_server((HOST, 0)) as listener:
        yield listener.getsockname()[1]


@pytest.mark.parametrize("security", ["starttls", "tls"])
def test_a_server_that_says_nothing_is_not_waited_for(
    to_port: SmtpServer, deaf: int, security: str
) -> None:
    server = replace(to_port, port=deaf, security=security, timeout_s=0.1)  # type: ignore[arg-type]
    with pytest.raises(PostDelayed, match=r"no answer|TimeoutError"):
        post(MESSAGE, server)


def test_a_server_that_is_not_there_is_tried_again_later(to_port: SmtpServer) -> None:
    with socket.create_server((HOST, 0)) as listener:
        port = listener.getsockname()[1]
    with pytest.raises(PostDelayed, match="ConnectionRefusedError"):
        post(MESSAGE, replace(to_port, port=port))


def test_a_second_copy_after_a_lost_answer_is_known_as_one(
    authority: Authority, to_port: SmtpServer
) -> None:
    mailbox = Mailbox(hangs_up_at="DATA")
    with serving(mailbox, starttls=authority.context()) as port:
        with pytest.raises(PostDelayed):
            post(MESSAGE, replace(to_port, port=port))
        mailbox.hangs_up_at = ""
        post(MESSAGE, replace(to_port, port=port))
    assert [one.content for one in mailbox.messages] == [as_eml(MESSAGE)] * 2
    assert as_eml(MESSAGE).count(b"Message-ID: <") == 1


@pytest.mark.parametrize("farewell", ["221 Bye", "421 busy", "500 what", "none"])
def test_a_message_that_is_taken_is_sent_whatever_the_farewell(
    authority: Authority, to_port: SmtpServer, farewell: str
) -> None:
    mailbox = Mailbox({"QUIT": farewell}, hangs_up_at="QUIT" if farewell == "none" else "")
    with serving(mailbox, starttls=authority.context()) as port:
        post(MESSAGE, replace(to_port, port=port))
    check_arrived(mailbox)


def test_only_a_message_from_somebody_to_one_can_be_posted(to_port: SmtpServer) -> None:
    draft = card_message(CARD, TO)
    several = EmailMessage()
    several["From"], several["To"] = SENDER, f"{TO}, eve@example.org"
    nobody = EmailMessage()
    nobody["From"] = SENDER
    for message in (draft, several, nobody):
        with pytest.raises(ValueError, match="one recipient"):
            post(message, to_port)


def test_waits_grow_up_to_an_hour() -> None:
    assert [retry_after_s(attempt) for attempt in range(1, 7)] == [60, 300, 1500, 3600, 3600, 3600]
    assert retry_after_s(10**9) == 3600
    with pytest.raises(ValueError, match="from 1"):
        retry_after_s(0)
