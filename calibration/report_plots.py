"""The plots of the report: small pictures that come out the same each time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from PIL import Image

from calibration.must_hold import BAND_68, BAND_95, MOST_MAE_MM
from calibration.sightings import LEVEL_CODES
from calibration.tables import NAMES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PLOTS = ("errors.png", "coverage.png", "floor.png")
_INK, _RENDERED, _SIMULATED, _BAND = "#26323a", "#b4552d", "#7d9aa5", "#e6e2d3"
_DOTS_PER_INCH, _COLOURS = 80, 48
_CODES = (*LEVEL_CODES, "bust_difference")


def plots(results: Mapping[str, Any], sittings: Sequence[Mapping[str, Any]], folder: Path) -> None:
    """Draw errors against truth, coverage, and mean absolute errors beside their floor.

    Args:
        results: what `report.compute` gives.
        sittings: truth and result of the rendered ones, as kept in rendered/held.json.
        folder: where `PLOTS` are written.
    """
    drawn = (_errors(results, sittings), _coverage(results), _floor(results))
    for name, figure in zip(PLOTS, drawn, strict=True):
        held = BytesIO()
        figure.savefig(held, dpi=_DOTS_PER_INCH, format="png")
        # Few colours make small files; nothing but pixels is kept, so neither date nor version.
        few = Image.open(held).convert("RGB").quantize(_COLOURS)
        few.save(folder / name, optimize=True)


def _figure(width: float, height: float) -> Figure:
    # Without pyplot: no screen is needed and nothing stays open.
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(figure)
    return figure


def _plain(axes: Axes, title: str) -> None:
    axes.set_title(title, fontsize=9, color=_INK)
    axes.tick_params(labelsize=7, colors=_INK)
    axes.spines[["top", "right"]].set_visible(False)


def true_and_off(
    sittings: Sequence[Mapping[str, Any]], code: str
) -> tuple[list[float], list[float]]:
    """True girths and errors of the rendered sittings that were not refused, mm."""
    true, off = [], []
    for one in sittings:
        if "estimated" not in one:
            continue
        girths = {level: one["levels"][level]["girth_mm"] for level in LEVEL_CODES}
        girths["bust_difference"] = girths["full_bust"] - girths["high_bust"]
        true.append(float(girths[code]))
        off.append(float(one["estimated"][code][0]) - true[-1])
    return true, off


def _errors(results: Mapping[str, Any], sittings: Sequence[Mapping[str, Any]]) -> Figure:
    figure = _figure(9.0, 4.6)
    grid = figure.subplots(2, 4)
    for axes, code in zip(grid.flat, _CODES, strict=False):
        axes.axhline(0.0, color=_INK, linewidth=0.6)
        axes.scatter(*results["plotted"][code], s=5, color=_SIMULATED, label="simulated")
        axes.scatter(*true_and_off(sittings, code), s=9, color=_RENDERED, label="rendered")
        _plain(axes, NAMES[code])
    for axes in grid[:, 0]:
        axes.set_ylabel("error, mm", fontsize=8, color=_INK)
    last = grid.flat[len(_CODES)]
    last.axis("off")
    last.legend(*grid.flat[0].get_legend_handles_labels(), loc="center", frameon=False, fontsize=8)
    figure.supxlabel("true girth, mm", fontsize=8, color=_INK)
    return figure


def _coverage(results: Mapping[str, Any]) -> Figure:
    figure = _figure(7.0, 3.0)
    at = np.arange(len(LEVEL_CODES))
    for axes, share, (low, high) in zip(
        figure.subplots(1, 2), (95, 68), (BAND_95, BAND_68), strict=True
    ):
        axes.axhspan(100 * low, 100 * high, color=_BAND)
        for step, where, colour in ((-0.1, "simulated", _SIMULATED), (0.1, "rendered", _RENDERED)):
            part = results[where]
            found = np.array([part["girths"][code][f"within_{share}"] for code in LEVEL_CODES])
            # What chance alone does to a share of so many bodies, one standard error.
            chance = 100 * np.sqrt(found * (1 - found) / part["count"])
            axes.errorbar(at + step, 100 * found, chance, fmt="o", color=colour, markersize=4,
                          elinewidth=1, capsize=2, label=where)  # fmt: skip
        axes.set_xticks(at, [NAMES[code].replace(" ", "\n") for code in LEVEL_CODES])
        _plain(axes, f"within the {share} % bounds, % (band: asked)")
    figure.axes[0].legend(frameon=False, fontsize=7, loc="upper right")
    return figure


def _floor(results: Mapping[str, Any]) -> Figure:
    figure = _figure(7.0, 3.0)
    axes = figure.subplots()
    at = np.arange(len(_CODES))
    for step, where, colour in ((-0.2, "simulated", _SIMULATED), (0.2, "rendered", _RENDERED)):
        girths = results[where]["girths"]
        heights = [girths[code]["mae_mm"] for code in _CODES]
        floors = [girths[code]["floor_mae_mm"] for code in _CODES]
        axes.bar(at + step, heights, 0.38, color=colour, label=where)
        axes.hlines(floors, at + step - 0.19, at + step + 0.19, color=_INK, linewidth=1.2,
                    label="floor" if where == "rendered" else "_floor")  # fmt: skip
    most = [MOST_MAE_MM[code] for code in _CODES]
    axes.plot(at, most, "v", color=_INK, markersize=4, label="asked")
    axes.set_xticks(at, [NAMES[code].replace("minus ", "minus\n") for code in _CODES])
    axes.set_ylabel("mean absolute error, mm", fontsize=8, color=_INK)
    _plain(axes, "")
    axes.legend(frameon=False, fontsize=7, ncols=4, loc="lower right", bbox_to_anchor=(1.0, 1.0))
    return figure
