"""What girths lose when the page makes photos smaller: `python -m tests.benchmarks.bench_scaling`.

The page's own module runs in Chromium on each demo photo: as the page's camera takes it (a PNG made
a JPEG), and enlarged to 12 megapixels and scaled down again. The demo photos have 1500 x 2000
pixels, so an enlarged one has no more detail than that: what is tried is the scaling and the
compression. Printed are, against the same photos sent as they are, how far girths moved and how the
bounds changed; and how far girths are from the truth. The last line has no focal length, as when a
browser's camera writes none.
"""

import argparse
import base64
import io
import shutil
import statistics
import tempfile
import threading
from collections.abc import Callable
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from PIL import Image, ImageOps
from playwright.sync_api import Page, sync_playwright

from ellwand.api.page import page_folder
from ellwand.girth.result import Findings
from ellwand.measurements import LEVELS
from tests.benchmarks.accuracy import SITTINGS, estimated
from tests.benchmarks.bench_estimate import enlarge

SCALE = """async ([data, type, taken, longSide]) => {
    const { prepared } = await import("/pixels.js");
    const bytes = Uint8Array.from(atob(data), (one) => one.charCodeAt(0));
    const made = await prepared(new Blob([bytes], { type }), taken, longSide);
    const read = new Uint8Array(await made.arrayBuffer());
    return btoa(read.reduce((text, one) => text + String.fromCharCode(one), ""));
}"""
Way = Callable[[Page, Path, Path], None]


class Quiet(SimpleHTTPRequestHandler):
    """Serves the page's modules and says nothing."""

    def log_message(self, *_: object) -> None:
        """Not needed."""


def scaled(page: Page, data: bytes, kind: str, taken: bool, long_side: int) -> bytes:
    """A photo as the page sends it."""
    told = page.evaluate(SCALE, [base64.b64encode(data).decode(), kind, taken, long_side])
    return base64.b64decode(told)


def as_they_are(_: Page, sitting: Path, folder: Path) -> None:
    """Both photos without any change."""
    for view in ("front", "side"):
        shutil.copy(sitting / f"{view}.jpg", folder)


def by_the_camera(page: Page, sitting: Path, folder: Path) -> None:
    """Upright pixels without any tag, made a JPEG; the focal length is lost."""
    for view in ("front", "side"):
        data = io.BytesIO()
        with Image.open(sitting / f"{view}.jpg") as photo:
            ImageOps.exif_transpose(photo).convert("RGB").save(data, "PNG")
        sent = scaled(page, data.getvalue(), "image/png", True, 2000)
        (folder / f"{view}.jpg").write_bytes(sent)


def from_12_megapixels(long_side: int) -> Way:
    """Enlarged, then scaled down by the page."""

    def make(page: Page, sitting: Path, folder: Path) -> None:
        enlarge(folder, sitting)
        for view in ("front", "side"):
            path = folder / f"{view}.jpg"
            path.write_bytes(scaled(page, path.read_bytes(), "image/jpeg", False, long_side))

    return make


def enlarged(_: Page, sitting: Path, folder: Path) -> None:
    """Enlarged and sent as that."""
    enlarge(folder, sitting)


WAYS: dict[str, Way] = {
    "as they are": as_they_are,
    "12 megapixels, sent as they are": enlarged,
    "12 megapixels, scaled to 2400 px": from_12_megapixels(2400),
    "12 megapixels, scaled to 2000 px": from_12_megapixels(2000),
    "12 megapixels, scaled to 1600 px": from_12_megapixels(1600),
    "page's camera, focal length not known": by_the_camera,
}


def found(page: Page, way: Way, sitting: Path) -> tuple[Findings, dict, int] | None:
    """Findings of a sitting sent in a way, its truth, and the size of both photos in bytes."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copy(sitting / "truth.json", folder)
        way(page, sitting, folder)
        size = sum((folder / f"{view}.jpg").stat().st_size for view in ("front", "side"))
        try:
            return *estimated(folder), size
        except Exception as problem:  # what is refused is a result, too
            print(f"{sitting.name}: {type(problem).__name__} {problem}")
            return None


def row(name: str, ways: dict[str, list], first: list) -> str:
    """One line of the table."""
    moved, widths, errors = [], [], []
    pairs = [(one, base) for one, base in zip(ways[name], first, strict=True) if one and base]
    for (findings, truth, _), (base, _, _) in pairs:
        for code in LEVELS:
            one, other = findings.estimates[code], base.estimates[code]
            moved.append(one.value_mm - other.value_mm)
            widths.append((one.high_mm - one.low_mm) / (other.high_mm - other.low_mm))
            errors.append(one.value_mm - truth["levels"][code]["girth_mm"])
    size = statistics.mean(one[2] / 2 for one, _ in pairs) / 1e6
    return (
        f"| {name} | {len(pairs)} | {size:.1f} MB | {statistics.mean(moved):+.1f} mm "
        f"| {statistics.pstdev(moved):.1f} mm | {max(map(abs, moved)):.1f} mm "
        f"| {statistics.mean(widths):.3f} | {statistics.mean(map(abs, errors)):.1f} mm |"
    )


def measure(page: Page, sittings: list[Path]) -> None:
    """Print the table."""
    ways = {name: [found(page, way, one) for one in sittings] for name, way in WAYS.items()}
    print("| photos | sittings | a photo | girths moved, mean | sd | most | bounds, times "
          "| mean absolute error |")  # fmt: skip
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for name in WAYS:
        base = "12 megapixels, sent as they are" if "scaled" in name else "as they are"
        print(row(name, ways, ways[base]))


def main() -> None:
    """Serve the modules, start Chromium, measure."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sittings", type=int, help="only so many")
    asked = options.parse_args()
    sittings = sorted(path for path in SITTINGS.iterdir() if path.is_dir())[: asked.sittings]
    handler = partial(Quiet, directory=str(page_folder()))
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with sync_playwright() as play:
        program = shutil.which("chromium")
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{server.server_port}/workroom.html")
        measure(page, sittings)
        browser.close()
    server.shutdown()


if __name__ == "__main__":
    main()
