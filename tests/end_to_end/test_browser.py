"""A workroom and a customer in a real browser, on the real service, with real images."""

import re
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from ellwand.measurements import KINDS, LEVELS
from ellwand.tape import HOW_TOS
from tests.browsing import (
    LONGEST_MS,
    PHONE,
    agree,
    decide_and_download,
    go_to,
    log_in,
    opened,
    read_in,
    read_in_all,
    send_photos,
    take_way,
    wait_until_read,
)
from tests.real_service import RealService

# Targets of the page are 44 CSS pixels and more (WCAG 2.2, 2.5.5).
LEAST_TARGET_PX = 44


def invited(room: Page) -> str:
    """Log the workroom in, invite a customer, and take her link."""
    log_in(room)
    room.fill("#label", "A. from the hills")
    room.click("text=Make the link")
    room.wait_for_selector("#link-made[open]")
    link = room.locator("#link").input_value()
    room.click("#link-made >> text=Done")
    return link


def test_a_workroom_invites_and_a_customer_gets_it_right(
    service: RealService, browser: Browser, context: BrowserContext
) -> None:
    room, room_complaints = opened(context, f"{service.url}/workroom")
    link = invited(room)
    assert link.startswith(f"{service.url}/sitting#")

    phone = browser.new_context(viewport=PHONE)
    phone.set_default_timeout(LONGEST_MS)
    page, complaints = opened(phone, link)
    page.click("text=Begin with the photos")
    agree(page)
    # Nobody who looks over her shoulder finds the secret in the address.
    assert page.url == f"{service.url}/sitting#photos"
    page.fill("#weight", "70 kg")
    send_photos(page)
    # What is to be taped waits for the first reading, so that the tape does not follow it.
    told = page.locator("#estimates").inner_text()
    assert (told.count("shown after your first reading"), "±" in told) == (4, True)
    assert page.locator("#pictures svg, #pictures canvas").count() == 2
    read_in_all(page)
    # What she did not tape leans on what she did.
    go_to(page, "photos")
    told = page.locator("#estimates").inner_text()
    assert "shown after" not in told
    assert "Full bust minus high bust" in told
    assert told.count("±") >= 12
    leaning = page.locator("#given-tape-rows th").all_inner_texts()
    assert leaning == ["Underbust", "High hip"]
    go_to(page, "card")
    assert page.locator("#card-size").is_visible()
    assert decide_and_download(page) == "measurement-card.pdf"
    assert page.locator("#card-size").is_hidden()

    # What the size still waits for is one tap away.
    go_to(page, "size")
    page.click("#size-surer-ways button:has-text('Measure: high hip')")
    page.wait_for_selector("#high_hip-entry:focus")
    go_to(page, "card")

    # She comes back tomorrow.
    page.reload()
    page.wait_for_selector("section:not([hidden])#card")
    assert "Cup" in (page.locator("#decision-steps").text_content() or "")
    assert page.input_value("#weight") == "70 kg"
    room.click("#look-again")
    room.wait_for_selector("text=/size \\d+, cup /")
    assert complaints == []
    page.click(".foot >> text=Erase everything")
    page.click("#erase-all")
    page.click("#erase-ask button[value=yes]")
    page.wait_for_selector("#erased:not([hidden])")
    assert phone.cookies() == []
    room.click("#look-again")
    room.wait_for_selector("#no-sittings:not([hidden])")
    # The page asks who is logged in before anybody is; a browser calls the answer an error.
    assert [one for one in room_complaints if "401" not in one] == []
    phone.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_how_to_measure_is_shown_beside_each_field_on_the_smallest_phone(
    service: RealService, browser: Browser, scheme: Literal["light", "dark"]
) -> None:
    phone = browser.new_context(viewport={"width": 320, "height": 640}, color_scheme=scheme)
    phone.set_default_timeout(LONGEST_MS)
    asked = [word for code in KINDS for word in ("--ask", code)]
    page, complaints = opened(phone, f"{service.url}/sitting#{service.invite(*asked)}")
    page.click("text=Only the tape")
    # The first to be done is open; drawn is only what is looked at.
    page.wait_for_selector("#stature-part[open] .how-drawing")
    assert page.locator(".how[open]").count() == 0
    assert page.locator(".how-drawing").count() == 1
    for code in KINDS:
        part = page.locator(f"#{code}-part")
        if part.get_attribute("open") is None:
            part.locator("summary").first.click()
        # One at a time.
        assert page.locator(".measurement[open]").count() == 1
        how = part.locator(".how")
        box = how.locator("summary").bounding_box()
        assert box is not None
        assert box["height"] >= LEAST_TARGET_PX
        how.locator("summary").click()
        page.wait_for_selector(f"#{code}-part .how-drawing[role=img]")
        assert HOW_TOS[code].where in how.inner_text().replace("\u00a0", " ")
        assert how.locator("table").count() == (code in LEVELS)
        name = page.get_by_role("img", name=f"How the tape lies: {KINDS[code].name}", exact=True)
        assert name.count() == 1
    page.click("#beforehand > summary")
    page.wait_for_selector("#crooked-drawing [role=img]")
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("innerWidth")
    colours = page.evaluate(
        "[...document.querySelectorAll('.how-drawing .body')]"
        ".map((one) => [getComputedStyle(one).stroke, getComputedStyle(document.body).color])"
    )
    assert all(stroke == ink for stroke, ink in colours)
    assert complaints == []
    phone.close()


