"""The page for everybody: axe-core, the keyboard alone, narrow windows, large text."""

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browsing import (
    LONGEST_MS,
    agree,
    decide,
    go_to,
    log_in,
    opened,
    parted,
    read_in,
    send_photos,
    take_way,
)
from tests.real_service import RealService

# More than anything on the page lies apart.
MOST_TABS = 60
Look = Callable[[Page, str], None]


def violations(page: Page) -> list[str]:
    """What axe-core objects to, with the elements."""
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {one['help']}: {[node['target'] for node in one['nodes']]}" for one in found
    ]


def too_wide(page: Page) -> list[str]:
    """What reaches beyond the window, so that it can only be read by scrolling sideways."""
    found: list[str] = page.evaluate(
        "[...document.querySelectorAll('body *')]"
        ".filter((one) => one.checkVisibility() && !one.closest('svg, .picture, .unseen, .skip')"
        " && one.getBoundingClientRect().right > innerWidth + 1)"
        ".map((one) => one.outerHTML.slice(0, 80))"
    )
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found.append("the page scrolls sideways")
    return found


def every_state(page: Page, look: Look) -> None:
    """Go through every step of a sitting in every state that a customer meets."""
    page.wait_for_selector("#start-title")
    look(page, "start")
    states_of_photos(page, look)
    states_of_tape(page, look)
    go_to(page, "size")
    look(page, "size, not yet")
    decide(page)
    look(page, "size")
    go_to(page, "card")
    look(page, "card")
    page.click(".foot a")
    look(page, "erase")
    page.click("#erase-all")
    look(page, "asked before erasing")
    page.click("#erase-ask button[value=yes]")
    page.wait_for_selector("#erased:not([hidden])")
    look(page, "erased")


def states_of_photos(page: Page, look: Look) -> None:
    """What is agreed to, the form, what is wrong with it, and what photos give."""
    go_to(page, "photos")
    look(page, "consent")
    agree(page)
    for summary in page.locator("#photo-form summary").all():
        summary.click()
    look(page, "photo form")
    page.click("#send-photos")
    page.wait_for_selector("#photo-form .error")
    look(page, "an error at a field")
    send_photos(page)
    page.click("#findings > details summary")
    look(page, "findings")
    page.click("#correct-lines")
    page.wait_for_selector("#correcting .grip")
    look(page, "correcting a line")


def states_of_tape(page: Page, look: Look) -> None:
    """The words beforehand, an entry, and a query with the ways on."""
    go_to(page, "tape")
    page.click("#beforehand > summary")
    page.wait_for_selector("#crooked-drawing [role=img]")
    read_in(page, "high_bust", ["96.5"])
    page.click("#high_bust-part .how > summary")
    look(page, "first reading")
    read_in(page, "high_bust", ["97"])
    read_in(page, "full_bust", ["79"])
    take_way(page, "full_bust", "Correct what I typed")
    look(page, "query, to be corrected")
    take_way(page, "full_bust", "Keep it as it is")
    look(page, "query, to be kept")
    page.fill("#full_bust-reason", "measured by a friend")
    page.press("#full_bust-reason", "Enter")
    page.wait_for_selector("#full_bust-part .standing.kept")
    look(page, "kept")
    read_in(page, "waist", ["81.5", "81"])
    read_in(page, "full_hip", ["108", "42 3/4 in"])


def told_at_every_state(
    page: Page, ask: Callable[[Page], list[str]], way: str
) -> dict[str, object]:
    """What is told of the states, and a picture of each where somebody wants to look at them."""
    found: dict[str, object] = {}
    folder = os.environ.get("ELLWAND_SCREENSHOTS")

    def look(page: Page, name: str) -> None:
        if told := ask(page):
            found[name] = told
        if folder:
            picture = Path(folder) / way / f"{name}.png"
            page.screenshot(path=picture, full_page=True)

    every_state(page, look)
    return found


@pytest.fixture
def windows(browser: Browser) -> Iterator[Callable[..., Page]]:
    """A window as somebody has it, opened at a link."""
    made = []

    def window(url: str, **way: object) -> Page:
        made.append(browser.new_context(**way))  # type: ignore[arg-type]
        made[-1].set_default_timeout(LONGEST_MS)
        return opened(made[-1], url)[0]

    yield window
    for one in made:
        one.close()


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (360, "dark"), (1280, "light")])
def test_nothing_keeps_anybody_out_at_any_step(
    service: RealService, windows: Callable[..., Page], width: int, scheme: Literal["light", "dark"]
) -> None:
    link = f"{service.url}/sitting#{service.invite()}"
    page = windows(link, viewport={"width": width, "height": 740}, color_scheme=scheme)
    assert told_at_every_state(page, violations, f"{width} pixels, {scheme}") == {}


