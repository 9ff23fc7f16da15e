"""Photos that a customer takes alone, on the page: in Chromium, with a camera of demo photos."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright

from tests.browsing import (
    ADELA,
    Camera,
    agree,
    chromium,
    decide_and_download,
    go_to,
    opened,
    read_in_all,
    type_setup,
    visiting,
)
from tests.real_service import RealService, serving, wait_until
from tests.running import DEMO_IMAGES

WINDOWS: dict[str, dict[str, Any]] = {
    "phone": {"has_touch": True, "is_mobile": True},
    "desktop": {"viewport": {"width": 1280, "height": 800}},
}
# What a browser may lack; the photos are taken all the same.
LACKING = """
    for (const name of ["ImageCapture", "Worker", "OffscreenCanvas", "AudioContext",
                        "speechSynthesis", "DeviceOrientationEvent"]) delete window[name];
    delete Navigator.prototype.wakeLock;
"""
WORDS_PARTED = """(button, text) => {
    const before = button.textContent;
    button.textContent = text;
    const parted = [...text.matchAll(/\\S+/g)].filter(({ 0: word, index }) => {
        const range = document.createRange();
        range.setStart(button.firstChild, index);
        range.setEnd(button.firstChild, index + word.length);
        return new Set([...range.getClientRects()].map(({ top }) => top)).size > 1;
    }).map(([word]) => word);
    button.textContent = before;
    return parted;
}"""
EXIF_IFD, ORIENTATION, FOCAL_35MM = 0x8769, 0x0112, 0xA405


@pytest.fixture(scope="module")
def camera(tmp_path_factory: pytest.TempPathFactory) -> Camera:
    """What the browser takes for a camera."""
    made = Camera(tmp_path_factory.mktemp("camera") / "film.mjpeg")
    made.see(ADELA / "front.jpg")
    return made


@pytest.fixture(scope="module")
def play() -> Iterator[Playwright]:
    """What drives browsers; there can be one only."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(play: Playwright, camera: Camera) -> Iterator[Browser]:
    """A browser with a camera, which asks before it gives it away."""
    with chromium(play, *camera.options) as started:
        yield started


def begun(context: BrowserContext, service: RealService) -> tuple[Page, list[str]]:
    """The page of a customer who has agreed and typed how her photos are taken."""
    page, complaints = opened(context, f"{service.url}/sitting#{service.invite()}")
    go_to(page, "photos")
    agree(page)
    type_setup(page)
    return page, complaints


def open_camera(page: Page, view: str = "front") -> None:
    """Open the camera, with the shortest countdown."""
    page.click(f"#{view}-camera")
    page.wait_for_selector("#camera-start:not([hidden])")
    page.select_option("#camera-timer", "5")


def take(page: Page, view: str) -> None:
    """Take a photo, hear that it can be used, and use it."""
    open_camera(page, view)
    page.click("#camera-start")
    page.wait_for_selector("#camera-count:has-text('5')")
    page.wait_for_selector(f"#camera-words:has-text('The {view} photo can be used.')")
    page.click("#camera-use")
    page.wait_for_selector(f"#{view}-state:has-text('The {view} photo can be used.')")
    # The camera's light goes out.
    dark = "document.querySelector('#camera-live').srcObject === null"
    wait_until(lambda: page.evaluate(dark), "the camera to be closed")


def findings(page: Page) -> Any:
    """What the photos gave, as the page is told."""
    return page.evaluate("fetch('/api/v1/sitting/findings').then((answer) => answer.json())")


