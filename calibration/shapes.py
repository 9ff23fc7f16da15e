"""What the package reads off exact outlines: the features of every body of a set."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from calibration.looks import Errors, looks_of
from calibration.sightings import LEVEL_CODES, VIEWS, Sightings
from ellwand.geometry.levels import find_levels
from ellwand.geometry.obliquity import Obliquity, seen_square, true_heights
from ellwand.geometry.scene import reconstruct
from ellwand.girth.shape import Shape, read_shape

Floats = npt.NDArray[np.float64]

# As good as exact: the truth is typed.
_SURE_MM, _SURE_SHARE = 0.5, 1e-4


@dataclass(frozen=True, eq=False)
class Shapes:
    """Features of n bodies.

    Args:
        read: (n, features) in the order of `shape.feature_names`.
        stature_mm: (n,).
        found_mm: (n, 6) heights of the levels as found.
    """

    read: Floats
    stature_mm: Floats
    found_mm: Floats


def shape_of(people: Sightings, number: int, errors: Errors, obliquity: Obliquity) -> Shape:
    """Read the shape off a body's exact outlines, as the package does."""
    looks, setup = looks_of(people, number, errors, None)
    known = replace(
        setup.known(looks["front"].focal_35mm), stature_u_mm=_SURE_MM, focal_u=_SURE_SHARE
    )
    standoffs = {view: (setup.standoff(view)[0], _SURE_MM) for view in VIEWS}
    scene = reconstruct(looks, standoffs, known)
    stature = float(scene.solution.value("stature"))
    square = seen_square(scene, obliquity)
    found = find_levels(*square, stature, scene.armpit_mm)
    levels = true_heights(found, scene, square, obliquity)
    return read_shape(scene, square, looks, levels)


def _row(given: tuple[Sightings, int, Errors, Obliquity]) -> tuple[Floats, list[float]]:
    shape = shape_of(*given)
    best = np.array([[one.value for one in shape.inputs]])
    heights = [shape.levels[code].height_mm for code in LEVEL_CODES]
    return shape(best)[0], heights


def _rows(
    given: tuple[Sightings, range, Errors, Obliquity],
) -> list[tuple[Floats, list[float]]]:
    people, numbers, errors, obliquity = given
    return [_row((people, number, errors, obliquity)) for number in numbers]


def shapes_of(people: Sightings, errors: Errors, obliquity: Obliquity, jobs: int) -> Shapes:
    """Read the shapes of everyone in a set.

    Args:
        people: exact sights.
        errors: how looks are off; only where landmarks lie on average is used.
        obliquity: what slanting lines of sight do.
        jobs: how many processes.
    """
    parts = [(people, range(job, len(people), jobs), errors, obliquity) for job in range(jobs)]
    with ProcessPoolExecutor(jobs) as pool:
        rows: list[tuple[Floats, list[float]]] = [(np.empty(0), [])] * len(people)
        for (_, numbers, *_), found in zip(parts, pool.map(_rows, parts), strict=True):
            for number, row in zip(numbers, found, strict=True):
                rows[number] = row
    read = np.array([row[0] for row in rows])
    return Shapes(
        read=read[:, :-1],
        stature_mm=read[:, -1],
        found_mm=np.array([row[1] for row in rows]),
    )