def test_words_stand_alone_when_the_drawings_are_not_reached(
    service: RealService, context: BrowserContext
) -> None:
    context.route("**/howto.svg", lambda route: route.abort())
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    go_to(page, "tape")
    summary = page.locator("#full_bust-part > summary")
    summary.click()
    page.wait_for_selector("#full_bust-part >> text=The drawing was not reached")
    # Opened again where the network is better, it is there.
    context.unroute("**/howto.svg")
    summary.click()
    summary.click()
    page.wait_for_selector("#full_bust-part .how-drawing")


def test_what_is_typed_outlives_a_closed_page_and_a_lost_connection_until_it_is_sent(
    service: RealService, context: BrowserContext
) -> None:
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    go_to(page, "tape")
    page.fill("#stature-entry", "168")
    page.close()
    page = context.new_page()
    page.goto(f"{service.url}/sitting")
    # It leads to the number that waits, and says so where the measurement is folded up.
    page.wait_for_selector("#stature-entry:focus")
    assert page.input_value("#stature-entry") == "168"
    page.click("#full_bust-part > summary")
    expect(page.locator("#stature-part").get_by_text("not saved yet")).to_be_visible()
    page.click("#stature-part > summary")
    context.set_offline(True)
    page.press("#stature-entry", "Enter")
    page.wait_for_selector("text=The service was not reached.")
    assert page.input_value("#stature-entry") == "168"
    context.set_offline(False)
    page.press("#stature-entry", "Enter")
    page.wait_for_selector("#stature-part .confirmed")
    # Sent is sent: nothing of it lies in the browser any more.
    expect(page.locator("#stature-part").get_by_text("not saved yet")).to_be_hidden()
    assert page.evaluate("localStorage.length") == 0
    page.click("text=Go on: high bust")
    page.fill("#high_bust-entry", "86.5")
    assert page.evaluate("localStorage.length") == 1
    page.click(".foot >> text=Erase everything")
    page.click("#erase-all")
    page.click("#erase-ask button[value=yes]")
    page.wait_for_selector("#erased:not([hidden])")
    assert page.evaluate("localStorage.length") == 0


