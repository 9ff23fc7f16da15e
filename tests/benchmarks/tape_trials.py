"""Women of a survey as customers with a tape, and slips in what they type.

Five-fold: in each fold, girths are fitted on the caliper widths and the stature of the other women,
widths blurred as photos blur them, so that the posterior of a held woman is joint normal.
"""

import itertools
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from calibration import survey
from ellwand.girth.joint import Joint, joint_of
from ellwand.tape import Reading, enter, summarise
from ellwand.tape.doubt import Doubts, weigh
from ellwand.tape.expect import expect
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM

Floats = npt.NDArray[np.float64]
CODES = tuple(survey.COLUMNS)
FOLDS = 5
PHOTO_SD_MM = 4.0
FALSE_QUERIES = 0.01
SEED = 5
# What a band leaves out of a full bust; ASTM D5585-11e1, table 1, has 5 3/8 to 6 3/8 in.
BAND_MM = (120.0, 180.0)


@dataclass(frozen=True)
class Woman:
    """A woman of the survey as a customer.

    Args:
        tape_mm: (3, 2) what her tape shows, twice for each girth.
        joint: her girths from photos; None without photos.
        stature_mm: her height.
        tenths: whether she types tenths of a centimetre.
    """

    tape_mm: Floats
    joint: Joint | None
    stature_mm: float
    tenths: bool

    def typed(self, mm: float) -> str:
        """A length as she types it, in centimetres."""
        return f"{mm / 10:.1f}" if self.tenths else f"{mm / 10:.0f}"

    def typing(self, tenths: bool | None) -> "Woman":
        """The same woman, who types tenths or does not; None as she does."""
        return self if tenths is None else replace(self, tenths=tenths)


Typed = dict[str, list[tuple[str, str]]]
"""By code, each text with the field's unit."""
Slip = Callable[[Woman, float, random.Random], tuple[str, str]]
"""From a woman and what her tape shows to what she types, and the field's unit."""


def _inches_as_cm(woman: Woman, mm: float, rng: random.Random) -> tuple[str, str]:
    """Inches as a tape has them: eighths as fractions, or quarters as decimals."""
    if rng.random() < 0.5:
        return f"{round(mm / 25.4 * 4) / 4:g}", "cm"
    whole, rest = divmod(Fraction(round(mm / 25.4 * 8), 8), 1)
    return (f"{whole} {rest}" if rest else f"{whole}"), "cm"


def _swapped(woman: Woman, mm: float, rng: random.Random) -> tuple[str, str]:
    text = woman.typed(mm)
    at = [k for k, char in enumerate(text) if char.isdigit()]
    pairs = [(a, b) for a, b in itertools.pairwise(at) if text[a] != text[b]]
    if not pairs:
        return "", "cm"
    a, b = rng.choice(pairs)
    turned = list(text)
    turned[a], turned[b] = text[b], text[a]
    return "".join(turned), "cm"


def _band(woman: Woman, mm: float, rng: random.Random) -> tuple[str, str]:
    return str(5 * round((mm - rng.uniform(*BAND_MM)) / 50)), "cm"


def _dress(woman: Woman, mm: float, rng: random.Random) -> tuple[str, str]:
    bust_mm = float(woman.tape_mm[0, 0]) + rng.gauss(0, 40)
    return str(2 * round((bust_mm / 10 - 12) / 4)), "cm"


def _to(change: Callable[[float, random.Random], float], unit: str = "cm") -> Slip:
    return lambda woman, mm, rng: (woman.typed(change(mm, rng)), unit)


# Name in the table: slip, the name it should be given, whether the girths before the slip need
# tenths (True), whole numbers (False), or either (None).
SLIPS: dict[str, tuple[Slip, str | None, bool | None]] = {
    "no slip": (_to(lambda mm, _: mm), None, None),
    "inches typed as cm": (_inches_as_cm, "wrong unit", None),
    "cm typed as inches": (_to(lambda mm, _: mm, "in"), "wrong unit", None),
    "decimal point lost": (
        lambda w, mm, _: (w.typed(mm).replace(".", ""), "cm"), "decimal point lost", True),
    "point one place off": (_to(lambda mm, _: mm / 10), "decimal point lost", True),
    "doubled": (_to(lambda mm, _: 2 * mm), "tape doubled", None),
    "half": (_to(lambda mm, _: mm / 2), "tape doubled", None),
    "wrong end of 150 cm": (_to(lambda mm, _: 1500 - mm), "tape read from its other end", None),
    "10 cm too much": (_to(lambda mm, _: mm + 100), "counted from the 10 cm mark", None),
    "10 cm too little": (_to(lambda mm, _: mm - 100), "a ten misread", None),
    "digits swapped, whole cm": (_swapped, "digits swapped", False),
    "digits swapped, tenths": (_swapped, "digits swapped", True),
    "fields exchanged": (_to(lambda mm, _: mm), "fields exchanged", None),
    "bra band typed": (_band, "size typed for a girth", None),
    "dress size typed": (_dress, "size typed for a girth", None),
    "slack by 2 to 6 cm": (
        _to(lambda mm, rng: mm + rng.uniform(20, 60)), "tape crooked or loose", None),
    "5 cm too much": (_to(lambda mm, _: mm + 50), "tape crooked or loose", None),
    "1 inch too much": (_to(lambda mm, _: mm + 25.4), None, None),
}  # fmt: skip
EXCHANGED, BAND = "fields exchanged", "bra band typed"


