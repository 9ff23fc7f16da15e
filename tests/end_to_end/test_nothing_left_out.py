"""Nothing that is seen is left out of the catalogues: a real service whose German is in brackets.

A phone goes through every state of a sitting, and the workroom through its page. What is not in
brackets then was typed here, is a name or a unit, or can be said in no other language.
"""

import io
import os
import re
from collections.abc import Iterator
from email import message_from_bytes
from email.policy import default
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pypdf import PdfReader

import ellwand
from ellwand.sizing import block_from_toml, demo_block_toml
from tests import pseudo_language
from tests.browsing import log_in, opened, visiting
from tests.end_to_end.test_access import every_state
from tests.html_read import Read
from tests.pseudo_language import not_said
from tests.real_service import BASE, LOGIN, NAME, RealService, serving
from tests.running import DEMO_IMAGES

PACKAGES = Path(ellwand.__file__).parents[1]
PSEUDO = Path(pseudo_language.__file__).parent
ROOT = DEMO_IMAGES.parent
LABEL, ADDRESS = "A. from the hills", "cards@loft.example"
BLOCK, REASON = "Spring", "measured by a friend"
# The invented block in German, whose name and note stand in the file; lines of a block are told by
# what they are called in it.
GERMAN = block_from_toml(demo_block_toml(language="de"))
KEYS = (*GERMAN.garments, "sizes", "high_bust", "high_burst", GERMAN.name, GERMAN.note)
# Nothing is ever sent; it is only asked whether to.
MAILS = {"ELLWAND_SMTP_HOST": "127.0.0.1", "ELLWAND_SMTP_SENDER": "service@ellwand.example"}
# Days are written by the browser, which has no language of brackets.
BY_BROWSER = (
    "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober",
    "November", "Dezember",
)  # fmt: skip
TYPED = (
    LABEL, ADDRESS, BLOCK, NAME, LOGIN, REASON, "masskarte",
    "front.jpg", "side.jpg",
)  # fmt: skip
# What is on the screen, and what is read out instead of it.
SEEN = """() => {
  const seen = [...document.querySelectorAll("html *")].filter((one) => one.checkVisibility());
  const told = seen.flatMap((one) =>
    ["aria-label", "aria-valuetext", "alt", "placeholder", "title", "data-column"]
      .map((name) => one.getAttribute(name)));
  const drawn = seen.flatMap((one) =>
    [...one.querySelectorAll(":scope > title, :scope > desc")].map((all) => all.textContent));
  return [document.title, document.body.innerText, ...told, ...drawn].filter(Boolean);
}"""

FETCHED = """async (way) => {
  const card = await fetch(`/api/v1/sitting/card.${way}`);
  if (!card.ok) throw new Error(await card.text());
  return [...new Uint8Array(await card.arrayBuffer())];
}"""


