"""What tests in a real browser share: starting it, opening a page, and going through its steps."""

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.real_service import RealService, serving
from tests.running import DEMO_IMAGES
from tests.servers import missing

PHONE = {"width": 360, "height": 740}
LONGEST_MS = 60_000
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


@contextmanager
def started() -> Iterator[Browser]:
    """The machine's own Chromium."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        missing("chromium", "Chromium is not installed")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=list(QUIET))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for all tests of a module."""
    with started() as running:
        yield running


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealService]:
    """A service that stays up for all tests of this module."""
    with serving(tmp_path_factory.mktemp("service") / "data") as running:
        yield running


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A phone that nobody has used before."""
    made = browser.new_context(viewport=PHONE, accept_downloads=True)
    made.set_default_timeout(LONGEST_MS)
    yield made
    made.close()


def opened(context: BrowserContext, url: str) -> tuple[Page, list[str]]:
    """A page, and what its console complains of or it fetches from elsewhere."""
    page, complaints = context.new_page(), list[str]()
    page.on("console", lambda one: complaints.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    own = url.split("/", 3)[2]
    page.on("request", lambda one: None if _is_own(one.url, own) else complaints.append(one.url))
    page.goto(url)
    return page, complaints


def _is_own(url: str, host: str) -> bool:
    return url.startswith(("blob:", "data:")) or url.split("/", 3)[2] == host


def go_to(page: Page, step: str) -> None:
    """Go to a step by its name on the strip of tape."""
    page.locator("#steps a", has_text=step).click()
    page.wait_for_selector(f"section:not([hidden])#{step.lower()}")


def read_in(page: Page, code: str, entries: list[str]) -> None:
    """Open a measurement, and type one reading after the other."""
    go_to(page, "Tape")
    part = page.locator(f"#{code}-part")
    if part.get_attribute("open") is None:
        part.locator("summary").first.click()
    for number, entry in enumerate(entries, 1):
        if not page.locator(f"#{code}-entry").is_visible():
            part.get_by_text("Measure once more").click()
        page.fill(f"#{code}-entry", entry)
        page.press(f"#{code}-entry", "Enter")
        part.locator(f".readings li >> nth={number - 1}").wait_for(state="attached")
        # Until then the page may still move the focus, and the next key with it.
        part.locator("form.reading button[type=submit]:not([aria-disabled])").wait_for(
            state="attached"
        )


def send_photos(page: Page) -> None:
    """Agree to what happens to photos, and send them."""
    page.check("#adult")
    page.check("#agree")
    page.press("#agree", "Enter")
    fill_photo_form(page)


def fill_photo_form(page: Page) -> None:
    """Say how the photos of the demo were taken, send them, and wait for what they give."""
    folder = DEMO_IMAGES / "sittings" / "adela"
    typed = json.loads((folder / "truth.json").read_text("utf-8"))["typed"]
    for name in ("stature", "standoff_front", "standoff_side"):
        page.fill(f"#{name.replace('_', '-')}", typed[name] or "")
    for view in ("front", "side"):
        page.set_input_files(f"#{view}", folder / f"{view}.jpg")
    page.click("#send-photos")
    page.wait_for_selector("#findings-title:focus")
    page.wait_for_selector("#estimates tr >> nth=5")
