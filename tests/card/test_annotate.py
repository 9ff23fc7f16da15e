"""What was found, drawn over a photo."""

import io

import numpy as np
from PIL import Image

from ellwand.card.annotate import annotated
from ellwand.girth.result import ViewFindings

WIDTH, HEIGHT = 300, 900
FOUND = ViewFindings(
    width_px=WIDTH,
    height_px=HEIGHT,
    outline_px=((50.0, 100.0), (150.0, 100.0), (150.0, 800.0), (50.0, 800.0)),
    landmarks_px={"nose": (100.0, 150.0, 0.9), "left_wrist": (20.0, 450.0, 0.1)},
    references_px=(((200.0, 300.0), (260.0, 300.0), (260.0, 380.0), (200.0, 380.0)),),
    levels_px={"waist": ((50.0, 500.0), (150.0, 500.0))},
    problems=(),
)


def drawn(found: ViewFindings) -> tuple[Image.Image, np.ndarray]:
    """The picture over black, and where it is not black any more."""
    black = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
    picture = Image.open(io.BytesIO(annotated(black, found)))
    assert not black.any()
    return picture, np.asarray(picture).max(axis=2) > 60


def test_outline_level_landmark_and_corners_are_where_they_were_found() -> None:
    _, lit = drawn(FOUND)
    for x, y in ((50, 300), (150, 700), (100, 500), (100, 150), (230, 300), (260, 380)):
        assert lit[y - 1 : y + 2, x - 1 : x + 2].any(), (x, y)
    assert not lit[460:490, 60:140].any()


def test_a_landmark_that_is_hardly_seen_is_left_out() -> None:
    _, lit = drawn(FOUND)
    assert not lit[440:460, 10:30].any()


def test_names_of_close_levels_are_moved_apart() -> None:
    near = {
        "full_bust": ((50.0, 500.0), (150.0, 500.0)),
        "high_bust": ((50.0, 499.0), (150.0, 499.0)),
    }
    one, both = drawn(FOUND)[1], drawn(FOUND.__class__(**vars(FOUND) | {"levels_px": near}))[1]
    # Rows that hold lettering, to the right of the outline and below the sheet.
    assert both[400:, 156:].any(axis=1).sum() > 1.5 * one[400:, 156:].any(axis=1).sum()


def test_the_picture_carries_nothing_but_the_picture() -> None:
    picture, _ = drawn(FOUND)
    assert picture.format == "JPEG"
    assert picture.size == (WIDTH, HEIGHT)
    assert dict(picture.getexif()) == {}
    assert "comment" not in picture.info
