"""How much wider a body looks when a line of sight is not at right angles to the photo's plane.

A ray that slopes by t (towards the camera, per millimetre across) touches the section where
x + z t is greatest, not where x is; z counts from the middle of the section towards the camera. The
difference, F(t) = max(x + z t) - max(x), is fitted per level and kind of edge as

    F(t) / W = signed * t + lobes * |t| + bend * t^2

where W is the section's extent along the line of sight. `signed` tells that the widest place lies
in front of the middle, `lobes` that there are two (both breasts, both shoulder blades, both halves
of the seat), `bend` that the section is round. Needs the body model; see README.md.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from calibration.profiles import is_arm_loop, skin_cut

if TYPE_CHECKING:
    from calibration.bodies import PosedBody
    from calibration.sections import Truth

Floats = npt.NDArray[np.float64]

# Slopes of lines of sight that photos have: to 13 degrees either way.
SLOPES = np.array([-0.23, -0.18, -0.13, -0.09, -0.05, 0.05, 0.09, 0.13, 0.18, 0.23])
EDGES = ("front.left", "front.right", "side.back", "side.front")
# A body is as good as symmetric, so the edges seen from the front are of one kind; back and front,
# seen from the side, are not alike: breasts before, shoulder blades and seat behind.
KINDS = {
    "side_of_body": ("front.left", "front.right"),
    "back": ("side.back",),
    "front": ("side.front",),
}


def section_points(body: PosedBody, height_mm: float) -> Floats:
    """Points (N, 2), x and z, of the section without arms."""
    here = skin_cut(body, np.array([height_mm]))
    own = ~is_arm_loop(here, body.part)
    return here.points_mm[own[here.loop]]


def shifts(points: Floats) -> dict[str, Floats]:
    """F(t) / W for each edge of a section, as seen from the front and from her left.

    Args:
        points: (N, 2) x and z.

    Returns:
        (slopes,) by name of `EDGES`.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    x, z = (points - (low + high) / 2).T
    extent = high - low
    # Outward direction and direction to the camera: front edges from +z, side edges from +x.
    towards = {"front.left": (-x, z, 1), "front.right": (x, z, 1),
               "side.back": (-z, x, 0), "side.front": (z, x, 0)}  # fmt: skip
    return {
        name: np.array([(out + near * t).max() - out.max() for t in SLOPES]) / extent[along]
        for name, (out, near, along) in towards.items()
    }


def collect(front: PosedBody, tape: PosedBody, truth: Truth) -> dict[str, dict[str, Floats]]:
    """Shifts of one body by level and edge; the high bust with the arms down."""
    return {
        code: shifts(section_points(tape if code == "high_bust" else front, level.height_mm))
        for code, level in truth.levels.items()
    }


def fit(collected: list[dict[str, dict[str, Floats]]]) -> dict[str, dict[str, dict[str, float]]]:
    """Fit the three coefficients per level and kind of edge over many bodies.

    Args:
        collected: from `collect`, one per body.

    Returns:
        By level and kind of edge: `signed`, `lobes`, `bend`, and `sd`, the residual standard
        deviation per unit of slope.
    """
    design = np.stack([SLOPES, np.abs(SLOPES), SLOPES**2], axis=1)
    fitted: dict[str, dict[str, dict[str, float]]] = {}
    for code in collected[0]:
        fitted[code] = {}
        for kind, edges in KINDS.items():
            values = np.array([body[code][edge] for body in collected for edge in edges])
            coefficients, *_ = np.linalg.lstsq(
                np.tile(design, (len(values), 1)), values.ravel(), rcond=None
            )
            left = (values - design @ coefficients) / np.abs(SLOPES)
            signed, lobes, bend = (round(float(c), 4) for c in coefficients)
            fitted[code][kind] = {
                "signed": signed,
                "lobes": lobes,
                "bend": bend,
                "sd": round(float(np.sqrt(np.mean(left**2))), 4),
            }
    return fitted
