"""Where a page goes on that is loaded anew or gets an answer late, in a real browser."""

from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browsing import ADELA, agree, go_to, opened, read_in, send_photos, type_setup
from tests.real_service import RealService
from tests.running import DEMO_IMAGES

# A check of one photo that has ended.
USABLE = {"id": "late", "status": "done", "advice": []}
TURNED_AWAY = DEMO_IMAGES / "refused" / "body-cropped.jpg"


def begun(service: RealService, context: BrowserContext, step: str) -> tuple[Page, list[str]]:
    """A customer's page at a step."""
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title:focus")
    go_to(page, step)
    return page, complaints


def test_a_photo_that_was_refused_has_to_be_chosen_again_where_the_page_is_loaded_anew(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = begun(service, context, "photos")
    agree(page)
    type_setup(page)
    page.set_input_files("#front", TURNED_AWAY)
    page.set_input_files("#side", ADELA / "side.jpg")
    # What is said meanwhile may have gone by before it is looked at.
    with page.expect_response("**/sitting/photos"):
        page.click("#send-photos")
    page.reload()
    page.wait_for_selector("#front-advice .refused")
    for view in ("front", "side"):
        expect(page.locator(f"#{view}-state")).to_contain_text("choose or take this one again")
    page.set_input_files("#side", ADELA / "side.jpg")
    expect(page.locator("#side-state")).not_to_contain_text("again")
    assert complaints == []


def test_photos_that_were_not_sent_are_said_to_be_gone_where_the_link_is_opened_anew(
    service: RealService, context: BrowserContext
) -> None:
    link = f"{service.url}/sitting#{service.invite()}"
    page, _ = opened(context, link)
    page.wait_for_selector("#start-title:focus")
    go_to(page, "photos")
    agree(page)
    type_setup(page)
    for view in ("front", "side"):
        page.set_input_files(f"#{view}", ADELA / f"{view}.jpg")
        page.wait_for_selector(f"#{view}-state:has-text('can be used')")
    expect(page.locator("#status")).to_contain_text("Now press “Send both photos”.")
    page.close()
    page, complaints = opened(context, link)
    expect(page.locator("#status")).to_contain_text("Your photos were not sent yet")
    for view in ("front", "side"):
        expect(page.locator(f"#{view}-state")).to_contain_text("choose or take this one again")
    # It is said once, and one that is chosen again is another matter.
    page.set_input_files("#side", ADELA / "side.jpg")
    page.wait_for_selector("#side-state:has-text('can be used')")
    page.reload()
    expect(page.locator("#status")).to_contain_text("Your photos were not sent yet")
    assert page.locator("#front-state").text_content() == ""
    page.reload()
    page.wait_for_selector("#photos-title:focus")
    assert page.locator("#side-state").text_content() == ""
    # A link that was spent is refused once.
    assert [one for one in complaints if "410" not in one] == []


def test_what_is_said_of_one_photo_does_not_take_the_place_of_what_both_gave(
    service: RealService, context: BrowserContext
) -> None:
    late: list[Route] = []
    page, complaints = begun(service, context, "photos")
    page.route("**/sitting/photo-checks", lambda route: late.append(route))
    page.route("**/sitting/jobs/late", lambda route: route.fulfill(json=USABLE))
    agree(page)
    send_photos(page)
    said = page.locator("#status").text_content() or ""
    assert said.startswith("Your photos are measured")
    (first, *_) = late
    first.fulfill(status=202, json=USABLE)
    # As long as the page would take to ask what came of it.
    for _ in range(5):
        page.evaluate("fetch('/api/v1/sitting/jobs/late').then((answer) => answer.text())")
    assert page.locator("#status").text_content() == said
    assert page.locator("#front-state").text_content() == ""
    assert complaints == []


def test_a_page_that_is_loaded_anew_goes_on_at_the_measurement_that_she_was_at(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = begun(service, context, "tape")
    # Who has not begun is led to nothing.
    page.reload()
    page.wait_for_selector("#tape-title:focus")
    read_in(page, "stature", ["168"])
    page.locator("#full_hip-part > summary").click()
    page.reload()
    page.wait_for_selector("#full_hip-entry:focus")
    expect(page.locator("#full_hip-part")).to_be_in_viewport()
    # What is typed elsewhere and not sent leads no longer away from it.
    page.fill("#full_hip-entry", "97")
    page.locator("#waist-part > summary").click()
    page.reload()
    page.wait_for_selector("#waist-entry:focus")
    assert page.input_value("#full_hip-entry") == "97"
    page.select_option("#more", label="High hip")
    page.wait_for_selector("#high_hip-entry:focus")
    page.reload()
    page.wait_for_selector("#high_hip-entry:focus")
    # Nothing of it outlasts the tab.
    assert "high_hip" not in str(page.evaluate("[{...localStorage}, {...sessionStorage}]"))
    assert complaints == []
