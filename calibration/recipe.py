"""What makes one invented woman of the body model: shape and posture, and how to draw her."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

# Local changes of the body model that vary here; symmetric pairs get the same value.
SINGLE_CHANGES = (
    "breast-trans-up",
    "breast-dist-incr",
    "breast-point-incr",
    "breast-volume-vert-up",
    "buttocks-volume-incr",
    "hip-scale-horiz-incr",
    "hip-scale-depth-incr",
    "hip-waist-up",
    "stomach-pregnant-incr",
    "stomach-tone-incr",
    "pelvis-tone-incr",
    "torso-scale-horiz-incr",
    "torso-scale-depth-incr",
    "torso-vshape-incr",
    "torso-muscle-dorsi-incr",
    "torso-muscle-pectoral-incr",
    "measure-underbust-circ-incr",
    "measure-waist-circ-incr",
    "measure-hips-circ-incr",
    "measure-bust-circ-incr",
    "measure-shoulder-dist-incr",
    "measure-napetowaist-dist-incr",
    "measure-waisttohip-dist-incr",
    "measure-neck-circ-incr",
    "measure-upperarm-length-incr",
    "measure-lowerarm-length-incr",
    "upperlegs-height-incr",
    "lowerlegs-height-incr",
    "head-fat-incr",
    "neck-double-incr",
)
PAIRED_CHANGES = ("upperleg-fat-incr", "upperarm-fat-incr")
LOCAL_CHANGES = SINGLE_CHANGES + tuple(
    f"{side}-{change}" for change in PAIRED_CHANGES for side in "lr"
)

# The body model counts a child below this age and a young adult here.
ADULT_AGE = 2.0 / 3.0


@dataclass(frozen=True)
class BodyRecipe:
    """The parameters of one invented adult woman.

    Args:
        name: what she is called in files.
        age: body model's age, 2/3 (young adult) to 1 (old).
        muscle: 0 to 1; low values read as soft tissue.
        weight: 0 (slim) to about 2 (heavy); 0.5 is the model's middle.
        height: 0 to 1; 0.31 to 0.48 give about 1.54 to 1.78 m.
        proportions: 0 to 1.
        cupsize: 0 to 1.
        firmness: 0 to 1.
        african, asian, caucasian: shares of the model's three ancestries (any positive scale).
        changes: local changes by the body model's name, about -1 to 1; a name of
            `PAIRED_CHANGES` goes to both sides.
        lean_deg: whole body forward about the ankles.
        slouch_deg: upper back rounded, shoulders and neck forward.
        tilt_deg: pelvis tipped forward (hollow back).
        shoulder_drop_deg: collar bones sloping down beyond the model's own.

    Raises:
        ValueError: an age below the adult one.
    """

    name: str = "woman"
    age: float = 0.75
    muscle: float = 0.5
    weight: float = 0.6
    height: float = 0.38
    proportions: float = 0.5
    cupsize: float = 0.5
    firmness: float = 0.5
    african: float = 0.33
    asian: float = 0.33
    caucasian: float = 0.33
    changes: dict[str, float] = field(default_factory=dict, hash=False)
    lean_deg: float = 0.0
    slouch_deg: float = 0.0
    tilt_deg: float = 0.0
    shoulder_drop_deg: float = 0.0

    def __post_init__(self) -> None:
        if self.age < ADULT_AGE - 0.01:
            raise ValueError("adults only: age must be 2/3 or more")
        unknown = set(self.changes) - set(SINGLE_CHANGES) - set(PAIRED_CHANGES)
        if unknown:
            raise ValueError(f"unknown local changes: {sorted(unknown)}")

    def phenotype(self) -> dict[str, float]:
        """Give the body model's own phenotype values, the sex included."""
        names = "age muscle weight height proportions cupsize firmness african asian caucasian"
        return {"gender": 1.0, **{name: float(getattr(self, name)) for name in names.split()}}

    def local_changes(self) -> dict[str, float]:
        """Give the local changes by the body model's full names, pairs spelled out."""
        spelled = {}
        for name, value in self.changes.items():
            for full in (f"l-{name}", f"r-{name}") if name in PAIRED_CHANGES else (name,):
                spelled[full] = float(value)
        return spelled


def _around(rng: np.random.Generator, middle: float, sd: float, low: float, high: float) -> float:
    return float(np.clip(rng.normal(middle, sd), low, high))


