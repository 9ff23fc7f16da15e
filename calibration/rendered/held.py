"""Women, rooms and phones that no fit has seen, drawn by rules of their own.

Only the middle of each rule is shared with `calibration.recipe`, because there it was set to what
measured women have. The spreads are flat where the fitting set has bells, soft tissue is spread by
other shares, and colours, phones and tilts are others, too.
"""

from __future__ import annotations

import numpy as np

from calibration.recipe import ADULT_AGE, BodyRecipe
from calibration.rendered.draw import Generator, Wardrobe
from demo_images.people import Phones

# Share of the soft tissue and flat half-width, by local change; middles as in `recipe`.
_SOFT = {
    "measure-waist-circ-incr": (0.0, 0.85, 0.35),
    "measure-bust-circ-incr": (0.0, 0.85, 0.35),
    "measure-hips-circ-incr": (-0.5, 0.85, 0.35),
    "measure-underbust-circ-incr": (-0.4, 0.85, 0.3),
    "torso-scale-depth-incr": (0.0, 0.65, 0.3),
    "torso-scale-horiz-incr": (0.0, 0.3, 0.2),
    "hip-scale-horiz-incr": (0.0, 0.65, 0.3),
    "hip-scale-depth-incr": (0.0, 0.65, 0.3),
    "upperleg-fat-incr": (0.0, 0.4, 0.3),
    "upperarm-fat-incr": (0.0, 0.5, 0.3),
    "measure-neck-circ-incr": (0.0, 0.5, 0.4),
    "head-fat-incr": (0.0, 0.4, 0.15),
}
_BUILD = {
    "breast-trans-up": (-0.05, 0.35),
    "breast-dist-incr": (0.0, 0.5),
    "breast-point-incr": (0.15, 0.35),
    "breast-volume-vert-up": (0.0, 0.5),
    "buttocks-volume-incr": (0.0, 0.6),
    "hip-waist-up": (-0.45, 0.45),
    "stomach-tone-incr": (0.0, 0.6),
    "pelvis-tone-incr": (0.0, 0.6),
    "torso-vshape-incr": (0.0, 0.2),
    "torso-muscle-dorsi-incr": (0.0, 0.4),
    "torso-muscle-pectoral-incr": (0.0, 0.4),
    "measure-shoulder-dist-incr": (-0.1, 0.25),
    "measure-napetowaist-dist-incr": (0.1, 0.45),
    "measure-waisttohip-dist-incr": (0.0, 0.45),
    "measure-upperarm-length-incr": (0.4, 0.35),
    "measure-lowerarm-length-incr": (0.45, 0.35),
    "upperlegs-height-incr": (0.1, 0.3),
    "lowerlegs-height-incr": (0.1, 0.3),
}


def held_recipe(rng: np.random.Generator, name: str = "held") -> BodyRecipe:
    """Draw one woman: slim to very heavy about as often as not, all adult ages and cups.

    Args:
        rng: source of random numbers.
        name: her name in files.
    """

    def flat(middle: float, half: float) -> float:
        return float(rng.uniform(middle - half, middle + half))

    fat = float(rng.triangular(-0.3, 0.1, 1.25))
    soft = max(0.0, fat)
    changes = {name: flat(at + share * fat, half) for name, (at, share, half) in _SOFT.items()}
    changes |= {name: flat(middle, half) for name, (middle, half) in _BUILD.items()}
    changes["breast-trans-up"] -= 0.3 * soft
    changes["stomach-pregnant-incr"] = max(0.0, flat(0.35 * fat - 0.05, 0.18))
    changes["neck-double-incr"] = 0.6 * soft
    cupsize = float(rng.uniform(0.08, 0.98))
    age = float(rng.uniform(ADULT_AGE, 1.0 - 0.12 * soft))
    least_firm = 0.2 + 0.35 * max(0.0, cupsize - 0.4)
    firmest = max(least_firm + 0.1, 1.0 - 0.25 * soft)
    ancestry = rng.dirichlet([0.5, 0.5, 0.5])
    return BodyRecipe(
        name=name,
        age=age,
        muscle=flat(0.5, 0.2),
        weight=float(np.clip(flat(0.55 + 0.95 * fat, 0.3), 0.05, 2.0)),
        height=flat(0.365, 0.075),
        proportions=flat(0.5, 0.25),
        cupsize=cupsize,
        firmness=float(rng.uniform(least_firm, firmest)),
        african=float(ancestry[0]),
        asian=float(ancestry[1]),
        caucasian=float(ancestry[2]),
        changes=changes,
        lean_deg=flat(0.0, 1.2),
        slouch_deg=float(rng.uniform(0.0, 9.0)),
        tilt_deg=flat(0.0, 4.0),
        shoulder_drop_deg=flat(0.0, 4.0),
    )


HELD = Generator(
    prefix="held",
    seed=919191,
    recipe=held_recipe,
    wardrobe=Wardrobe(
        walls=((0.66, 0.64, 0.60), (0.48, 0.40, 0.30), (0.30, 0.36, 0.42), (0.20, 0.16, 0.24),
               (0.36, 0.33, 0.30), (0.10, 0.17, 0.12), (0.40, 0.26, 0.22), (0.55, 0.60, 0.64),
               (0.26, 0.31, 0.33), (0.39, 0.38, 0.24)),
        floors=((0.22, 0.20, 0.18), (0.36, 0.24, 0.14), (0.16, 0.09, 0.05), (0.42, 0.40, 0.37),
                (0.28, 0.30, 0.33)),
        skins=((0.56, 0.37, 0.29), (0.40, 0.23, 0.15), (0.28, 0.15, 0.09), (0.15, 0.07, 0.04),
               (0.06, 0.03, 0.02)),
        hairs=((0.02, 0.015, 0.012), (0.14, 0.06, 0.02), (0.30, 0.20, 0.09), (0.35, 0.34, 0.33)),
        cloths=((0.01, 0.02, 0.02), (0.45, 0.05, 0.08), (0.02, 0.10, 0.30), (0.70, 0.62, 0.50),
                (0.06, 0.20, 0.10), (0.62, 0.45, 0.05), (0.30, 0.05, 0.25), (0.08, 0.08, 0.09)),
        lights=("ceiling", "window-left", "window-right", "behind-phone", "two-lamps"),
    ),
    phones=Phones(f35=(23, 24, 25, 26, 27, 28, 29), f_error=0.015, tilt_deg=4.0),
)  # fmt: skip
