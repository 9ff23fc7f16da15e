"""Fits the girth model on a population of bodies and on the survey, and writes the model file.

Run: python -m calibration.fit --survey FILE --population FILE.npz --out model.json
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calibration.detect import Detected, detect
from calibration.obliquity import EDGES
from calibration.obliquity import fit as fit_obliquity
from calibration.population import LEVEL_CODES, Population, load
from calibration.regression import Fit, choose, regress
from calibration.survey import (
    COLUMNS,
    Table,
    ellipse_perimeter,
    girth_fits,
    mean_and_sd,
    read,
    summary,
)

Floats = npt.NDArray[np.float64]

VERSION = 1
MADE = "2026-11-25"
_MOST_TERMS = 3
# Fewer women than this give no standard deviation; judged.
_FEWEST = 20
# Levels whose widths may help at a level, besides its own.
_NEIGHBOURS = {
    "high_bust": ("full_bust", "underbust"),
    "full_bust": ("underbust",),
    "underbust": ("full_bust", "waist"),
    "waist": ("underbust", "high_hip"),
    "high_hip": ("waist", "full_hip"),
    "full_hip": ("high_hip",),
}


@dataclass(frozen=True, eq=False)
class Levelled:
    """Levels of everyone as found in the outlines, and what the outlines show there.

    Args:
        found: one per woman.
        widths: feature name to (n,) values at the detected heights.
        off_mm: level code to (n,) detected minus true height.
    """

    found: list[Detected]
    widths: dict[str, Floats]
    off_mm: dict[str, Floats]


def feature_sets(code: str) -> list[tuple[str, ...]]:
    """Give the sets of features of which one may predict a level's girth.

    Breadth, depth and ellipse of one level never go together: with all three a linear relation
    fits the population a little better and goes astray outside it.
    """
    own = [("depth",)] if code == "high_bust" else [("ellipse", "depth"), ("breadth", "depth")]
    kinds = ("ellipse", "breadth", "depth")
    others = tuple(f"{other}.{kind}" for other in _NEIGHBOURS[code] for kind in kinds)
    return [(*chosen, *others, "stature") for chosen in own]


def _with_ellipses(widths: dict[str, Floats]) -> dict[str, Floats]:
    ellipses = {
        f"{code}.ellipse": ellipse_perimeter(widths[f"{code}.breadth"], widths[f"{code}.depth"])
        for code in LEVEL_CODES
        if f"{code}.breadth" in widths
    }
    return {**widths, **ellipses}


def true_widths(people: Population) -> dict[str, Floats]:
    """Give breadths and depths at the true levels, by feature name; no breadth at the high bust."""
    widths = {"stature": people.stature_mm}
    for code in LEVEL_CODES:
        widths[f"{code}.depth"] = people.value(code, "depth_mm")
        if code != "high_bust":
            widths[f"{code}.breadth"] = people.value(code, "breadth_mm")
    return _with_ellipses(widths)


def find_in_outlines(people: Population) -> Levelled:
    """Find everyone's levels in her outlines and read breadths and depths there."""
    found = []
    widths: dict[str, list[float]] = {}
    for number, stature in enumerate(people.stature_mm):
        front, side = people.profile("front", number), people.profile("side", number)
        found.append(detect(front, side, float(stature)))
        for code, height in found[-1].heights_mm.items():
            seen = {"depth": side} if code == "high_bust" else {"breadth": front, "depth": side}
            for kind, outline in seen.items():
                value = np.interp(height, outline.heights_mm, outline.extent_mm())
                widths.setdefault(f"{code}.{kind}", []).append(float(value))
    arrays = {name: np.array(values) for name, values in widths.items()}
    off = {
        code: np.array([one.heights_mm[code] for one in found]) - people.value(code, "height_mm")
        for code in LEVEL_CODES
    }
    return Levelled(found, _with_ellipses({**arrays, "stature": people.stature_mm}), off)


def _own(widths: dict[str, Floats], code: str) -> dict[str, Floats]:
    """Add a level's own features under their short names."""
    short = {name.split(".")[1]: values for name, values in widths.items() if name.startswith(code)}
    return {**widths, **short}


def fit_levels(people: Population) -> dict[str, Fit]:
    """Fit the girth of every level on the true breadths and depths."""
    widths = true_widths(people)
    return {
        code: min(
            (
                choose(people.value(code, "girth_mm"), _own(widths, code), names, _MOST_TERMS)
                for names in feature_sets(code)
            ),
            key=lambda fit: fit.sd,
        )
        for code in LEVEL_CODES
    }


def _relation(fit: Fit) -> dict[str, object]:
    return {
        "features": list(fit.features),
        "coefficients": [round(c, 5) for c in fit.coefficients],
        "intercept": round(fit.intercept, 3),
        "section_sd_mm": round(fit.sd, 2),
    }


