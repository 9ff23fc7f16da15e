"""How much of the page goes over the wire, how soon it is seen, and how long it is ever blocked.

    .venv/bin/python -m tests.benchmarks.bench_page

Chromium, a phone's window. First view: from the link to the first step. Slow: the processor four
times slower, and a line as browsers' own tools name "Slow 4G".
"""

import argparse
import sys
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, CDPSession, Page

from ellwand.language import LANGUAGES, Language
from ellwand.language.pages import address_in
from tests.benchmarks.bench_estimate import enlarge
from tests.browsing import (
    PHONE,
    agree,
    decide_and_download,
    go_to,
    read_in_all,
    send_photos,
    started,
)
from tests.real_service import RealService, serving

SLOWER = 4
# From memory: 1.6 Mbit/s down and 750 kbit/s up, nine tenths of it used, and 562.5 ms a request.
SLOW_LINE = {
    "offline": False,
    "latency": 562.5,
    "downloadThroughput": 180_000,
    "uploadThroughput": 84_375,
}
GOAL_BYTES, GOAL_PAINT_MS, GOAL_BLOCKED_MS = 120_000, 1500, 200
WATCH = """
    window.seen = { paint: 0, blocked: [] };
    new PerformanceObserver((list) => {
      for (const one of list.getEntries()) window.seen.paint = one.startTime;
    }).observe({ type: "largest-contentful-paint", buffered: true });
    new PerformanceObserver((list) => {
      for (const one of list.getEntries()) window.seen.blocked.push(one.duration);
    }).observe({ type: "longtask", buffered: true });
"""


def watched(browser: Browser, slow: bool) -> tuple[Page, CDPSession, list[int], set[str]]:
    """A page whose paints, long tasks, bytes and hosts are counted."""
    page = browser.new_page(viewport=PHONE)
    page.add_init_script(WATCH)
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    if slow:
        session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        session.send("Network.emulateNetworkConditions", SLOW_LINE)
    sizes: list[int] = []
    hosts: set[str] = set()
    session.on(
        "Network.loadingFinished", lambda event: sizes.append(int(event["encodedDataLength"]))
    )
    page.on("request", lambda one: hosts.add(one.url.split("/", 3)[2]))
    return page, session, sizes, hosts


def first_view(browser: Browser, service: RealService, language: Language, slow: bool) -> None:
    """Open a link and print what that took."""
    page, _, sizes, hosts = watched(browser, slow)
    token = service.invite("--garment", "blouse", "--language", language)
    page.goto(f"{service.url}{address_in(language, '/sitting')}#{token}")
    page.wait_for_selector("#start-title:focus", timeout=60_000)
    page.wait_for_load_state("networkidle")
    seen: dict[str, Any] = page.evaluate("window.seen")
    opened_ms = page.evaluate("performance.now()")
    how = "a phone four times slower on a slow line" if slow else "as it is"
    print(f"{language}, {how}:")
    print(f"  {sum(sizes):,} bytes in {len(sizes)} answers (goal {GOAL_BYTES:,})")
    print(f"  {len(hosts)} host (goal 1)")
    print(f"  largest paint after {seen['paint']:.0f} ms (goal {GOAL_PAINT_MS} when slow)")
    longest = max(seen["blocked"], default=0)
    print(f"  quiet after {opened_ms:.0f} ms, longest task {longest:.0f} ms")
    page.close()


def whole_way(browser: Browser, service: RealService) -> None:
    """Go from photos to the card, and print how long nothing could be touched."""
    page = at_photos(browser, service, slow=False)
    send_photos(page)
    read_in_all(page)
    decide_and_download(page)
    print_blocked(page, "whole way")


def large_photos(browser: Browser, service: RealService, folder: Path, slow: bool) -> None:
    """Send two photos of 12 megapixels from a browser that has no workers, and print the same."""
    page = at_photos(browser, service, slow, "delete window.Worker;")
    send_photos(page, folder)
    how = "a phone four times slower" if slow else "as it is"
    print_blocked(page, f"two photos of 12 megapixels without a worker, {how}")


def at_photos(browser: Browser, service: RealService, slow: bool, lacking: str = "") -> Page:
    """A page whose customer has agreed to photos; what was blocked before does not count."""
    page, session, *_ = watched(browser, slow=False)
    page.add_init_script(lacking)
    page.goto(f"{service.url}/sitting#{service.invite('--garment', 'blouse')}")
    go_to(page, "photos")
    agree(page)
    if slow:
        session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.evaluate("window.seen.blocked = []")
    return page


def print_blocked(page: Page, what: str) -> None:
    """How often and how long nothing could be touched; closes the page."""
    blocked: list[float] = page.evaluate("window.seen.blocked")
    print(
        f"{what}: {len(blocked)} tasks over 50 ms, the longest {max(blocked, default=0):.0f} ms "
        f"(goal {GOAL_BLOCKED_MS})"
    )
    page.close()


def main() -> int:
    """Measure and print."""
    argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0]).parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder) / "data") as service,
        started() as browser,
    ):
        for language in LANGUAGES:
            first_view(browser, service, language, slow=False)
            first_view(browser, service, language, slow=True)
        whole_way(browser, service)
        enlarge(Path(folder))
        for slow in (False, True):
            large_photos(browser, service, Path(folder), slow)
    return 0


if __name__ == "__main__":
    sys.exit(main())
