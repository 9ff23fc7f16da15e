"""The card in a real browser: seen, with her outline, shared, and beside an earlier one."""

import json
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from ellwand.card import digest_of_json, grouped
from tests.browsing import LONGEST_MS, log_in, opened, parted
from tests.real_service import RealService
from tests.running import DEMO_IMAGES

ADELA = DEMO_IMAGES / "sittings" / "adela"
# WCAG 2.2, 2.5.5.
LEAST_TARGET_PX = 44
READINGS = {
    "stature": ["168"],
    "high_bust": ["88", "88.4"],
    "full_bust": ["94", "94.4"],
    "waist": ["74", "74.3"],
    "full_hip": ["99", "99.2"],
}
POST = """([path, json]) => fetch(`/api/v1/sitting/${path}`, {
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(json),
}).then((response) => response.status)"""


def measured(page: Page, readings: dict[str, list[str]] | None = None) -> None:
    """Read everything in that the size needs, and show the card."""
    # The first words stand there before the link is opened.
    page.wait_for_selector("#until:not(:empty)", state="attached")
    for code, entries in (readings or READINGS).items():
        assert page.evaluate(POST, ["readings", {"code": code, "entries": entries}]) == 201
    assert page.evaluate(POST, ["decision", {}]) == 200
    to_card(page)


def to_card(page: Page) -> None:
    """Come back to the card."""
    page.goto(f"{page.url.partition('#')[0]}#card")
    page.reload()
    page.wait_for_selector("#card-ways:not([hidden])")


def seen(context: BrowserContext, page: Page) -> Page:
    """The card in its own tab."""
    with context.expect_page() as tab:
        page.click("text=See the card")
    tab.value.wait_for_load_state()
    return tab.value


