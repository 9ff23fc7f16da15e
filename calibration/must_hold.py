"""What was asked of the model, and whether it holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calibration.sightings import LEVEL_CODES
from calibration.tables import NAMES, number, percent, table

# What was asked: greatest mean absolute errors and their bias, mm.
MOST_MAE_MM = {
    "high_bust": 22.0,
    "full_bust": 16.0,
    "underbust": 15.0,
    "waist": 13.0,
    "high_hip": 14.0,
    "full_hip": 13.0,
    "bust_difference": 15.0,
}
MOST_BIAS_MM, MOST_OVER_FLOOR = 4.0, 1.3
BAND_95, BAND_68 = (0.93, 0.97), (0.64, 0.72)
RENDERED_POOLED, RENDERED_LEAST = (0.92, 0.98), 0.88
MOST_WIDTH_SD_MM, MOST_WIDTH_BIAS_MM = 5.0, 2.0
LEAST_SIMULATED, LEAST_RENDERED = 1000, 60


@dataclass(frozen=True)
class Asked:
    """A figure held against the least and the most that was asked.

    Args:
        value: what was found.
        low: the least asked, if any.
        high: the most asked, if any.
        unit: `%` for a share.
    """

    value: float
    low: float | None = None
    high: float | None = None
    unit: str = "mm"

    @property
    def holds(self) -> bool:
        """Whether it lies within, ends included."""
        return self._missed_by() <= 0.0

    def _missed_by(self) -> float:
        # Results are rounded; so is the difference, that 0.97 less 0.93 be no hair more than 0.04.
        under = -float("inf") if self.low is None else self.low - self.value
        over = -float("inf") if self.high is None else self.value - self.high
        return round(max(under, over), 6)

    def told(self) -> str:
        """The figure with its unit."""
        return percent(self.value) if self.unit == "%" else number(self.value, self.unit)

    def verdict(self) -> str:
        """`holds`, or by how much it is missed."""
        if self.holds:
            return "holds"
        by = self._missed_by()
        told = f"{100 * by:.1f} points" if self.unit == "%" else number(by, self.unit)
        return f"**missed by {told}**"


def _row(what: str, asked: str, one: Asked) -> list[str]:
    return [what, asked, one.told(), one.verdict()]


def _coverage_rows(results: Mapping[str, Any]) -> Iterator[Sequence[str]]:
    made, rendered = results["simulated"], results["rendered"]
    where = f"{made['count']} simulated"
    yield _row("bodies, simulated", f"{LEAST_SIMULATED} or more",
               Asked(made["count"], LEAST_SIMULATED, unit=""))  # fmt: skip
    for share, (low, high) in ((95, BAND_95), (68, BAND_68)):
        for code in LEVEL_CODES:
            one = Asked(made["girths"][code][f"within_{share}"], low, high, "%")
            asked = f"{100 * low:g} to {100 * high:g} %"
            yield _row(f"{share} % bounds, {NAMES[code]}, {where}", asked, one)
    yield _row("bodies, rendered", f"{LEAST_RENDERED} or more",
               Asked(rendered["count"], LEAST_RENDERED, unit=""))  # fmt: skip
    low, high = RENDERED_POOLED
    yield _row(
        f"95 % bounds, all six girths, {rendered['count']} rendered",
        f"{100 * low:g} to {100 * high:g} %",
        Asked(rendered["pooled_within_95"], low, high, "%"),
    )
    least = min(LEVEL_CODES, key=lambda code: float(rendered["girths"][code]["within_95"]))
    yield _row(
        f"95 % bounds, worst girth ({NAMES[least]}), rendered",
        f"{100 * RENDERED_LEAST:g} % or more",
        Asked(rendered["girths"][least]["within_95"], RENDERED_LEAST, None, "%"),
    )


def _error_rows(results: Mapping[str, Any]) -> Iterator[Sequence[str]]:
    for where in ("rendered", "simulated"):
        for code, most in MOST_MAE_MM.items():
            one = results[where]["girths"][code]
            mae = Asked(one["mae_mm"], None, most)
            bias = Asked(one["bias_mm"], -MOST_BIAS_MM, MOST_BIAS_MM)
            ratio = Asked(one["over_floor"], None, MOST_OVER_FLOOR, "")
            yield [
                NAMES[code], where, f"{most:g}", f"{mae.value:g}", mae.verdict(),
                f"{bias.value:+g}", bias.verdict(), f"{one['floor_mae_mm']:g}",
                f"{ratio.value:g}", ratio.verdict(),
            ]  # fmt: skip


def _width_rows(results: Mapping[str, Any]) -> Iterator[Sequence[str]]:
    widths = results["rendered"]["widths"]
    groups = {
        "all": "all 11 together",
        "three_levels": "the six of full bust, waist and full hip",
        **{
            name: name.replace("_", " ")
            for name in widths
            if name not in ("all", "three_levels")
        },
    }  # fmt: skip
    for name, words in groups.items():
        sd = Asked(widths[name]["sd_mm"], None, MOST_WIDTH_SD_MM)
        bias = Asked(widths[name]["bias_mm"], -MOST_WIDTH_BIAS_MM, MOST_WIDTH_BIAS_MM)
        yield [words, f"{sd.value:g}", sd.verdict(), f"{bias.value:+g}", bias.verdict()]


def survey_rows(found: Mapping[str, Any]) -> Iterator[Sequence[str]]:
    """Coverage and residuals on the survey's rows against what was asked of them."""
    tied = found["other_two_girths_taped"]["widths_mass_and_taped"]["coverage"]
    kinds = {
        "widths": ("widths, stature", found["girths"]),
        "widths_mass_taped": ("and weight, other girths taped", tied),
    }
    for name, (words, cover) in kinds.items():
        goal = found["goal"][name]
        for code, one in cover.items():
            within = Asked(one["within_95"], *BAND_95, "%")
            most, sd = goal["goal_mm"][code], goal["sd_mm"][code]
            met = goal["share_of_draws_of_as_many_rows_that_meet_it"][code]
            yield [
                words, NAMES[code], within.told(), within.verdict(), percent(one["within_68"]),
                f"{sd:g}", f"{most:g} ± {goal['goal_standard_error_mm'][code]:g}",
                Asked(sd, None, most).verdict(), percent(met),
            ]  # fmt: skip


