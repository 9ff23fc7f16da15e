"""A line corrected on a phone, by finger and by keys, and what follows from it."""

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page

from tests.browsing import LONGEST_MS, PHONE, agree, go_to, opened, read_in, send_photos
from tests.real_service import RealService
from tests.running import DEMO_IMAGES

# Targets of the page are 44 CSS pixels and more (WCAG 2.2, 2.5.5).
LEAST_TARGET_PX = 44


@pytest.fixture
def phone(service: RealService, browser: Browser) -> Iterator[tuple[Page, list[str]]]:
    """A phone with a finger on it, whose photos were measured."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    context.set_default_timeout(LONGEST_MS)
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title")
    go_to(page, "photos")
    agree(page)
    send_photos(page)
    # An estimate is shown once the tape has said something, too.
    assert (
        "shown after your first reading"
        in page.locator("#estimates tr", has_text="Waist").first.inner_text()
    )
    read_in(page, "waist", ["81.5"])
    go_to(page, "photos")
    yield page, complaints
    context.close()


def correct(page: Page, line: str) -> None:
    """Choose a line."""
    if page.locator("#correcting").is_hidden():
        page.click("#correct-lines")
        page.wait_for_selector("#correcting-title:focus")
    page.select_option("#correct-level", line)


def grip(page: Page, name: str) -> Locator:
    """A handle by its name."""
    return page.get_by_role("slider", name=name)


def drag(page: Page, what: Locator, across: float, up: float) -> None:
    """Drag with one finger, in pixels of the screen."""
    what.scroll_into_view_if_needed()
    box = what.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    finger = page.context.new_cdp_session(page)
    places = [(x + across * part / 4, y - up * part / 4) for part in range(5)]
    for number, (at_x, at_y) in enumerate(places):
        kind = "touchMove" if number else "touchStart"
        point = {"x": at_x, "y": at_y}
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [point]})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def waist(page: Page) -> float:
    """The estimated waist, in cm."""
    row = page.locator("#estimates tr", has_text=re.compile("^Waist\\d")).first
    return float(row.locator("td").first.inner_text().split()[0])


def numbers(page: Page) -> str:
    """All estimates as they are shown."""
    return page.locator("#estimates").inner_text()


def saved(page: Page) -> None:
    """Save, and wait until the numbers have followed."""
    page.click("#correct-save")
    page.wait_for_selector("#status:has-text('Saved.')")


def millimetres(what: Locator) -> float:
    """How far a handle is moved."""
    return float(what.get_attribute("aria-valuenow") or "nan")


# For a picture: numbers of levels as they are listed below it and drawn, the height of the
# smallest in CSS pixels, and how many lie over her, over each other or outside of the picture.
LEVEL_NUMBERS = """(figure) => {
    const texts = [...figure.querySelectorAll(".level-number")];
    const boxes = texts.map((one) => one.getBBox());
    const { x, width } = figure.querySelector("svg").viewBox.baseVal;
    const within = (box, at) => at.x > box.x && at.x < box.x + box.width
        && at.y > box.y && at.y < box.y + box.height;
    const edge = [...figure.querySelector(".outline").points];
    const meet = (one, other) => one !== other && Math.abs(one.x - other.x) < one.width
        && Math.abs(one.y - other.y) < one.height * 0.8;
    const wrong = boxes.filter((box) => edge.some((at) => within(box, at))
        || boxes.some((other) => meet(box, other))
        || box.x < x || box.x + box.width > x + width);
    return {
        listed: [...figure.querySelectorAll("li")].map((one) => [one.value, one.innerText]),
        drawn: texts.map((one) => Number(one.textContent)),
        least: Math.min(...texts.map((one) => one.getBoundingClientRect().height)),
        wrong: wrong.length,
    };
}"""


def test_levels_are_numbered_beside_her_the_same_in_both_pictures(
    phone: tuple[Page, list[str]],
) -> None:
    page, _ = phone
    names = ["High bust", "Full bust", "Underbust", "Waist", "High hip", "Full hip"]
    for picture, first in zip(page.locator("#pictures figure").all(), (2, 1), strict=True):
        found = picture.evaluate(LEVEL_NUMBERS)
        # Her arms hide the high bust from the front.
        hidden = [[1, "High bust (only in the other photo)"]][: first - 1]
        shown = range(first, 7)
        assert found["listed"] == hidden + [[at, names[at - 1]] for at in shown]
        assert found["drawn"] == list(shown)
        assert found["least"] >= 13
        assert found["wrong"] == 0


def test_a_line_dragged_by_a_finger_moves_the_numbers_and_undoing_gives_them_back(
    phone: tuple[Page, list[str]],
) -> None:
    page, complaints = phone
    assert page.locator("#pictures circle.landmark").count() > 20
    first, cm = numbers(page), waist(page)
    correct(page, "waist")
    right = grip(page, "Right end of the waist in the front photo")
    for one in page.get_by_role("slider").all():
        box = one.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST_TARGET_PX
    drag(page, right, 10.0, 0.0)
    out = millimetres(right)
    assert 8.0 < out < 30.0
    assert "out" in (right.get_attribute("aria-valuetext") or "")
    told = page.locator("#correcting-told").inner_text()
    assert told.startswith("Not saved yet: waist, right end in the front photo:")
    saved(page)
    # It names what has changed, not that nothing has.
    assert re.search(r"Waist .* more", page.locator("#status").inner_text())
    assert waist(page) - cm > 0.1 * out * 0.8
    assert "waist (outline)" in page.locator("#correct-now").inner_text().lower()
    assert page.locator("#pictures .bend").count() == 1
    # A drag up moves the height, in both photos.
    up = grip(page, "Height of the waist")
    drag(page, up, 0.0, 6.0)
    assert millimetres(up) > 4.0
    page.check("#correct-side")
    assert millimetres(grip(page, "Height of the waist")) == millimetres(up)
    saved(page)
    assert "level and outline" in page.locator("#correct-now").inner_text()
    # She comes back without the photos: outline and undoing are still there.
    page.reload()
    go_to(page, "photos")
    for _ in range(2):
        page.click("#correct-undo")
        page.wait_for_selector("#status:has-text('undone')")
    page.wait_for_selector("#correct-undo", state="hidden")
    assert numbers(page) == first
    assert complaints == []


def test_keys_alone_correct_a_line(phone: tuple[Page, list[str]]) -> None:
    page, complaints = phone
    before = waist(page)
    page.focus("#correct-lines")
    page.keyboard.press("Enter")
    page.wait_for_selector("#correcting-title:focus")
    correct(page, "waist")
    height = grip(page, "Height of the waist")
    height.focus()
    assert height.get_attribute("aria-valuetext") == "where it was"
    for key, mm in (
        ("ArrowUp", 1), ("Shift+ArrowUp", 11), ("PageDown", 1), ("ArrowDown", 0), ("ArrowDown", -1),
        ("Home", 0), ("PageUp", 10), ("Escape", 0), ("PageUp", 10), ("PageUp", 20),
    ):  # fmt: skip
        page.keyboard.press(key)
        assert millimetres(height) == mm, key
    assert height.get_attribute("aria-valuetext") == "2.0\u00a0cm (3/4\u00a0in) up"
    left = grip(page, "Left end of the waist")
    left.focus()
    page.keyboard.press("Shift+ArrowLeft")
    # To the left is out, at the left end.
    assert millimetres(left) == 10
    assert [one["id"] for one in Axe().run(page).response["violations"]] == []
    page.click("#correct-done")
    page.wait_for_selector("#status:has-text('is not saved yet')")
    assert page.evaluate("document.activeElement.id") == "correct-lines"
    page.keyboard.press("Enter")
    assert millimetres(left) == 10
    saved(page)
    assert "worked out together" in page.locator("#status").inner_text()
    assert waist(page) > before
    page.click("#correct-done")
    assert page.evaluate("document.activeElement.id") == "correct-lines"
    assert complaints == []


def test_a_page_that_is_loaded_anew_follows_a_correction_that_goes_on(
    service: RealService, phone: tuple[Page, list[str]]
) -> None:
    page, complaints = phone
    before = waist(page)
    correct(page, "waist")
    grip(page, "Right end of the waist in the front photo").press("PageUp")
    # They work it out, and hold nothing of the database meanwhile.
    detectors = service.processes("spawn_main")
    for one in detectors:
        one.suspend()
    try:
        with page.expect_response("**/sitting/corrections") as accepted:
            page.click("#correct-save")
        assert accepted.value.status == 202
        page.reload()
        page.wait_for_selector("#status:has-text('being worked out anew')")
    finally:
        for one in detectors:
            one.resume()
    page.wait_for_selector("#status:has-text('Saved.')")
    assert waist(page) > before
    assert complaints == []


def test_what_cannot_be_is_said_and_what_was_moved_stays(phone: tuple[Page, list[str]]) -> None:
    page, _ = phone
    correct(page, "underbust")
    page.click("#correct-save")
    page.wait_for_selector("#status:has-text('is moved')")
    height = grip(page, "Height of the underbust")
    height.focus()
    for _ in range(12):
        page.keyboard.press("PageDown")
    first = numbers(page)
    page.click("#correct-save")
    page.wait_for_selector("#status.wrong")
    assert "underbust would not lie over the waist" in page.locator("#status").inner_text()
    assert millimetres(height) == -120
    assert numbers(page) == first
    page.click("#correct-back")
    assert millimetres(height) == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_page_without_photos_shows_the_outline_alone(
    phone: tuple[Page, list[str]], scheme: str
) -> None:
    page, complaints = phone
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce", forced_colors="active")  # type: ignore[arg-type]
    page.reload()
    go_to(page, "photos")
    correct(page, "full_hip")
    assert page.locator("#correcting-picture img").count() == 0
    assert page.locator("#correcting-picture polygon.outline").count() == 2
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    # A photo that she chooses again lies under the lines, and goes nowhere; another one does not.
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.method))
    page.set_input_files("#correct-photo", DEMO_IMAGES / "sittings" / "adela" / "front.jpg")
    page.wait_for_selector("#correcting-picture img")
    page.set_input_files("#correct-photo", DEMO_IMAGES / "refused" / "too-small.jpg")
    page.wait_for_selector("#status.wrong:has-text('not the front photo')")
    page.wait_for_selector("#correcting-picture img", state="detached")
    assert "POST" not in asked
    assert complaints == []


def test_why_a_line_cannot_lie_there_stands_beside_the_handles(
    phone: tuple[Page, list[str]],
) -> None:
    page, complaints = phone
    correct(page, "full_bust")
    height = grip(page, "Height of the full bust")
    height.focus()
    for _ in range(12):
        page.keyboard.press("PageUp")
    page.click("#correct-save")
    why = page.locator("#correcting .error")
    why.wait_for()
    assert "The high bust would not lie over the full bust any more." in why.inner_text()
    assert "drawn in the side photo only" in why.inner_text()
    assert page.locator("#status").evaluate("(status) => status.matches('.unseen')")
    # It goes with the next try.
    page.click("#correct-back")
    height.press("ArrowDown")
    saved(page)
    assert why.count() == 0
    assert complaints == []
