"""How much wider a body looks when a line of sight is not at right angles to the photo's plane.

A ray that slopes by t (towards the camera, per millimetre across) touches the section where
x + z t is greatest, not where x is; z counts from the middle of the section towards the camera. The
difference, F(t) = max(x + z t) - max(x), is fitted per level and kind of edge as

    F(t) / W = signed * t + lobes * |t| + bend * t^2

where W is the section's extent along the line of sight. `signed` tells that the widest place lies
in front of the middle, `lobes` that there are two (both breasts, both shoulder blades, both halves
of the seat), `bend` that the section is round. Needs the body model:

    python -m calibration.obliquity --out calibration/obliquity.json
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from calibration.profiles import is_arm_loop, skin_cut

if TYPE_CHECKING:
    from calibration.bodies import PosedBody
    from demo_images.figures import Figure

Floats = npt.NDArray[np.float64]

# Numbers of the fitting set from here on; the fit itself uses lower ones.
FIRST = 50_000

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


def collect(figure: Figure) -> dict[str, dict[str, Floats]]:
    """Shifts of one body by level and edge; the high bust with the arms down."""
    return {
        code: shifts(
            section_points(
                figure.posed["side" if code == "high_bust" else "front"], level["height_mm"]
            )
        )
        for code, level in figure.measured["levels"].items()
    }


def fit(bodies: Sequence[dict[str, dict[str, Floats]]]) -> dict[str, dict[str, list[float]]]:
    """Fit signed, lobes and bend by level and kind of edge over many bodies.

    Args:
        bodies: from `collect`, one per body.
    """
    design = np.stack([SLOPES, np.abs(SLOPES), SLOPES**2], axis=1)
    fitted: dict[str, dict[str, list[float]]] = {}
    for code in bodies[0]:
        fitted[code] = {}
        for kind, edges in KINDS.items():
            values = np.concatenate([body[code][edge] for body in bodies for edge in edges])
            tiled = np.tile(design, (len(values) // len(SLOPES), 1))
            coefficients = np.linalg.lstsq(tiled, values, rcond=None)[0]
            fitted[code][kind] = [round(float(c), 4) for c in coefficients]
    return fitted


def main() -> None:
    """Draw bodies of the fitting set and write what slanting sight does to them."""
    from calibration.rendered.draw import drawn
    from calibration.rendered.fitting import FITTING

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--out", type=Path, required=True)
    asked = parser.parse_args()
    figures = [drawn(FITTING, FIRST + number)[1] for number in range(asked.count)]
    fitted = fit([collect(figure) for figure in figures])
    heights = {
        code: float(
            np.mean(
                [f.measured["levels"][code]["height_mm"] / f.body["stature_mm"] for f in figures]
            )
        )
        for code in fitted
    }
    order = sorted(heights, key=lambda code: heights[code])
    block = {
        "heights": [round(heights[code], 4) for code in order],
        **{kind: [fitted[code][kind] for code in order] for kind in KINDS},
    }
    asked.out.write_text(json.dumps(block, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