def _fat_changes(rng: np.random.Generator, fat: float) -> dict[str, float]:
    """Spread soft tissue over trunk, arms, legs, neck; where it sits differs between women."""
    girths = (
        "measure-waist-circ-incr",
        "measure-hips-circ-incr",
        "measure-bust-circ-incr",
        "measure-underbust-circ-incr",
    )
    scales = (
        "torso-scale-depth-incr",
        "hip-scale-horiz-incr",
        "hip-scale-depth-incr",
    )
    changes = {name: _around(rng, 0.85 * fat, 0.22, -0.7, 1.5) for name in girths}
    changes |= {name: _around(rng, 0.65 * fat, 0.2, -0.7, 1.3) for name in scales}
    # Seen: without these the hips come out fuller, the ribs wider than ASTM D5585 has them.
    changes["measure-hips-circ-incr"] -= 0.5
    changes["measure-underbust-circ-incr"] -= 0.4
    # Shoulders go with this one, and they hardly widen with soft tissue (ANSUR II).
    changes["torso-scale-horiz-incr"] = _around(rng, 0.3 * fat, 0.12, -0.4, 0.8)
    changes["stomach-pregnant-incr"] = max(0.0, _around(rng, 0.35 * fat - 0.05, 0.12, -1, 0.8))
    changes["upperleg-fat-incr"] = _around(rng, 0.4 * fat, 0.2, -0.3, 0.8)
    changes["upperarm-fat-incr"] = _around(rng, 0.5 * fat, 0.2, -0.3, 1.0)
    changes["measure-neck-circ-incr"] = _around(rng, 0.5 * fat, 0.3, -0.6, 1.0)
    changes["head-fat-incr"] = _around(rng, 0.4 * fat, 0.1, -0.2, 0.6)
    changes["neck-double-incr"] = max(0.0, 0.6 * fat)
    return changes


def _build_changes(rng: np.random.Generator, fat: float) -> dict[str, float]:
    """Vary build and breast shape; the bust of heavier women sits lower."""
    # Means are set so that level heights, shoulders and arms over stature come near to the means
    # of ANSUR II women (and the waist between tenth rib and hip bone); spreads are judged.
    middle_and_spread = {
        "breast-trans-up": (-0.05 - 0.3 * max(0.0, fat), 0.22),
        "breast-dist-incr": (0.0, 0.3),
        "breast-point-incr": (0.15, 0.22),
        "breast-volume-vert-up": (0.0, 0.3),
        "buttocks-volume-incr": (0.0, 0.4),
        "hip-waist-up": (-0.45, 0.3),
        "stomach-tone-incr": (0.0, 0.4),
        "pelvis-tone-incr": (0.0, 0.4),
        "torso-vshape-incr": (0.0, 0.14),
        "torso-muscle-dorsi-incr": (0.0, 0.25),
        "torso-muscle-pectoral-incr": (0.0, 0.25),
        "measure-shoulder-dist-incr": (-0.1, 0.15),
        "measure-napetowaist-dist-incr": (0.1, 0.3),
        "measure-waisttohip-dist-incr": (0.0, 0.3),
        "measure-upperarm-length-incr": (0.4, 0.25),
        "measure-lowerarm-length-incr": (0.45, 0.25),
        "upperlegs-height-incr": (0.1, 0.2),
        "lowerlegs-height-incr": (0.1, 0.2),
    }
    return {
        name: _around(rng, middle, spread, -1.0, 1.0)
        for name, (middle, spread) in middle_and_spread.items()
    }


def random_recipe(rng: np.random.Generator, name: str = "woman") -> BodyRecipe:
    """Draw one woman of a wide adult population.

    Slim to very heavy (about 40 to 140 kg), statures about 1.46 to 1.81 m, all adult ages, cups,
    builds and a little posture. Soft tissue is one latent number with a long upper tail, so that
    heavy women are well represented; how it is spread over the body has a share of its own.

    Args:
        rng: source of random numbers.
        name: her name in files.
    """
    fat = float(np.clip(rng.gamma(2.0, 0.36) - 0.32, -0.3, 1.3))
    # The model's old-age shapes fold into themselves when heavy: fewer of both together (seen).
    age = float(rng.uniform(ADULT_AGE, 1.0 - 0.12 * max(0.0, fat)))
    changes = {**_build_changes(rng, fat), **_fat_changes(rng, fat)}
    ancestry = rng.dirichlet([1.0, 1.0, 1.0])
    cupsize = float(np.clip(rng.beta(2.4, 2.0) * 0.95 + 0.1 * max(0.0, fat), 0.03, 1.0))
    ageing = (age - ADULT_AGE) / (1.0 - ADULT_AGE)
    # A bra holds the bust in the photos and under the tape: full and slack at once is left out.
    least_firm = 0.2 + 0.35 * max(0.0, cupsize - 0.4)
    return BodyRecipe(
        name=name,
        age=age,
        muscle=_around(rng, 0.5, 0.10, 0.25, 0.8),
        weight=float(np.clip(0.55 + 0.95 * fat + rng.normal(0.0, 0.2), 0.05, 2.0)),
        height=_around(rng, 0.365, 0.042, 0.25, 0.48),
        proportions=_around(rng, 0.5, 0.15, 0.1, 0.9),
        cupsize=cupsize,
        firmness=_around(rng, 0.85 - 0.5 * ageing - 0.25 * fat, 0.18, least_firm, 1.0),
        african=float(ancestry[0]),
        asian=float(ancestry[1]),
        caucasian=float(ancestry[2]),
        changes=changes,
        lean_deg=_around(rng, 0.0, 0.7, -1.5, 2.0),
        slouch_deg=max(0.0, _around(rng, 3.0, 4.0, 0.0, 12.0)),
        tilt_deg=_around(rng, 0.0, 2.5, -6.0, 6.0),
        shoulder_drop_deg=_around(rng, 0.0, 2.5, -5.0, 6.0),
    )
