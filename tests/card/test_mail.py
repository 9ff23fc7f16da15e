"""The message that carries a card: plain lines, both attachments, nothing private in its text."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.card import (
    Sending,
    as_eml,
    card_message,
    checked_address,
    domain_of,
)
from ellwand.errors import EntryProblem

# Every byte, line ends of all kinds, and what would end a message in SMTP.
PDF = b"%PDF-1.7\n" + bytes(range(256)) * 9 + b"\r\n.\r\n\n.\n\r"
JSON = '{"name": "waist / Taille, 92½ cm", "value_mm": 925.0}\n'.encode()
TO = "cards@workroom.example"
SENDER = "ellwand@measure.example"
SENDING = Sending(SENDER, "job-1", datetime(2026, 11, 25, 14, 30, tzinfo=UTC))


def reread(message: EmailMessage) -> EmailMessage:
    parsed = message_from_bytes(as_eml(message), policy=policy.default)
    assert isinstance(parsed, EmailMessage)
    assert [part.defects for part in parsed.walk()] == [[]] * 4
    return parsed


def test_both_attachments_come_back_byte_for_byte_under_their_names() -> None:
    parsed = reread(card_message(PDF, JSON, TO, SENDING))
    parts = [(part.get_content_type(), part.get_filename()) for part in parsed.iter_attachments()]
    assert parts == [
        ("application/pdf", "measurement-card.pdf"),
        ("application/json", "measurement-card.json"),
    ]
    assert [part.get_content() for part in parsed.iter_attachments()] == [PDF, JSON]
    eml = as_eml(card_message(PDF, JSON, TO, SENDING))
    assert b'Content-Disposition: attachment; filename="measurement-card.pdf"\r\n' in eml


@pytest.mark.parametrize("sending", [SENDING, None], ids=["sent", "draft"])
def test_every_line_is_short_and_ascii_and_ends_with_cr_and_lf(sending: Sending | None) -> None:
    eml = as_eml(card_message(PDF, JSON, TO, sending, "Maßkarte für die Werkstatt"))
    assert eml.isascii()
    assert b"8bit" not in eml
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", eml) is None
    assert eml.endswith(b"\r\n")
    # RFC 5322, 2.1.1: the length that a line should not pass.
    assert max(len(line) for line in eml.split(b"\r\n")) <= 78


def test_a_sent_message_says_from_whom_and_when() -> None:
    parsed = reread(card_message(PDF, JSON, TO, SENDING))
    assert {name: str(parsed[name]) for name in ("From", "To", "Date", "Subject")} == {
        "From": SENDER,
        "To": TO,
        "Date": "Wed, 25 Nov 2026 14:30:00 +0000",
        "Subject": "Measurement card",
    }
    assert parsed["Auto-Submitted"] == "auto-generated"
    assert parsed["X-Unsent"] is None


def test_a_draft_is_opened_for_sending_and_leaves_the_rest_to_the_mail_program() -> None:
    parsed = reread(card_message(PDF, JSON, TO))
    assert parsed["X-Unsent"] == "1"
    assert parsed["To"] == TO
    assert [parsed[name] for name in ("From", "Date", "Message-ID", "Auto-Submitted")] == [None] * 4


def test_the_text_is_the_same_whatever_is_on_the_card() -> None:
    texts = set()
    for pdf, data in ((PDF, JSON), (b"%PDF another", b'{"Ada": 1}')):
        body = reread(card_message(pdf, data, TO, SENDING)).get_body()
        assert body is not None
        texts.add(body.get_content())
    (text,) = texts
    assert "tape has confirmed it" in text
    assert re.search(r"\d", text) is None


def test_the_same_card_gives_the_same_bytes_and_another_one_another_boundary() -> None:
    once, again, other = (
        as_eml(card_message(pdf, JSON, TO, SENDING)) for pdf in (PDF, PDF, b"%PDF another")
    )
    assert once == again
    boundaries = {re.findall(rb'boundary="([^"]+)"', eml)[0] for eml in (once, other)}
    assert len(boundaries) == 2


@pytest.mark.parametrize(
    "subject",
    [
        "Maßkarte für die Werkstatt",
        "Карточка мерок 1f3a",
        "Measurement card, sitting 0c9a4c1e-51a8-4f0e-9b1d-3b0a8c8f2f11",
    ],
)
def test_a_subject_in_any_letters_comes_back(subject: str) -> None:
    parsed = reread(card_message(PDF, JSON, TO, SENDING, subject))
    assert parsed["Subject"] == subject


def test_the_longest_address_is_not_broken() -> None:
    longest = f"{'a' * 64}@{'.'.join(['b' * 60] * 3)}.{'c' * 6}"
    assert len(longest) == 254
    sending = Sending(longest, "job-1", SENDING.date)
    parsed = reread(card_message(PDF, JSON, checked_address(longest), sending))
    assert parsed["To"].addresses[0].addr_spec == longest
    assert parsed["From"].addresses[0].addr_spec == longest
    assert parsed["Message-ID"].endswith(longest[64:] + ">")


def test_a_message_id_is_that_of_the_job_and_does_not_tell_it() -> None:
    first, again, other = (
        str(reread(card_message(PDF, JSON, TO, sending))["Message-ID"])
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
        card_message(PDF, JSON, attempt.format(TO))
    with pytest.raises(ValueError, match="single bare address"):
        card_message(PDF, JSON, TO, replace(SENDING, sender=attempt.format(SENDER)))
    with pytest.raises(ValueError, match=r"linefeed|one printable line"):
        card_message(PDF, JSON, TO, subject=attempt.format("Card"))
    eml = as_eml(card_message(PDF, JSON, TO, replace(SENDING, job_id=attempt.format("job-1"))))
    assert b"eve" not in eml


@pytest.mark.parametrize("address", ["cärds@workroom.example", "cards@wörkroom.example"])
def test_an_address_that_was_not_checked_goes_into_no_message(address: str) -> None:
    with pytest.raises(ValueError, match="single bare address"):
        card_message(PDF, JSON, address)
    with pytest.raises(ValueError, match="single bare address"):
        card_message(PDF, JSON, TO, replace(SENDING, sender=address))


def test_a_date_without_time_zone_is_a_mistake_of_ours() -> None:
    naive = datetime(2026, 11, 25, 14, 30)
    with pytest.raises(ValueError, match="time zone"):
        card_message(PDF, JSON, TO, replace(SENDING, date=naive))


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
    parsed = message_from_bytes(as_eml(card_message(b"", b"", address)), policy=policy.default)
    assert [one.addr_spec for one in parsed["To"].addresses] == [address]