def test_what_keeps_people_out_would_be_noticed(
    service: RealService, windows: Callable[..., Page]
) -> None:
    page = windows(f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title")
    page.evaluate("document.querySelector('#start').append(document.createElement('input'))")
    assert any(told.startswith("label:") for told in violations(page))


@pytest.mark.parametrize("larger", ["100%", "200%"])
def test_the_narrowest_phone_shows_everything_also_in_letters_of_twice_the_size(
    service: RealService, windows: Callable[..., Page], larger: str
) -> None:
    page = windows(
        f"{service.url}/sitting#{service.invite()}", viewport={"width": 320, "height": 640}
    )
    page.wait_for_selector("#start-title")
    page.evaluate("size => { document.documentElement.style.fontSize = size; }", larger)
    way = f"320 pixels, letters {larger}"
    told = told_at_every_state(page, lambda page: [*too_wide(page), *parted(page)], way)
    assert told == {}


def tab_to(page: Page, selector: str) -> None:
    """Press Tab until an element has the focus, as somebody does who has no pointer."""
    for _ in range(MOST_TABS):
        if page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{selector} is not reached by Tab")


def type_in(page: Page, code: str, entries: list[str]) -> None:
    """Type readings of a measurement that is open, and go on from it."""
    for number, entry in enumerate(entries):
        tab_to(page, f"#{code}-entry")
        page.keyboard.type(entry)
        page.keyboard.press("Enter")
        read = page.locator(f"#{code}-part .readings li >> nth={number}")
        read.wait_for(state="attached")
    page.wait_for_selector(f"#{code}-part .onward button:focus")
    page.keyboard.press("Enter")


def test_the_keyboard_alone_leads_from_the_link_to_the_card(
    service: RealService, windows: Callable[..., Page]
) -> None:
    page = windows(f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title:focus")
    tab_to(page, "#start a[href='#tape']")
    page.keyboard.press("Enter")
    page.wait_for_selector("#tape-title:focus")
    type_in(page, "stature", ["168"])
    type_in(page, "high_bust", ["96.5", "97"])
    type_in(page, "full_bust", ["99.5", "100"])
    type_in(page, "waist", ["81.5", "81"])
    type_in(page, "full_hip", ["108", "107.5"])
    page.wait_for_selector("#size-title:focus")
    tab_to(page, "#decide button")
    page.keyboard.press("Enter")
    page.wait_for_selector("#decision-title:focus")
    tab_to(page, "#size a[href='#card']")
    page.keyboard.press("Enter")
    page.wait_for_selector("#card-title:focus")
    tab_to(page, "#card a[href$='card.pdf']")
    with page.expect_download() as download:
        page.keyboard.press("Enter")
    assert download.value.suggested_filename == "measurement-card.pdf"


def test_a_workroom_writes_a_block_of_its_own(
    service: RealService, windows: Callable[..., Page]
) -> None:
    page = windows(f"{service.url}/workroom", viewport={"width": 360, "height": 740})
    page.wait_for_selector("#entry:not([hidden])")
    assert violations(page) == []
    log_in(page)
    page.click("#block-demo")
    page.wait_for_selector("text=The demo block is in the field.")
    page.click("text=Only check")
    page.wait_for_selector("#block-understood >> text=This block can be used.")
    demo = page.input_value("#block-text")
    page.fill("#block-text", demo.replace("high_bust", "high_burst", 1))
    page.fill("#block-name", "Spring")
    page.click("text=Check and keep")
    page.wait_for_selector("#upload .error >> text=perhaps high_bust is meant")
    assert "high_burst" in page.input_value("#block-text")
    # The line is quoted, marked and in sight.
    page.fill("#block-text", demo.replace("waist = 72\n", "waist = 72 cm\n"))
    page.click("text=Check and keep")
    line = demo.splitlines().index("waist = 72") + 1
    page.wait_for_selector(f"#upload .error >> text=Line {line} is: waist = 72 cm")
    page.wait_for_selector("#upload .error >> text=A number stands without its unit")
    field = page.locator("#block-text")
    assert field.evaluate("at => at.value.slice(at.selectionStart, at.selectionEnd)") == (
        "waist = 72 cm"
    )
    above, below = field.evaluate(
        f"""at => [at.scrollTop, at.scrollTop + at.clientHeight].map(
            edge => edge / at.scrollHeight * {len(demo.splitlines())})"""
    )
    assert above < line - 1 < line < below
    page.fill("#block-text", demo.replace("Demo blouse block", "Spring blouse"))
    page.click("text=Check and keep")
    page.wait_for_selector("#block-list >> text=Spring")
    page.click("#block-list >> text=Change …")
    page.wait_for_selector("text=Spring is in the field below.")
    assert "Spring blouse" in page.input_value("#block-text")
    assert violations(page) == []
    assert too_wide(page) == []


def test_a_block_that_is_typed_and_not_kept_is_asked_about_before_it_is_lost(
    service: RealService, windows: Callable[..., Page]
) -> None:
    page = windows(f"{service.url}/workroom", viewport={"width": 360, "height": 740})
    log_in(page)
    page.click("#block-demo")
    page.wait_for_selector("text=The demo block is in the field.")
    page.fill("#block-name", "Summer")
    page.click("text=Check and keep")
    change = page.get_by_role("button", name="Change …: Summer")
    change.click()
    page.wait_for_selector("text=Summer is in the field below.")
    page.click("#block-demo-fuller")
    page.wait_for_selector("text=The demo block is in the field.")
    assert "Demo fuller blouse block" in page.input_value("#block-text")
    # Nothing is typed yet, so that nothing is asked.
    change.click()
    page.wait_for_selector("text=Summer is in the field below.")
    page.fill("#block-text", "# half done")
    change.click()
    page.click("#sure button[value=no]")
    other = {"name": "a.toml", "mimeType": "text/plain", "buffer": b"#"}
    page.set_input_files("#block-file", [other])  # type: ignore[list-item]
    page.click("#sure button[value=no]")
    page.click("#logout")
    page.click("#sure button[value=no]")
    assert page.input_value("#block-text") == "# half done"
    with page.expect_event("dialog") as asked:
        page.close(run_before_unload=True)
    assert asked.value.type == "beforeunload"
    asked.value.dismiss()
    assert page.input_value("#block-text") == "# half done"
    change.click()
    page.click("#sure-yes")
    page.wait_for_selector("text=Summer is in the field below.")
    assert "Demo blouse block" in page.input_value("#block-text")


def test_a_workroom_is_asked_about_what_looks_like_a_slip_in_an_invitation(
    service: RealService, windows: Callable[..., Page]
) -> None:
    page = windows(f"{service.url}/workroom", viewport={"width": 1280, "height": 800})
    log_in(page)
    page.fill("#address", "cards@loft")
    page.click("#invitation button[type=submit]")
    page.wait_for_selector("#invitation .error >> text=it tells her sitting from others")
    page.fill("#label", "K. twice")
    page.click("#invitation button[type=submit]")
    page.click("#sure button[value=no]")
    page.wait_for_selector("#invitation .error >> text=Complete the address")
    page.click("#invitation button[type=submit]")
    page.click("#sure-yes")
    page.click("#link-made button[value=done]")
    page.fill("#address", "cards@loft.example")
    page.fill("#label", "K. twice")
    assert "sitting of this name already" in page.inner_text("#label-used")
    page.click("#invitation button[type=submit]")
    page.click("#link-made button[value=done]")
    assert page.inner_text("#label-used") == ""
    lines = page.locator(".sitting-line", has_text="K. twice")
    assert lines.count() == 2
    # With nothing measured there is no card to be seen.
    assert not lines.first.get_by_role("link", name="See the card").is_visible()
    lines.first.get_by_role("button", name="Erase …").click()
    assert re.search(r"K. twice, invited .*, \d\d:\d\d(:\d\d)?\?", page.inner_text("#sure-title"))
    page.click("#sure button[value=no]")
    # At this width two lines stand beside each other.
    one, other = (lines.nth(at).bounding_box() for at in (0, 1))
    assert one and other
    assert one["y"] == other["y"]
    assert one["x"] + one["width"] < other["x"]
    assert violations(page) == []
    assert too_wide(page) == []
    # Those that a command has made without a name are told by their time.
    for _ in range(2):
        service.invite()
    page.click("#look-again")
    unnamed = page.get_by_role("heading", name="A customer without a name, invited ")
    unnamed.nth(1).wait_for()
    told = unnamed.all_inner_texts()
    assert all(re.search(r", \d\d:\d\d(:\d\d)?$", one) for one in told)
    assert len(set(told)) == len(told)
