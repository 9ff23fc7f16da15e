"""Handing a message to the workroom's mail server: encrypted and verified, or not at all.

Source: RFC 5321 (SMTP), RFC 3207 (STARTTLS), RFC 8314 (TLS from the first byte).
"""

import contextlib
import smtplib
import ssl
from collections.abc import Iterator
from dataclasses import dataclass, field
from email.message import EmailMessage
from pathlib import Path
from typing import Literal

from ellwand.card import as_eml, domain_of

# Judged. A server that turns strangers away at first commonly takes them five minutes later (from
# memory): the third attempt comes after that.
FIRST_RETRY_S = 60.0
RETRY_GROWTH = 5.0
LONGEST_RETRY_S = 3600.0
_PERMANENT = range(500, 600)


class PostRefused(Exception):
    """The server will not take the message; trying again changes nothing.

    The text is for the operator's log: it never holds what the server said, for that may hold an
    address.
    """


class PostDelayed(Exception):
    """The message could not be handed over now; it may be tried again later.

    The text is for the operator's log: it never holds what the server said, for that may hold an
    address.
    """


@dataclass(frozen=True)
class SmtpServer:
    """A mail server that takes messages for sending.

    Args:
        host: its name, which its certificate must have.
        port: 587 as a rule for `starttls`, 465 for `tls`.
        security: `starttls` begins in plain text and goes on encrypted, `tls` is encrypted from
            the first byte.
        sender: address that messages come from.
        user: login, empty when the server asks for none.
        password: its password.
        timeout_s: longest wait for one answer.
        ca_file: certificates to trust besides those of the system, None for no others.
    """

    host: str
    port: int
    security: Literal["starttls", "tls"]
    sender: str
    user: str = ""
    password: str = field(default="", repr=False)
    timeout_s: float = 30.0
    ca_file: Path | None = None


def post(message: EmailMessage, server: SmtpServer) -> None:
    """Hand one message to the mail server.

    An answer that gets lost after the last byte counts as a delay, and the message may arrive
    twice then; both copies have the same Message-ID.

    Args:
        message: from `card_message`, no draft.
        server: where to.

    Raises:
        PostRefused: the server refuses it for good, is not who it should be, or cannot encrypt.
        PostDelayed: the server cannot be reached, or asks to try later.
        ValueError: the message is a draft or has not exactly one recipient.
    """
    recipients = [
        address.addr_spec for line in message.get_all("To", []) for address in line.addresses
    ]
    if message["From"] is None or len(recipients) != 1:
        raise ValueError("only a message from somebody to one recipient can be posted")
    with _told_plainly(), _connected(server) as smtp:
        if server.user:
            smtp.login(server.user, server.password)
        smtp.sendmail(server.sender, recipients, as_eml(message))


def retry_after_s(attempt: int) -> float:
    """How long to wait after a delayed attempt.

    Args:
        attempt: its number, from 1.

    Returns:
        Seconds: 60, 300, 1500, then an hour each.
    """
    if attempt < 1:
        raise ValueError("attempts are counted from 1")
    return min(LONGEST_RETRY_S, FIRST_RETRY_S * RETRY_GROWTH ** min(attempt - 1, 10))


@contextlib.contextmanager
def _connected(server: SmtpServer) -> Iterator[smtplib.SMTP]:
    """An encrypted connection to the server that its certificate names."""
    context = _context(server.ca_file)
    # Greeting with the sender's domain: the library would look up and tell this machine's name.
    name = domain_of(server.sender)
    if server.security == "tls":
        smtp: smtplib.SMTP = smtplib.SMTP_SSL(
            server.host, server.port, name, timeout=server.timeout_s, context=context
        )
    else:
        smtp = smtplib.SMTP(server.host, server.port, name, timeout=server.timeout_s)
    try:
        if server.security != "tls":
            _encrypt(smtp, context)
        yield smtp
        # The message is taken by now, whatever becomes of the farewell.
        with contextlib.suppress(OSError):
            smtp.quit()
    finally:
        smtp.close()


def _context(ca_file: Path | None) -> ssl.SSLContext:
    """What a certificate is verified with."""
    context = ssl.create_default_context()
    if ca_file is not None:
        try:
            context.load_verify_locations(ca_file)
        except OSError:
            raise PostRefused("The file of certificates to trust cannot be read.") from None
    return context


def _encrypt(smtp: smtplib.SMTP, context: ssl.SSLContext) -> None:
    """Go on encrypted; a server or somebody in between that leaves it out gets nothing."""
    smtp.ehlo()
    if not smtp.has_extn("starttls"):
        raise PostRefused("The mail server offers no encryption.")
    smtp.starttls(context=context)


@contextlib.contextmanager
def _told_plainly() -> Iterator[None]:
    """What the libraries raise, as one of two; the order is from the special to the general."""
    try:
        yield
    except ssl.SSLCertVerificationError:
        raise PostRefused("The certificate of the mail server cannot be verified.") from None
    except smtplib.SMTPRecipientsRefused as refusal:
        ((code, _),) = refusal.recipients.values()
        raise _by_code("the recipient", code) from None
    except smtplib.SMTPResponseException as refusal:
        raise _by_code(_STEPS.get(type(refusal), "a command"), refusal.smtp_code) from None
    except smtplib.SMTPServerDisconnected:
        raise PostDelayed(
            "The connection to the mail server broke off, or it gave no answer."
        ) from None
    except smtplib.SMTPException:
        raise PostRefused("The mail server takes no login of the kinds known here.") from None
    except UnicodeError:
        # The library's own error would hold the password.
        raise PostRefused(
            "The name of the mail server is none, or login and password are not ASCII."
        ) from None
    except OSError as cause:
        raise PostDelayed(f"The mail server cannot be reached: {type(cause).__name__}.") from None


_STEPS: dict[type[smtplib.SMTPResponseException], str] = {
    smtplib.SMTPConnectError: "the connection",
    smtplib.SMTPHeloError: "the greeting",
    smtplib.SMTPAuthenticationError: "the login",
    smtplib.SMTPSenderRefused: "the sender",
    smtplib.SMTPDataError: "the message",
}


def _by_code(step: str, code: int) -> PostRefused | PostDelayed:
    """RFC 5321, 4.2.1: 5yz is for good; all else is worth another attempt."""
    if code in _PERMANENT:
        return PostRefused(f"The mail server refused {step} ({code}).")
    return PostDelayed(f"The mail server put off {step} ({code}).")