def extra_relations(people: Population) -> dict[str, object]:
    """Give relations that may be used beside the six levels' own.

    `high_bust_with_shoulders` also takes the distance between the shoulder points.
    `full_bust_minus_high_bust` is the difference of the two girths, from the outlines at once.
    """
    given = {**true_widths(people), "shoulder_width": people.lengths["shoulder_width"]}
    high, full = people.value("high_bust", "girth_mm"), people.value("full_bust", "girth_mm")
    names = ("high_bust.depth", "full_bust.breadth")
    return {
        "high_bust_with_shoulders": _relation(regress(high, given, (*names, "shoulder_width"))),
        "full_bust_minus_high_bust": _relation(
            regress(full - high, given, (*names, "full_bust.depth"))
        ),
    }


def transfer(people: Population, table: Table) -> dict[str, object]:
    """Predict measured women's girths by relations fitted on bodies: what a model's bodies miss.

    Only breadth and depth of the level itself go in, so that both have the same features; the
    survey's breadth is a caliper's and its waist is at the navel.
    """
    widths = true_widths(people)
    found: dict[str, object] = {}
    for code, columns in COLUMNS.items():
        girth, breadth, depth = (table[name] for name in columns)
        fit = regress(people.value(code, "girth_mm"), _own(widths, code), ("breadth", "depth"))
        off = girth - fit.predict({"breadth": breadth, "depth": depth})
        found[code] = {
            "coefficients_bodies": [round(c, 3) for c in fit.coefficients],
            "bias_mm": round(float(off.mean()), 1),
            "sd_mm": round(float(off.std()), 1),
        }
    return found


def _spread(value: Floats) -> dict[str, float]:
    """Give how far a detector is off: mean, deviation, and a deviation that ignores the gross."""
    low, high = np.percentile(value, [16, 84])
    return {
        "bias_mm": round(float(value.mean()), 1),
        "sd_mm": round(float(value.std()), 1),
        "core_sd_mm": round(float((high - low) / 2.0), 1),
        "off_by_30_mm": round(float(np.mean(np.abs(value - np.median(value)) > 30.0)), 4),
    }


def _detection(code: str, levelled: Levelled) -> dict[str, object]:
    """Give a level's detection errors, apart for women on whom it is seen and not seen."""
    off = levelled.off_mm[code]
    block: dict[str, object] = dict(_spread(off))
    flag = {"full_bust": "bust_seen", "waist": "waist_seen", "high_hip": "waist_seen"}.get(code)
    if flag is not None:
        seen = np.array([getattr(one, flag) for one in levelled.found])
        block["seen_share"] = round(float(seen.mean()), 3)
        block["when_seen"] = _spread(off[seen])
        if (~seen).sum() > _FEWEST:
            block["when_not_seen"] = _spread(off[~seen])
    return block


def level_block(
    people: Population, fits: dict[str, Fit], levelled: Levelled, survey: dict[str, Fit]
) -> dict[str, object]:
    """Give the model file's part on the six levels."""
    block: dict[str, object] = {}
    for code, fit in fits.items():
        fraction = mean_and_sd(people.value(code, "height_mm") / people.stature_mm)
        girth = people.value(code, "girth_mm")
        end_to_end = girth - fit.predict(_own(levelled.widths, code))
        thirds = np.digitize(girth, np.percentile(girth, [33.3, 66.7]))
        block[code] = {
            **_relation(fit),
            "section_sd_by_third_mm": [
                round(float(fit.residuals[thirds == k].std()), 2) for k in range(3)
            ],
            "survey_sd_mm": round(survey[code].sd, 2) if code in survey else None,
            "height_fraction": fraction,
            "level_sd_mm": _spread(levelled.off_mm[code])["sd_mm"],
            "level_detection": _detection(code, levelled),
            "girth_with_detected_level": {
                "bias_mm": round(float(end_to_end.mean()), 2),
                "sd_mm": round(float(end_to_end.std()), 2),
            },
        }
    return block


