"""Make the pictures of README.md from the demo: `.venv/bin/python web/pictures/make.py`."""

import io
import sys
import tempfile
from pathlib import Path

from PIL import Image

from ellwand.card import content_of
from ellwand.card.page import card_data
from ellwand.card.pdf import CARD_TEMPLATE
from ellwand.card.typeset import typeset_png
from ellwand.cli import main as ellwand
from ellwand.sitting import load

HERE = Path(__file__).parent
# The part of each photo that shows her and the sheets, and the height of the picture.
CROP_PX = (200, 600, 1300, 1800)
PAIR_HEIGHT_PX = 760
CARD_PX_PER_MM = 3.6
COLOURS = 64


def pair(out: Path) -> Image.Image:
    """Both annotated photos side by side."""
    crops = [Image.open(out / f"{view}.jpg").crop(CROP_PX) for view in ("front", "side")]
    width, height = crops[0].size
    both = Image.new("RGB", (2 * width, height))
    for number, crop in enumerate(crops):
        both.paste(crop, (number * width, 0))
    factor = PAIR_HEIGHT_PX / height
    return both.resize((round(2 * width * factor), PAIR_HEIGHT_PX), Image.Resampling.LANCZOS)


def card(out: Path) -> Image.Image:
    """The card as a picture."""
    data = card_data(content_of(load(out / "sitting.json")))
    page = typeset_png(CARD_TEMPLATE, data, CARD_PX_PER_MM)[0]
    return Image.open(io.BytesIO(page)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)


def make() -> int:
    """Run the demo and write its pictures."""
    with tempfile.TemporaryDirectory() as name:
        out = Path(name) / "demo"
        code = ellwand(["demo", "--out", str(out)])
        if code == 0:
            pair(out).save(HERE / "demo_pair.jpg", quality=85)
            card(out).save(HERE / "card.png", optimize=True)
            code = ellwand(
                ["size", str(out / "sitting.json"), "--chart", str(HERE / "ease.svg"), "--json"]
            )
    return code


if __name__ == "__main__":
    sys.exit(make())