def test_the_card_is_seen_on_the_smallest_phone_in_a_tab_of_its_own(
    service: RealService, browser: Browser
) -> None:
    phone = browser.new_context(viewport={"width": 320, "height": 640})
    phone.set_default_timeout(LONGEST_MS)
    page, complaints = opened(phone, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    for one in page.locator("#card-ways a, #card-ways button").all():
        if one.is_visible():
            box = one.bounding_box()
            assert box is not None
            assert box["height"] >= LEAST_TARGET_PX
    card = seen(phone, page)
    card.on("console", lambda one: complaints.append(one.text))
    card.reload()
    assert card.title() == "Measurement card"
    assert card.evaluate("document.documentElement.scrollWidth") <= 320
    # Rows that have become blocks are still a table for who hears them.
    row = card.get_by_role("row", name="Full bust").first
    assert row.get_by_role("rowheader").inner_text() == "Full bust"
    assert row.get_by_role("cell").count() == 4
    assert card.get_by_role("img").count() == 2
    objections = Axe().run(card).response["violations"]
    assert [one["id"] for one in objections] == []
    assert complaints == []
    phone.close()


@pytest.mark.parametrize(("language", "larger"), [("en", "200%"), ("de", "100%"), ("de", "200%")])
def test_no_word_of_its_measurements_is_parted_on_the_smallest_phone(
    service: RealService, browser: Browser, language: str, larger: str
) -> None:
    phone = browser.new_context(viewport={"width": 320, "height": 640})
    phone.set_default_timeout(LONGEST_MS)
    page, _ = opened(phone, f"{service.url}/sitting#{service.invite('--language', language)}")
    # The longest names of German, and one of two words.
    measured(page, READINGS | {"underbust": ["79", "79.3"], "high_hip": ["92", "92.4"]})
    card = phone.new_page()
    card.goto(f"{service.url}/api/v1/sitting/card.html")
    assert card.get_attribute("html", "lang") == language
    card.evaluate("size => { document.documentElement.style.fontSize = size; }", larger)
    assert card.locator(".measurements tbody tr").count() == 7
    assert parted(card) == []
    assert card.evaluate("document.documentElement.scrollWidth") <= 320
    # The same would be noticed.
    card.evaluate("document.querySelector('.measurements tbody th').style.width = '2rem'")
    assert parted(card)
    phone.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_style_of_the_card_arrives_in_both_colour_schemes(
    service: RealService, browser: Browser, scheme: str
) -> None:
    screen = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
    page, _ = opened(screen, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    card = seen(screen, page)
    ground = card.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(252, 252, 249)", "dark": "rgb(25, 37, 42)"}[scheme]
    screen.close()


def test_her_outline_is_put_on_the_card_and_taken_off_again(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    # There is nothing to draw before there are photos.
    assert page.locator("#outline").is_hidden()
    page.goto(f"{page.url.partition('#')[0]}#photos")
    page.check("#adult")
    page.check("#agree")
    page.press("#agree", "Enter")
    page.fill("#stature", "168 cm")
    for view in ("front", "side"):
        page.set_input_files(f"#{view}", ADELA / f"{view}.jpg")
    page.click("#send-photos")
    page.wait_for_selector("#findings-title:focus")
    to_card(page)
    tick = page.get_by_label("Put my outline (neck to thighs, no photo) on the card")
    assert not tick.is_checked()
    assert "Her outline" not in seen(context, page).inner_text("main")
    tick.check()
    page.wait_for_selector("text=Your outline is on the card from now on.")
    card = seen(context, page)
    assert "Her outline" in card.inner_text("main")
    assert card.locator(".outline polyline").count() >= 4
    to_card(page)
    assert tick.is_checked()
    tick.uncheck()
    page.wait_for_selector("text=Your outline is off the card.")
    assert "Her outline" not in seen(context, page).inner_text("main")
    assert complaints == []


STUB = """
window.shared = []; window.outcomes = OUTCOMES;
navigator.canShare = ({ files }) => files.length > 0
  && files.every(({ name }) => KINDS.some((kind) => name.endsWith(kind)));
navigator.share = async ({ files, ...told }) => {
  window.shared.push({ told, files: await Promise.all(files.map(async (file) =>
    ({ name: file.name, type: file.type, text: await file.text() }))) });
  const outcome = window.outcomes.shift();
  if (outcome) throw new DOMException("no", outcome);
};
"""


def sharing(context: BrowserContext, kinds: list[str], outcomes: list[str] | None = None) -> None:
    """Let the browser share files of these kinds, and each try end so; none ends well."""
    stub = STUB.replace("KINDS", json.dumps(kinds)).replace("OUTCOMES", json.dumps(outcomes or []))
    context.add_init_script(stub)


def test_the_card_is_shared_as_two_files_that_tell_nothing_outside(
    service: RealService, context: BrowserContext
) -> None:
    sharing(context, [".pdf", ".json"], ["AbortError"])
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    page.click("#share")
    page.wait_for_selector("text=Nothing was shared.")
    # What is read in later is on it, too.
    assert page.evaluate(POST, ["readings", {"code": "wrist", "entries": ["15.9"]}]) == 201
    to_card(page)
    page.evaluate("window.outcomes.length = 0")
    page.click("#share")
    page.wait_for_selector("text=The card is handed on.")
    (one,) = page.evaluate("window.shared")
    assert one["told"] == {"title": "Measurement card"}
    pdf, card = one["files"]
    assert (pdf["name"], pdf["type"]) == ("measurement-card.pdf", "application/pdf")
    assert pdf["text"].startswith("%PDF-")
    assert (card["name"], card["type"]) == ("measurement-card.json", "application/json")
    assert "wrist" in [row["code"] for row in json.loads(card["text"])["rows"]]
    assert complaints == []


def test_a_browser_that_shares_no_json_gets_it_as_text_and_then_the_pdf_alone(
    service: RealService, context: BrowserContext
) -> None:
    sharing(context, [".pdf", ".json", ".txt"], ["NotAllowedError", "DataError"])
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    for _ in range(2):
        page.click("#share")
        page.wait_for_selector("text=Press “Share the card” once more.")
    page.click("#share")
    page.wait_for_selector("text=The card is handed on.")
    names = page.evaluate("window.shared.map(({ files }) => files.map(({ name }) => name))")
    assert names == [
        ["measurement-card.pdf", "measurement-card.json"],
        ["measurement-card.pdf", "measurement-card.json.txt"],
        ["measurement-card.pdf"],
    ]


@pytest.mark.parametrize("kinds", [[], [".txt"]])
def test_where_files_are_not_shared_there_are_downloads_and_no_button(
    service: RealService, context: BrowserContext, kinds: list[str]
) -> None:
    sharing(context, kinds)
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    assert page.locator("#share").is_hidden()
    assert page.get_by_role("link", name="Download as PDF").is_visible()


def test_a_browser_that_shares_nothing_in_the_end_takes_the_button_away(
    service: RealService, context: BrowserContext
) -> None:
    sharing(context, [".pdf"], ["NotAllowedError"])
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    measured(page)
    page.click("#share")
    page.wait_for_selector("text=Download the card, and hand it on from there.")
    assert page.locator("#share").is_hidden()


def later(browser: Browser, service: RealService, width: int, scheme: str = "light") -> Page:
    """A customer who was measured before: her page, on the card of today."""
    phone = browser.new_context(viewport={"width": width, "height": 740}, color_scheme=scheme)  # type: ignore[arg-type]
    phone.set_default_timeout(LONGEST_MS)
    page, _ = opened(phone, f"{service.url}/sitting#{service.invite('--label', 'A. again')}")
    measured(page, READINGS | {"waist": ["77", "77.2"], "wrist": ["15.9", "16"]})
    page.click("#last-card summary")
    return page


@pytest.fixture
def old_card(service: RealService, context: BrowserContext) -> bytes:
    """The card of last time, as it was downloaded."""
    page, _ = opened(context, f"{service.url}/sitting#{service.invite('--label', 'A. first')}")
    measured(page)
    with page.expect_download() as download:
        page.click("text=Save it for next time")
    return download.value.path().read_bytes()


def give(page: Page, content: bytes, figures: str = "") -> None:
    """Choose a file, and compare."""
    page.set_input_files(
        "#earlier-card",
        {"name": "measurement-card.json", "mimeType": "application/json", "buffer": content},
    )
    page.fill("#earlier-figures", figures)
    page.press("#earlier-figures", "Enter")


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_what_has_changed_since_her_last_card_is_told(
    service: RealService, browser: Browser, old_card: bytes, width: int, scheme: str
) -> None:
    page = later(browser, service, width, scheme)
    give(page, old_card)
    page.wait_for_selector("#compared-title:focus")
    told = page.locator("#compared").inner_text().replace("\u00a0", " ")
    assert f"The file has the figures {grouped(digest_of_json(old_card))}." in told
    lines = [line for line in told.splitlines() if line]
    assert lines[1:5] == [
        "1 measurement has clearly changed.",
        "Waist: 3.0 cm more than earlier on the same day; that is more than the doubt of the tape",
        "Before 74.2 cm, now 77.1 cm; over 99 % sure",
        "No difference that the tape could show: height, high bust, full bust and full hip.",
    ]
    assert "Only in the later sitting: wrist." in told
    assert "The percentage tells" not in told
    page.click("text=How sure a change is")
    assert page.get_by_text("The percentage tells").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert [one["id"] for one in Axe().run(page).response["violations"]] == []
    # A later reading makes it old, and it goes.
    assert page.evaluate(POST, ["readings", {"code": "hand", "entries": ["20"]}]) == 201
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_selector("#compared", state="hidden")
    page.context.close()


def test_a_file_that_is_no_card_or_was_changed_is_told_at_its_field(
    service: RealService, browser: Browser, old_card: bytes
) -> None:
    page = later(browser, service, 360)
    page.press("#earlier-figures", "Enter")
    page.wait_for_selector("#earlier-card[aria-invalid]")
    for content in (b"no JSON", b"[]", b"{}"):
        give(page, content)
        page.wait_for_selector("text=This file is no saved measurement card.")
    give(page, old_card, grouped(digest_of_json(old_card)))
    page.wait_for_selector("text=The file says what the printed card says.")
    give(page, old_card.replace(b'"standing": "confirmed"', b'"standing": "kept"', 1),
         grouped(digest_of_json(old_card)))  # fmt: skip
    page.wait_for_selector("text=The file does not say what the printed card says.")
    assert page.locator("#compared").is_hidden()
    page.context.close()


def test_a_workroom_sets_two_sittings_beside_each_other(
    service: RealService, browser: Browser, context: BrowserContext, old_card: bytes
) -> None:
    assert old_card
    page = later(browser, service, 360)
    room, complaints = opened(context, f"{service.url}/workroom")
    log_in(room)
    line = room.locator(".sitting-line", has_text="A. again").first
    line.locator("summary", has_text="Details").click()
    # What is cut from stands first; what she typed is told beside what came of it.
    typed = line.locator("table", has_text="How it was taken")
    typed.wait_for()
    assert re.search(r"“[^”]+”, read as \d", typed.inner_text())
    titles = line.locator("h4, form label").all_inner_texts()
    assert titles[0].startswith("Size ")
    assert titles[1:] == [
        "Her measurements",
        "What she typed",
        "An earlier sitting of the same customer",
    ]
    first = room.locator(".sitting-line").last
    first.locator("summary", has_text="Details").click()
    first.get_by_text("There is no earlier sitting").or_(
        first.get_by_text("Nothing is measured yet.")
    ).wait_for()
    line.get_by_label("An earlier sitting of the same customer").select_option(index=0)
    line.get_by_text("What has changed since then").click()
    line.locator(".compared").first.wait_for()
    assert "Waist" in line.locator(".compared").first.inner_text()
    with context.expect_page() as tab:
        line.get_by_role("link", name="See the card").click()
    tab.value.wait_for_load_state()
    assert tab.value.title() == "Measurement card"
    assert [one for one in complaints if "401" not in one] == []
    page.context.close()
