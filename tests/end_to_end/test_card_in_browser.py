"""The card in a real browser: seen, with her outline, shared, and beside an earlier one."""

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.real_service import RealService

from . import test_browser as walk
from .test_browser import ADELA, LEAST_TARGET_PX, LONGEST_MS, opened

browser, service, context = walk.browser, walk.service, walk.context
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
    page.wait_for_selector("#open:not([hidden])")
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
    row = card.get_by_role("row", name="full bust").first
    assert row.get_by_role("rowheader").inner_text() == "full bust"
    assert row.get_by_role("cell").count() == 4
    assert card.get_by_role("img").count() == 2
    assert complaints == []
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