def must_hold(results: Mapping[str, Any]) -> list[str]:
    """The part of the report that holds what was found against what was asked."""
    lines = [
        "## What must hold",
        "",
        "On bodies and cameras that no fit has seen. Simulated: exact silhouettes with the errors "
        "that looks at photos have. Rendered: photos through the whole chain. Error is estimate "
        "less truth. The bounds here are those for bodies of the model, see below.",
        "",
        "### Coverage",
        "",
        *table(["figure", "asked", "found", ""], _coverage_rows(results)),
        "![Coverage of the bounds](coverage.png)",
        "",
        "### Errors, mm",
        "",
        f"Bias was asked to be within ±{MOST_BIAS_MM:g} mm. The floor is the mean absolute error "
        "that a fit on perfect breadths and depths of all levels, at their true heights, and the "
        f"stature leaves on the same bodies; the aim was a ratio of {MOST_OVER_FLOOR:g} or less.",
        "",
        *table(
            ["girth", "bodies", "MAE asked", "MAE", "", "bias", "", "floor", "ratio", ""],
            _error_rows(results),
        ),
        "![Errors against truth](errors.png)",
        "",
        "![Mean absolute errors and floor](floor.png)",
        "",
        f"### Widths of the {results['rendered']['count']} rendered sittings, two sheets each, mm",
        "",
        f"Asked: sd {MOST_WIDTH_SD_MM:g} or less, bias within ±{MOST_WIDTH_BIAS_MM:g}. A width is "
        "held against the body's own at the true height of the level, so an error in the height "
        "is part of it.",
        "",
        *table(["width", "sd", "", "bias", ""], _width_rows(results)),
    ]
    for where in ("simulated", "rendered"):
        refused = results[where]["refused"]
        why = sorted(set(refused.values()))
        lines += [
            f"Of the {where} sittings, {len(refused)} were refused"
            + (f" ({'; '.join(why)})." if why else "."),
            "",
        ]
    return lines
