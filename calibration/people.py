"""How girths are distributed among women and go together, given stature and, where known, weight.

The girths' part comes from the survey of soldiers. They are leaner than the public, so where the
weight is not known it is that of the public, and the girths come out as wide as the public is.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares
from scipy.stats import norm, skew

from calibration.regression import JointFit, regress_jointly
from calibration.survey import CODES, Table, coverage, girths_mm

Floats = npt.NDArray[np.float64]

# A woman of these is the one at whom the intercepts hold; round figures near the middle.
STATURE_MM, MASS_KG = 1600.0, 70.0
# Adult women of the United States, NHANES 2015-2016, examination weights: percentiles of weight,
# and mean and standard deviation of stature and of the waist above the hip-bone crest.
_SHARES = (0.01, 0.05, 0.50, 0.95, 0.99)
PUBLIC_MASS_KG = (44.5, 50.3, 73.2, 119.9, 137.9)
PUBLIC_MASS_MEAN_SD_KG = (77.4, 20.8)
PUBLIC_STATURE_MM = (1615.0, 71.0)
PUBLIC_WAIST_MEAN_SD_MM = (985.0, 169.0)
PUBLIC_WAIST_PERCENTILES_MM = (685.0, 738.0, 970.0, 1296.0, 1433.0)
# Power of stature that weight goes with among women of the public: 6,968 women of a population
# study (`nafld1`, computed by `outside`); only its percentiles are known of NHANES.
PUBLIC_MASS_POWER = 1.7


def fit(table: Table, *, with_mass: bool = True, bent: bool = False) -> JointFit:
    """Fit the logarithms of the girths on those of stature and weight.

    Args:
        table: the survey's columns as `survey.read` gives them.
        with_mass: with weight, not only with stature.
        bent: with the square of the logarithm of the weight too.
    """
    mass = np.log(table["weightkg"] / 10.0 / MASS_KG)
    given = {
        "stature": np.log(table["stature"] / STATURE_MM),
        "mass": mass,
        "mass_squared": mass**2,
    }
    names = ("stature", *(("mass",) if with_mass else ()), *(("mass_squared",) if bent else ()))
    return regress_jointly(np.log(girths_mm(table)), given, names)


def _log_normal(mean: float, variance: float) -> tuple[float, float]:
    """Give mean and standard deviation of a value whose logarithm is normal."""
    centre = float(np.exp(mean + variance / 2.0))
    return centre, centre * float(np.sqrt(np.expm1(variance)))


def public_mass() -> dict[str, object]:
    """Give the log-normal weight of the public given stature, and how well it meets percentiles.

    All percentiles count alike, by their relative errors. The spread given the stature is what
    is left of it when stature goes with weight by PUBLIC_MASS_POWER.
    """
    at, told = norm.ppf(_SHARES), np.array(PUBLIC_MASS_KG)

    def off(line: Floats) -> Floats:
        return np.asarray(np.exp(line[0] + line[1] * at) / told - 1.0)

    solved = least_squares(off, (np.log(PUBLIC_MASS_KG[2]), 0.25))
    centre, spread = (float(v) for v in solved.x)
    met = np.exp(centre + spread * at)
    stature, sd = PUBLIC_STATURE_MM
    by_stature = PUBLIC_MASS_POWER * sd / stature
    mean_kg, sd_kg = _log_normal(centre, spread**2)
    return {
        "log_mean_kg": round(centre, 5),
        "at_stature_mm": stature,
        "log_slope_stature": PUBLIC_MASS_POWER,
        "log_sd": round(float(np.sqrt(spread**2 - by_stature**2)), 5),
        "log_sd_over_all_statures": round(spread, 5),
        "fit": {
            "percentiles": [round(100 * share) for share in _SHARES],
            "public_kg": list(PUBLIC_MASS_KG),
            "log_normal_kg": met.round(1).tolist(),
            "off_percent": (100.0 * (met / told - 1.0)).round(1).tolist(),
            "public_mean_sd_kg": list(PUBLIC_MASS_MEAN_SD_KG),
            "log_normal_mean_sd_kg": [round(mean_kg, 1), round(sd_kg, 1)],
        },
    }


def _normality(one: JointFit) -> dict[str, object]:
    """Say how normal the residuals are and how bounds cover, on women the fold has not seen."""
    ratio = one.held / one.held_sd
    return {
        code: {
            "log_sd": round(float(one.held[:, i].std()), 4),
            "skewness": round(float(skew(one.held[:, i])), 2),
            **coverage(ratio[:, i]),
        }
        for i, code in enumerate(CODES)
    }


def prior(table: Table) -> dict[str, Any]:
    """Give the joint prior of the three girths as it stands in the model file.

    Args:
        table: the survey's columns as `survey.read` gives them.

    Returns:
        Logarithms of the girths at `stature_mm` and `mass_kg`, what they grow by with the
        logarithms of stature and weight, the covariance that is left, and the public's weight.
    """
    one = fit(table)
    return {
        "codes": list(CODES),
        "stature_mm": STATURE_MM,
        "mass_kg": MASS_KG,
        "log_intercept": one.intercept.round(6).tolist(),
        "log_slope_stature": one.coefficients[0].round(5).tolist(),
        "log_slope_mass": one.coefficients[1].round(5).tolist(),
        "log_covariance": one.covariance.round(8).tolist(),
        "mass": {name: v for name, v in public_mass().items() if name != "fit"},
        "count": len(table["stature"]),
        "surveyed_stature_mm": _range(table["stature"]),
        "surveyed_mass_kg": _range(table["weightkg"] / 10.0),
    }


def _range(values: Floats) -> list[float]:
    return [round(float(v), 1) for v in np.percentile(values, [0, 1, 50, 99, 100])]


def _log_mass(block: dict[str, Any], stature_mm: float) -> tuple[float, float]:
    """Give mean and variance of the logarithm of the public's weight over `mass_kg`."""
    mass = block["mass"]
    taller = np.log(stature_mm / mass["at_stature_mm"])
    mean = mass["log_mean_kg"] + mass["log_slope_stature"] * taller
    return float(mean - np.log(block["mass_kg"])), float(mass["log_sd"] ** 2)


