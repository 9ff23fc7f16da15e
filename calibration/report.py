"""Tries the model and writes the report: figures, tables, plots.

Everything anew, from the survey, the drawn bodies and the rendered photos:

    python -m calibration.report --survey FILE --bdims FILE --nafld FILE --fitting PART.npz ...
        --held PART.npz ... --photos DIR

Without arguments, report.md and the plots from the figures in results.json.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from calibration import outside, people, survey
from calibration.caliper import carried_over
from calibration.fit import MODEL
from calibration.looks import errors_of
from calibration.report_text import markdown, plots
from calibration.shapes import Shapes, shapes_of
from calibration.sightings import LEVEL_CODES, Sightings, load
from calibration.trial import CODES, Trial, photographed, simulated
from ellwand.girth.ellipse import ellipse_perimeter
from ellwand.girth.inference import BREATHING_U_MM, CLOTHING_U_MM
from ellwand.girth.model import WIDTHS, load_model
from ellwand.girth.shape import TURN_U_DEG

Floats = npt.NDArray[np.float64]

HERE = Path(__file__).parent
RESULTS, REPORT = HERE / "results.json", HERE / "report.md"
BEHAVIOUR = HERE / "behaviour.json"
SITTINGS = HERE / "rendered" / "held.json"
# A few are refused; a thousand are to be left.
SIMULATED = 1040
# How many also get the bounds that women get.
LIVING = 200
# How many errors are kept for the plots.
PLOTTED = 100
# The levels whose six widths the survey has too; the others have a place that is harder to find.
_THREE_LEVELS = ("full_bust", "waist", "full_hip")


def figures_of(trial: Trial, floor: Floats | None) -> dict[str, Any]:
    """By girth: error, stated doubt, coverage, and the floor of perfect breadths and depths.

    Args:
        trial: estimates beside the truth.
        floor: (n, 7) errors that perfect breadths and depths would leave, if known.
    """
    after = trial.after_mm - trial.true_mm[:, : len(LEVEL_CODES)]
    return {
        "count": len(trial.names),
        "refused": trial.refused,
        "outside_share": _share(trial.outside),
        "girths": {code: _girth(trial, floor, code) for code in CODES},
        "pooled_within_95": _share(trial.covered(95)[:, : len(LEVEL_CODES)]),
        "pooled_within_68": _share(trial.covered(68)[:, : len(LEVEL_CODES)]),
        "held_down_share": _share(~trial.waist_shown),
        "held_down_within_95": _share(trial.covered(95)[~trial.waist_shown, CODES.index("waist")]),
        "widths": _widths(trial),
        "after_high_and_full_bust_taped": {
            code: {
                **_spread(after[:, i]),
                "within_95": _share(np.abs(after[:, i]) <= 1.96 * trial.after_u_mm[:, i]),
            }
            for i, code in enumerate(LEVEL_CODES)
        },
    }


def _spread(off: Floats) -> dict[str, float]:
    return {
        "bias_mm": round(float(off.mean()), 1),
        "sd_mm": round(float(off.std(ddof=1)), 1),
        "mae_mm": round(float(np.abs(off).mean()), 1),
    }


def _girth(trial: Trial, floor: Floats | None, code: str) -> dict[str, float]:
    """Figures of one girth."""
    i = CODES.index(code)
    off, bounds = trial.off_mm[:, i], trial.bounds_mm[:, i, :2]
    found = {
        **_spread(off),
        "median_u_mm": round(float(np.median(trial.u_mm[:, i])), 1),
        "median_bound_mm": round(float(np.median(np.ptp(bounds, axis=1)) / 2), 1),
        "within_95": _share(trial.covered(95)[:, i]),
        "within_68": _share(trial.covered(68)[:, i]),
    }
    if floor is not None:
        least = float(np.abs(floor[:, i]).mean())
        found["floor_mae_mm"] = round(least, 1)
        found["over_floor"] = round(float(np.abs(off).mean()) / least, 2)
    return found


def _widths(trial: Trial) -> dict[str, dict[str, float]]:
    """Errors of breadths and depths: each, all together, and those of the three levels."""
    off = trial.widths_mm - trial.true_widths_mm
    three = [i for i, (code, _) in enumerate(WIDTHS) if code in _THREE_LEVELS]
    found = {f"{code} {kind}": _spread(off[:, i]) for i, (code, kind) in enumerate(WIDTHS)}
    return found | {"all": _spread(off.ravel()), "three_levels": _spread(off[:, three].ravel())}


def thinned(trial: Trial) -> dict[str, list[list[float]]]:
    """For the plots: by girth, true values and errors of evenly chosen bodies, whole mm."""
    step = max(1, len(trial.names) // PLOTTED)
    pairs = np.stack([trial.true_mm, trial.off_mm])[:, ::step].round().astype(int)
    return {code: pairs[:, :, i].tolist() for i, code in enumerate(CODES)}


def _share(values: npt.NDArray[np.bool_]) -> float:
    return round(float(np.mean(values)), 3)


def _perfect(widths_mm: Floats, stature_mm: Floats) -> Floats:
    """(n, terms) what perfect breadths and depths, as in `WIDTHS`, and the stature would say."""
    widths = dict(zip(WIDTHS, widths_mm.T, strict=True))
    terms = [np.ones(len(stature_mm)), stature_mm, *widths_mm.T]
    # No photo shows the breadth at the high bust: arm and trunk touch.
    terms += [
        ellipse_perimeter(breadth, widths[code, "depth"])
        for (code, kind), breadth in widths.items()
        if kind == "breadth"
    ]
    return np.stack(terms, axis=1)


def floor_of(fitting: Sightings, held: Trial, stature_mm: Floats) -> Floats:
    """Errors that a fit on perfect breadths and depths of all levels would leave.

    Args:
        fitting: bodies to fit on.
        held: bodies to try it on.
        stature_mm: (n,) of these.

    Returns:
        (n, 7) in the order of `trial.CODES`.
    """
    true = np.stack([fitting.value(code, f"{kind}_mm") for code, kind in WIDTHS], axis=1)
    terms = _perfect(true, fitting.numbers["stature_mm"])
    solved = np.linalg.lstsq(terms, fitting.girths_mm(), rcond=None)[0]
    off = _perfect(held.true_widths_mm, stature_mm) @ solved - held.true_mm[:, : len(LEVEL_CODES)]
    return np.column_stack([off, off[:, 1] - off[:, 0]])


def taper(people: Sightings) -> dict[str, float]:
    """How much the girth grows per 10 mm downwards from waist to full hip, percentiles in mm."""
    girth = people.value("full_hip", "girth_mm") - people.value("waist", "girth_mm")
    height = people.value("waist", "height_mm") - people.value("full_hip", "height_mm")
    low, middle, high = np.percentile(10.0 * girth / height, [5, 50, 95])
    return {
        "p5": round(float(low), 1),
        "p50": round(float(middle), 1),
        "p95": round(float(high), 1),
    }


def high_hip_over_mm(people: Sightings, shapes: Shapes) -> Floats:
    """(n,) how far over the true high hip exact outlines put it."""
    code = "high_hip"
    # The same whether the bust holds the waist down or not.
    usual = load_model().likelihood.waist_shown.heights[code][0]
    found = shapes.found_mm[:, LEVEL_CODES.index(code)] + usual
    return np.asarray(found - people.value(code, "height_mm"))


def by_height(trial: Trial, over_mm: Floats) -> dict[str, float]:
    """How much of the error of the high hip goes with the error of its height.

    Args:
        trial: estimates beside the truth.
        over_mm: (n,) how far too high outlines put the level.
    """
    off = trial.off_mm[:, CODES.index("high_hip")]
    slope, start = np.polyfit(over_mm, off, 1)
    left = off - start - slope * over_mm
    return {
        "correlation": round(float(np.corrcoef(over_mm, off)[0, 1]), 2),
        "mm_per_10_mm": round(10.0 * float(slope), 1),
        "sd_mm": round(float(off.std(ddof=1)), 1),
        "sd_left_mm": round(float(left.std(ddof=2)), 1),
        "mae_left_mm": round(float(np.abs(left).mean()), 1),
    }


def compute(asked: argparse.Namespace) -> dict[str, Any]:
    """All figures of the report."""
    errors, gross = errors_of(json.loads(BEHAVIOUR.read_text(encoding="utf-8")))
    fitting, held = load(asked.fitting), load(asked.held)
    table = survey.read(asked.survey)
    exact = simulated(held, errors, SIMULATED, asked.jobs)
    alive = simulated(held, errors, LIVING, asked.jobs, living=True)
    folders = sorted(path.parent for path in asked.photos.glob("held*/truth.json"))
    rendered = photographed(folders, asked.jobs)
    SITTINGS.write_text(_sittings_text(folders, rendered), encoding="utf-8")
    numbers = [int(name) for name in exact.names]
    stature = held.numbers["stature_mm"][numbers]
    over = high_hip_over_mm(held, shapes_of(held, errors, load_model().obliquity, asked.jobs))
    truths = [
        json.loads((asked.photos / n / "truth.json").read_text("utf-8")) for n in rendered.names
    ]
    statures = np.array([truth["stature_mm"] for truth in truths], dtype=float)
    return {
        "model": _about(json.loads(MODEL.read_text("utf-8"))),
        "simulated": figures_of(exact, floor_of(fitting, exact, stature)),
        "simulated_living": figures_of(alive, None),
        "rendered": figures_of(rendered, floor_of(fitting, rendered, statures)),
        "plotted": thinned(exact),
        "taper_mm_per_10_mm": taper(held),
        "high_hip_over": {"count": len(over), **_spread(over)},
        "high_hip_by_height": by_height(exact, over[numbers]),
        "looks": {**gross, "errors": json.loads(BEHAVIOUR.read_text("utf-8"))["errors"]},
        "survey": survey.five_fold(table),
        "caliper": carried_over(fitting, table),
        "people": people.check(table),
        "outside": outside.report(
            table, outside.read_bodies(asked.bdims), outside.read_weights(asked.nafld)
        ),
    }


def _about(model: dict[str, Any]) -> dict[str, Any]:
    """What the report says of the model file."""
    names = ("version", "made", "population", "growth")
    return {
        **{name: model[name] for name in names},
        "ranges_mm": {**model["girths_mm"], "stature": model["stature_mm"]},
        "features": len(model["features"]),
        "living_u_mm": {
            "people": dict(zip(LEVEL_CODES, model["people_sd_mm"], strict=True)),
            "breathing": BREATHING_U_MM,
            "clothing": CLOTHING_U_MM,
            "turn_deg": TURN_U_DEG,
        },
    }


def _sittings_text(folders: Sequence[Path], trial: Trial) -> str:
    """Truth and result of every rendered sitting, one line each."""
    lines = []
    for folder in folders:
        truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        kept = ("stature_mm", "weight_kg", "levels", "typed")
        entry: dict[str, Any] = {"name": folder.name, **{name: truth[name] for name in kept}}
        camera = ("f_px", "f35_exif", "distance_mm", "height_mm", "pitch_deg", "roll_deg")
        entry["camera"] = {
            view: {name: one[name] for name in camera} for view, one in truth["camera"].items()
        }
        if folder.name in trial.names:
            i = trial.names.index(folder.name)
            entry["estimated"] = {
                code: [
                    round(float(v), 1) for v in (trial.value_mm[i, k], *trial.bounds_mm[i, k, :2])
                ]
                for k, code in enumerate(CODES)
            }
            entry["widths_mm"] = trial.widths_mm[i].round(1).tolist()
        else:
            entry["refused"] = trial.refused[folder.name]
        lines.append(json.dumps(entry))
    return "[\n" + ",\n".join(lines) + "\n]\n"


def main() -> None:
    """Write the report, from new figures where their sources are given."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--survey", type=Path)
    parser.add_argument("--bdims", type=Path)
    parser.add_argument("--nafld", type=Path)
    parser.add_argument("--fitting", type=Path, nargs="+")
    parser.add_argument("--held", type=Path, nargs="+")
    parser.add_argument("--photos", type=Path)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    if asked.survey is not None:
        text = json.dumps(compute(asked), indent=1)
        RESULTS.write_text(text + "\n", encoding="utf-8")
    results = json.loads(RESULTS.read_text(encoding="utf-8"))
    plots(results, json.loads(SITTINGS.read_text(encoding="utf-8")), HERE)
    REPORT.write_text(markdown(results), encoding="utf-8")


if __name__ == "__main__":
    main()
