"""What is measured, under which name, and what a value with doubt looks like.

Source: ISO 8559-1 for the definitions of the girths and lengths (as far as named there).
"""

from dataclasses import dataclass
from typing import Literal

from ellwand.language import gettext, gettext_noop

LevelCode = Literal["high_bust", "full_bust", "underbust", "waist", "high_hip", "full_hip"]
LEVELS: tuple[LevelCode, ...] = (
    "high_bust",
    "full_bust",
    "underbust",
    "waist",
    "high_hip",
    "full_hip",
)


@dataclass(frozen=True)
class Kind:
    """One thing that can be measured.

    Args:
        code: name in code and files.
        name: name on screens and on the card.
        taken: how it is taken, one line.
        plausible_mm: outer limits of an adult woman, lowest and highest; an entry outside is
            queried.
    """

    code: str
    name: str
    taken: str
    plausible_mm: tuple[float, float]

    def is_plausible(self, mm: float) -> bool:
        """Whether a length lies within the outer limits."""
        low, high = self.plausible_mm
        return low <= mm <= high


# Outer limits: judged, well outside the 1st and 99th percentiles of ANSUR II and NHANES 2015-2016.
_KINDS = (
    Kind(
        "stature",
        gettext_noop("height"),
        gettext_noop("floor to top of head, no shoes"),
        (1200, 2200),
    ),
    Kind(
        "high_bust",
        gettext_noop("high bust"),
        gettext_noop(
            "around the chest above the bust, straight under the armpits, level at the back"
        ),
        (550, 1900),
    ),
    Kind(
        "full_bust",
        gettext_noop("full bust"),
        gettext_noop("around the fullest part of the bust, level"),
        (600, 2200),
    ),
    Kind(
        "underbust",
        gettext_noop("underbust"),
        gettext_noop("directly below the bust"),
        (500, 1900),
    ),
    Kind(
        "waist",
        gettext_noop("waist"),
        gettext_noop("where a tied elastic comes to rest, between lowest ribs and hip bone"),
        (450, 2200),
    ),
    Kind(
        "high_hip",
        gettext_noop("high hip"),
        gettext_noop("over the hip bones, 9 cm (3 1/2 in) below the waist"),
        (550, 2300),
    ),
    Kind(
        "full_hip",
        gettext_noop("full hip"),
        gettext_noop("around the fullest part of the seat"),
        (600, 2400),
    ),
    Kind(
        "shoulder_width",
        gettext_noop("across shoulders"),
        gettext_noop("between shoulder points"),
        (250, 600),
    ),
    Kind(
        "back_waist_length",
        gettext_noop("back waist length"),
        gettext_noop("nape to waist along the centre back"),
        (280, 600),
    ),
    Kind(
        "shoulder_to_bust",
        gettext_noop("shoulder to bust point"),
        gettext_noop("along the body"),
        (150, 500),
    ),
    Kind(
        "arm_length",
        gettext_noop("arm length"),
        gettext_noop("shoulder point to wrist"),
        (400, 800),
    ),
    Kind(
        "upper_arm",
        gettext_noop("upper arm"),
        gettext_noop("around the fullest part of the upper arm"),
        (150, 700),
    ),
    Kind(
        "wrist",
        gettext_noop("wrist"),
        gettext_noop("around the wrist"),
        (100, 300),
    ),
    Kind(
        "hand",
        gettext_noop("hand"),
        gettext_noop("around the knuckles with the thumb tucked in"),
        (140, 350),
    ),
    Kind(
        "waist_to_hip",
        gettext_noop("waist to hip"),
        gettext_noop("vertical"),
        (80, 400),
    ),
    Kind(
        "inside_leg",
        gettext_noop("inside leg"),
        gettext_noop("crotch to floor"),
        (500, 1100),
    ),
)
KINDS: dict[str, Kind] = {kind.code: kind for kind in _KINDS}


@dataclass(frozen=True)
class BudgetShare:
    """What one input contributes to the doubt of a value.

    Args:
        source: the input, in the words that it is kept in.
        share: its part of the variance, 0 to 1; the shares of a budget sum to 1.
    """

    source: str
    share: float


# How sittings keep this input; `source_words` says it in plainer words.
PEOPLE = "women unlike the model's bodies"
_PLAINER = {PEOPLE: gettext_noop("differences in build")}


def source_words(source: str) -> str:
    """An input of a budget as it is said.

    Args:
        source: as it is kept, in English.
    """
    return gettext(_PLAINER.get(source, source))


@dataclass(frozen=True)
class Estimate:
    """A value from photos with its doubt; never a fact for the size engine.

    Args:
        code: key of `KINDS`.
        value_mm: best value.
        u_mm: standard uncertainty (JCGM 100).
        low_mm: lower end of the 95 % coverage interval.
        high_mm: upper end of it.
        budget: shares of the variance by input, largest first.
        breadth_mm: extent seen from the front at the level, None for a length.
        depth_mm: extent seen from the side at the level, None for a length.
        height_mm: height of the level over the floor, None for a length.
    """

    code: str
    value_mm: float
    u_mm: float
    low_mm: float
    high_mm: float
    budget: tuple[BudgetShare, ...]
    breadth_mm: float | None = None
    depth_mm: float | None = None
    height_mm: float | None = None
