"""Made-up women for tests: girths follow known laws with known noise; no survey is needed."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from calibration.survey import COLUMNS, Table

# Powers of stature over 1600 mm and weight over 70 kg, by girth in the order of COLUMNS.
MIDDLE_MM = (970.0, 890.0, 1040.0)
STATURE_POWERS = (-0.6, -0.9, -0.3)
MASS_POWERS = (0.5, 0.7, 0.45)
LOG_COVARIANCE = np.array([[20.0, 9.0, -3.0], [9.0, 30.0, 0.0], [-3.0, 0.0, 8.0]]) * 1e-4
# The breadth is this share of the girth, the depth that; both with their own noise.
_WIDTH_SHARES = (0.29, 0.25)
# What the breadth and depth leave open of a girth.
WIDTH_NOISE = 0.02
_OTHERS = {
    "chestheight": 0.72,
    "iliocristaleheight": 0.61,
    "waistheightomphalion": 0.60,
    "buttockheight": 0.51,
    "biacromialbreadth": 0.22,
    "bideltoidbreadth": 0.27,
    "bicristalbreadth": 0.17,
    "abdominalextensiondepthsitting": 0.14,
    "hipbreadthsitting": 0.25,
}


def made_up(count: int = 1500, seed: int = 5) -> Table:
    """Give columns as the survey has them: mm, weight in kg x 10, years."""
    rng = np.random.default_rng(seed)
    stature = rng.normal(1630.0, 65.0, count)
    mass = 68.0 * (stature / 1630.0) ** 2 * np.exp(rng.normal(0.0, 0.13, count))
    left = rng.multivariate_normal(np.zeros(3), LOG_COVARIANCE, count)
    table = {"stature": stature, "weightkg": 10.0 * mass, "Age": rng.uniform(18.0, 55.0, count)}
    for i, (girth, breadth, depth) in enumerate(COLUMNS.values()):
        by_size = (stature / 1600.0) ** STATURE_POWERS[i] * (mass / 70.0) ** MASS_POWERS[i]
        table[girth] = MIDDLE_MM[i] * by_size * np.exp(left[:, i])
        rounder = np.exp(rng.normal(0.0, 0.1, count))
        off = np.exp(rng.normal(0.0, WIDTH_NOISE, count))
        table[breadth] = _WIDTH_SHARES[0] * table[girth] * rounder * off
        table[depth] = _WIDTH_SHARES[1] * table[girth] / rounder * off
    for name, share in _OTHERS.items():
        table[name] = share * stature * np.exp(rng.normal(0.0, 0.02, count))
    return table


def write(path: Path, columns: Table) -> Path:
    """Write columns as a CSV file."""
    with path.open("w", newline="", encoding="utf-8") as opened:
        out = csv.writer(opened)
        out.writerow(columns)
        out.writerows(zip(*columns.values(), strict=True))
    return path