def log_prior(
    block: dict[str, Any], stature_mm: float, mass_kg: float | None
) -> tuple[Floats, Floats]:
    """Give mean (3,) and covariance (3, 3) of the logarithms of the girths in mm.

    Args:
        block: what `prior` gives.
        stature_mm: her stature.
        mass_kg: her weight; None if she does not tell it.
    """
    if mass_kg is None:
        heavier, variance = _log_mass(block, stature_mm)
    else:
        heavier, variance = float(np.log(mass_kg / block["mass_kg"])), 0.0
    by_mass = np.array(block["log_slope_mass"])
    taller = np.log(stature_mm / block["stature_mm"])
    mean = np.array(block["log_intercept"]) + np.array(block["log_slope_stature"]) * taller
    covariance = np.array(block["log_covariance"]) + variance * np.outer(by_mass, by_mass)
    return mean + by_mass * heavier, covariance


def joint_prior(
    block: dict[str, Any], stature_mm: float, mass_kg: float | None
) -> tuple[Floats, Floats]:
    """Give mean (3,) and covariance (3, 3) of the girths, in mm and mm^2.

    Args:
        block: what `prior` gives.
        stature_mm: her stature.
        mass_kg: her weight; None if she does not tell it.

    Source: moments of the multivariate log-normal distribution.
    """
    mean, covariance = log_prior(block, stature_mm, mass_kg)
    centre = np.exp(mean + np.diag(covariance) / 2.0)
    return centre, np.outer(centre, centre) * np.expm1(covariance)


def _public_girths(block: dict[str, Any]) -> tuple[Floats, Floats]:
    """Give mean and deviation of the logarithms of the public's girths, over all statures.

    Of the stature's own distribution only mean and deviation are known; its logarithm is taken
    as normal, which at 4 % of spread makes no difference.
    """
    stature, sd = PUBLIC_STATURE_MM
    mean, covariance = log_prior(block, stature, None)
    per_stature = (
        np.array(block["log_slope_stature"])
        + np.array(block["log_slope_mass"]) * (block["mass"]["log_slope_stature"])
    )
    variance = np.diag(covariance) + (per_stature * sd / stature) ** 2
    return mean, np.sqrt(variance)


def check(table: Table) -> dict[str, object]:
    """Say how the prior holds on the survey's own women and on the public.

    Args:
        table: the survey's columns as `survey.read` gives them.

    Returns:
        Plain rounded numbers for the report.
    """
    block = prior(table)
    mean, spread = _public_girths(block)
    public = {
        code: {
            "mean_sd_mm": [round(v) for v in _log_normal(float(m), float(s) ** 2)],
            "percentiles_mm": np.exp(m + s * norm.ppf(_SHARES)).round().tolist(),
        }
        for code, m, s in zip(CODES, mean, spread, strict=True)
    }
    at_middle = {
        name: np.sqrt(np.diag(joint_prior(block, STATURE_MM, mass)[1])).round(1).tolist()
        for name, mass in (("mass_known", MASS_KG), ("mass_not_known", None))
    }
    by = {
        "stature": fit(table, with_mass=False),
        "stature_and_mass": fit(table),
        "stature_mass_and_its_square": fit(table, bent=True),
    }
    girths = girths_mm(table)
    off = {name: girths - girths * np.exp(-one.held) for name, one in by.items()}
    return {
        "five_fold": {
            name: {
                "sd_mm": dict(zip(CODES, off[name].std(axis=0).round(2).tolist(), strict=True)),
                "residual_correlation": np.corrcoef(one.held.T).round(3).tolist(),
                "girths": _normality(one),
            }
            for name, one in by.items()
        },
        "public_mass": public_mass(),
        "sd_mm_at_middle": at_middle,
        "public_girths": public,
        "public_waist_above_hip_bone": {
            "mean_sd_mm": list(PUBLIC_WAIST_MEAN_SD_MM),
            "percentiles_mm": list(PUBLIC_WAIST_PERCENTILES_MM),
        },
        "what_can_be_compared": "The survey's waist is at the navel, the public's just above the "
        "crest of the hip bone, often near it: spread and tails may be compared, means only to a "
        "few cm. The public includes all ages over 20 and pregnant women, the survey soldiers of "
        "17 to 58. Bust and hip of the public were not measured.",
    }