@dataclass(frozen=True)
class Setting:
    """How the women measure.

    Args:
        title: over the table.
        repeats: readings of each girth.
        slipped: in how many of them the slip is.
        codes: the girths read.
        photos: whether there are photos.
    """

    title: str
    repeats: int
    slipped: int
    codes: tuple[str, ...] = CODES
    photos: bool = True


ONCE = Setting("one reading of each girth", 1, 1)
IN_ONE = Setting("two readings of each girth, the slip in one of them", 2, 1)
IN_BOTH = Setting("two readings of each girth, the slip in both", 2, 2)
NO_PHOTOS = Setting(
    "no photos: height, bust and hip, one reading each", 1, 1, ("full_bust", "full_hip"),
    photos=False,
)  # fmt: skip


def women_by_fold(table: survey.Table) -> Iterator[tuple[list[Woman], list[Woman]]]:
    """Give for each fold the women of its fit and the held ones, as customers."""
    rng = np.random.default_rng(SEED)
    girths = survey.girths_mm(table)
    count = len(girths)
    widths = np.column_stack([table[name] for name in survey.WIDTHS])
    seen = np.log(widths + rng.normal(0.0, PHOTO_SD_MM, widths.shape))
    design = np.column_stack([np.ones(count), seen, np.log(table["stature"])])
    common = rng.normal(0.0, COMMON_SD_MM, (count, len(CODES), 1))
    tape = girths[:, :, None] + common + rng.normal(0.0, REPEAT_SD_MM, (count, len(CODES), 2))
    tenths = rng.random(count) < 0.5
    fold = rng.permutation(count) % FOLDS
    for k in range(FOLDS):
        used = fold != k
        solved = np.linalg.lstsq(design[used], np.log(girths[used]), rcond=None)[0]
        left = np.log(girths[used]) - design[used] @ solved
        covariance = left.T @ left / (used.sum() - design.shape[1])
        mean = np.exp(design @ solved)
        women = [
            Woman(
                tape[i],
                joint_of(CODES, mean[i], covariance * np.outer(mean[i], mean[i])),
                float(table["stature"][i]),
                bool(tenths[i]),
            )
            for i in range(count)
        ]
        yield [women[i] for i in np.where(used)[0]], [women[i] for i in np.where(~used)[0]]


def typed_soundly(woman: Woman, setting: Setting) -> Typed:
    """What she types when nothing slips."""
    rows = {code: woman.tape_mm[CODES.index(code)][: setting.repeats] for code in setting.codes}
    return {code: [(woman.typed(mm), "cm") for mm in row] for code, row in rows.items()}


def meant_mm(woman: Woman, setting: Setting, code: str) -> float:
    """What her readings of a girth come to when nothing slips."""
    return summarise(woman.tape_mm[CODES.index(code)][: setting.repeats].tolist()).value_mm


def weighed(
    woman: Woman,
    setting: Setting,
    typed: Typed,
    limit: float,
) -> Doubts:
    """Judge what a woman typed as the package does."""
    readings: dict[str, list[Reading]] = {
        code: [enter(code, text, "in" if unit == "in" else "cm") for text, unit in rows]
        for code, rows in typed.items()
    }
    if not setting.photos:
        readings["stature"] = [enter("stature", f"{woman.stature_mm / 10:.0f}", "cm")]
    taped = {code: summarise([row.mm for row in rows]) for code, rows in readings.items()}
    joint = woman.joint if setting.photos else None
    return weigh(expect(readings.keys(), {}, joint, None), readings, taped, limit)


def limit_for(women: list[Woman], setting: Setting) -> float:
    """The limit that so many sound entries pass."""
    nothing_dropped = 2.0
    chances = [
        doubts.chance(code)
        for woman in women
        for doubts in [weighed(woman, setting, typed_soundly(woman, setting), nothing_dropped)]
        for code in setting.codes
    ]
    return float(np.quantile(chances, 1 - FALSE_QUERIES))


def slip_in(
    name: str, code: str, woman: Woman, setting: Setting, rng: random.Random
) -> tuple[Typed, set[str]] | None:
    """What she types with a slip at a girth, and the codes that it spoils; None where it cannot."""
    slip, _, _ = SLIPS[name]
    typed = typed_soundly(woman, setting)
    if name == EXCHANGED:
        other = rng.choice([one for one in setting.codes if one != code])
        typed[code], typed[other] = typed[other], typed[code]
        return typed, {code, other}
    for k in range(setting.slipped):
        text, unit = slip(woman, float(woman.tape_mm[CODES.index(code), k]), rng)
        if not text or float(text.split("/")[0].split()[0]) <= 0:
            return None
        typed[code][k] = (text, unit)
    return typed, {code}
