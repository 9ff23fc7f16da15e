"""The demo photos are small enough, say how they were taken, and come with a complete truth."""

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import ExifTags, Image, ImageOps

DEMO = Path(__file__).parents[2] / "demo_images"
SITTINGS = sorted(path.parent for path in (DEMO / "sittings").glob("*/truth.json"))
REFUSED = DEMO / "refused"
VIEWS = ("front", "side")
LEVELS = ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
MOST_BYTES = 400_000
# Diagonal of 36 x 24 mm; the written focal length is whole, the true one within 1.5 % of it.
FULL_FRAME_DIAGONAL_MM = 43.2666
FOCAL_SHARE = 0.0151
TRUTH_KEYS = {
    "name",
    "description",
    "recipe",
    "stature_mm",
    "weight_kg",
    "hair_top_mm",
    "camera",
    "body",
    "orientation",
    "reference",
    "standoff_front_mm",
    "standoff_side_mm",
    "facing",
    "typed",
    "levels",
    "lengths",
}
REFUSED_CODES = {
    "body-cropped",
    "dark",
    "turned",
    "several-people",
    "arms-against-torso",
    "leaning",
    "reference-missing",
    "reference-partly-hidden",
    "too-oblique",
    "blurred",
    "upside-down",
    "too-small",
    "hand-outside-outline",
}


def truth_of(folder: Path) -> dict[str, Any]:
    return json.loads((folder / "truth.json").read_text(encoding="utf-8"))


def refused() -> list[dict[str, str]]:
    return json.loads((REFUSED / "refused.json").read_text(encoding="utf-8"))


def f35_of(picture: Image.Image) -> int:
    block = picture.getexif().get_ifd(ExifTags.IFD.Exif)
    return int(block[ExifTags.Base.FocalLengthIn35mmFilm])


def project(camera: dict[str, Any], point_mm: list[float]) -> tuple[float, float]:
    seen = [
        sum(row[axis] * point_mm[axis] for axis in range(3)) + shift
        for row, shift in zip(camera["R"], camera["t_mm"], strict=True)
    ]
    return (
        camera["f_px"] * seen[0] / seen[2] + (camera["width"] - 1) / 2,
        camera["f_px"] * seen[1] / seen[2] + (camera["height"] - 1) / 2,
    )


def by_name(folder: Path) -> str:
    return folder.name


def test_there_are_twelve_sittings_of_every_reference_set_up() -> None:
    set_ups = sorted(
        (truth["reference"]["kind"], len(truth["reference"]["sheets"]))
        for truth in map(truth_of, SITTINGS)
    )
    assert set_ups == sorted(
        [("marker-sheets", 2)] * 4
        + [("plain-sheets", 2)] * 4
        + [("marker-sheets", 1)] * 2
        + [("plain-sheets", 1), ("id-card", 1)]
    )


def test_every_jpeg_is_at_most_400_kb() -> None:
    sizes = {path.name: path.stat().st_size for path in DEMO.rglob("*.jpg")}
    assert sizes
    assert max(sizes.values()) <= MOST_BYTES


@pytest.mark.parametrize("folder", SITTINGS, ids=by_name)
def test_a_truth_file_is_complete(folder: Path) -> None:
    truth = truth_of(folder)
    assert set(truth) == TRUTH_KEYS
    assert truth["name"] == folder.name
    assert set(truth["levels"]) == set(LEVELS)
    heights = [truth["levels"][level]["height_mm"] for level in LEVELS]
    assert heights == sorted(heights, reverse=True)
    for level in truth["levels"].values():
        # A closed convex line is longer than twice its longer side, shorter than its box.
        longer, both = (
            max(level["breadth_mm"], level["depth_mm"]),
            (level["breadth_mm"] + level["depth_mm"]),
        )
        assert 2 * longer < level["girth_mm"] < 2 * both
    assert set(truth["typed"]) == {
        "stature",
        "standoff_front",
        "standoff_side",
        "reference",
        "paper",
    }


@pytest.mark.parametrize("folder", SITTINGS, ids=by_name)
def test_what_she_types_is_near_the_truth(folder: Path) -> None:
    truth = truth_of(folder)
    value, unit = truth["typed"]["stature"].split()
    assert abs(float(value) * {"cm": 10.0, "in": 25.4}[unit] - truth["stature_mm"]) <= 12.8
    for view in VIEWS:
        typed_mm = 10.0 * float(truth["typed"][f"standoff_{view}"].removesuffix(" cm"))
        # Drawn with a standard deviation of 8 mm; 3.5 of them.
        assert abs(typed_mm - truth[f"standoff_{view}_mm"]) <= 28.0


