"""The report in words; every figure in it comes from the results."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calibration import outside
from calibration.must_hold import BAND_95, MOST_MAE_MM, Asked, must_hold, survey_rows
from calibration.report_plots import plots
from calibration.sightings import LEVEL_CODES
from calibration.tables import NAMES, percent, table

__all__ = ["markdown", "plots"]


def _model(results: Mapping[str, Any]) -> list[str]:
    about = results["model"]
    people = about["population"]
    lines = [
        "## What the model is, and whom it stands for",
        "",
        f"Version {about['version']}, made {about['made']}. It gives all six girths at once. "
        f"Outlines: {about['features']} numbers read off both photos, linear in the girths, "
        f"fitted on {people['count']} {people['words']}. What girths leave open of an outline "
        "grows as the power "
        f"{about['growth']:g} of the size. Girths, how they go together and with stature and "
        f"weight: {people['girths']}. A poor photo so falls back towards people, a good one is "
        "driven by the outline.",
        "",
    ]
    heads = ["", *(f"{share} % below" for share in people["percentiles"])]
    rows = [
        [name, *(f"{value:g}" for value in people[key])]
        for name, key in (("stature, mm", "stature_mm"), ("mass, kg", "mass_kg"))
    ]
    lines += table(heads, rows)
    lines += ["Beyond the following a body is said to lie outside, and its bounds are widened:", ""]
    ranges = {"stature": "stature", **{code: NAMES[code] for code in LEVEL_CODES}}
    lines += table(
        ["mm", "least", "most"],
        [
            [words, *(f"{end:g}" for end in about["ranges_mm"][code])]
            for code, words in ranges.items()
        ],
    )
    made, shown = results["simulated"], results["rendered"]
    return [
        *lines,
        "The same is said of an outline such as hardly any of the model's bodies has. On bodies "
        f"that no fit has seen it was said of {percent(made['outside_share'])} of the simulated "
        f"and {percent(shown['outside_share'])} of the rendered ones.",
        "",
    ]


def _waist(results: Mapping[str, Any]) -> list[str]:
    made, taper, over = (
        results[name] for name in ("simulated", "taper_mm_per_10_mm", "high_hip_over")
    )
    hangs = results["high_hip_by_height"]
    return [
        "## The height of waist and high hip",
        "",
        "The waist is where an elastic tied round her comes to rest: where she is narrow, and near "
        "the middle of lowest rib and hip bone, which lies at 0.630 of the stature of measured "
        "women (ANSUR II). The high hip is 90 mm below where the waist would be if no bust held "
        "the elastic down, and so inherits that height. There it matters: from "
        f"waist to full hip the girth grows by {taper['p50']:g} mm per 10 mm "
        f"downwards (5th to 95th percentile of the bodies: {taper['p5']:g} to {taper['p95']:g}).",
        "",
        f"Exact outlines of {over['count']} bodies put the high hip {over['bias_mm']:+g} mm over "
        f"the true one (sd {over['sd_mm']:g} mm).",
        "",
        f"On {percent(made['held_down_share'])} of the simulated bodies the bust holds the waist "
        "down, so that its height hangs on where the fold is seen. There the 95 % bounds cover "
        f"{percent(made['held_down_within_95'])} of the waists.",
        "",
        "The error of the high hip goes with that of its height: correlation "
        f"{hangs['correlation']:g}, {hangs['mm_per_10_mm']:+g} mm of girth per 10 mm put too high. "
        f"Once what goes with the height is taken out, {hangs['sd_left_mm']:g} mm are left of an "
        f"sd of {hangs['sd_mm']:g} mm, and a mean absolute error of {hangs['mae_left_mm']:g} mm.",
        *_high_hip_verdict(results),
        "",
    ]


def _high_hip_verdict(results: Mapping[str, Any]) -> Iterator[str]:
    most = MOST_MAE_MM["high_hip"]
    asked = {
        where: Asked(results[where]["girths"]["high_hip"]["mae_mm"], None, most)
        for where in ("rendered", "simulated")
    }
    for where, one in asked.items():
        yield f"On {where} bodies its mean absolute error is {one.told()}; {one.verdict()}."
    if asked["simulated"].holds:
        if not asked["rendered"].holds:
            yield "What misses it is what rendered photos have and simulated ones lack."
    elif results["high_hip_by_height"]["mae_left_mm"] <= most:
        yield (
            "What would be needed: that photos show the height itself, as by an elastic that she "
            "ties round her waist. Without what goes with the height, simulated bodies would hold."
        )
    else:
        yield (
            "A surer height would not be enough: without what goes with it, simulated bodies "
            f"would still miss {most:g} mm."
        )


def _living(results: Mapping[str, Any]) -> list[str]:
    added = results["model"]["living_u_mm"]
    alive, bare = results["simulated_living"], results["simulated"]
    rows = [
        [
            NAMES[code], f"{added['people'][code]:g}", f"{added['breathing'][code]:g}",
            f"{added['clothing']:g}", f"{bare['girths'][code]['median_bound_mm']:g}",
            f"{alive['girths'][code]['median_bound_mm']:g}",
            percent(alive["girths"][code]["within_95"]),
        ]
        for code in LEVEL_CODES
    ]  # fmt: skip
    return [
        "## The bounds that women get",
        "",
        "A woman is no body of the model. To the bounds tried above come, as standard "
        "uncertainties in mm: how much farther measured women are from a relation of girths to "
        "widths than the model's bodies are from the same relation (for levels that the survey "
        "lacks, that of a level near by, judged); breathing and posture (judged); underwear "
        f"(judged); and that she may stand turned by {added['turn_deg']:g}° (judged).",
        "",
        *table(
            ["girth", "people", "breathing", "clothing", "± on bodies", "± for women",
             "covers of the bodies"],
            rows,
        ),
        "Bodies of the model have none of this, so on them these bounds are wider than need be "
        f"and cover more: {percent(alive['pooled_within_95'])} of all girths of {alive['count']} "
        f"bodies, where those tried above cover {percent(bare['pooled_within_95'])}. Whether they "
        "cover 95 % of women, no data here can tell.",
        "",
    ]  # fmt: skip


def _looks(results: Mapping[str, Any]) -> list[str]:
    found = results["looks"]
    errors = found["errors"]
    edges = [
        [view, *(f"{one[name]:.2f}" for name in ("bias_mm", "common_sd_mm", "local_sd_mm")),
         f"{one['length_mm']:.1f}", percent(found["gross_share"][view]),
         f"{errors['foot_up_mm'][view]:+.1f} ± {errors['foot_sd_mm'][view]:.1f}"]
        for view, one in errors["edges"].items()
    ]  # fmt: skip
    marks = [
        [part, *(
            f"{one['ahead_mm']:+.1f}, {one['up_mm']:+.1f} ± {one['sd_mm']:.1f}"
            for one in (errors["landmarks"][view][part] for view in ("front", "side"))
        )]
        for part in errors["landmarks"]["front"]
    ]  # fmt: skip
    corners = [
        [kind.replace("-", " "), f"{errors['corner_outward_px'][kind]:+.2f}", f"{sd:.2f}"]
        for kind, sd in errors["corner_sd_px"].items()
    ]
    return [
        "## How looks at photos are off",
        "",
        f"From {found['photos']} rendered photos of bodies to fit, each beside the exact sight. "
        "Edges count outward; an edge grossly off has taken in an arm or the wall and is left "
        "out of the other figures. Simulated looks are drawn with these errors.",
        "",
        *table(
            ["edges", "bias, mm", "sd of a whole edge", "sd along it", "memory, mm",
             "grossly off", "lowest point of the feet, mm up"],
            edges,
        ),
        *table(["corners of", "outward, px", "sd, px"], corners),
        "Landmarks of the pose library against the body model's joints, mm: outward (front) or the "
        "way she faces (side), up, and spread.",
        "",
        *table(["landmark", "front", "side"], marks),
    ]  # fmt: skip


def _people(results: Mapping[str, Any]) -> list[str]:
    found, people = results["survey"], results["people"]
    by = people["five_fold"]
    prior = [
        [words, *(f"{by[name]['sd_mm'][code]:g} ({percent(by[name]['girths'][code]['within_95'])})"
                  for code in found["girths"])]
        for words, name in (("stature", "stature"), ("stature and mass", "stature_and_mass"))
    ]  # fmt: skip
    public = [
        [NAMES[code], f"{one['mean_sd_mm'][0]:g} ± {one['mean_sd_mm'][1]:g}",
         ", ".join(f"{value:g}" for value in one["percentiles_mm"])]
        for code, one in people["public_girths"].items()
    ]  # fmt: skip
    shares = ", ".join(f"{share:g}" for share in people["public_mass"]["fit"]["percentiles"])
    return [
        "## Survey rows alone",
        "",
        f"{found['count']} women, caliper widths, no photo; {found['relation']}; "
        f"{found['folds']}-fold. Coverage asked: {100 * BAND_95[0]:g} to {100 * BAND_95[1]:g} %; "
        "residuals asked to be no worse than what was found on other rows, which has a standard "
        "error of its own.",
        "",
        *table(
            ["given", "girth", "within 95 %", "", "within 68 %", "sd, mm", "asked", "",
             "sets of as many rows that meet it"],
            survey_rows(found),
        ),
        "Definitions of the survey:",
        "",
        *(f"- {NAMES[code]}: {words}." for code, words in found["definitions"].items()),
        "",
        "Girths from stature, and from stature and weight, as the prior has them; sd in mm "
        "(within 95 %):",
        "",
        *table(["given", *(NAMES[code] for code in found["girths"])], prior),
        f"Where no weight is told it is that of the public. Girths then, mm; percentiles {shares}:",
        "",
        *table(["girth", "mean ± sd", "percentiles"], public),
        people["what_can_be_compared"],
        "",
        "## An outside set",
        "",
        outside.markdown(results["outside"]),
    ]  # fmt: skip


def _after(results: Mapping[str, Any]) -> list[str]:
    rows = [
        [NAMES[code], *(
            text
            for where in ("rendered", "simulated")
            for text in (
                f"{results[where]['girths'][code]['sd_mm']:g}",
                f"{results[where]['after_high_and_full_bust_taped'][code]['sd_mm']:g}",
                percent(results[where]["after_high_and_full_bust_taped"][code]["within_95"]),
            )
        )]
        for code in LEVEL_CODES
    ]  # fmt: skip
    return [
        "## What readings do to the other estimates",
        "",
        "Sd of the error before and after high bust and full bust are taped, mm:",
        "",
        *table(
            ["girth", "rendered, before", "after", "within 95 %", "simulated, before", "after",
             "within 95 %"],
            rows,
        ),
    ]  # fmt: skip


def _limits(results: Mapping[str, Any]) -> list[str]:
    carried = "; ".join(
        f"{NAMES[code]} {one['bias_mm']:+g} mm (sd {one['sd_mm']:g})"
        for code, one in results["caliper"].items()
    )
    return [
        "## What it cannot say",
        "",
        "- No photo of a real woman with taped truth was at hand. Everything about photos comes "
        "from renderings of the same body model that the outlines were fitted on.",
        "- Bodies of a model are smoother and more alike than people. What measured women have "
        "more is added to the bounds, but it comes from three levels and from calipers.",
        "- A caliper presses and leaves out soft tissue that an outline shows, and the survey's "
        "waist is at the navel. Put to the survey's own breadths and depths, a relation fitted on "
        f"bodies leaves of the tape: {carried}. How much of that is the caliper and the stance, "
        "and how much would show in photos of women, these data cannot tell; as far as it is the "
        "latter, estimates are off by as much, and no bound here holds it.",
        "- Breathing, posture, underwear and turning are judged, not measured.",
    ]


def markdown(results: Mapping[str, Any]) -> str:
    """Give the report.

    Args:
        results: what `report.compute` gives.
    """
    lines = [
        "# How well the girth model holds",
        "",
        "Written by `python -m calibration.report` from results.json; how to make that anew stands "
        "in README.md.",
        "",
        *_model(results),
        *must_hold(results),
        *_waist(results),
        *_after(results),
        *_living(results),
        *_looks(results),
        *_people(results),
        *_limits(results),
    ]
    return "\n".join(lines) + "\n"