@pytest.fixture(scope="module")
def pseudo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealService]:
    """A service that says everything in brackets where it is asked for German."""
    path = os.pathsep.join(map(str, (PSEUDO, PACKAGES, ROOT)))
    data = tmp_path_factory.mktemp("pseudo") / "data"
    with serving(data, environment={"PYTHONPATH": path, **MAILS}) as running:
        yield running


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone in Germany."""
    with visiting(browser, locale="de-DE", has_touch=True) as made:
        yield made


def left_out(text: str, *own: str) -> list[str]:
    """Words in no catalogue, and numbers that are not written with a comma.

    Args:
        text: as it was said.
        own: what may stand in it as it is, besides what is typed.
    """
    figures = re.findall(r"\b[0-9a-f]{4}(?: [0-9a-f]{4}){3}\b", text)
    # What stands in a text is English here; tests of the catalogues look at its German numbers.
    points = re.findall(r"\d+\.\d+", re.sub("⟦[^⟦⟧]*⟧", " ", text))
    return [*not_said(text, *figures, *own, *TYPED, *BY_BROWSER), *points]


def left_out_of(page: Page, *own: str) -> list[str]:
    """The same of all that is seen of a page."""
    assert "⟦" in page.title()
    return [found for text in page.evaluate(SEEN) for found in left_out(text, *own)]


def read_aloud(html: str) -> list[str]:
    """Texts of a document: its words, its title, and what its parts are called."""
    read = Read(re.sub("<style>.*?</style>", "", html, flags=re.DOTALL))
    called = [value for _, name, value in read.attributes if name in ("aria-label", "alt")]
    return [" ".join(read.words), *re.findall("<title[^>]*>(.*?)</title>", html), *called]


def texts_of_card(page: Page) -> dict[str, list[str]]:
    """All that the card says, as the page gives it: on paper, as a page, in a draft of a mail."""
    ways = {way: bytes(page.evaluate(FETCHED, way)) for way in ("pdf", "html", "eml")}
    sheets = PdfReader(io.BytesIO(ways["pdf"])).pages
    mail = message_from_bytes(ways["eml"], policy=default)
    plain, html = (mail.get_body((kind,)) for kind in ("plain", "html"))
    assert plain is not None
    assert html is not None
    return {
        "paper": [" ".join(" ".join(sheet.extract_text().split()) for sheet in sheets)],
        "page": read_aloud(ways["html"].decode()),
        "mail": [str(mail["Subject"]), plain.get_content(), *read_aloud(html.get_content())],
    }


def test_nothing_that_a_customer_sees_is_left_out(
    pseudo: RealService, phone: BrowserContext
) -> None:
    token = pseudo.invite("--language", "de", "--address", ADDRESS)
    page, _ = opened(phone, f"{pseudo.url}/de/sitting#{token}")
    found: dict[str, list[str]] = {}

    def look(page: Page, state: str) -> None:
        found[state] = left_out_of(page)
        if state == "card":
            for way, texts in texts_of_card(page).items():
                found[f"card, {way}"] = [one for text in texts for one in left_out(text)]
            page.click("#mail button")
            look(page, "asked before sending")
            page.click("#mail-ask button[value=no]")

    every_state(page, look)
    assert {state: words for state, words in found.items() if words} == {}
    assert {"findings", "query, to be kept", "size", "card, mail", "erased"} <= set(found)


def test_nothing_that_a_workroom_sees_is_left_out(
    pseudo: RealService, phone: BrowserContext
) -> None:
    for waist in ("74", "80"):
        measured(pseudo, waist)
    page, _ = opened(phone, f"{pseudo.url}/de/workroom")
    page.wait_for_selector("#entry:not([hidden])")
    found = {"entry": left_out_of(page)}
    page.click("#login button")
    page.wait_for_selector("#login .error")
    found["no login"] = left_out_of(page)
    log_in(page)
    found["room"] = left_out_of(page)
    page.fill("#label", LABEL)
    page.click("#invitation button[type=submit]")
    page.wait_for_selector("#link-made[open]")
    found["link"] = left_out_of(page)
    mail = parse_qs(urlsplit(page.get_attribute("#write-mail", "href") or "").query)
    assert set(mail) == {"subject", "body"}
    link = page.input_value("#link")
    found["mail to her"] = left_out(f"{mail['subject'][0]} {mail['body'][0].replace(link, '')}")
    page.click("#link-made button[value=done]")
    found |= {f"block, {state}": words for state, words in blocks(page)}
    page.fill("#key-label", LABEL)
    page.click("#new-key button")
    page.wait_for_selector("#key-made[open]")
    found["key"] = left_out_of(page)
    page.click("#key-made button[value=done]")
    found |= {f"sitting, {state}": words for state, words in sittings(page)}
    assert {state: words for state, words in found.items() if words} == {}


def measured(pseudo: RealService, waist: str) -> None:
    """A customer with readings, one of them in doubt and one kept, and a size."""
    customer = pseudo.customer("--language", "de", "--label", LABEL)
    for code, entries in {
        "stature": ["168"], "high_bust": ["88", "88,4"], "full_bust": ["94", "94,4"],
        "waist": [waist, waist], "full_hip": ["99", "99,2"], "high_hip": ["29"], "hand": ["29"],
    }.items():  # fmt: skip
        read = customer.post(f"{BASE}/sitting/readings", json={"code": code, "entries": entries})
        assert read.status_code == 201
    why = {"code": "hand", "reason": REASON}
    assert customer.post(f"{BASE}/sitting/keeps", json=why).status_code == 201
    assert customer.post(f"{BASE}/sitting/decision", json={}).status_code == 200


def sittings(page: Page) -> Iterator[tuple[str, list[str]]]:
    """Sittings are looked at, compared, and asked about before anything is done to them."""
    for summary in page.locator("#sitting-list summary").all():
        summary.click()
    expect(page.locator("#sitting-list table")).to_have_count(4)
    expect(page.locator("#sitting-list .standing.queried")).to_have_count(2)
    expect(page.locator("#sitting-list .standing.kept")).to_have_count(2)
    yield "details", left_out_of(page)
    page.locator("#sitting-list form button").first.click()
    page.wait_for_selector("#sitting-list form h4")
    yield "beside another", left_out_of(page)
    for number, act in enumerate(("new link", "end the link", "erase")):
        page.locator("#sitting-list article > div.buttons").first.locator("button:visible").nth(
            number
        ).click()
        page.wait_for_selector("#sure[open]")
        yield act, left_out_of(page)
        page.click("#sure button[value=no]")


def blocks(page: Page) -> Iterator[tuple[str, list[str]]]:
    """A block is checked, spoilt, mended, kept and deleted; what is left out at each of these."""
    page.click("#block-demo")
    expect(page.locator("#block-text")).not_to_have_value("")
    page.click("#upload button[value=check]")
    page.wait_for_selector("#block-understood:not([hidden])")
    yield "understood", left_out_of(page, *KEYS)
    demo = page.input_value("#block-text")
    page.fill("#block-text", demo.replace("\nhigh_bust", "\nhigh_burst", 1))
    page.fill("#block-name", BLOCK)
    page.click("#upload button[value=keep]")
    page.wait_for_selector("#upload .error")
    yield "spoilt", left_out_of(page, *KEYS)
    page.fill("#block-text", demo)
    page.click("#upload button[value=keep]")
    page.wait_for_selector("#block-list .buttons")
    yield "kept", left_out_of(page)
    page.click("#block-list button >> nth=-1")
    page.wait_for_selector("#sure[open]")
    yield "asked", left_out_of(page)
    page.click("#sure button[value=no]")


def test_what_is_left_out_would_be_noticed(pseudo: RealService, phone: BrowserContext) -> None:
    page, _ = opened(phone, f"{pseudo.url}/de/sitting#{pseudo.invite('--language', 'de')}")
    page.wait_for_selector("#start-title")
    assert left_out_of(page) == []
    page.evaluate(
        "document.querySelector('#start').insertAdjacentHTML('beforeend',"
        " '<p>Nearly 92.5 cm <input aria-label=\"Typed\"> <span hidden>unseen</span></p>')"
    )
    assert left_out_of(page) == ["Nearly", "92.5", "Typed"]
