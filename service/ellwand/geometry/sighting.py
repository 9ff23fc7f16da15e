"""What photos and customer give to the solution of where the cameras stood."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ellwand.photo.reference import ReferenceObject

FloatArray = NDArray[np.float64]
View = Literal["front", "side"]
VIEWS: tuple[View, View] = ("front", "side")

# As good as not known (mm).
LOOSE_MM = 3000.0


@dataclass(frozen=True, eq=False)
class Sighting:
    """What one photo gives to the solution.

    Args:
        width_px: width of the photo.
        height_px: height of the photo.
        references: reference objects found, possibly none.
        eye_px: (2,) the eyes, or the nearer one.
        eye_above_mm: how far above the true eyes the photo's landmark lies, on average.
        eye_u_mm: standard uncertainty of its height.
        eye_reach_mm: how far in front of the standoff plane the eyes are, towards the camera.
        foot_px: (2,) lowest point of the feet's outline.
        foot_reach_mm: the same for the lowest point of the feet.
        foot_reach_u_mm: its standard uncertainty.
        middle_px: (2, 2) middle of the ankles and of the shoulders; None where the view does not
            show whether she stands upright.
        standoff_mm: as typed, or 0.
        standoff_u_mm: its standard uncertainty.
        zoom: its focal length over the one that is known, where the photos differ in that.
    """

    width_px: int
    height_px: int
    references: tuple[ReferenceObject, ...]
    eye_px: FloatArray
    eye_above_mm: float
    eye_u_mm: float
    eye_reach_mm: float
    foot_px: FloatArray
    foot_reach_mm: float
    foot_reach_u_mm: float
    middle_px: FloatArray | None
    standoff_mm: float
    standoff_u_mm: float
    zoom: float = 1.0


@dataclass(frozen=True)
class Known:
    """What is known for both photos together.

    Args:
        focal_35mm: equivalent focal length, of a photo whose zoom is 1.
        focal_u: its relative standard uncertainty.
        paper_across: true size over nominal size of the reference object, across.
        paper_up: the same, up.
        paper_u: relative standard uncertainty of both.
        stature_mm: her height as typed.
        stature_u_mm: its standard uncertainty.
    """

    focal_35mm: float
    focal_u: float
    paper_across: float
    paper_up: float
    paper_u: float
    stature_mm: float
    stature_u_mm: float


def without_stature(known: Known) -> Known:
    """The same knowledge as if her height were hardly known: scale by reference object alone."""
    return replace(known, stature_u_mm=LOOSE_MM)