@pytest.mark.parametrize("folder", SITTINGS, ids=by_name)
@pytest.mark.parametrize("view", VIEWS)
def test_a_photo_says_how_it_was_taken(folder: Path, view: str) -> None:
    truth = truth_of(folder)
    camera = truth["camera"][view]
    with Image.open(folder / f"{view}.jpg") as picture:
        assert picture.getexif()[ExifTags.Base.Orientation] == truth["orientation"][view]
        assert f35_of(picture) == camera["f35_exif"]
        upright = ImageOps.exif_transpose(picture)
        assert upright.size == (camera["width"], camera["height"])
    diagonal_px = (camera["width"] ** 2 + camera["height"] ** 2) ** 0.5
    written_px = camera["f35_exif"] * diagonal_px / FULL_FRAME_DIAGONAL_MM
    assert abs(camera["f_px"] / written_px - 1.0) <= FOCAL_SHARE


@pytest.mark.parametrize("folder", SITTINGS, ids=by_name)
@pytest.mark.parametrize("view", VIEWS)
def test_the_stored_corners_are_where_the_stored_camera_sees_them(folder: Path, view: str) -> None:
    truth = truth_of(folder)
    for sheet in truth["reference"]["sheets"]:
        pairs = zip(sheet["corners_mm"], sheet["corners_px"][view], strict=True)
        for corner_mm, corner_px in pairs:
            assert project(truth["camera"][view], corner_mm) == pytest.approx(corner_px, abs=0.01)


def at(corners: list[list[float]], right: float, down: float) -> tuple[int, int]:
    """Give the pixel at a share of a sheet's width and height, from its top left corner."""
    top_left, top_right, bottom_right, bottom_left = corners
    above, below = (
        [start[axis] + right * (end[axis] - start[axis]) for axis in range(2)]
        for start, end in ((top_left, top_right), (bottom_left, bottom_right))
    )
    x, y = (above[axis] + down * (below[axis] - above[axis]) for axis in range(2))
    return round(x), round(y)


def grey_of(folder: Path, view: str) -> Image.Image:
    with Image.open(folder / f"{view}.jpg") as picture:
        return ImageOps.exif_transpose(picture).convert("L")


PLAIN = [folder for folder in SITTINGS if truth_of(folder)["reference"]["kind"] != "marker-sheets"]
MARKED = [folder for folder in SITTINGS if folder not in PLAIN]


@pytest.mark.parametrize("folder", PLAIN, ids=by_name)
@pytest.mark.parametrize("view", VIEWS)
def test_blank_paper_is_brighter_than_what_is_around_its_corners(folder: Path, view: str) -> None:
    """A photo that belongs to another truth file, or lies turned, fails here and below."""
    grey = grey_of(folder, view)
    for sheet in truth_of(folder)["reference"]["sheets"]:
        for right, down in ((0, 0), (1, 0), (1, 1), (0, 1)):
            inner, outer = (
                grey.getpixel(at(sheet["corners_px"][view], *where))
                for where in (
                    (0.06 + 0.88 * right, 0.06 + 0.88 * down),
                    (-0.06 + 1.12 * right, -0.06 + 1.12 * down),
                )
            )
            assert inner > outer + 25


@pytest.mark.parametrize("folder", MARKED, ids=by_name)
@pytest.mark.parametrize("view", VIEWS)
def test_the_ink_of_a_marker_sheet_is_where_it_was_printed(folder: Path, view: str) -> None:
    grey = grey_of(folder, view)
    for sheet in truth_of(folder)["reference"]["sheets"]:
        corners = sheet["corners_px"][view]
        # Second square from above in the middle column; the margin above the board.
        ink, paper = grey.getpixel(at(corners, 0.5, 0.395)), grey.getpixel(at(corners, 0.5, 0.04))
        assert paper > ink + 80


def test_every_refused_photo_names_its_sitting_and_its_fault() -> None:
    entries = refused()
    names = {folder.name for folder in SITTINGS}
    assert {entry["code"] for entry in entries} == REFUSED_CODES
    assert {path.name for path in REFUSED.glob("*.jpg")} == {entry["file"] for entry in entries}
    for entry in entries:
        assert set(entry) == {"file", "view", "sitting", "code", "why"}
        assert entry["sitting"] in names
        assert entry["view"] in VIEWS


@pytest.mark.parametrize("entry", refused(), ids=lambda entry: entry["code"])
def test_a_refused_photo_has_the_focal_length_of_its_sitting(entry: dict[str, str]) -> None:
    truth = truth_of(DEMO / "sittings" / entry["sitting"])
    with Image.open(REFUSED / entry["file"]) as picture:
        assert f35_of(picture) == truth["camera"][entry["view"]]["f35_exif"]
        small = entry["code"] == "too-small"
        assert picture.size == ((300, 400) if small else (1500, 2000))
