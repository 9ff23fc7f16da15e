"""The measurement card as a message: to be sent, or a draft to be opened in a mail program.

Source: RFC 5322 (message), RFC 2045 and 2047 (encodings), RFC 2183 and 2231 (names of
attachments), RFC 2046 (parts of a message), RFC 3282 (language), RFC 3834 (messages of a program).
"""

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from email import policy
from email.errors import HeaderParseError
from email.headerregistry import Address
from email.message import EmailMessage

from ellwand.card.as_html import card_html
from ellwand.card.as_json import card_json
from ellwand.card.as_text import card_text
from ellwand.card.content import CardContent
from ellwand.card.letter import letter_of
from ellwand.card.pdf import card_pdf
from ellwand.card.wording import TITLE, file_name
from ellwand.errors import EntryProblem
from ellwand.language import gettext, spoken_language

# RFC 5321, 4.5.3.1.3: a path has 256 characters with its angle brackets.
LONGEST_ADDRESS = 254


@dataclass(frozen=True)
class CardForms:
    """One card in every form that a message carries.

    Args:
        text: plain text, from `card_text`.
        html: one HTML document, from `card_html`.
        pdf: from `card_pdf`.
        json: from `card_json`.
    """

    text: str
    html: str
    pdf: bytes
    json: bytes


@dataclass(frozen=True)
class Sending:
    """What a message has that is sent and no draft.

    Args:
        sender: address that it comes from.
        job_id: id of the job that sends it; its Message-ID follows from it, so that a copy is
            known as one.
        date: when it was asked for, with a time zone.
    """

    sender: str
    job_id: str
    date: datetime


def card_forms(content: CardContent) -> CardForms:
    """A card in every form that a message carries, in the language spoken.

    Args:
        content: the card.

    Raises:
        ValueError: a length is not finite.
    """
    letter = letter_of(content)
    return CardForms(card_text(letter), card_html(letter), card_pdf(content), card_json(content))


def card_message(
    card: CardForms,
    to: str,
    sending: Sending | None = None,
    subject: str | None = None,
) -> EmailMessage:
    """The message that carries a card; its subject holds no measurement and no name.

    Args:
        card: from `card_forms`, made in the language that is spoken now.
        to: one address, from `checked_address`.
        sending: from whom and when; None makes a draft, which a mail program opens for sending.
        subject: one line, without names and measurements; None for what the message is. One that
            is not ASCII should be no longer than 40 bytes: where the library folds it, it may lose
            a space.

    Returns:
        The message, for `as_eml` the same bytes for the same arguments.

    Raises:
        ValueError: an address is not a single one, the subject is not one printable line, or the
            date has no time zone.
    """
    message = EmailMessage(policy=policy.SMTP)
    if sending is None:
        message["X-Unsent"] = "1"
    else:
        if sending.date.tzinfo is None:
            raise ValueError("a date without time zone")
        message["From"] = _bare(sending.sender)
        message["Message-ID"] = _message_id(sending)
        message["Date"] = sending.date
        message["Auto-Submitted"] = "auto-generated"
    message["To"] = _bare(to)
    message["Subject"] = gettext(TITLE) if subject is None else subject
    # The library lets line breaks pass at the end and in encoded words, and writes them out.
    if not str(message["Subject"]).isprintable():
        raise ValueError("a subject that is not one printable line")
    # Nothing that needs a server with 8BITMIME, whatever the text.
    language = [f"Content-Language: {spoken_language()}"]
    message.set_content(card.text, cte="quoted-printable", headers=language)
    # The one that is liked best stands last (RFC 2046, 5.1.4).
    message.add_alternative(card.html, subtype="html", cte="quoted-printable", headers=language)
    message.set_boundary(_boundary("words", card))
    message.add_attachment(card.pdf, "application", "pdf", filename=file_name("pdf"))
    message.add_attachment(card.json, "application", "json", filename=file_name("json"))
    message.set_boundary(_boundary("all", card))
    return message


def _boundary(part: str, card: CardForms) -> str:
    """A boundary that is the same for the same card.

    "=_" stands in no text that is quoted-printable or base64 (RFC 2045, 6.7).
    """
    whole = hashlib.sha256(part.encode() + card.pdf + card.json)
    return f"=_{whole.hexdigest()[:32]}"


def as_eml(message: EmailMessage) -> bytes:
    """A message as it goes over the wire or into an .eml file.

    Args:
        message: from `card_message`.

    Returns:
        ASCII; every line ends with CR and LF.
    """
    return message.as_bytes(policy=policy.SMTP)


def domain_of(address: str) -> str:
    """What stands behind the at sign of an address.

    Raises:
        ValueError: it is not a single address.
    """
    return _bare(address).domain


def checked_address(text: str) -> str:
    """One bare address as it can be put into a message.

    Args:
        text: what was typed; spaces around it are taken off.

    Returns:
        The address, at most 254 ASCII characters.

    Raises:
        EntryProblem: it is longer, has other letters, or is not one address alone.
    """
    address = text.strip(" ")
    if len(address) > LONGEST_ADDRESS:
        raise EntryProblem(
            "address-too-long",
            "The e-mail address is too long.",
            "Type one address of at most {longest} characters.",
            longest=LONGEST_ADDRESS,
        )
    if not address.isascii():
        raise EntryProblem(
            "address-foreign-letters",
            "The e-mail address has letters that not every mail server takes.",
            "Use an address of the letters a to z, digits, dots and hyphens.",
        )
    try:
        _bare(address)
    except ValueError:
        raise EntryProblem(
            "address-unreadable",
            "This is not a single e-mail address.",
            "Type one address like cards@workroom.example, without a name, brackets or commas.",
        ) from None
    return address


def _message_id(sending: Sending) -> str:
    """The same for each attempt of a job, whose id cannot be told from it."""
    name = hashlib.sha256(sending.job_id.encode()).hexdigest()[:32]
    return f"<{name}@{domain_of(sending.sender)}>"


def _bare(address: str) -> Address:
    """An address and nothing else; quoted names and numbers in brackets are left out too.

    Raises:
        ValueError: it is more or less than that; the text does not hold it.
    """
    if address.isascii() and not any(sign in address for sign in '"()[]'):
        # The last two are what the library raises for a text that ends too early.
        with suppress(ValueError, HeaderParseError, IndexError, AttributeError):
            parsed = Address(addr_spec=address)
            # It passes spaces and encoded words over.
            if parsed.addr_spec == address:
                return parsed
    raise ValueError("not a single bare address")
