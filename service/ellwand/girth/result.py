"""What an estimate of a sitting's two photos found, as numbers only: no pixel is kept."""

from dataclasses import dataclass
from typing import Literal

from ellwand.measurements import Estimate

Severity = Literal["refused", "warned"]
Point = tuple[float, float]


@dataclass(frozen=True)
class Problem:
    """Something that speaks against a photo.

    Args:
        code: short name of the case, as in `errors`.
        severity: "refused" (no estimate from it) or "warned" (the bound is wider or trust less).
        advice: one sentence that says what to do.
    """

    code: str
    severity: Severity
    advice: str


@dataclass(frozen=True)
class ViewFindings:
    """What one photo holds, in pixels of the upright photo (centre of the first pixel = 0, 0).

    Args:
        width_px: width of the photo.
        height_px: height of the photo.
        outline_px: the body's silhouette as a closed polygon.
        landmarks_px: x, y and visibility (0-1) by landmark name.
        references_px: the four corners of each reference object found.
        levels_px: by level code, its two ends on the outline; a level that this view does not
            show is absent.
        problems: what was warned about.
    """

    width_px: int
    height_px: int
    outline_px: tuple[Point, ...]
    landmarks_px: dict[str, tuple[float, float, float]]
    references_px: tuple[tuple[Point, ...], ...]
    levels_px: dict[str, tuple[Point, Point]]
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class ScaleSource:
    """One source of scale on its own.

    Args:
        source: "reference-front", "reference-side" or "stature".
        mm_per_px: size of a pixel at the body's middle.
        u_mm_per_px: its standard uncertainty.
    """

    source: str
    mm_per_px: float
    u_mm_per_px: float


@dataclass(frozen=True)
class Scale:
    """All sources of scale and how they go together.

    Args:
        sources: each on its own, at the body's middle in the front photo.
        combined_mm_per_px: weighted by inverse variance.
        u_combined_mm_per_px: its standard uncertainty.
        disagreement_z: largest difference between two sources over its standard uncertainty.
        agree: whether that is within what their uncertainties allow.
    """

    sources: tuple[ScaleSource, ...]
    combined_mm_per_px: float
    u_combined_mm_per_px: float
    disagreement_z: float
    agree: bool


@dataclass(frozen=True)
class Findings:
    """The result of `estimate`.

    Args:
        estimates: girths and lengths by code.
        front: what the front photo holds.
        side: what the side photo holds.
        scale: sources of scale and their agreement.
    """

    estimates: dict[str, Estimate]
    front: ViewFindings
    side: ViewFindings
    scale: Scale
