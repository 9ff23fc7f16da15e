"""What an estimate of a sitting's two photos found, as numbers only: no pixel is kept."""

from dataclasses import dataclass
from typing import Literal

from ellwand.girth.joint import Joint, bust_difference
from ellwand.measurements import Estimate
from ellwand.photo.problems import Problem
from ellwand.photo.traced import Traced

Point = tuple[float, float]


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
        traced: what measuring again needs besides; None in sittings that lack it.
    """

    width_px: int
    height_px: int
    outline_px: tuple[Point, ...]
    landmarks_px: dict[str, tuple[float, float, float]]
    references_px: tuple[tuple[Point, ...], ...]
    levels_px: dict[str, tuple[Point, Point]]
    problems: tuple[Problem, ...]
    traced: Traced | None = None


@dataclass(frozen=True)
class ScaleSource:
    """One source of scale on its own, at the body's middle in one photo.

    Args:
        view: "front" or "side".
        source: "reference", "stature" or "combined" (all together, by inverse variance).
        mm_per_px: size of a pixel at the height of the waist.
        u_mm_per_px: its standard uncertainty.
    """

    view: Literal["front", "side"]
    source: Literal["reference", "stature", "combined"]
    mm_per_px: float
    u_mm_per_px: float


@dataclass(frozen=True)
class Scale:
    """All sources of scale and how they go together.

    Args:
        sources: each on its own, and combined, per photo.
        disagreement_z: largest difference between reference object and stature over its
            standard uncertainty; None when there is only one source.
        agree: whether that is within what their uncertainties allow.
    """

    sources: tuple[ScaleSource, ...]
    disagreement_z: float | None
    agree: bool


@dataclass(frozen=True)
class Findings:
    """The result of `estimate`.

    Args:
        estimates: girths and lengths by code.
        front: what the front photo holds.
        side: what the side photo holds.
        scale: sources of scale and their agreement.
        joint: the six girths together, with the values of their estimates.
        outside: in plain words, what of this body lies outside what the girth model stands for,
            such as "height" or "full hip", in English; empty for most.
    """

    estimates: dict[str, Estimate]
    front: ViewFindings
    side: ViewFindings
    scale: Scale
    joint: Joint
    outside: tuple[str, ...] = ()

    @property
    def bust_difference(self) -> Estimate | None:
        """Full bust minus high bust, None where one of them was not estimated."""
        return bust_difference(self.joint)
