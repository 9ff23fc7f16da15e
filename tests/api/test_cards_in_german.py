"""Cards and marker sheets over HTTP in German: whose language they speak."""

import io

import pytest
from pypdf import PdfReader

from ellwand.api.public import Paper, see_sheets
from ellwand.card import content_from_json, digest_of, grouped
from ellwand.language import speaking
from tests.mime_walk import walk
from tests.service import BASE, Service, read_all


def printed(pdf: bytes) -> str:
    return " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


@pytest.mark.parametrize("accepted", ["en", "de", "fr"])
def test_a_card_speaks_the_language_of_its_sitting_whatever_the_browser_prefers(
    service: Service, accepted: str
) -> None:
    workroom = service.workroom()
    customer = service.customer(workroom, language="de", address="cards@loft.example")
    read_all(customer)
    sitting_id = customer.get(f"{BASE}/sitting").json()["id"]
    for client, place in (
        (customer, f"{BASE}/sitting"),
        (workroom, f"{BASE}/workroom/sittings/{sitting_id}"),
    ):
        client.headers["Accept-Language"] = accepted
        pdf = client.get(f"{place}/card.pdf").content
        assert "Maßkarte" in printed(pdf)
        page = client.get(f"{place}/card.html").text
        assert '<html lang="de">' in page
        draft = {part.kind: part for part in walk(client.get(f"{place}/card.eml").content)}
        assert draft["text/plain"].body.decode().startswith("Dies ist eine Maßkarte für ein")
        assert draft["application/pdf"].body == pdf
        told = client.get(f"{place}/card.json")
        assert {row["name"] for row in told.json()["rows"]} >= {"height", "full bust"}
        assert grouped(digest_of(content_from_json(told.content))) in page


def test_without_another_word_a_card_is_in_english(service: Service) -> None:
    customer = service.customer(service.workroom())
    read_all(customer)
    assert "Measurement card" in printed(customer.get(f"{BASE}/sitting/card.pdf").content)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sheets_to_print_are_kept_apart_by_language(paper: Paper) -> None:
    english = see_sheets(paper)
    with speaking("de"):
        german, once_more = see_sheets(paper), see_sheets(paper)
    assert "sheet 1" in printed(bytes(english.body))
    assert "Blatt 1" in printed(bytes(german.body))
    assert german.body is once_more.body
    assert see_sheets(paper).body is english.body
    assert {one.headers["vary"] for one in (english, german)} == {"Accept-Language"}
