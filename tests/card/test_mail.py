"""The message that carries a card: its words twice, both attachments, nothing in its headers."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card import (
    CardContent,
    CardForms,
    Sending,
    as_eml,
    card_forms,
    card_json,
    card_message,
    card_pdf,
    checked_address,
    domain_of,
)
from ellwand.card.as_html import card_html
from ellwand.card.as_text import card_text
from ellwand.card.letter import letter_of
from ellwand.errors import EntryProblem
from ellwand.language import speaking

from ..mime_walk import Part, walk
from .test_letter import CONTENTS, filled

# Every byte, line ends of all kinds, and what would end a message in SMTP.
PDF = b"%PDF-1.7\n" + bytes(range(256)) * 9 + b"\r\n.\r\n\n.\n\r"
JSON = '{"name": "waist / Taille, 92½ cm", "value_mm": 925.0}\n'.encode()
# Lines that would end a message, a part or a header, and are as long as they like.
TEXT = "Maß 92½ ± 1\n\n.\n--=_\nBcc: ada@example.org\n" + "waist " * 300 + "=41 \n"
HTML = '<p lang="en">Maß 92½ ± 1 = 36 3/8 in</p>\n' + "<p>.</p>" * 200 + "\n"
CARD = CardForms(TEXT, HTML, PDF, JSON)
TO = "cards@workroom.example"
SENDER = "ellwand@measure.example"
SENDING = Sending(SENDER, "job-1", datetime(2026, 11, 25, 14, 30, tzinfo=UTC))


def reread(message: EmailMessage) -> EmailMessage:
    parsed = message_from_bytes(as_eml(message), policy=policy.default)
    assert isinstance(parsed, EmailMessage)
    assert [part.defects for part in parsed.walk()] == [[]] * 6
    return parsed


def test_both_attachments_come_back_byte_for_byte_under_their_names() -> None:
    parsed = reread(card_message(CARD, TO, SENDING))
    parts = [(part.get_content_type(), part.get_filename()) for part in parsed.iter_attachments()]
    assert parts == [
        ("application/pdf", "measurement-card.pdf"),
        ("application/json", "measurement-card.json"),
    ]
    assert [part.get_content() for part in parsed.iter_attachments()] == [PDF, JSON]
    eml = as_eml(card_message(CARD, TO, SENDING))
    assert b'Content-Disposition: attachment; filename="measurement-card.pdf"\r\n' in eml
    with speaking("de"):
        german = reread(card_message(CARD, TO, SENDING))
    names = [part.get_filename() for part in german.iter_attachments()]
    assert names == ["masskarte.pdf", "masskarte.json"]


@pytest.mark.parametrize("sending", [SENDING, None], ids=["sent", "draft"])
def test_every_line_is_short_and_ascii_and_ends_with_cr_and_lf(sending: Sending | None) -> None:
    eml = as_eml(card_message(CARD, TO, sending, "Maßkarte für die Werkstatt"))
    assert eml.isascii()
    assert b"8bit" not in eml
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", eml) is None
    assert eml.endswith(b"\r\n")
    # RFC 5322, 2.1.1: the length that a line should not pass.
    assert max(len(line) for line in eml.split(b"\r\n")) <= 78


def test_a_sent_message_says_from_whom_and_when() -> None:
    parsed = reread(card_message(CARD, TO, SENDING))
    assert {name: str(parsed[name]) for name in ("From", "To", "Date", "Subject")} == {
        "From": SENDER,
        "To": TO,
        "Date": "Wed, 25 Nov 2026 14:30:00 +0000",
        "Subject": "Measurement card",
    }
    assert parsed["Auto-Submitted"] == "auto-generated"
    assert parsed["X-Unsent"] is None


def test_a_draft_is_opened_for_sending_and_leaves_the_rest_to_the_mail_program() -> None:
    parsed = reread(card_message(CARD, TO))
    assert parsed["X-Unsent"] == "1"
    assert parsed["To"] == TO
    assert [parsed[name] for name in ("From", "Date", "Message-ID", "Auto-Submitted")] == [None] * 4


KINDS_OF_PARTS = [
    "multipart/mixed",
    "multipart/alternative",
    "text/plain",
    "text/html",
    "application/pdf",
    "application/json",
]


def by_hand(eml: bytes) -> dict[str, Part]:
    parts = list(walk(eml))
    assert [part.kind for part in parts] == KINDS_OF_PARTS
    return {part.kind: part for part in parts}


@pytest.mark.parametrize("sending", [SENDING, None], ids=["sent", "draft"])
def test_every_part_comes_back_whole_when_taken_apart_by_hand(sending: Sending | None) -> None:
    parts = by_hand(as_eml(card_message(CARD, TO, sending, "Maßkarte")))
    assert parts["text/plain"].body.decode() == TEXT.replace("\n", "\r\n")
    assert parts["text/html"].body.decode() == HTML.replace("\n", "\r\n")
    assert parts["application/pdf"].body == PDF
    assert parts["application/json"].body == JSON
    for kind in ("text/plain", "text/html"):
        assert parts[kind].header("content-language") == "en"
        assert parts[kind].header("content-type") == f'{kind}; charset="utf-8"'
        assert "content-disposition" not in dict(parts[kind].headers)


def test_the_older_parser_reads_the_same() -> None:
    parsed = message_from_bytes(as_eml(card_message(CARD, TO, SENDING)), policy=policy.compat32)
    assert [part.get_content_type() for part in parsed.walk()] == KINDS_OF_PARTS
    bodies = [part.get_payload(decode=True) for part in parsed.walk() if not part.is_multipart()]
    crlf = [text.replace("\n", "\r\n").encode() for text in (TEXT, HTML)]
    assert bodies == [*crlf, PDF, JSON]


@pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS)
def test_a_card_comes_back_in_all_its_forms(content: CardContent) -> None:
    parts = by_hand(as_eml(card_message(card_forms(content), TO, SENDING)))
    letter = letter_of(content)
    assert parts["application/pdf"].body == card_pdf(content)
    assert parts["application/json"].body == card_json(content)
    assert parts["text/plain"].body.decode() == card_text(letter).replace("\n", "\r\n")
    assert parts["text/html"].body.decode() == card_html(letter).replace("\n", "\r\n")


def test_nothing_of_the_card_stands_in_a_header() -> None:
    headers = {
        part.headers
        for content in CONTENTS.values()
        for part in walk(as_eml(card_message(card_forms(content), TO, SENDING)))
        if "boundary" not in part.header("content-type")
    }
    assert len(headers) == 4
    tops = {
        tuple((name, value) for name, value in top.headers if name != "content-type")
        for top in (
            next(walk(as_eml(card_message(card_forms(content), TO, SENDING))))
            for content in CONTENTS.values()
        )
    }
    assert len(tops) == 1


# Half a sign of UTF-16 is refused where words are entered, so that no card has one.
NASTY = st.one_of(
    st.text(st.characters(codec="utf-8", exclude_categories=()), max_size=60),
    st.sampled_from(
        ["Eve\r\nBcc: eve@example.org", "\r\n\r\n--=_", "=?utf-8?q?=0D=0ABcc:_eve?=", "\x00", "."]
    ),
)


@given(st.lists(NASTY, min_size=8, max_size=8))
def test_names_and_reasons_make_neither_header_nor_part(words: list[str]) -> None:
    def headers(told: Iterator[str]) -> list[tuple[tuple[str, str], ...]]:
        letter = letter_of(filled(told))
        forms = CardForms(card_text(letter), card_html(letter), PDF, JSON)
        return [part.headers for part in walk(as_eml(card_message(forms, TO, SENDING)))]

    assert headers(iter(words)) == headers(iter(["x"] * 8))


def test_the_same_card_gives_the_same_bytes_and_another_one_another_boundary() -> None:
    once, again, other = (
        as_eml(card_message(replace(CARD, pdf=pdf), TO, SENDING))
        for pdf in (PDF, PDF, b"%PDF another")
    )
    assert once == again
    boundaries = [re.findall(rb'boundary="([^"]+)"', eml) for eml in (once, other)]
    assert [len(found) for found in boundaries] == [2, 2]
    assert len({*boundaries[0], *boundaries[1]}) == 4


@pytest.mark.parametrize(
    "subject",
    [
        "Maßkarte für die Werkstatt",
        "Карточка мерок 1f3a",
        "Measurement card, sitting 0c9a4c1e-51a8-4f0e-9b1d-3b0a8c8f2f11",
    ],
)
def test_a_subject_in_any_letters_comes_back(subject: str) -> None:
    parsed = reread(card_message(CARD, TO, SENDING, subject))
    assert parsed["Subject"] == subject


def test_the_longest_address_is_not_broken() -> None:
    longest = f"{'a' * 64}@{'.'.join(['b' * 60] * 3)}.{'c' * 6}"
    assert len(longest) == 254
    sending = Sending(longest, "job-1", SENDING.date)
    parsed = reread(card_message(CARD, checked_address(longest), sending))
    assert parsed["To"].addresses[0].addr_spec == longest
    assert parsed["From"].addresses[0].addr_spec == longest
    assert parsed["Message-ID"].endswith(longest[64:] + ">")


def test_a_message_id_is_that_of_the_job_and_does_not_tell_it() -> None:
    first, again, other = (
        str(reread(card_message(CARD, TO, sending))["Message-ID"])
        for sending in (
            SENDING,
            replace(SENDING, date=datetime.now(UTC)),
            replace(SENDING, job_id="job-2"),
        )
    )
    assert first == again != other
    assert "job-1" not in first
    assert re.fullmatch(r"<[0-9a-f]{32}@measure\.example>", first)


LINE_BREAKS = [
    "=?utf-8?q?a=0D=0ABcc:_eve=40example.org?= {}",
    "{} =?utf-8?b?DQpCY2M6IGV2ZQ==?=",
    "{}\r\nBcc: eve@example.org",
    "{}\nBcc: eve@example.org",
    "{}\r",
    "\n{}",
]


@pytest.mark.parametrize("attempt", LINE_BREAKS)
def test_no_header_can_be_smuggled_in(attempt: str) -> None:
    with pytest.raises(ValueError, match="single bare address"):
        card_message(CARD, attempt.format(TO))
    with pytest.raises(ValueError, match="single bare address"):
        card_message(CARD, TO, replace(SENDING, sender=attempt.format(SENDER)))
    with pytest.raises(ValueError, match=r"linefeed|one printable line"):
        card_message(CARD, TO, subject=attempt.format("Card"))
    eml = as_eml(card_message(CARD, TO, replace(SENDING, job_id=attempt.format("job-1"))))
    assert b"eve" not in eml


@pytest.mark.parametrize("address", ["cärds@workroom.example", "cards@wörkroom.example"])
def test_an_address_that_was_not_checked_goes_into_no_message(address: str) -> None:
    with pytest.raises(ValueError, match="single bare address"):
        card_message(CARD, address)
    with pytest.raises(ValueError, match="single bare address"):
        card_message(CARD, TO, replace(SENDING, sender=address))


def test_a_date_without_time_zone_is_a_mistake_of_ours() -> None:
    naive = datetime(2026, 11, 25, 14, 30)
    with pytest.raises(ValueError, match="time zone"):
        card_message(CARD, TO, replace(SENDING, date=naive))


@pytest.mark.parametrize(
    "address",
    [
        TO,
        "a@b",
        "first.last+cards@sub.workroom.example",
        "o'neill_{1}@workroom.example",
        "cards@xn--maatelier-6za.example",
    ],
)
def test_an_address_is_taken_as_typed(address: str) -> None:
    assert checked_address(f"  {address} ") == address


REFUSED = {
    "address-unreadable": [
        "",
        "   ",
        "canary",
        "@",
        "canary@",
        "@canary.example",
        "canary@b@c",
        "canary@b.",
        "canary..a@b",
        "canary.@b",
        "canary a@b",
        "canary@b c",
        "canary@b, eve@c",
        "canary@b;eve@c",
        "canary@b eve@c",
        "team: canary@b;",
        "Canary <canary@b>",
        "<canary@b>",
        "canary@b (Canary)",
        "(Canary)canary@b",
        '"canary, eve"@b',
        '"canary"@b',
        "canary@[192.0.2.1]",
        "canary@[",
        "=?utf-8?q?canary?=@b",
        "canary@b\r\nBcc: eve@c",
        "canary@b\n",
        "\rcanary@b",
        "canary\t@b",
        "canary\x00@b",
        "canary@b\x7f",
        "(" * 254,
        "mailto:canary@b",
    ],
    "address-foreign-letters": ["cänary@b.example", "canary@bä.example", "canary\uff20b.example"],
    "address-too-long": ["canary@" + "b" * 248, "canary@b," * 10_000],
}


@pytest.mark.parametrize(
    ("code", "text"), [(code, text) for code, texts in REFUSED.items() for text in texts]
)
def test_what_is_no_single_address_is_refused_without_repeating_it(code: str, text: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        checked_address(text)
    problem = caught.value
    assert problem.code == code
    assert "canary" not in str(problem).lower()
    # Nothing of the library's own error, which holds the text, is shown with it.
    assert problem.__cause__ is None
    assert problem.__context__ is None or problem.__suppress_context__


NEARLY = st.text("ab@.,;:<>()[]\"\\ \t\r\n=?_é'\x00", max_size=30)


@given(st.one_of(st.text(), NEARLY, st.emails(), st.from_regex(r"\A[a.]+@[b.\[\]]+\Z")))
def test_any_text_is_refused_as_a_problem_or_can_be_put_into_a_message(text: str) -> None:
    try:
        address = checked_address(text)
    except EntryProblem:
        return
    assert text.strip(" ") == address
    assert domain_of(address) == address.rpartition("@")[2]
    parsed = message_from_bytes(
        as_eml(card_message(CardForms("", "", b"", b""), address)), policy=policy.default
    )
    assert [one.addr_spec for one in parsed["To"].addresses] == [address]
