"""The pages in German in a real browser: a phone, its language kept, numbers with a comma."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browsing import (
    ADELA,
    LONGEST_MS,
    PHONE,
    agree,
    decide,
    download,
    go_to,
    log_in,
    opened,
    read_in,
    send_photos,
    take_way,
    visiting,
)
from tests.end_to_end.test_access import too_wide, violations
from tests.real_service import RealService

# Words that stand in many English sentences of the page, and in no German one.
ENGLISH = re.compile(r"\b(the|and|your|you|with|of|measure|photos|reading|waist|bust)\b", re.I)


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone in Germany that nobody has used before."""
    with visiting(browser, locale="de-DE", has_touch=True) as made:
        yield made


def in_english(page: Page) -> list[str]:
    """Lines that are seen and not in German."""
    shown = page.locator("body").inner_text()
    return [line for line in shown.splitlines() if ENGLISH.search(line)]


def looked_at(page: Page) -> None:
    """Nothing English, nothing too wide, nothing that keeps anybody out."""
    assert page.evaluate("document.documentElement.lang") == "de"
    assert in_english(page) == []
    assert too_wide(page) == []
    assert violations(page) == []


def test_a_customer_chooses_german_and_gets_it_right(
    service: RealService, phone: BrowserContext
) -> None:
    page, complaints = opened(phone, f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title:focus")
    page.click(".top .languages >> text=Deutsch")
    page.wait_for_url("**/de/sitting#start")
    page.wait_for_selector("#start-title:focus")
    assert page.locator(".top .languages [aria-current]").inner_text() == "Deutsch"
    looked_at(page)

    go_to(page, "tape")
    page.click("#beforehand > summary")
    page.wait_for_selector("#crooked-drawing [role=img]")
    looked_at(page)
    page.click("#beforehand > summary")
    read_in(page, "high_bust", ["96,5", "97,0"])
    told = page.locator("#high_bust-part .readings").text_content() or ""
    assert "„96,5“ wurde als 96,5\u00a0cm" in told
    # A slip: less than the high bust.
    read_in(page, "full_bust", ["79,0", "79,5"])
    page.wait_for_selector("#full_bust-part .standing.queried")
    assert (
        page.locator("#full_bust-part .queries strong").first.inner_text().strip() == "Rückfrage:"
    )
    take_way(page, "full_bust", "Correct what I typed")
    looked_at(page)
    page.fill("#full_bust-correct-1", "99,5")
    page.fill("#full_bust-correct-2", "100,0")
    page.press("#full_bust-correct-2", "Enter")
    page.wait_for_selector("#full_bust-part .standing.confirmed")
    read_in(page, "waist", ["815"])
    page.click("#waist-part .queries button")
    page.wait_for_selector("#waist-part .standing.read")
    read_in(page, "waist", ["81,0"])
    told = page.locator("#waist-part .readings").text_content() or ""
    assert "„81,5\u00a0cm“ wurde als 81,5\u00a0cm" in told
    read_in(page, "full_hip", ["108,0", "42 3/4 in"])
    read_in(page, "stature", ["1,68 m"])
    looked_at(page)

    decide(page)
    looked_at(page)
    # Another unit: what is decided is said anew, and no "in" is left behind a number.
    go_to(page, "start")
    page.check("#unit-in")
    page.wait_for_selector("#decision-steps dd:has-text('Zoll (')", state="attached")
    go_to(page, "size")
    looked_at(page)
    assert not re.search(r"\d\s(?:in\b|cm \()", page.locator("#size").inner_text())
    go_to(page, "card")
    looked_at(page)
    assert download(page) == "masskarte.pdf"
    assert complaints == []


def see_entries_refused(page: Page) -> None:
    """Type beside photos what cannot be used, hear of it, and put a height right with one tap."""
    # Told when she leaves the field, and no other one is blamed for being empty yet.
    page.fill("#stature", "1,65")
    page.press("#stature", "Tab")
    page.wait_for_selector("#stature ~ .error >> text=Meinten Sie 1,65 m? Das sind 165,0")
    assert page.locator("#photo-form .error").count() == 1
    page.fill("#weight", "70")
    # All that is wrong is told at once, and nothing is sent.
    page.click("#send-photos")
    page.wait_for_selector("#stature:focus")
    wrong = page.locator("#photo-form [aria-invalid]")
    ids = [one.get_attribute("id") for one in wrong.all()]
    assert ids == ["stature", "weight", "front", "side"]
    for one in wrong.all():
        described = (one.get_attribute("aria-describedby") or "").split()
        assert page.locator(f"#{described[-1]}.error").is_visible()
    looked_at(page)
    page.click("#stature ~ .error >> text=Ja, ich meinte 1,65 m")
    page.wait_for_selector("#stature:not([aria-invalid])")
    assert page.input_value("#stature") == "1,65 m"


def stay(page: Page, why: str) -> None:
    """Ask for the other language, hear why it costs something, and stay."""
    page.click(".top .languages >> text=English")
    page.wait_for_selector(f"#language-ask >> text={why}")
    looked_at(page)
    url = page.url
    page.click("#language-ask button[value=no]")
    assert page.url == url


def test_photos_are_told_of_in_german(service: RealService, phone: BrowserContext) -> None:
    page, complaints = opened(phone, f"{service.url}/sitting#{service.invite()}")
    page.click(".top .languages >> text=Deutsch")
    page.wait_for_url("**/de/sitting#start")
    go_to(page, "photos")
    looked_at(page)
    agree(page)
    sheets = page.locator("#photos a[href*='reference-sheets']")
    assert {link.get_attribute("href") for link in sheets.all()} == {
        f"{service.url}/api/v1/reference-sheets/de/{paper}.pdf" for paper in ("a4", "letter")
    }
    for summary in page.locator("#photo-form summary").all():
        summary.click()
    see_entries_refused(page)
    page.fill("#weight", "")
    page.fill("#standoff-side", "etwa 35 cm")
    page.fill("#stature", "165 cm")
    page.set_input_files("#front", ADELA / "front.jpg")
    page.wait_for_selector("#front-state:has-text('Wand bis Mitte zwischen den Füßen')")
    looked_at(page)
    stay(page, "müssten neu ausgewählt werden")
    send_photos(page)
    for view in ("front", "side"):
        assert page.locator(f"#{view}-state").inner_text() == ""
    assert re.search(r"\d,\d ±\s\d,\d", page.locator("#estimates").inner_text())
    page.click("#findings > details summary")
    looked_at(page)
    heads, row = page.locator("#findings thead").first, page.locator("#estimates tr >> nth=2")
    assert heads.inner_text().split() == ["Maß", "cm", "Zoll"]
    metric = row.locator("td").all_inner_texts()
    go_to(page, "start")
    page.check("#unit-in")
    page.wait_for_selector("#findings thead th:nth-child(2)[data-unit=in]", state="attached")
    go_to(page, "photos")
    assert heads.inner_text().split() == ["Maß", "Zoll", "cm"]
    assert row.locator("td").all_inner_texts() == metric[::-1]
    page.click("#correct-lines")
    page.wait_for_selector("#correcting .grip")
    page.press("#correcting .grip.height", "ArrowUp")
    assert "0,1\u00a0cm" in page.locator("#correcting-told").inner_text()
    looked_at(page)
    stay(page, "Die Linie, die Sie verschoben haben, ist noch nicht gespeichert")
    # Where the photo was faster than the check of the field, it was refused once.
    assert [one for one in complaints if "422" not in one] == []


def test_a_sitting_opens_in_its_own_language_at_the_step_that_was_asked_for(
    service: RealService, phone: BrowserContext
) -> None:
    page, _ = opened(phone, f"{service.url}/sitting#{service.invite()}")
    page.click(".top .languages >> text=Deutsch")
    page.wait_for_url("**/de/sitting#start")
    page.goto(f"{service.url}/sitting#tape")
    page.wait_for_url("**/de/sitting#tape")
    page.wait_for_selector("section:not([hidden])#tape")
    # At every step, and what is typed or chosen and not sent yet comes along.
    page.fill("#stature-entry", "1,65 m")
    go_to(page, "photos")
    agree(page)
    page.check("#ref-card")
    page.click(".top .languages >> text=English")
    page.wait_for_selector("#photos-title:focus >> text=Two photos")
    assert page.is_checked("#ref-card")
    assert not page.is_visible("#bar-across")
    assert page.input_value("#stature-entry") == "1,65 m"
    page.reload()
    page.wait_for_selector("#until >> text=What you enter is kept until", state="attached")
    assert page.url == f"{service.url}/sitting#photos"


def test_a_link_that_is_not_spent_goes_along(service: RealService, phone: BrowserContext) -> None:
    token = service.invite()
    phone.route("**/api/v1/entrance", lambda route: route.abort())
    page, _ = opened(phone, f"{service.url}/sitting#{token}")
    page.wait_for_selector("#closed:not([hidden])")
    assert page.url == f"{service.url}/sitting"
    # Nothing is reached: the page that holds the link stays.
    phone.set_offline(True)
    page.click(".top .languages >> text=Deutsch")
    page.wait_for_selector("#status.wrong >> text=The service was not reached.")
    assert page.url == f"{service.url}/sitting"
    phone.set_offline(False)
    page.click(".top .languages >> text=Deutsch")
    page.wait_for_selector("#closed-why >> text=Der Dienst ist nicht erreichbar.")
    phone.unroute("**/api/v1/entrance")
    page.click("#closed-again")
    # The link itself is one in English, and so is what it opens.
    page.wait_for_selector("#until >> text=What you enter is kept until")
    assert token not in page.url


def test_a_page_whose_words_are_not_reached_works_in_english(
    service: RealService, phone: BrowserContext
) -> None:
    phone.route("**/page/words.de.js", lambda route: route.abort())
    page, _ = opened(phone, f"{service.url}/de/workroom")
    page.wait_for_selector("#entry:not([hidden])")
    page.click("#login button")
    page.wait_for_selector("#login .error >> text=Type your login.")


def test_a_workroom_in_german_invites_in_either_language(
    service: RealService, browser: Browser
) -> None:
    desk = browser.new_context(viewport=PHONE, locale="de-DE")
    desk.set_default_timeout(LONGEST_MS)
    room, _ = opened(desk, f"{service.url}/workroom")
    room.click("#entry .languages >> text=Deutsch")
    room.wait_for_url("**/de/workroom")
    room.wait_for_selector("#entry:not([hidden])")
    looked_at(room)
    log_in(room)
    assert room.input_value("#language") == "de"
    looked_at(room)
    for language, hello in (("de", "Guten Tag,"), ("en", "Hello,")):
        room.select_option("#language", language)
        room.fill("#label", f"A. in {language}")
        room.click("#invitation button[type=submit]")
        room.wait_for_selector("#link-made[open]")
        mail = room.locator(f"#write-mail[href*='body={hello.split(',')[0].replace(' ', '%20')}']")
        mail.wait_for()
        room.click("#link-made button[value=done]")
    # What is written and not kept is asked about first.
    room.click("#block-demo")
    room.click("#upload button[value=check]")
    room.wait_for_selector("#block-understood:not([hidden])")
    room.fill("#block-text", "[sizes]")
    room.click("#upload button[value=check]")
    room.wait_for_selector("#upload .error")
    # What was understood of the text before it would contradict what is said of this one.
    assert not room.locator("#block-understood").is_visible()
    looked_at(room)
    room.click("#room .languages >> text=English")
    room.click("#sure button[value=no]")
    assert room.url.startswith(f"{service.url}/de/workroom")
    assert room.input_value("#block-text") == "[sizes]"
    desk.close()