def test_numbers_that_changed_places_are_put_right_with_one_tap(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    read_in(page, "full_bust", ["92", "92"])
    read_in(page, "waist", ["100", "100.5"])
    read_in(page, "full_hip", ["74", "74"])
    page.locator("#full_hip-part").get_by_role("button", name="Yes, they changed places").click()
    page.wait_for_selector("#full_hip-part .confirmed")
    page.wait_for_selector("#waist-part .confirmed", state="attached")
    assert "“100.5 cm” was read as 100.5 cm" in page.inner_text("#full_hip-part").replace(
        "\u00a0", " "
    )
    # Two that are alike have no middle.
    page.locator("#waist-part > summary").click()
    told = page.inner_text("#waist-part").replace("\u00a0", " ")
    assert "“74 cm” was read as 74.0 cm" in told
    assert "their middle" not in told
    assert complaints == []


def test_the_second_reading_is_taken_without_a_look_at_the_first(
    service: RealService, context: BrowserContext
) -> None:
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    read_in(page, "high_bust", ["86.5"])
    part = page.locator("#high_bust-part")
    assert "Second time" in part.inner_text()
    assert "86.5" not in part.inner_text()
    read_in(page, "full_bust", ["94"])
    go_to(page, "start")
    page.check("#unit-in")
    page.wait_for_selector("#waist-entry-part:not([hidden])", state="attached")
    go_to(page, "tape")
    # Inches are typed as a tape shows them: whole ones, and the part of one.
    page.locator("#high_bust-part > summary").click()
    page.select_option("#high_bust-entry-part", "1/8")
    page.click("#high_bust-part >> text=Save this number")
    part.get_by_text("Type the whole inches, too.").wait_for()
    page.fill("#high_bust-entry", "34")
    page.click("#high_bust-part >> text=Save this number")
    part.locator(".readings li >> nth=1").wait_for()
    assert "“34 1/8” was read as 34 1/8 in (86.7 cm)" in part.inner_text().replace("\u00a0", " ")
    # One from the other side of the tape, and one that was typed wrong.
    part.get_by_text("Correct what I typed").click()
    page.fill("#high_bust-correct-2", "about 34")
    part.get_by_text("Save as corrected").click()
    page.wait_for_selector("#high_bust-correct-2[aria-invalid]:focus")
    assert page.get_attribute("#high_bust-correct-1", "aria-invalid") is None
    page.fill("#high_bust-correct-2", "34 1/8 in")
    page.fill("#high_bust-correct-1", "86,9 cm")
    part.get_by_text("Save as corrected").click()
    part.locator(".readings .over").wait_for()
    assert "“86,9 cm” was read as 34 1/4 in (86.9 cm)" in part.inner_text().replace("\u00a0", " ")


def test_who_measures_and_what_is_worn_are_saved_at_once_and_stay_with_each_reading(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    go_to(page, "tape")
    assert page.input_value("#worn") == "untold"
    page.select_option("#measured-by", "herself")
    page.select_option("#worn", "bra")
    page.wait_for_selector("#status:has-text('by yourself, in an unpadded bra')")
    read_in(page, "high_bust", ["86.5", "86.9"])
    # At once after a choice: the reading must not be faster than it.
    page.select_option("#worn", "thick")
    read_in(page, "full_bust", ["94", "94.2"])
    part = page.locator("#full_bust-part")
    part.locator(".remark >> nth=1").wait_for()
    assert "by yourself, in a blouse or thicker" in part.inner_text()
    # Nothing of a choice lies in the browser, and the page begins with the last one.
    assert page.evaluate("localStorage.length") == 0
    page.reload()
    go_to(page, "tape")
    page.wait_for_selector("#worn:has(option[value=thick]:checked)")
    page.select_option("#worn", "bra")
    part.get_by_text("Measure anew").click()
    read_in(page, "full_bust", ["93.5"])
    part.locator(".remark").wait_for(state="detached")
    part.locator(".over >> nth=1").wait_for(state="attached")
    assert complaints == []


def test_more_can_be_measured_than_is_asked_for_and_a_typed_number_keeps_its_unit(
    service: RealService, context: BrowserContext
) -> None:
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    go_to(page, "photos")
    agree(page)
    page.fill("#stature", "168")
    page.fill("#standoff-front", "30,5 ± 2")
    go_to(page, "tape")
    page.select_option("#more", label="High hip")
    page.wait_for_selector("#high_hip-part[open]")
    page.fill("#high_hip-entry", "97")
    go_to(page, "start")
    page.check("#unit-in")
    page.wait_for_selector("#waist-entry-part:not([hidden])", state="attached")
    # Typed when the field was in centimetres, it is read so; on a page loaded anew, too.
    page.reload()
    page.wait_for_selector("#start-title:focus")
    assert page.input_value("#stature") == "168 cm"
    assert page.input_value("#standoff-front") == "30,5 cm ± 2 cm"
    assert page.input_value("#high_hip-entry") == "97"
    read_in(page, "high_hip", [])
    page.press("#high_hip-entry", "Enter")
    page.wait_for_selector("#high_hip-part .standing.read")
    page.click("#high_hip-part >> text=Show the first reading")
    assert "97.0 cm" in page.locator("#high_hip-part").inner_text().replace("\u00a0", " ")
    read_in(page, "high_hip", ["38 1/4", "38 1/8"])
    assert "Together they make" in page.locator("#high_hip-part").inner_text()


def test_a_value_that_is_kept_is_done_and_can_be_changed_after_all(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title:focus")
    read_in(page, "high_bust", ["96.5", "97"])
    read_in(page, "full_bust", ["79", "79.5"])
    asked = page.locator("#full_bust-part .queries").text_content() or ""
    assert "Measure the full bust again" in asked
    # One way at a time, and what is typed on another one stays.
    take_way(page, "full_bust", "Measure once more")
    page.fill("#full_bust-entry", "79,2")
    # A page that is loaded anew goes on with it.
    page.reload()
    page.wait_for_selector("#full_bust-entry:visible")
    assert page.input_value("#full_bust-entry") == "79,2"
    take_way(page, "full_bust", "Keep it as it is")
    assert not page.is_visible("#full_bust-entry")
    page.fill("#full_bust-reason", "measured by a friend")
    page.press("#full_bust-reason", "Enter")
    page.wait_for_selector("#full_bust-part .standing.kept")
    page.wait_for_selector("#full_bust-part .onward button:focus")
    # Nothing is asked any more; what was, and the ways on, are folded away.
    part = page.locator("#full_bust-part")
    assert part.locator("form:visible, .queries li, .ways button:visible").count() == 0
    assert "measured by a friend" in part.inner_text()
    part.get_by_text("Change it after all").click()
    told = part.locator(".answered").inner_text()
    assert "most likely between" in told
    assert "again" not in told
    # Once more would be held against the number that was kept; without it is offered first.
    ways = part.locator(".ways button:visible").all_inner_texts()
    assert ways[0] == "Measure anew, without those before"
    assert "If you change the number, your reason no longer holds" in part.inner_text()
    take_way(page, "full_bust", "Measure once more")
    assert page.input_value("#full_bust-entry") == "79,2"
    for entry, standing in (("99,5", "read"), ("99,7", "confirmed")):
        page.fill("#full_bust-entry", entry)
        page.press("#full_bust-entry", "Enter")
        page.wait_for_selector(f"#full_bust-part .standing.{standing}")
        wait_until_read(page, "full_bust")
    assert part.locator(".ways").is_visible()
    assert not part.get_by_text("Change it after all").is_visible()
    assert complaints == []


def test_what_is_wrong_is_shown_once_and_read_out_once(
    service: RealService, context: BrowserContext
) -> None:
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    read_in(page, "high_bust", [])
    status, words = page.locator("#status"), "Type what the tape shows: high bust."
    # She stands in the field already: nothing but the status can tell her ears.
    page.press("#high_bust-entry", "Enter")
    page.wait_for_selector(f"#high_bust-part .error >> text={words}")
    expect(status).to_have_text(words)
    expect(status).to_have_class("wrong unseen")
    # From a button she is led to the field, where its mark is read out: the status adds nothing.
    page.click("#high_bust-part form button[type=submit]")
    page.wait_for_selector("#high_bust-entry:focus")
    expect(status).to_be_empty()
    expect(page.locator("#high_bust-entry")).to_have_accessible_description(re.compile(words))
    # What is not shown on this step any more is shown in the status.
    page.evaluate(
        """async () => {
          const { complain, FieldProblem } = await import("/page/forms.js");
          const field = document.getElementById("stature");
          complain(field.form, new FieldProblem(field, "Far away."));
        }"""
    )
    expect(status).to_have_text("Far away.")
    expect(status).to_have_class("wrong")


def test_a_message_lies_over_nothing_at_the_end_of_a_page_and_is_said_once(
    service: RealService, context: BrowserContext
) -> None:
    page, _ = opened(context, f"{service.url}/sitting#{service.invite()}")
    page.wait_for_selector("#start-title:focus")
    page.check("#unit-in")
    page.wait_for_selector("#status >> text=is in inches.")
    # There is no reading yet that could stay as it is.
    assert "read in before" not in page.locator("#status").inner_text()
    foot = page.locator(".foot a")
    page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
    below, above = foot.bounding_box(), page.locator("#status").bounding_box()
    assert below is not None
    assert above is not None
    assert below["y"] + below["height"] <= above["y"]
    said = page.evaluate(
        """async () => {
          const { say } = await import("/page/status.js");
          const line = document.getElementById("status");
          let said = 0;
          const heard = new MutationObserver((seen) => { said += seen.length; });
          heard.observe(line, { childList: true });
          say("Being measured.", { stays: true });
          await Promise.resolve();
          say("Being measured.", { stays: true });
          await new Promise((resolve) => setTimeout(resolve));
          return said;
        }"""
    )
    assert said == 1


def test_once_everything_is_erased_there_is_nothing_to_go_back_to(
    service: RealService, context: BrowserContext
) -> None:
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    read_in(page, "stature", ["168"])
    page.click(".foot >> text=Erase everything")
    page.click("#erase-all")
    # Who presses Enter without reading keeps everything.
    page.wait_for_selector("#erase-ask button[value=no]:focus")
    page.keyboard.press("Enter")
    expect(page.locator("#erase-ask")).to_be_hidden()
    page.click("#erase-all")
    page.click("#erase-ask button[value=yes]")
    page.wait_for_selector("#erased-title:focus")
    page.go_back()
    expect(page.locator("#erased-title")).to_be_visible()
    expect(page.locator("#status")).to_be_empty()
    assert page.locator("main h1:visible").all_inner_texts() == ["All is erased"]
    assert complaints == []
