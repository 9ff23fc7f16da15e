"""One photo, looked at once: body, outline, reference objects, and what speaks against it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import cv2
import numpy as np
from numpy.typing import NDArray

from ellwand.photo import sheets
from ellwand.photo.body import Body, find_body, find_second_body, steadied
from ellwand.photo.intake import WORKING_LONG_SIDE_PX, Photo
from ellwand.photo.marker_sheets import find_marker_sheets
from ellwand.photo.outline import Silhouette, trace
from ellwand.photo.plain_rectangles import find_plain_rectangles
from ellwand.photo.problems import Problem, View, problem
from ellwand.photo.quality import (
    blurred,
    body_problems,
    is_another_person,
    too_dark,
    upside_down,
)
from ellwand.photo.reference import ReferenceKind, ReferenceObject, Search, in_photo, resized

# In such a picture it says nothing more that the object of known size is not found.
_UNSEEN_IN = {"dark", "blurred"}


@dataclass(frozen=True, eq=False)
class Look:
    """All that a photo gives, as numbers in pixels of the photo.

    Args:
        width_px: width of the photo.
        height_px: height of the photo.
        focal_35mm: as the camera wrote it, or None.
        body: landmarks in pixels of the photo; its mask is that of the working copy.
        silhouette: the outline.
        references: reference objects found.
        problems: what was found to speak against the photo.
    """

    width_px: int
    height_px: int
    focal_35mm: float | None
    body: Body
    silhouette: Silhouette
    references: tuple[ReferenceObject, ...]
    problems: tuple[Problem, ...]

    @property
    def refused(self) -> bool:
        """Whether no estimate can be made from it."""
        return any(found.severity == "refused" for found in self.problems)


def look_at(
    photo: Photo,
    view: View,
    kind: ReferenceKind,
    paper: str,
    stature_mm: float,
    progress: Callable[[str], None] = lambda _: None,
) -> Look | tuple[Problem, ...]:
    """Look at a photo.

    Args:
        photo: upright pixels.
        view: which photo it is meant to be.
        kind: reference object to look for.
        paper: key of `sheets.PAPERS`, for blank sheets.
        stature_mm: her height, for the sizes to expect.
        progress: is told each step, in words.

    Returns:
        The look, or only the problems where nobody is found or nothing can be traced.
    """
    scale = min(1.0, WORKING_LONG_SIDE_PX / max(photo.width_px, photo.height_px))
    working = resized(photo.rgb, scale)
    progress(f"{view} photo: looking for you")
    found = find_body(working)
    dark = too_dark(working)
    if found is None:
        return (problem(_why_nobody(working, dark)),)
    if upside_down(found):
        return (problem("upside-down"),)
    found = steadied(working, found)
    size = working.shape[1], working.shape[0]
    px_per_mm = _body_px(found) / stature_mm
    progress(f"{view} photo: tracing the outline")
    silhouette = trace(photo.rgb, found, view, scale, px_per_mm)
    small = _scaled_silhouette(silhouette, scale)
    problems = [problem("dark")] if dark else []
    if blurred(working, small):
        problems.append(problem("blurred"))
    second = find_second_body(working, found)
    if second is not None and is_another_person(found, second):
        # Which of the two was measured is not known, so how she stands says nothing.
        problems.append(problem("several-people"))
    else:
        problems += body_problems(view, found, small, size)
    body = _in_photo(found, scale)
    references: tuple[ReferenceObject, ...] = ()
    if kind != "stature":
        progress(f"{view} photo: looking for the object of known size")
        seek = partial(_search, photo, scale, silhouette, stature_mm)
        search = seek(kind, paper)
        references = search.objects
        if references:
            problems += [problem("one-sheet", "warned")] if search.hidden else []
        elif not _UNSEEN_IN & {one.code for one in problems}:
            problems.append(problem(_why_no_reference(search, seek, kind, paper)))
    return Look(
        photo.width_px, photo.height_px, photo.focal_35mm, body, silhouette, references,
        tuple(problems),
    )  # fmt: skip


def _why_nobody(working: NDArray[np.uint8], dark: bool) -> str:
    if dark:
        return "dark"
    turns = (cv2.ROTATE_180, cv2.ROTATE_90_CLOCKWISE, cv2.ROTATE_90_COUNTERCLOCKWISE)
    turned = (np.asarray(cv2.rotate(working, turn), np.uint8) for turn in turns)
    return "upside-down" if any(find_body(picture) for picture in turned) else "nobody"


def _search(
    photo: Photo,
    scale: float,
    silhouette: Silhouette,
    stature_mm: float,
    kind: ReferenceKind,
    paper: str,
) -> Search:
    if kind == "marker-sheets":
        return find_marker_sheets(photo.rgb, scale)
    if kind == "id-card":
        sides = sheets.CARD_HEIGHT_MM, sheets.CARD_WIDTH_MM
        return find_plain_rectangles(photo.rgb, scale, sides, silhouette.box_px, stature_mm, "card")
    sheet = sheets.PAPERS[paper]
    sides = sheet.width_mm, sheet.height_mm
    return find_plain_rectangles(photo.rgb, scale, sides, silhouette.box_px, stature_mm, "sheet")


def _why_no_reference(
    search: Search, seek: Callable[[ReferenceKind, str], Search], kind: ReferenceKind, paper: str
) -> str:
    """Why nothing is found: other sheets hang there than were chosen, or it is hidden, or missing.

    Args:
        search: what was found of what was chosen.
        seek: searches for something else.
        kind: what was chosen.
        paper: the same of the paper.
    """
    if kind == "plain-sheets":
        # First, because their paper may be taken for a blank one, or for one that is covered.
        if seek("marker-sheets", paper).objects:
            return "sheets-are-printed"
        for other in sheets.PAPERS:
            if other != paper and seek(kind, other).objects:
                return f"paper-is-{other}"
    if search.hidden:
        return "reference-partly-hidden"
    if kind == "marker-sheets" and any(seek("plain-sheets", one).objects for one in sheets.PAPERS):
        return "sheets-are-blank"
    return "reference-missing"


def _body_px(body: Body) -> float:
    """Height of the body in pixels, roughly: ears to ankles are about 0.88 of the stature."""
    return (body.middle_px("ankle")[1] - body.middle_px("ear")[1]) / 0.88


def _in_photo(body: Body, scale: float) -> Body:
    landmarks = {
        name: (float(x), float(y))
        for name, (x, y) in (
            (name, in_photo(np.array(xy), scale)) for name, xy in body.landmarks_px.items()
        )
    }
    return replace(body, landmarks_px=landmarks)


def _scaled_silhouette(silhouette: Silhouette, scale: float) -> Silhouette:
    """The silhouette in pixels of the working copy."""
    if scale == 1:
        return silhouette
    move = {
        name: (getattr(silhouette, name) + 0.5) * scale - 0.5
        for name in (
            "rows_px",
            "left_px",
            "right_px",
            "armpits_px",
            "foot_px",
            "polygon_px",
        )
    }
    left, top, right, bottom = ((value + 0.5) * scale - 0.5 for value in silhouette.box_px)
    return replace(silhouette, box_px=(left, top, right, bottom), **move)
