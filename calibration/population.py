"""Draws many invented women, measures them, and keeps truth and outlines in one file.

Run: python -m calibration.population --count 1500 --out FILE.npz
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calibration.obliquity import EDGES, collect
from calibration.profiles import STEP_MM, Profile, profiles
from calibration.recipe import BodyRecipe, random_recipe
from calibration.sections import LevelError, Section, Truth, measure_poses

Floats = npt.NDArray[np.float64]

LEVEL_CODES = ("high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip")
SECTION_FIELDS = tuple(Section.__dataclass_fields__)
# Tall enough for everyone: rows of every kept outline, from the floor up.
_ROWS = 1000
SEED = 20251125
# Asked of her in the front photo.
_ARM_DEG = (50.0, 60.0)


@dataclass(frozen=True, eq=False)
class Population:
    """Truth and outlines of n women, one row each.

    Args:
        stature_mm, mass_kg: (n,).
        waist_seen: (n,).
        sections: level code to (n, 6) values in the order of `SECTION_FIELDS`.
        lengths: name to (n,) values, mm.
        outlines: `front`, `side` and `side_trunk` to (n, rows, 2) edges, NaN above the crown;
            in `side_trunk` the arms are cut away below the armpits.
        joined: (n, rows) whether an arm belongs to the row of `front`.
        shifts: (n, levels, edges, slopes) as `obliquity.collect` gives them, in the order of
            `LEVEL_CODES`, `obliquity.EDGES` and `obliquity.SLOPES`.
        refused: how many drawn women were left out because a level made no sense.
    """

    stature_mm: Floats
    mass_kg: Floats
    waist_seen: npt.NDArray[np.bool_]
    sections: dict[str, Floats]
    lengths: dict[str, Floats]
    outlines: dict[str, Floats]
    joined: npt.NDArray[np.bool_]
    shifts: Floats
    refused: int

    def value(self, level: str, field: str) -> Floats:
        """Give one field of one level, (n,)."""
        return self.sections[level][:, SECTION_FIELDS.index(field)]

    def profile(self, kind: str, number: int) -> Profile:
        """Give an outline of one woman as a profile."""
        edges = self.outlines[kind][number].astype(float)
        rows = np.isfinite(edges[:, 0])
        heights = STEP_MM / 2.0 + STEP_MM * np.arange(len(edges))
        return Profile(heights[rows], edges[rows, 0], edges[rows, 1], self.joined[number, rows])


def _edges(profile: Profile) -> npt.NDArray[np.float32]:
    edges = np.full((_ROWS, 2), np.nan, dtype=np.float32)
    edges[: len(profile.heights_mm), 0] = profile.left_mm
    edges[: len(profile.heights_mm), 1] = profile.right_mm
    return edges


@dataclass(frozen=True, eq=False)
class _Studied:
    """One woman: truth, outlines, joined rows, shifts by level and edge."""

    truth: Truth
    outlines: dict[str, npt.NDArray[np.float32]]
    joined: npt.NDArray[np.bool_]
    shifts: Floats


def _study(recipe: BodyRecipe, arm_deg: float) -> _Studied:
    from calibration.bodies import pose

    front, side = pose(recipe, "front", arm_deg), pose(recipe, "side")
    # `side` and `tape` are one pose: arms hanging.
    truth = measure_poses(front, side, recipe.name)
    seen = profiles(front, "front")
    joined = np.zeros(_ROWS, dtype=bool)
    joined[: len(seen.joined)] = seen.joined
    by_level = collect(front, side, truth)
    return _Studied(
        truth=truth,
        outlines={
            "front": _edges(seen),
            "side": _edges(profiles(side, "side")),
            "side_trunk": _edges(profiles(side, "side", arms=False)),
        },
        joined=joined,
        shifts=np.array([[by_level[code][edge] for edge in EDGES] for code in LEVEL_CODES]),
    )


def draw(count: int, seed: int = SEED) -> Population:
    """Draw and measure women until `count` make sense.

    Args:
        count: how many to keep.
        seed: of the random numbers.
    """
    rng = np.random.default_rng(seed)
    kept = []
    refused = 0
    while len(kept) < count:
        recipe = random_recipe(rng, f"woman {len(kept) + refused}")
        try:
            kept.append(_study(recipe, float(rng.uniform(*_ARM_DEG))))
        except LevelError as error:
            refused += 1
            print(error)
        if len(kept) % 100 == 0:
            print(len(kept), "kept,", refused, "refused", flush=True)
    truths = [one.truth for one in kept]
    return Population(
        stature_mm=np.array([truth.stature_mm for truth in truths]),
        mass_kg=np.array([truth.mass_kg for truth in truths]),
        waist_seen=np.array([truth.waist_seen for truth in truths]),
        sections={
            code: np.array(
                [[getattr(t.levels[code], name) for name in SECTION_FIELDS] for t in truths]
            )
            for code in LEVEL_CODES
        },
        lengths={
            name: np.array([t.lengths_mm[name] for t in truths]) for name in truths[0].lengths_mm
        },
        outlines={
            kind: np.stack([one.outlines[kind] for one in kept]) for kind in kept[0].outlines
        },
        joined=np.stack([one.joined for one in kept]),
        shifts=np.stack([one.shifts for one in kept]),
        refused=refused,
    )


def save(people: Population, path: Path) -> None:
    """Write a population to a compressed file."""
    arrays: dict[str, npt.NDArray[np.generic]] = {
        "stature_mm": people.stature_mm,
        "mass_kg": people.mass_kg,
        "waist_seen": people.waist_seen,
        "joined": people.joined,
        "shifts": people.shifts,
        "refused": np.array(people.refused),
    }
    arrays |= {f"section/{code}": values for code, values in people.sections.items()}
    arrays |= {f"length/{name}": values for name, values in people.lengths.items()}
    arrays |= {f"outline/{kind}": values for kind, values in people.outlines.items()}
    np.savez_compressed(path, **arrays)  # type: ignore[arg-type]


def load(path: Path) -> Population:
    """Read a population that `save` wrote."""
    with np.load(path) as stored:
        held = {name: stored[name] for name in stored.files}

    def group(prefix: str) -> dict[str, Floats]:
        return {name.split("/")[1]: held[name] for name in held if name.startswith(prefix)}

    return Population(
        stature_mm=held["stature_mm"],
        mass_kg=held["mass_kg"],
        waist_seen=held["waist_seen"],
        sections=group("section/"),
        lengths=group("length/"),
        outlines=group("outline/"),
        joined=held["joined"],
        shifts=held["shifts"],
        refused=int(held["refused"]),
    )


def main() -> None:
    """Draw a population and keep it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1500)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--out", type=Path, required=True)
    asked = parser.parse_args()
    people = draw(asked.count, asked.seed)
    save(people, asked.out)
    print(asked.count, "women kept,", people.refused, "refused")


if __name__ == "__main__":
    main()
