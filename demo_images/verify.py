"""Check the finished photos against their truth files: `python -m demo_images.verify`.

Finds the marker corners in each JPEG to a fraction of a pixel and prints how far they are from
where the stored camera puts them; with `--overlay FOLDER` draws sheet corners, joints, crown and
soles over each photo, for the eye.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageOps

from demo_images.camera import Camera, Floats
from demo_images.sheets import board

SITTINGS = Path(__file__).with_name("sittings")
VIEWS = ("front", "side")


def stored_camera(truth: dict[str, Any], view: str) -> Camera:
    """Read the camera of a photo from the truth file."""
    stored = truth["camera"][view]
    return Camera(
        f_px=stored["f_px"],
        rotation=np.array(stored["R"]),
        translation_mm=np.array(stored["t_mm"]),
        width_px=stored["width"],
        height_px=stored["height"],
    )


def upright(path: Path) -> Image.Image:
    """Open a photo with its EXIF orientation applied."""
    return ImageOps.exif_transpose(Image.open(path)).convert("RGB")


def marker_misses(picture: Image.Image, sheet: dict[str, Any], view: str) -> Floats:
    """Give found minus true pixels of the inner corners of a marker sheet.

    Returns:
        (n, 2) differences, n from 0 to 6.
    """
    grey = cv2.cvtColor(np.asarray(picture), cv2.COLOR_RGB2GRAY)
    choice = cv2.aruco.CharucoParameters()
    choice.minMarkers = 1
    found, ids, _, _ = cv2.aruco.CharucoDetector(board(sheet["id"]), choice).detectBoard(grey)
    if ids is None:
        return np.zeros((0, 2))
    true = np.array(sheet["marker_corners_px"][view])[ids.ravel()]
    return np.asarray(found.reshape(-1, 2).astype(np.float64) - true)


def edge_misses(picture: Image.Image, sheet: dict[str, Any], view: str) -> Floats:
    """Give found minus true pixels of the corners of a blank sheet or card.

    Each edge is found as the steepest step on 40 lines across it, and a straight line is laid
    through the steps; corners are where the lines cross.

    Returns:
        (4, 2) differences.
    """
    grey = np.asarray(picture.convert("L"), dtype=np.float32)
    corners = np.array(sheet["corners_px"][view])
    lines = [_edge_line(grey, corners[index], corners[(index + 1) % 4]) for index in range(4)]
    crossings = [_crossing(lines[index - 1], lines[index]) for index in range(4)]
    return np.asarray(np.array(crossings) - corners)


def _edge_line(grey: cv2.typing.MatLike, start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Lay a line (point, direction) through the steps in brightness between two corners."""
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]])
    reach = np.arange(-5.0, 5.01, 0.125)
    points = []
    for share in np.linspace(0.15, 0.85, 40):
        line = start + share * (end - start) + reach[:, None] * across
        column, row = (line[:, axis].astype(np.float32)[None] for axis in (0, 1))
        values = cv2.remap(grey, column, row, cv2.INTER_LINEAR)[0].astype(np.float64)
        slope = np.abs(np.gradient(values)) ** 2
        points.append(line[0] + across * float((slope * (reach + 5.0)).sum() / slope.sum()))
    cloud = np.array(points)
    middle = cloud.mean(axis=0)
    return middle, np.linalg.svd(cloud - middle)[2][0]


def _crossing(first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Floats:
    """Give the point where two lines cross."""
    shares = np.linalg.solve(np.column_stack([first[1], -second[1]]), second[0] - first[0])
    return np.asarray(first[0] + shares[0] * first[1])


def overlay(picture: Image.Image, truth: dict[str, Any], view: str) -> Image.Image:
    """Draw sheet corners, joints, crown height and soles over a photo."""
    drawn = picture.copy()
    pen = ImageDraw.Draw(drawn)
    camera = stored_camera(truth, view)
    for sheet in truth["reference"]["sheets"]:
        outline = [tuple(corner) for corner in sheet["corners_px"][view]]
        pen.line([*outline, outline[0]], fill=(255, 0, 0))
    place = np.array(truth["body"][view]["place_mm"])
    spots = {name: np.array(at) for name, at in truth["body"][view]["joints_mm"].items()}
    for at in spots.values():
        _ring(pen, camera.project(at[None])[0], (0, 160, 255))
    for height in (0.0, truth["stature_mm"]):
        ends = np.array([[-120.0, height, 0.0], [120.0, height, 0.0]]) + place
        pen.line([tuple(end) for end in camera.project(ends)], fill=(255, 160, 0), width=2)
    return drawn


def _ring(pen: ImageDraw.ImageDraw, at: Floats, colour: tuple[int, int, int]) -> None:
    x, y = at
    pen.ellipse([x - 4, y - 4, x + 4, y + 4], outline=colour, width=2)


def main() -> None:
    """Print the misses of every photo, and their mean over all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--overlay", type=Path)
    chosen = parser.parse_args()
    everything: dict[str, list[Floats]] = {"marker": [], "edge": []}
    for path in sorted(SITTINGS.glob("*/truth.json")):
        truth = json.loads(path.read_text(encoding="utf-8"))
        for view in VIEWS:
            picture = upright(path.with_name(f"{view}.jpg"))
            for sheet in truth["reference"]["sheets"]:
                way = "marker" if "marker_corners_px" in sheet else "edge"
                find = marker_misses if way == "marker" else edge_misses
                misses = find(picture, sheet, view)
                everything[way].append(misses)
                _report(f"{truth['name']:8} {view:5} sheet {sheet['id']} {way}", misses)
            if chosen.overlay:
                chosen.overlay.mkdir(parents=True, exist_ok=True)
                overlay(picture, truth, view).save(chosen.overlay / f"{truth['name']}_{view}.png")
    for way, found in everything.items():
        if found:
            _report(f"all {way} corners", np.vstack(found))


def _report(what: str, misses: Floats) -> None:
    if len(misses) == 0:
        print(f"{what}: nothing found")
        return
    mean, rms = misses.mean(axis=0), np.sqrt((misses**2).mean(axis=0))
    print(
        f"{what}: n {len(misses)}, mean {mean[0]:+.3f} {mean[1]:+.3f},"
        f" rms {rms[0]:.3f} {rms[1]:.3f}, most {np.abs(misses).max():.2f} px"
    )


if __name__ == "__main__":
    main()