@pytest.mark.parametrize("window", WINDOWS)
def test_she_takes_both_photos_alone_and_goes_on_to_the_card(
    service: RealService, browser: Browser, camera: Camera, window: str
) -> None:
    with visiting(browser, permissions=["camera"], **WINDOWS[window]) as context:
        page, complaints = begun(context, service)
        for view in ("front", "side"):
            camera.see(ADELA / f"{view}.jpg")
            take(page, view)
        page.wait_for_selector("#status:has-text('Now press “Send both photos”.')")
        assert page.evaluate("document.activeElement.id") == "send-photos"
        page.press("#send-photos", "Enter")
        page.wait_for_selector("#findings-title:focus")
        found = findings(page)
        assert (found["front"]["width_px"], found["front"]["height_px"]) == (1500, 2000)
        assert page.locator("#pictures img").count() == 2
        width = page.evaluate("document.documentElement.scrollWidth")
        assert width <= page.evaluate("innerWidth")
        # And on, to the end of the way.
        read_in_all(page)
        assert decide_and_download(page) == "measurement-card.pdf"
        assert complaints == []
    # Neither the checks nor the pair have left anything behind.
    assert list((service.data / "spool").iterdir()) == []


def test_a_photo_is_taken_again_by_itself_until_it_can_be_used_and_then_the_side(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    with visiting(browser, permissions=["camera"]) as context:
        page, complaints = begun(context, service)
        camera.see(DEMO_IMAGES / "refused" / "arms-against-torso.jpg")
        open_camera(page)
        page.check("#camera-alone")
        page.click("#camera-start")
        page.wait_for_selector("#camera-words:has-text('be used yet.')")
        page.wait_for_selector("#camera-advice .refused:has-text('Lift both arms')")
        # It goes on without her, until she stops it.
        page.wait_for_selector("#camera-count:has-text('4')")
        page.click("#camera-stop")
        page.wait_for_selector("#camera-words:has-text('Stopped.')")
        assert page.inner_text("#camera-count") == ""
        page.keyboard.press("Escape")

        camera.see(ADELA / "front.jpg")
        open_camera(page)
        assert page.is_checked("#camera-alone")
        page.click("#camera-start")
        page.wait_for_selector("#camera-title:has-text('Side photo')")
        page.wait_for_selector("#camera-count:has-text('5')")
        assert "can be used" in page.inner_text("#front-state")
        page.click("#camera-stop")
        page.click("#camera-close")
        assert complaints == []


def test_a_photo_that_needs_her_hands_is_not_taken_again_before_she_says_so(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    camera.see(DEMO_IMAGES / "refused" / "too-oblique.jpg")
    with visiting(browser, permissions=["camera"]) as context:
        page, complaints = begun(context, service)
        open_camera(page)
        page.check("#camera-alone")
        page.click("#camera-start")
        page.wait_for_selector("#camera-advice :text('It is not taken again by itself')")
        page.wait_for_selector("#camera-advice .refused:has-text('Put the phone straight')")
        page.wait_for_selector("#camera-again:not(.plain)")
        # No word of a button is parted, the long ones of another language neither.
        for name, text in (("use", "Verwenden"), ("again", "Noch einmal aufnehmen")):
            assert page.eval_on_selector(f"#camera-{name}", WORDS_PARTED, text) == []
        page.click("#camera-again")
        page.wait_for_selector("#camera-count:has-text('5')")
        page.click("#camera-stop")
        page.click("#camera-close")
        assert complaints == []


def test_a_photo_is_worth_using_that_is_refused_for_what_was_chosen_in_the_form(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    with visiting(browser, permissions=["camera"]) as context:
        page, complaints = begun(context, service)
        page.check("#ref-plain")
        camera.see(ADELA / "front.jpg")
        open_camera(page)
        page.check("#camera-alone")
        page.click("#camera-start")
        page.wait_for_selector("#camera-advice .refused:has-text('printed marker sheets')")
        page.wait_for_selector("#camera-advice :text('Use it, and change what is chosen')")
        assert page.is_visible("#camera-use:not(.plain)")
        assert page.is_visible("#camera-again.plain")
        page.click("#camera-use")
        page.wait_for_selector("#front-advice .refused:has-text('need not be taken again')")
        page.check("#ref-marker")
        page.wait_for_selector("#front-state:has-text('The front photo can be used.')")
        assert page.inner_text("#front-advice") == ""
        assert complaints == []


def test_sound_speech_level_and_the_rest_may_all_be_missing(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    camera.see(ADELA / "front.jpg")
    with visiting(browser, permissions=["camera"]) as context:
        context.add_init_script(LACKING)
        page, complaints = begun(context, service)
        open_camera(page)
        assert not page.is_visible("#camera-aloud")
        page.wait_for_selector("#camera-level:has-text('does not tell how it is tilted')")
        page.click("#camera-close")
        take(page, "front")
        assert complaints == []


def test_a_tilted_phone_is_told_so(service: RealService, browser: Browser, camera: Camera) -> None:
    camera.see(ADELA / "front.jpg")
    granted = ["camera", "accelerometer", "gyroscope"]
    with visiting(browser, permissions=granted) as context:
        page, _ = begun(context, service)
        devtools = context.new_cdp_session(page)

        def lean(beta: float, gamma: float) -> None:
            told = {"alpha": 0, "beta": beta, "gamma": gamma}
            devtools.send("DeviceOrientation.setDeviceOrientationOverride", told)

        lean(70, 0)
        open_camera(page)
        page.wait_for_selector("#camera-level:has-text('tip its top 20° away from you')")
        lean(90, 0)
        page.wait_for_selector("#camera-level:has-text('The phone stands straight.')")


@pytest.mark.parametrize(
    ("options", "permissions", "words"),
    [
        # Headless, a question that nobody answers is a no.
        (("--use-fake-device-for-media-stream",), [], "was not allowed to use the camera"),
        ((), ["camera"], "No camera was found"),
    ],
)
def test_without_a_camera_there_are_the_other_ways(
    service: RealService,
    play: Playwright,
    options: tuple[str, ...],
    permissions: list[str],
    words: str,
) -> None:
    with (
        chromium(play, *options) as browser,
        visiting(browser, permissions=permissions, **WINDOWS["phone"]) as context,
    ):
        page, complaints = begun(context, service)
        page.click("#front-camera")
        page.wait_for_selector(f".error:has-text('{words}')")
        assert page.locator("#camera[open]").count() == 0
        assert page.locator("#front:focus").count() == 1
        assert "camera app" in page.inner_text(".error")
        page.set_input_files("#front-app", ADELA / "front.jpg")
        page.wait_for_selector("#front-state:has-text('The front photo can be used.')")
        page.set_input_files("#side", ADELA / "side.jpg")
        page.wait_for_selector("#side-state:has-text('The side photo can be used.')")
        page.click("#send-photos")
        page.wait_for_selector("#findings-title:focus")
        assert complaints == []


def test_a_page_without_https_says_why_it_has_no_camera(play: Playwright, tmp_path: Path) -> None:
    trial = {"ELLWAND_TRIAL_WITHOUT_HTTPS": "true"}
    with (
        serving(tmp_path / "data", environment=trial) as service,
        chromium(play, "--host-resolver-rules=MAP workroom.test 127.0.0.1") as browser,
        visiting(browser) as context,
    ):
        port = service.url.rpartition(":")[2]
        page, _ = opened(context, f"http://workroom.test:{port}/sitting#{service.invite()}")
        go_to(page, "photos")
        agree(page)
        type_setup(page)
        page.click("#front-camera")
        page.wait_for_selector(".error:has-text('A page without https gets no camera.')")


def test_what_was_not_sent_is_still_there_when_the_line_is(
    service: RealService, browser: Browser
) -> None:
    with visiting(browser) as context:
        page, _ = begun(context, service)
        page.set_input_files("#front", ADELA / "front.jpg")
        page.wait_for_selector("#front-state:has-text('The front photo can be used.')")
        context.set_offline(True)
        page.set_input_files("#side", ADELA / "side.jpg")
        page.wait_for_selector("#side-state:has-text('The service was not reached.')")
        page.click("#send-photos")
        page.wait_for_selector("#status.wrong:has-text('The service was not reached.')")
        context.set_offline(False)
        page.click("#send-photos")
        page.wait_for_selector("#findings-title:focus")


def test_a_link_that_has_ended_closes_the_camera(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    camera.see(ADELA / "front.jpg")
    with visiting(browser, permissions=["camera"]) as context:
        page, _ = begun(context, service)
        open_camera(page)
        context.clear_cookies()
        page.click("#camera-start")
        page.wait_for_selector("#closed-title:focus")
        assert page.locator("#camera[open]").count() == 0
        assert page.evaluate("document.querySelector('#camera-live').srcObject") is None
        assert "no sitting open" in page.inner_text("#closed-why")


def phone_photo(view: str) -> bytes:
    """A demo photo as a phone with 12 megapixels stores it: lying, with its tags."""
    with Image.open(ADELA / f"{view}.jpg") as photo:
        lying = photo.convert("RGB").resize((3000, 4000)).transpose(Image.Transpose.ROTATE_90)
    tags = Image.Exif()
    tags[ORIENTATION] = 6
    tags.get_ifd(EXIF_IFD)[FOCAL_35MM] = 24
    data = io.BytesIO()
    lying.save(data, "JPEG", quality=95, exif=tags)
    return data.getvalue()


def test_large_photos_are_made_smaller_and_keep_their_focal_length(
    service: RealService, browser: Browser, tmp_path: Path
) -> None:
    with visiting(browser) as context:
        page, complaints = begun(context, service)
        for view in ("front", "side"):
            (tmp_path / f"{view}.jpg").write_bytes(phone_photo(view))
            page.set_input_files(f"#{view}", tmp_path / f"{view}.jpg")
            page.wait_for_selector(f"#{view}-state:has-text('The {view} photo can be used.')")
        page.click("#send-photos")
        page.wait_for_selector("#findings-title:focus")
        found = findings(page)
        for view in ("front", "side"):
            assert (found[view]["width_px"], found[view]["height_px"]) == (1500, 2000)
            assert "focal-unknown" not in [one["code"] for one in found[view]["problems"]]
        assert complaints == []


def test_a_file_that_no_browser_opens_is_sent_as_it_is(
    service: RealService, browser: Browser, tmp_path: Path
) -> None:
    (tmp_path / "front.jpg").write_bytes(b"\0\0\0\x18ftypheic" + b"\0" * 64)
    with visiting(browser) as context:
        page, _ = begun(context, service)
        page.set_input_files("#front", tmp_path / "front.jpg")
        page.wait_for_selector("#front-advice .refused:has-text('HEIC')")
        wait_until(lambda: not list((service.data / "spool").iterdir()), "an empty spool")


def test_a_camera_that_ends_is_said_and_can_be_opened_again(
    service: RealService, browser: Browser, camera: Camera
) -> None:
    camera.see(ADELA / "front.jpg")
    with visiting(browser, permissions=["camera"]) as context:
        page, complaints = begun(context, service)
        open_camera(page)
        # As when a cable is pulled or a call comes in; a script cannot do it for real.
        page.evaluate("document.querySelector('#camera-live').srcObject.getTracks()[0].stop()")
        page.click("#camera-start")
        page.wait_for_selector("#camera-words:has-text('The camera has ended.')")
        # Nothing that only a camera could tell or do.
        for name in ("start", "light", "level"):
            assert not page.is_visible(f"#camera-{name}")
        page.click("#camera-turn")
        page.wait_for_selector("#camera-start:not([hidden])")
        page.click("#camera-close")
        take(page, "front")
        assert complaints == []


def test_a_camera_that_shows_nothing_is_not_waited_for(
    service: RealService, browser: Browser
) -> None:
    with visiting(browser, permissions=["camera"]) as context:
        context.add_init_script("""
            HTMLMediaElement.prototype.play = () => new Promise(() => {});
            Object.defineProperty(HTMLVideoElement.prototype, "videoWidth", { get: () => 0 });
            delete window.ImageCapture;
        """)
        page, complaints = begun(context, service)
        open_camera(page)
        page.click("#camera-start")
        page.wait_for_selector("#camera-words:has-text('No picture came from the camera.')")
        assert complaints == []
