"""Tries the estimates on bodies that no fit has seen: errors, and how bounds cover them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from calibration.behaviour import photo_looks
from calibration.looks import Errors, looks_of
from calibration.sightings import LEVEL_CODES, VIEWS, Sightings
from ellwand.errors import PhotoProblem
from ellwand.girth.inference import OUTLINE
from ellwand.girth.joint import conditioned, joint_of
from ellwand.girth.model import WIDTHS
from ellwand.girth.posterior import Worked, work_out
from ellwand.girth.setup import SetUp
from ellwand.photo import sheets

Floats = npt.NDArray[np.float64]

CODES = (*LEVEL_CODES, "bust_difference")
_SEED = 4711
# A careful tape reading, for trying what readings do to the other estimates (tape-checks.md).
TAPE_SD_MM = 10.0
_TAPED = ("high_bust", "full_bust")


@dataclass(frozen=True, eq=False)
class Trial:
    """Estimates beside the truth, n bodies.

    Args:
        names: of the bodies.
        true_mm, value_mm, u_mm: (n, 7) in the order of `CODES`.
        outline_share: (n, 6) of the variance, what girths leave open of an outline.
        bounds_mm: (n, 7, 4) ends of the 95 % interval, then of the 68 % interval.
        true_widths_mm, widths_mm: (n, 11) in the order of `model.WIDTHS`.
        after_mm, after_u_mm: (n, 6) girths given taped high and full bust.
        height_off_mm: (n, 6) how far each level lies over where the outline shows it.
        waist_shown: (n,) whether the outline shows a waist of its own.
        outside: (n,) whether said to lie outside what the model stands for.
        marker_sheets: (n,) whether there were marker sheets.
        refused: codes of the sittings that were refused, with names.
    """

    names: list[str]
    true_mm: Floats
    value_mm: Floats
    u_mm: Floats
    outline_share: Floats
    bounds_mm: Floats
    true_widths_mm: Floats
    widths_mm: Floats
    after_mm: Floats
    after_u_mm: Floats
    height_off_mm: Floats
    waist_shown: npt.NDArray[np.bool_]
    outside: npt.NDArray[np.bool_]
    marker_sheets: npt.NDArray[np.bool_]
    refused: dict[str, str]

    @property
    def off_mm(self) -> Floats:
        """(n, 7) estimate less truth."""
        return self.value_mm - self.true_mm

    def covered(self, share: int) -> npt.NDArray[np.bool_]:
        """(n, 7) whether the truth lies within the interval of 95 or 68 %."""
        low, high = np.moveaxis(self.bounds_mm, -1, 0)[{95: slice(0, 2), 68: slice(2, 4)}[share]]
        return np.asarray((low <= self.true_mm) & (self.true_mm <= high))


@dataclass(frozen=True)
class _Body:
    """What is known of a body: by code girth and height, by code and kind width."""

    name: str
    girths_mm: dict[str, float]
    heights_mm: dict[str, float]
    widths_mm: dict[tuple[str, str], float]
    marker_sheets: bool


def _entry(body: _Body, worked: Worked) -> dict[str, Any]:
    found = worked.inferred.found
    levels, outline = len(LEVEL_CODES), found.causes.index(OUTLINE)
    values, draws = found.value, found.draws
    draws = np.column_stack([draws, draws[:, 1] - draws[:, 0]])
    true = [body.girths_mm[code] for code in LEVEL_CODES]
    rng = np.random.default_rng([_SEED, *body.name.encode()])
    taped = {
        code: (body.girths_mm[code] + float(rng.normal(0.0, TAPE_SD_MM)), TAPE_SD_MM)
        for code in _TAPED
    }
    after = conditioned(joint_of(LEVEL_CODES, values, found.covariance), taped)
    return {
        "name": body.name,
        "true_mm": [*true, true[1] - true[0]],
        "value_mm": [*values[:levels], values[1] - values[0]],
        "u_mm": draws.std(axis=0, ddof=1),
        "outline_share": found.variances[:, outline] / found.variances.sum(axis=1),
        "bounds_mm": np.quantile(draws, [0.025, 0.975, 0.16, 0.84], axis=0).T,
        "true_widths_mm": [body.widths_mm[width] for width in WIDTHS],
        "widths_mm": worked.inferred.widths_mm,
        "after_mm": after.mean_mm,
        "after_u_mm": [float(np.sqrt(row[i])) for i, row in enumerate(after.covariance_mm2)],
        "height_off_mm": [
            body.heights_mm[code] - worked.levels[code].height_mm for code in LEVEL_CODES
        ],
        "waist_shown": worked.levels["waist"].shown,
        "outside": bool(worked.inferred.outside),
        "marker_sheets": body.marker_sheets,
    }


def trial_of(entries: Sequence[dict[str, Any]]) -> Trial:
    """Put single entries together; refused ones hold `name` and `refused` only."""
    good = [entry for entry in entries if "refused" not in entry]
    columns = {name: [entry[name] for entry in good] for name in good[0]}
    names = columns.pop("name")
    return Trial(
        names=names,
        refused={one["name"]: one["refused"] for one in entries if "refused" in one},
        **{name: np.array(values) for name, values in columns.items()},
    )


def _simulated(given: tuple[Sightings, range, Errors, bool]) -> list[dict[str, Any]]:
    people, numbers, errors, living = given
    entries = []
    for number in numbers:
        rng = np.random.default_rng([_SEED, number])
        looks, setup = looks_of(people, number, errors, rng)
        body = _Body(
            str(number),
            {code: float(people.value(code, "girth_mm")[number]) for code in LEVEL_CODES},
            {code: float(people.value(code, "height_mm")[number]) for code in LEVEL_CODES},
            {(c, k): float(people.value(c, f"{k}_mm")[number]) for c, k in WIDTHS},
            bool(people.numbers["marker_sheets"][number]),
        )
        try:
            entries.append(_entry(body, work_out(looks, setup, living=living)))
        except PhotoProblem as problem:
            entries.append({"name": body.name, "refused": str(problem.code)})
    return entries


def simulated(
    people: Sightings, errors: Errors, count: int, jobs: int, living: bool = False
) -> Trial:
    """Estimate from exact silhouettes with drawn pixel errors.

    Args:
        people: of the held set.
        errors: how looks are off.
        count: how many of them.
        jobs: how many processes.
        living: whether bounds are to hold for women, see `inference.infer`.
    """
    parts = [(people, range(job, count, jobs), errors, living) for job in range(jobs)]
    with ProcessPoolExecutor(jobs) as pool:
        entries = [entry for found in pool.map(_simulated, parts) for entry in found]
    return trial_of(sorted(entries, key=lambda entry: int(entry["name"])))


def setup_of(truth: dict[str, Any]) -> SetUp:
    """What she types, from a rendered sitting's truth file."""
    typed = truth["typed"]
    bars = (sheets.CHECK_BAR_ACROSS_MM, sheets.CHECK_BAR_UP_MM)
    return SetUp(
        stature_mm=10.0 * float(typed["stature"].split()[0]),
        reference=typed["reference"],
        paper=typed["paper"],
        check_bars_mm=bars if typed["reference"] == "marker-sheets" else (None, None),
        standoffs_mm={
            view: (10.0 * float(typed[f"standoff_{view}"].split()[0]), 20.0) for view in VIEWS
        },
    )


def _photographed(folder: Path) -> dict[str, Any]:
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    looks = photo_looks(folder)
    refusals = [p.code for look in looks.values() for p in look.problems if p.severity == "refused"]
    if len(looks) < len(VIEWS) or refusals:
        why = ", ".join(refusals) or "nobody or nothing traced"
        return {"name": folder.name, "refused": why}
    body = _Body(
        folder.name,
        {code: truth["levels"][code]["girth_mm"] for code in LEVEL_CODES},
        {code: truth["levels"][code]["height_mm"] for code in LEVEL_CODES},
        {(code, kind): truth["levels"][code][f"{kind}_mm"] for code, kind in WIDTHS},
        truth["typed"]["reference"] == "marker-sheets",
    )
    try:
        return _entry(body, work_out(looks, setup_of(truth), living=False))
    except PhotoProblem as problem:
        return {"name": folder.name, "refused": str(problem.code)}


def photographed(folders: Sequence[Path], jobs: int) -> Trial:
    """Estimate from rendered photos, the whole chain.

    Args:
        folders: of the sittings.
        jobs: how many processes.
    """
    with ProcessPoolExecutor(jobs) as pool:
        return trial_of(list(pool.map(_photographed, folders)))
