"""Make the picture of the page: `.venv/bin/python -m web.pictures.pages` (needs Chromium)."""

import io
import json
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page

from tests.browsing import PHONE, agree, go_to, read_in, started, type_setup
from tests.real_service import serving
from tests.running import DEMO_IMAGES

HERE = Path(__file__).parent
GAP_PX, QUALITY = 24, 80


def shot(page: Page, selector: str) -> Image.Image:
    """What a phone shows with a part of the page at its top."""
    page.evaluate("selector => document.querySelector(selector).scrollIntoView()", selector)
    return Image.open(io.BytesIO(page.screenshot())).convert("RGB")


def shots(page: Page) -> list[Image.Image]:
    """The page as the invented woman of the demo sees it."""
    scenario = json.loads((DEMO_IMAGES / "scenario.json").read_text("utf-8"))
    folder = DEMO_IMAGES / "sittings" / scenario["sitting"]
    go_to(page, "photos")
    agree(page)
    type_setup(page)
    for view in ("front", "side"):
        page.set_input_files(f"#{view}", folder / f"{view}.jpg")
    seen = [shot(page, "#photos-title")]
    page.click("#send-photos")
    page.wait_for_selector("#estimates tr >> nth=5")
    seen.append(shot(page, "#pictures"))
    for row in scenario["readings"][:2]:
        read_in(page, row["code"], row["entries"])
    return [*seen, shot(page, "#full_bust-part .query")]


def main() -> int:
    """Start the service, open a link, and write the picture."""
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder) / "data") as service,
        started() as browser,
    ):
        page = browser.new_page(viewport=PHONE, reduced_motion="reduce")
        page.goto(f"{service.url}/sitting#{service.invite('--garment', 'blouse')}")
        seen = shots(page)
    wide = sum(one.width for one in seen) + GAP_PX * (len(seen) - 1)
    picture = Image.new("RGB", (wide, PHONE["height"]), "white")
    for number, one in enumerate(seen):
        picture.paste(one, (number * (PHONE["width"] + GAP_PX), 0))
    picture.save(HERE / "page.jpg", quality=QUALITY)
    return 0


if __name__ == "__main__":
    sys.exit(main())
