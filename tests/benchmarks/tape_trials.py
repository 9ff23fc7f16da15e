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
from ellwand.tape.doubt import LIMITS, Doubts, Limits
from ellwand.tape.judge import doubts_about
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM

Floats = npt.NDArray[np.float64]
CODES = tuple(survey.COLUMNS)
FOLDS = 5
PHOTO_SD_MM = 4.0
FALSE_QUERIES = 0.01
# Of sound entries, those that are told a slip as one way in which two readings may differ.
FALSELY_TOLD = 0.15
SEED = 5
# Nobody reads a girth oftener than this.
MOST = 5
# What a band leaves out of a full bust; ASTM D5585-11e1, table 1, has 5 3/8 to 6 3/8 in.
BAND_MM = (120.0, 180.0)


@dataclass(frozen=True)
class Woman:
    """A woman of the survey as a customer.

    Args:
        tape_mm: (3, MOST) what her tape shows, each time that she measures a girth.
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

    def meant_mm(self, code: str, count: int) -> float:
        """What so many of her readings of a girth come to when nothing slips."""
        return summarise(self.tape_mm[CODES.index(code)][:count].tolist()).value_mm

    def typing(self, tenths: bool | None) -> "Woman":
        """The same woman, who types tenths or does not; None as she does."""
        return self if tenths is None else replace(self, tenths=tenths)


Readings = dict[str, list[Reading]]
"""By code."""
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


NO_SLIP = "no slip"
# Name in the table: slip, the name it should be given, whether the girths before the slip need
# tenths (True), whole numbers (False), or either (None).
SLIPS: dict[str, tuple[Slip, str | None, bool | None]] = {
    NO_SLIP: (_to(lambda mm, _: mm), None, None),
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
    # Of a girth that is drawn by `slip_in`.
    "number of another girth": (_to(lambda mm, _: mm), "fields exchanged", None),
}  # fmt: skip
EXCHANGED, BAND, OF_ANOTHER = "fields exchanged", "bra band typed", "number of another girth"


@dataclass(frozen=True)
class Setting:
    """How the women measure.

    Args:
        title: over the table.
        repeated: whether each girth is read twice, and once more while readings are too far apart.
        again: whether the slip is in every reading and not in the first alone.
        codes: the girths read.
        photos: whether there are photos.
    """

    title: str
    repeated: bool
    again: bool
    codes: tuple[str, ...] = CODES
    photos: bool = True


ONCE = Setting("one reading of each girth", repeated=False, again=True)
IN_ONE = Setting("each girth read until readings agree, the slip in the first", True, again=False)
IN_ALL = Setting("each girth read until readings agree, the slip in all", True, again=True)
NO_PHOTOS = Setting(
    "no photos: height, bust and hip, one reading each", False, True, ("full_bust", "full_hip"),
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
    tape = girths[:, :, None] + common + rng.normal(0.0, REPEAT_SD_MM, (count, len(CODES), MOST))
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


def read(
    woman: Woman, setting: Setting, code: str, slip: Slip, rng: random.Random
) -> list[Reading]:
    """Let her read a girth as the setting has it, with a slip in what she types.

    Returns:
        Her readings; none where she cannot slip like that.
    """
    found: list[Reading] = []
    shown = woman.tape_mm[CODES.index(code)]
    for mm in shown if setting.repeated else shown[:1]:
        slips = setting.again or not found
        text, unit = slip(woman, mm, rng) if slips else (woman.typed(mm), "cm")
        if not text or float(text.split("/")[0].split()[0]) <= 0:
            return []
        found.append(enter(code, text, "in" if unit == "in" else "cm"))
        if len(found) > 1 and summarise([one.mm for one in found]).agree:
            break
    return found


def read_soundly(woman: Woman, setting: Setting) -> Readings:
    """What she reads when nothing slips."""
    no_slip, rng = SLIPS[NO_SLIP][0], random.Random(0)  # noqa: S311, a trial and no secret
    return {code: read(woman, setting, code, no_slip, rng) for code in setting.codes}


def weighed(woman: Woman, setting: Setting, readings: Readings, limits: Limits) -> Doubts:
    """Judge what a woman read as the package does."""
    given = dict(readings)
    if not setting.photos:
        given["stature"] = [enter("stature", f"{woman.stature_mm / 10:.0f}", "cm")]
    return doubts_about(given, {}, woman.joint if setting.photos else None, None, limits)


def limits_for(women: list[Woman], setting: Setting) -> Limits:
    """The limits that so many sound entries pass, each for itself."""
    nothing_dropped = Limits(2.0, 2.0, 2.0)
    final, apart = [], []
    for woman in women:
        readings = read_soundly(woman, setting)
        doubts = weighed(woman, setting, readings, nothing_dropped)
        final += [doubts.chance(code) for code in setting.codes]
        for code, rows in readings.items():
            # Entries that agree at once are told no slip, as if nothing could be wrong.
            apart.append(0.0)
            if len(rows) > 2:
                first = {**readings, code: rows[:2]}
                apart[-1] = weighed(woman, setting, first, nothing_dropped).chance(code)
    limit = float(np.quantile(final, 1 - FALSE_QUERIES))
    told = float(np.quantile(apart, 1 - FALSELY_TOLD))
    return Limits(LIMITS.once if setting.repeated else limit, limit, told)


def slip_in(
    name: str, code: str, woman: Woman, setting: Setting, rng: random.Random
) -> tuple[Readings, set[str]] | None:
    """What she reads with a slip at a girth, and the codes that it spoils; None where it cannot."""
    readings = read_soundly(woman, setting)
    if name in (EXCHANGED, OF_ANOTHER):
        other = rng.choice([one for one in setting.codes if one != code])
        here, there = readings[code], readings[other]
        if name == OF_ANOTHER:
            copied = there[0].raw
            readings[code] = read(woman, setting, code, lambda *_: (copied, "cm"), rng)
            return readings, {code}
        readings[code] = [replace(one, code=code) for one in there]
        readings[other] = [replace(one, code=other) for one in here]
        return readings, {code, other}
    readings[code] = read(woman, setting, code, SLIPS[name][0], rng)
    return (readings, {code}) if readings[code] else None
