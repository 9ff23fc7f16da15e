"""Sheets and paper that are chosen beside photos: set first, found to be others, checked again."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browsing import LONGEST_MS, agree, go_to, opened
from tests.real_service import RealService
from tests.running import DEMO_IMAGES

# She has two sheets of Letter on the wall, and types in inches.
EDDA = DEMO_IMAGES / "sittings" / "edda"
VIEWS = ("front", "side")


@pytest.fixture
def phone(service: RealService, context: BrowserContext) -> Iterator[tuple[Page, list[str]]]:
    """Her phone, where photos are asked for, and what is sent from it."""
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite('--unit', 'in')}")
    sent: list[str] = []
    page.on("request", lambda one: sent.append(one.url) if one.method == "POST" else None)
    go_to(page, "photos")
    agree(page)
    yield page, sent
    assert complaints == []


def choose_photos(page: Page) -> None:
    """Choose both photos."""
    for view in VIEWS:
        page.set_input_files(f"#{view}", EDDA / f"{view}.jpg")


def type_in(page: Page, field: str, text: str) -> None:
    """Type into a field, and leave it."""
    page.fill(f"#{field}", text)
    page.press(f"#{field}", "Tab")


def expect_advice(page: Page, words: str) -> None:
    """Both photos are refused in these words."""
    for view in VIEWS:
        expect(page.locator(f"#{view}-advice")).to_contain_text(words, timeout=LONGEST_MS)


def expect_usable(page: Page) -> None:
    """Both photos can be used, and nothing else is said of them."""
    for view in VIEWS:
        told = f"✓ The {view} photo can be used."
        expect(page.locator(f"#{view}-state")).to_have_text(told, timeout=LONGEST_MS)
        expect(page.locator(f"#{view}-advice")).to_be_empty()


def checks(sent: list[str]) -> int:
    """How many photos were sent to be checked."""
    return sum(url.endswith("/photo-checks") for url in sent)


def test_the_paper_that_goes_with_inches_is_chosen_until_she_chooses(
    phone: tuple[Page, list[str]],
) -> None:
    page, _ = phone
    expect(page.locator("#paper")).to_have_value("letter")
    expect(page.locator("#stature-hint")).to_have_text("Like 5 ft 6 in or 168 cm.")
    go_to(page, "start")
    page.check("#unit-cm")
    expect(page.locator("#paper")).to_have_value("a4")
    expect(page.locator("#stature-hint")).to_have_text("Like 168 cm or 5 ft 6 in.")
    go_to(page, "photos")
    page.select_option("#paper", "letter")
    go_to(page, "start")
    page.check("#unit-in")
    page.check("#unit-cm")
    expect(page.locator("#stature-hint")).to_have_text("Like 168 cm or 5 ft 6 in.")
    page.reload()
    page.wait_for_selector("#start-title")
    expect(page.locator("#paper")).to_have_value("letter")


def test_a_photo_is_checked_again_when_what_it_was_refused_for_is_changed(
    phone: tuple[Page, list[str]],
) -> None:
    page, sent = phone
    page.check("#ref-plain")
    page.select_option("#paper", "a4")
    choose_photos(page)
    for view in VIEWS:
        expect(page.locator(f"#{view}-state")).to_contain_text("once that is put right")
    assert checks(sent) == 0
    type_in(page, "stature", "5 ft 9 7/8 in")
    expect_advice(page, "look like Letter, but A4 is chosen")
    page.select_option("#paper", "letter")
    expect_usable(page)
    # What can be used is sent again for other sheets alone.
    sent.clear()
    with page.expect_response(re.compile("/setup-checks$")):
        type_in(page, "stature", "5 ft 9 3/4 in")
    expect_usable(page)
    assert checks(sent) == 0
    page.check("#ref-marker")
    expect_advice(page, "looks like blank paper")
    page.check("#ref-plain")
    expect_usable(page)
    page.click("#send-photos")
    page.wait_for_selector("#findings-title:focus")
    # What can be left out was not.
    assert page.is_hidden("#photos-why")
    names = page.locator(".level-names").first.locator("li").all_inner_texts()
    assert names[:2] == ["High bust (only in the other photo)", "Full bust"]
