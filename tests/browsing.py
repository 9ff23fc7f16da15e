"""What tests in a real browser share: starting it, going through the page, a camera of files."""

import json
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright

from tests.real_service import LOGIN, PASSWORD, RealService, serving
from tests.running import DEMO_IMAGES
from tests.servers import missing

ADELA = DEMO_IMAGES / "sittings" / "adela"
PHONE = {"width": 360, "height": 740}
LONGEST_MS = 60_000
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


@contextmanager
def chromium(play: Playwright, *options: str) -> Iterator[Browser]:
    """The machine's own Chromium.

    Args:
        play: that drives it.
        options: of its command line, besides those that keep it quiet.
    """
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        missing("chromium", "Chromium is not installed")
    started = play.chromium.launch(executable_path=program, args=[*QUIET, *options])
    yield started
    started.close()


@contextmanager
def visiting(browser: Browser, **options: Any) -> Iterator[BrowserContext]:
    """A phone that nobody has used before; options say in what it differs from a small one."""
    made = browser.new_context(**{"viewport": PHONE, "accept_downloads": True, **options})
    made.set_default_timeout(LONGEST_MS)
    yield made
    made.close()


@contextmanager
def started() -> Iterator[Browser]:
    """The machine's own Chromium, without a camera."""
    with sync_playwright() as play, chromium(play) as browser:
        yield browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for all tests of a module."""
    with started() as running:
        yield running


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealService]:
    """A service that stays up for all tests of a module."""
    with serving(tmp_path_factory.mktemp("service") / "data") as running:
        yield running


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A phone that nobody has used before."""
    with visiting(browser) as made:
        yield made


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


def parted(page: Page) -> list[str]:
    """Words of a table of measurements that stand in two lines, parted anywhere."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(":is(.estimates, .measurements) tbody :is(th, td)")]
          .filter((cell) => cell.checkVisibility())
          .flatMap((cell) => [...cell.firstChild.data.matchAll(/\\S+/g)].map((word) => {
            const range = document.createRange();
            range.setStart(cell.firstChild, word.index);
            range.setEnd(cell.firstChild, word.index + word[0].length);
            return [word[0], new Set([...range.getClientRects()].map(({ top }) => top)).size];
          }))
          .filter(([, lines]) => lines > 1).map(([word]) => word)"""
    )
    return found


def go_to(page: Page, step: str) -> None:
    """Go to a step by its link on the strip of tape, in whatever language it is written."""
    page.click(f"#steps a[href='#{step}']")
    page.wait_for_selector(f"section:not([hidden])#{step}")


def read_in(page: Page, code: str, entries: list[str]) -> None:
    """Open a measurement, and type one reading after the other."""
    go_to(page, "tape")
    part = page.locator(f"#{code}-part")
    if part.get_attribute("open") is None:
        part.locator("summary").first.click()
    for entry in entries:
        # What they come to together is a line, too, and comes and goes.
        readings = part.locator(".readings li:not(.together)")
        before = readings.count()
        if not page.locator(f"#{code}-entry").is_visible():
            take_way(page, code, "Measure once more")
        page.fill(f"#{code}-entry", entry)
        page.press(f"#{code}-entry", "Enter")
        readings.nth(before).wait_for(state="attached")
        wait_until_read(page, code)


def wait_until_read(page: Page, code: str) -> None:
    """Wait until an entry is done with: until then the page may still move the focus."""
    page.locator(f"#{code}-part form.reading button[type=submit]:not([aria-disabled])").wait_for(
        state="attached"
    )


def take_way(page: Page, code: str, words: str) -> None:
    """Take one of the ways on from a reading.

    Args:
        page: in any language.
        code: of the measurement.
        words: of the button, in English; only they tell it from the others.
    """
    said = page.evaluate(
        "async (words) => (await import('/page/language.js')).gettext(words)", words
    )
    page.locator(f"#{code}-part .ways button", has_text=said).click()


def log_in(room: Page) -> None:
    """Log the workroom in, and wait for its room."""
    room.fill("#name", LOGIN)
    room.fill("#password", PASSWORD)
    room.press("#password", "Enter")
    room.wait_for_selector("#room:not([hidden])")


def agree(page: Page) -> None:
    """State her age, and that her photos may be measured."""
    page.check("#adult")
    page.check("#agree")
    page.press("#agree", "Enter")
    page.wait_for_selector("#photo-form:not([hidden])")


def type_setup(page: Page) -> None:
    """Type how the demo photos were taken."""
    typed = json.loads((ADELA / "truth.json").read_text("utf-8"))["typed"]
    for name in ("stature", "standoff_front", "standoff_side"):
        page.fill(f"#{name.replace('_', '-')}", typed[name] or "")


def send_photos(page: Page, folder: Path = ADELA) -> None:
    """Say how the photos of the demo were taken, send them, and wait for what they give."""
    type_setup(page)
    for view in ("front", "side"):
        page.set_input_files(f"#{view}", folder / f"{view}.jpg")
    page.click("#send-photos")
    page.wait_for_selector("#findings-title:focus")
    page.wait_for_selector("#estimates tr >> nth=5")


def read_in_all(page: Page) -> None:
    """Type what the woman of the demo reads off her tape, a slip of hers among it."""
    for row in json.loads((DEMO_IMAGES / "scenario.json").read_text("utf-8"))["readings"]:
        read_in(page, row["code"], row["entries"])


def decide(page: Page) -> None:
    """Go to the size, and decide it."""
    go_to(page, "size")
    page.click("#decide button")
    page.wait_for_selector("#decision-steps dt")


def decide_and_download(page: Page) -> str:
    """Decide the size, go on to the card, and download it; the name of its file."""
    decide(page)
    page.click("#size a[href='#card']")
    return download(page)


def download(page: Page) -> str:
    """Download the card; the name of its file."""
    with page.expect_download() as saved:
        page.click("#card a[href$='card.pdf']")
    return str(saved.value.suggested_filename)


@dataclass(frozen=True)
class Camera:
    """A camera that sees a photo, again and again; it looks anew each time it is opened.

    Args:
        path: of the film that the browser takes for a camera: JPEGs one after the other.
    """

    path: Path

    @property
    def options(self) -> Sequence[str]:
        """Of the browser that has it."""
        return (
            "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-video-capture={self.path}",
        )

    def see(self, photo: Path) -> None:
        """Stand a photo before it."""
        self.path.write_bytes(photo.read_bytes() * 3)
