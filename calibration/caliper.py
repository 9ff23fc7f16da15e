"""What relations learnt on bodies make of the breadths and depths that calipers took from women."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration.regression import JointFit, regress_jointly
from calibration.sightings import Sightings
from calibration.survey import COLUMNS, Table

Floats = npt.NDArray[np.float64]

LEVELS = tuple(COLUMNS)


def on_bodies(bodies: Sightings) -> tuple[JointFit, Floats]:
    """Fit log girths of three levels on log breadths, depths and stature of bodies.

    Returns:
        The fit, and (n, 3) the girths.
    """
    logs = {
        f"{code}.{kind}": np.log(bodies.value(code, f"{kind}_mm"))
        for code in LEVELS
        for kind in ("breadth", "depth")
    }
    logs["stature"] = np.log(bodies.numbers["stature_mm"])
    girths = np.stack([bodies.value(code, "girth_mm") for code in LEVELS], axis=1)
    return regress_jointly(np.log(girths), logs, list(logs)), girths


def carried_over(bodies: Sightings, table: Table) -> dict[str, dict[str, float]]:
    """How far girths so predicted for measured women are from their tapes.

    The survey's breadths and depths are a caliper's, and its waist is at the navel.

    Args:
        bodies: of the fitting set.
        table: the survey.

    Returns:
        By level: mean and deviation of the tape less the prediction, mm.
    """
    fit, _ = on_bodies(bodies)
    terms = [np.log(table[COLUMNS[code][1 + k]]) for code in LEVELS for k in range(2)] + [
        np.log(table["stature"])
    ]
    predicted = np.exp(fit.intercept + np.stack(terms, axis=1) @ fit.coefficients)
    found = {}
    for i, code in enumerate(LEVELS):
        off = table[COLUMNS[code][0]] - predicted[:, i]
        found[code] = {
            "bias_mm": round(float(off.mean()), 1),
            "sd_mm": round(float(off.std()), 1),
        }
    return found
