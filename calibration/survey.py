"""What the survey of measured women says: girths from caliper widths, priors, landmarks.

Source: ANSUR II, Natick TR-15/007, female public file. The file itself is no part of this project;
only the figures below leave it. Its breadths are caliper breadths, its waist is at the navel.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.special import ellipe
from scipy.stats import skew

from calibration.regression import Fit, regress

Floats = npt.NDArray[np.float64]
Table = dict[str, Floats]

# Level code to the survey's girth, breadth, depth.
COLUMNS = {
    "full_bust": ("chestcircumference", "chestbreadth", "chestdepth"),
    "waist": ("waistcircumference", "waistbreadth", "waistdepth"),
    "full_hip": ("buttockcircumference", "hipbreadth", "buttockdepth"),
}
DEFINITIONS = {
    "full_bust": "chest circumference, breadth, depth at the bust point",
    "waist": "waist at the navel (omphalion), not the natural waist",
    "full_hip": "buttock circumference and depth; hip breadth at its own greatest place",
}
# Name in the model file to the survey's column, as a fraction of stature.
_HEIGHTS = {
    "nape_height": "cervicaleheight",
    "shoulder_height": "acromialheight",
    "armpit_height": "axillaheight",
    "full_bust": "chestheight",
    "tenth_rib": "tenthribheight",
    "hip_bone": "iliocristaleheight",
    "navel": "waistheightomphalion",
    "full_hip": "buttockheight",
    "inside_leg": "crotchheight",
    "shoulder_width": "biacromialbreadth",
    "arm_length": "sleeveoutseam",
}


def read(path: Path) -> Table:
    """Read the survey's file: column name to (n,) values as printed there (mm, years, kg x 10)."""
    with path.open(newline="", encoding="latin-1") as opened:
        rows = list(csv.DictReader(opened))
    wanted = {name for columns in COLUMNS.values() for name in columns}
    wanted |= set(_HEIGHTS.values()) | {"stature", "sittingheight", "eyeheightsitting"}
    return {name: np.array([float(row[name]) for row in rows]) for name in sorted(wanted)}


def ellipse_perimeter(breadth: Floats, depth: Floats) -> Floats:
    """Give the perimeter of an ellipse with these axes, exactly.

    Source: complete elliptic integral of the second kind, 4 a E(1 - b^2 / a^2).
    """
    a, b = np.maximum(breadth, depth) / 2.0, np.minimum(breadth, depth) / 2.0
    return np.asarray(4.0 * a * ellipe(1.0 - (b / a) ** 2))


def girth_fits(table: Table) -> dict[str, Fit]:
    """Fit each girth on breadth, depth and stature of the measured women."""
    fits = {}
    for code, (girth, breadth, depth) in COLUMNS.items():
        given = {"breadth": table[breadth], "depth": table[depth], "stature": table["stature"]}
        fits[code] = regress(table[girth], given, list(given))
    return fits


def mean_and_sd(value: Floats, digits: int = 4) -> dict[str, float]:
    """Give mean and standard deviation as they stand in the model file."""
    return {"mean": round(float(value.mean()), digits), "sd": round(float(value.std()), digits)}


def _prior(table: Table) -> dict[str, object]:
    """Girths given stature, with the covariance of what stature does not tell.

    On the logarithm, because the girths' own distribution leans to the heavy side.
    """
    stature = table["stature"]
    fits, leaning = [], {}
    for code, (girth, _, _) in COLUMNS.items():
        fit = regress(np.log(table[girth]), {"stature": stature}, ["stature"])
        fits.append(fit)
        plain = regress(table[girth], {"stature": stature}, ["stature"])
        leaning[code] = [round(float(skew(f.residuals)), 2) for f in (plain, fit)]
    residuals = np.stack([fit.residuals for fit in fits])
    return {
        "codes": list(COLUMNS),
        "log_intercept": [round(fit.intercept, 6) for fit in fits],
        "log_slope_per_mm": [float(f"{fit.coefficients[0]:.4e}") for fit in fits],
        "log_covariance": [[round(float(v), 7) for v in row] for row in np.cov(residuals)],
        "skewness_plain_and_log": leaning,
        "population": "soldiers: narrower and leaner than the public; widen before use",
    }


def summary(table: Table, fits: dict[str, Fit]) -> dict[str, object]:
    """Give the survey's part of the model file."""
    stature = table["stature"]
    eye = table["sittingheight"] - table["eyeheightsitting"]
    eye_fit = regress(eye, {"stature": stature}, ["stature"])
    bare = {}
    for code, (girth, breadth, depth) in COLUMNS.items():
        off = table[girth] - ellipse_perimeter(table[breadth], table[depth])
        bare[code] = {"bias_mm": round(float(off.mean()), 1), "sd_mm": round(float(off.std()), 1)}
    middle = (table["tenthribheight"] + table["iliocristaleheight"]) / 2.0
    fractions = {name: mean_and_sd(table[column] / stature) for name, column in _HEIGHTS.items()}
    return {
        "source": "ANSUR II, Natick TR-15/007, female public file",
        "count": len(stature),
        "definitions": DEFINITIONS,
        "girths": {
            code: {
                "features": list(fit.features),
                "coefficients": [round(c, 5) for c in fit.coefficients],
                "intercept": round(fit.intercept, 3),
                "sd_mm": round(fit.sd, 2),
                "bare_ellipse": bare[code],
            }
            for code, fit in fits.items()
        },
        "girths_given_stature": _prior(table),
        "eye_below_vertex_mm": {
            **mean_and_sd(eye, 2),
            "intercept": round(eye_fit.intercept, 2),
            "per_stature_mm": round(eye_fit.coefficients[0], 5),
            "residual_sd": round(eye_fit.sd, 2),
        },
        "height_fraction": {**fractions, "mid_waist": mean_and_sd(middle / stature)},
    }