def length_block(people: Population) -> dict[str, object]:
    """Give the model file's part on lengths, as ratios to what photos show."""
    length, stature = people.lengths, people.stature_mm
    rise = length["nape_height"] - people.value("waist", "height_mm")
    under = people.value("high_bust", "height_mm")
    tops = ("shoulder_height", "nape_height", "chin_height", "eye_height", "armpit_height_tape",
            "armpit_height_front", "mid_waist_height", "shoulder_joint_height",
            "hip_joint_height")  # fmt: skip
    over_full_bust = people.value("high_bust", "breadth_mm") / people.value(
        "full_bust", "breadth_mm"
    )
    return {
        "back_waist_length_over_nape_minus_waist": mean_and_sd(length["back_waist_length"] / rise),
        "arm_length_over_shoulder_to_wrist_joint": mean_and_sd(
            length["arm_length"] / length["shoulder_to_wrist_joint"]
        ),
        "shoulder_width_over_shoulder_joint_breadth": mean_and_sd(
            length["shoulder_width"] / length["shoulder_joint_breadth"]
        ),
        "inside_leg_over_hip_joint_height": mean_and_sd(
            length["inside_leg"] / length["hip_joint_height"]
        ),
        "high_bust_breadth_over_full_bust_breadth": mean_and_sd(over_full_bust),
        "high_bust_below_lifted_armpit_mm": mean_and_sd(length["armpit_height_front"] - under, 1),
        "full_bust_below_shoulder_joint_over_stature": mean_and_sd(
            (length["shoulder_joint_height"] - people.value("full_bust", "height_mm")) / stature
        ),
        "underbust_below_full_bust_over_stature": mean_and_sd(
            (people.value("full_bust", "height_mm") - people.value("underbust", "height_mm"))
            / stature
        ),
        "waist_to_hip_over_stature": mean_and_sd(length["waist_to_hip"] / stature),
        "height_fraction": {name: mean_and_sd(length[name] / stature) for name in tops},
        "middle_z_mm": {
            code: mean_and_sd(people.value(code, "middle_z_mm"), 1) for code in LEVEL_CODES
        },
    }


def population_block(people: Population) -> dict[str, object]:
    """Give the model file's part on who the bodies are."""
    widths = true_widths(people)
    shown = {name: v for name, v in widths.items() if not name.endswith("ellipse")}
    percentiles = [1, 5, 50, 95, 99]
    return {
        "words": "bodies of the open parametric body model anny 0.6.2, adult women, slim to very "
        "heavy, all adult ages, cups and builds, a little posture; a model's bodies, not people",
        "count": len(people.stature_mm),
        "refused": people.refused,
        "waist_seen_share": round(float(people.waist_seen.mean()), 3),
        "percentiles": percentiles,
        "stature_mm": [round(float(v)) for v in np.percentile(people.stature_mm, percentiles)],
        "mass_kg": [round(float(v), 1) for v in np.percentile(people.mass_kg, percentiles)],
        "girths_mm": {
            code: [
                round(float(v)) for v in np.percentile(people.value(code, "girth_mm"), percentiles)
            ]
            for code in LEVEL_CODES
        },
        "ranges": {
            name: [float(np.floor(v.min())), float(np.ceil(v.max()))]
            for name, v in shown.items()
            if name != "high_bust.depth"
        },
    }


def obliquity_block(people: Population) -> dict[str, object]:
    """Give the model file's part on lines of sight that are not square to the body."""
    bodies = [
        {code: dict(zip(EDGES, edges, strict=True))
         for code, edges in zip(LEVEL_CODES, shifts, strict=True)}
        for shifts in people.shifts
    ]  # fmt: skip
    return dict(fit_obliquity(bodies))


def held_out(model: dict[str, object], people: Population) -> dict[str, object]:
    """Try the relations on bodies that no fit has seen.

    Args:
        model: the model file.
        people: other bodies.

    Returns:
        By level: bias and standard deviation, and the share of girths within the 95 % interval
        that the section deviation alone gives.
    """
    widths = true_widths(people)
    tried: dict[str, object] = {}
    for code, level in model["levels"].items():  # type: ignore[attr-defined]
        own = _own(widths, code)
        terms = zip(level["coefficients"], level["features"], strict=True)
        predicted = level["intercept"] + sum(c * own[name] for c, name in terms)
        off = people.value(code, "girth_mm") - predicted
        tried[code] = {
            "bias_mm": round(float(off.mean()), 2),
            "sd_mm": round(float(off.std()), 2),
            "within_95": round(float(np.mean(np.abs(off) < 1.96 * level["section_sd_mm"])), 3),
        }
    return tried


def build(people: Population, survey_file: Path) -> dict[str, object]:
    """Give the whole model file."""
    table = read(survey_file)
    measured = girth_fits(table)
    fits = fit_levels(people)
    residuals = np.stack([fits[code].residuals for code in LEVEL_CODES])
    return {
        "version": VERSION,
        "made": MADE,
        "population": population_block(people),
        "levels": level_block(people, fits, find_in_outlines(people), measured),
        "residual_correlation": np.corrcoef(residuals).round(3).tolist(),
        "obliquity": obliquity_block(people),
        "extra": extra_relations(people),
        "lengths": length_block(people),
        "survey": {**summary(table, measured), "bodies_on_survey": transfer(people, table)},
    }


def main() -> None:
    """Fit and write the model file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--survey", type=Path, required=True)
    parser.add_argument("--population", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--held", type=Path, help="another population, to try the fit on")
    asked = parser.parse_args()
    model = build(load(asked.population), asked.survey)
    asked.out.write_text(json.dumps(model, indent=1) + "\n", encoding="utf-8")
    print(json.dumps({part: model[part] for part in ("levels", "extra", "survey")}, indent=1))
    if asked.held is not None:
        print(json.dumps(held_out(model, load(asked.held)), indent=1))


if __name__ == "__main__":
    main()
