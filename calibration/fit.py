"""Fits the girth model and writes the model file.

python -m calibration.fit --survey ansur2_women.csv --bdims bdims.csv --bodies PART.npz ...
    --photographed RENDERED.npz --photos DIR
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize_scalar
from scipy.special import gammaln
from scipy.stats import norm

from calibration.behaviour import Compared, compare, measured, photo_looks
from calibration.caliper import LEVELS, on_bodies
from calibration.looks import Errors
from calibration.outside import read_bodies, relations
from calibration.prior import six_girths
from calibration.regression import regress_jointly
from calibration.shapes import Shapes, shapes_of
from calibration.sightings import LEVEL_CODES, Sightings, load
from calibration.survey import CODES, Table, five_fold, read
from calibration.trial import Trial, simulated
from ellwand.girth import model as runtime
from ellwand.girth.shape import feature_names

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

MODEL = Path(runtime.__file__).with_name("model.json")
MADE = "2026-11-26"
WORDS = (
    "bodies of the open parametric body model anny 0.6.2, adult women, slim to very heavy, all "
    "adult ages, cups and builds, a little posture; a model's bodies, not people"
)
# Ridge on the widths' regression, per body and standardised feature: far below what matters, but it
# keeps collinear features (breadth, depth, ellipse) from cancelling in large numbers.
_RIDGE = 1e-4
# Nothing that is read off an outline counts as surer than this (judged): where no bust stands out,
# its usual height is no more than the stature again.
_LEAST_SD_MM = 0.3
# The model is tried on so many bodies, and by these shares of them.
TRIED, _SHARES, _LEAST_SPREAD = 1000, (0.68, 0.95), 0.5
# Trials and heights by whether the outline shows a waist of its own.
_WAISTS = {"waist_shown": True, "waist_held_down": False}
_UNTRIED = {
    "spread": [1.0] * len(LEVEL_CODES),
    "heights": {code: [0.0, 0.0] for code in LEVEL_CODES},
}
# Between these the degrees of freedom are sought: hardly a deviation, and hardly any tails.
_DEGREES = (2.5, 200.0)
# Bodies beyond these shares are outside what the model stands for.
_LEAST_SHARE, _MOST_SHARE = 0.1, 99.9


def likelihood(girths: Floats, shapes: Shapes) -> dict[str, Any]:
    """Fit features on girths and stature.

    The residual is t-distributed: a body that is far off in one feature tends to be so in others.
    Its covariance is made so large that bodies which the fit has not seen surprise as much as it
    says, on average over five folds.

    Args:
        girths: (n, 6) mm.
        shapes: features.
    """
    read, stature = shapes.read, shapes.stature_mm
    given = {**dict(zip(LEVEL_CODES, girths.T, strict=True)), "stature": stature}
    fit = regress_jointly(read, given, list(given))
    left = read - fit.intercept - np.column_stack(list(given.values())) @ fit.coefficients
    size = girths.mean(axis=1)
    growth = _growth(left, size)
    grown = (size / size.mean())[:, None] ** growth
    held = fit.held / grown
    n, f = left.shape
    covariance = (left / grown).T @ (left / grown) / n + _LEAST_SD_MM**2 * np.eye(f)
    surprise = np.einsum("nf,nf->n", held, np.linalg.solve(covariance, held.T).T)
    covariance *= surprise.mean() / f
    root = np.linalg.cholesky(covariance)
    return {
        "count": int(n),
        "growth": growth,
        "offset": fit.intercept.round(4).tolist(),
        "per_girth": fit.coefficients[:-1].T.round(6).tolist(),
        "per_stature": fit.coefficients[-1].round(6).tolist(),
        "covariance_root": root[np.tril_indices(f)].round(5).tolist(),
        "degrees": round(degrees_of(surprise * f / surprise.mean(), f), 1),
    }


def spread_of(tried: Trial, waist_shown: bool) -> list[float]:
    """How much larger the residual that outlines leave each girth is than the covariance says.

    One covariance of all features and what judged inputs allow for do not fit every girth alike, so
    that errors are held against the doubts that were stated for them, at 68 and at 95 %.

    Args:
        tried: the model without this, on bodies of its own kind that it was not fitted on, with
            simulated looks.
        waist_shown: for bodies whose outline shows a waist of its own, or for the others.
    """
    spread = []
    for number, code in enumerate(LEVEL_CODES):
        of = _concerned(code, tried.waist_shown, waist_shown)
        larger = _deviation(tried.off_mm[of, number] / tried.u_mm[of, number])
        share = np.median(tried.outline_share[of, number])
        squared = max(1.0 + (larger**2 - 1.0) / share, _LEAST_SPREAD**2)
        spread.append(round(float(np.sqrt(squared)), 3))
    return spread


def _concerned(code: str, shown: Flags, waist_shown: bool) -> Flags:
    """Bodies that tell of a level: of a waist, those with a waist of this kind."""
    return shown == waist_shown if code == "waist" else np.ones_like(shown)


def degrees_of(surprise: Floats, features: int) -> float:
    """Degrees of freedom of the t distribution that bodies' sums of squares are likeliest under.

    Args:
        surprise: (n,) sums of squares of residuals in the measure of their covariance.
        features: how many residuals each body has.

    Source: density of the multivariate t distribution with a given covariance (from memory).
    """

    def unlikeliness(degrees: float) -> float:
        whole = degrees - 2.0
        density = (
            gammaln((degrees + features) / 2.0)
            - gammaln(degrees / 2.0)
            - features / 2.0 * np.log(whole)
            - (degrees + features) / 2.0 * np.log1p(surprise / whole)
        )
        return -float(np.mean(density))

    return float(minimize_scalar(unlikeliness, bounds=_DEGREES, method="bounded").x)


def _growth(left: Floats, size: Floats) -> float:
    """Power of the size with which residuals grow: regression of the log of their length."""
    root = np.linalg.cholesky(np.cov(left.T) + _LEAST_SD_MM**2 * np.eye(left.shape[1]))
    length = np.log(np.linalg.norm(np.linalg.solve(root, left.T), axis=0))
    return float(np.polyfit(np.log(size / size.mean()), length, 1)[0])


def width_relations(people: Sightings, shapes: Shapes) -> tuple[Floats, Floats]:
    """Fit true breadths and depths on the features.

    Returns:
        (11, f + 2) constant, coefficients of features and stature; (11,) residual sd.
    """
    true = np.stack([people.value(code, f"{kind}_mm") for code, kind in runtime.WIDTHS], axis=1)
    given = np.column_stack([shapes.read, shapes.stature_mm])
    mean, sd = given.mean(axis=0), given.std(axis=0)
    scaled = (given - mean) / sd
    normal = scaled.T @ scaled + _RIDGE * len(given) * np.eye(len(sd))
    slopes = np.linalg.solve(normal, scaled.T @ (true - true.mean(axis=0))) / sd[:, None]
    constant = true.mean(axis=0) - mean @ slopes
    off = true - constant - given @ slopes
    return np.column_stack([constant, slopes.T]), off.std(axis=0)


def people_sd_mm(table: Table, bodies: Sightings) -> dict[str, dict[str, float]]:
    """How much farther measured women are from the relation of girths to widths than bodies are.

    The same relation on both: log girths on log breadths and depths of three levels and stature,
    five-fold.
    """
    women = five_fold(table)
    one, girths = on_bodies(bodies)
    on_those = (girths * (1.0 - np.exp(-one.held))).std(axis=0)
    found = {}
    for code, name, sd in zip(LEVELS, CODES, on_those, strict=True):
        measured_sd = float(women["girths"][name]["sd_mm"])  # type: ignore[index]
        excess = float(np.sqrt(max(measured_sd**2 - float(sd) ** 2, 0.0)))
        found[code] = {"women": measured_sd, "bodies": round(float(sd), 2), "excess": excess}
    # Levels that the survey lacks: as the nearest level that it has, of two the worse (judged).
    for code, near in (("high_bust", "full_bust"), ("underbust", "full_bust")):
        found[code] = {"excess": found[near]["excess"]}
    found["high_hip"] = {"excess": max(found["waist"]["excess"], found["full_hip"]["excess"])}
    return found


def heights_of(tried: Trial, waist_shown: bool) -> dict[str, list[float]]:
    """How far each level lies over where photos show it, and how surely, mm.

    Args:
        tried: bodies that the relations were not fitted on, with simulated looks.
        waist_shown: for bodies whose outline shows a waist of its own, or for the others.
    """
    found = {}
    for number, code in enumerate(LEVEL_CODES):
        off = tried.height_off_mm[_concerned(code, tried.waist_shown, waist_shown), number]
        middle = float(np.median(off))
        found[code] = [round(middle, 1), round(_deviation(off - middle), 1)]
    return found


def _deviation(off: Floats) -> float:
    """Standard deviation of a normal variable that fits both middle and tails."""
    found = np.quantile(np.abs(off), _SHARES) / norm.isf((1.0 - np.array(_SHARES)) / 2.0)
    return float(found.mean())


def _range(values: Floats) -> list[float]:
    return [round(float(v)) for v in np.percentile(values, [_LEAST_SHARE, _MOST_SHARE])]


def build(
    table: Table,
    bdims: dict[str, Any],
    people: Sightings,
    shapes: Shapes,
    obliquity: dict[str, Any],
) -> dict[str, Any]:
    """Give the content of the model file."""
    girths = people.girths_mm()
    outlines = likelihood(girths, shapes)
    growth = outlines.pop("growth")
    widths, _ = width_relations(people, shapes)
    excess = people_sd_mm(table, people)
    percentiles = [1, 5, 50, 95, 99]
    return {
        "version": runtime.MODEL_VERSION,
        "made": MADE,
        "population": {
            "words": WORDS,
            "count": len(people),
            "percentiles": percentiles,
            "stature_mm": np.percentile(people.numbers["stature_mm"], percentiles).round().tolist(),
            "mass_kg": np.percentile(people.numbers["mass_kg"], percentiles).round(1).tolist(),
            "girths": "women of ANSUR II and of bdims, weights of NHANES 2015-2016",
        },
        "features": list(feature_names()),
        "prior": six_girths(table, bdims, people),
        "likelihood": outlines | dict.fromkeys(_WAISTS, _UNTRIED),
        "growth": round(growth, 3),
        "mean_size_mm": round(float(girths.mean()), 1),
        "widths": widths.round(6).tolist(),
        "people_sd_mm": [round(excess[code]["excess"], 2) for code in LEVEL_CODES],
        "girths_mm": {code: _range(people.value(code, "girth_mm")) for code in LEVEL_CODES},
        "stature_mm": _range(people.numbers["stature_mm"]),
        "obliquity": obliquity,
    }


def compared_photos(photographed: Sightings, photos: Path) -> list[Compared]:
    """Look at every rendered sitting of the fitting set and put it beside the exact sight."""
    found = []
    for number in range(len(photographed)):
        folder = photos / f"fitting{number:02d}"
        if (folder / "truth.json").exists():
            found += compare(photographed, number, photo_looks(folder))
    return found


def text_of(model: dict[str, Any]) -> str:
    """The model file: one line for each entry, so that a change can be read."""
    lines = [f' "{name}": {json.dumps(value)}' for name, value in model.items()]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def errors_file(errors: Errors, gross: dict[str, object]) -> str:
    """How looks at photos are off, as kept beside the report."""
    return json.dumps({"errors": asdict(errors), **gross}, indent=1) + "\n"


def main() -> None:
    """Fit and write the model file and, beside the report, how looks at photos are off."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--survey", type=Path, required=True)
    parser.add_argument("--bdims", type=Path, required=True)
    parser.add_argument("--bodies", type=Path, nargs="+", required=True)
    parser.add_argument("--photographed", type=Path, required=True)
    parser.add_argument("--photos", type=Path, required=True)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    errors, gross = measured(compared_photos(load([asked.photographed]), asked.photos))
    Path(__file__).with_name("behaviour.json").write_text(errors_file(errors, gross), "utf-8")
    people = load(asked.bodies)
    slants = json.loads(Path(__file__).with_name("obliquity.json").read_text("utf-8"))
    shapes = shapes_of(people, errors, runtime.obliquity_of(slants), asked.jobs)
    bdims = relations(read_bodies(asked.bdims))
    model = build(read(asked.survey), bdims, people, shapes, slants)
    # Tried with relations of the other bodies: on its own a fit errs less than on new ones.
    others = Shapes(*(values[TRIED:] for values in vars(shapes).values()))
    apart = model["likelihood"] | likelihood(people.girths_mm()[TRIED:], others)
    MODEL.write_text(text_of(model | {"likelihood": apart}), encoding="utf-8")
    tried = simulated(people, errors, TRIED, asked.jobs)
    for name, shown in _WAISTS.items():
        found = {"spread": spread_of(tried, shown), "heights": heights_of(tried, shown)}
        model["likelihood"][name] = found
    MODEL.write_text(text_of(model), encoding="utf-8")
    print(len(people), "bodies")


if __name__ == "__main__":
    main()
