"""Chromium for tests: started, with a page that fetches nothing else, and a camera of files."""

import json
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, Playwright

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
