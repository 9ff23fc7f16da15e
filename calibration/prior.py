"""The prior of all six girths: who has which, given stature and weight, chained from its sources.

Full bust, the waist at the navel and the full hip follow stature and weight as among the survey's
women. The natural waist follows the navel's girth as among the women of `bdims`. High bust,
underbust and high hip, which no open survey has beside the others, follow them as on bodies, with
a spread made wider. All on the logarithm, so every link is linear and the chain stays normal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from calibration.people import MASS_KG, STATURE_MM, prior
from calibration.regression import regress_jointly
from calibration.sightings import LEVEL_CODES, Sightings
from calibration.survey import Table

Floats = npt.NDArray[np.float64]

# `bdims` women of a told weight scatter 1.27 times as wide at the navel as the survey says
# (calibration.outside); women may scatter half as much again as bodies do (judged).
NAVEL_WIDER, BODIES_WIDER = 1.27, 1.5
_CHAIN: dict[str, tuple[str, ...]] = {
    "high_bust": ("full_bust", "waist"),
    "underbust": ("high_bust", "full_bust", "waist"),
    "high_hip": ("waist", "full_hip"),
}


class _Chain:
    """Logarithms of girths as linear functions of stature and mass, with joint covariance."""

    def __init__(self, codes: Sequence[str], mean: Floats, slopes: Floats, cov: Floats) -> None:
        self.codes, self.mean, self.slopes, self.covariance = list(codes), mean, slopes, cov

    def add(
        self, code: str, on: Mapping[str, float], intercept: float, own: Sequence[float], sd: float
    ) -> None:
        """Add a girth that follows others: coefficients `on` them, `own` of stature and mass."""
        row = np.array([on.get(name, 0.0) for name in self.codes])
        cross = row @ self.covariance
        self.mean = np.append(self.mean, intercept + row @ self.mean)
        self.slopes = np.vstack([self.slopes, row @ self.slopes + np.array(own)])
        self.covariance = np.block(
            [[self.covariance, cross[:, None]], [cross[None], np.array([[row @ cross + sd**2]])]]
        )
        self.codes.append(code)


def six_girths(table: Table, bdims: Mapping[str, Any], bodies: Sightings) -> dict[str, Any]:
    """Give the prior as it stands in the model file.

    Args:
        table: the survey.
        bdims: `outside.relations`.
        bodies: of the fitting set.
    """
    people = prior(table)
    slopes = np.stack([people["log_slope_stature"], people["log_slope_mass"]], axis=1)
    wider = np.diag([1.0, NAVEL_WIDER, 1.0])
    covariance = wider @ np.array(people["log_covariance"]) @ wider
    chain = _Chain(people["codes"], np.array(people["log_intercept"]), slopes, covariance)
    waist = bdims["waist"]["given_others"]
    by = dict(zip(waist["given"], waist["log_coefficients"], strict=True))
    chain.add(
        "waist",
        {"navel_waist": by["navel_waist"]},
        waist["log_intercept"],
        (by["stature"], by["mass"]),
        waist["log_sd"],
    )
    logs = {code: np.log(bodies.value(code, "girth_mm")) for code in LEVEL_CODES}
    logs["stature"] = np.log(bodies.numbers["stature_mm"] / STATURE_MM)
    for code, others in _CHAIN.items():
        one = regress_jointly(logs[code][:, None], logs, (*others, "stature"))
        *on, taller = (float(value) for value in one.coefficients[:, 0])
        chain.add(
            code,
            dict(zip(others, on, strict=True)),
            float(one.intercept[0]),
            (taller, 0.0),
            BODIES_WIDER * float(np.sqrt(one.covariance[0, 0])),
        )
    order = [chain.codes.index(code) for code in LEVEL_CODES]
    mass = people["mass"]
    shift = np.log(STATURE_MM / mass["at_stature_mm"])
    return {
        "at_stature_mm": STATURE_MM,
        "at_mass_kg": MASS_KG,
        "log_mean": chain.mean[order].round(5).tolist(),
        "per_log_stature": chain.slopes[order, 0].round(4).tolist(),
        "per_log_mass": chain.slopes[order, 1].round(4).tolist(),
        "log_covariance": chain.covariance[np.ix_(order, order)].round(8).tolist(),
        "mass_log_mean": round(mass["log_mean_kg"] + mass["log_slope_stature"] * shift, 5),
        "mass_per_log_stature": mass["log_slope_stature"],
        "mass_log_sd": mass["log_sd"],
    }
