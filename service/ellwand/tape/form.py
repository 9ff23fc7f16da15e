"""How a number was typed, as evidence of the tape that it was read from.

Inches come in eighths, centimetres in tenths. A number like 36 3/8 that was taken for centimetres
is therefore one of inches, whatever the photos say.
"""

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from ellwand.quantity import Unit

Form = Literal["fraction", "whole", "half", "tenth", "quarter", "eighth", "fine"]

# How often each form is typed for a tape in each unit (judged); a column sums to 1.
FORMS: dict[Form, dict[Unit, float]] = {
    "fraction": {"cm": 0.002, "in": 0.45, "mm": 0.001},
    "whole": {"cm": 0.480, "in": 0.20, "mm": 0.960},
    "half": {"cm": 0.200, "in": 0.12, "mm": 0.010},
    "tenth": {"cm": 0.298, "in": 0.06, "mm": 0.026},
    "quarter": {"cm": 0.009, "in": 0.09, "mm": 0.001},
    "eighth": {"cm": 0.001, "in": 0.05, "mm": 0.001},
    "fine": {"cm": 0.010, "in": 0.03, "mm": 0.001},
}
# Half of the step that each form counts in, in units as typed.
_HALF_STEP: dict[Form, float] = {
    "fraction": 1 / 16,
    "whole": 1 / 2,
    "half": 1 / 4,
    "tenth": 1 / 20,
    "quarter": 1 / 8,
    "eighth": 1 / 16,
    "fine": 1 / 200,
}
_DECIMALS: dict[str, Form] = {
    "5": "half", "50": "half", "25": "quarter", "75": "quarter",
    "125": "eighth", "375": "eighth", "625": "eighth", "875": "eighth",
}  # fmt: skip


@dataclass(frozen=True)
class Typed:
    """What an entry looks like.

    Args:
        form: how its number is written.
        unit_named: whether a unit stands behind the number.
    """

    form: Form
    unit_named: bool

    @property
    def half_step(self) -> float:
        """How far off rounding may have put the number, in units as typed."""
        return _HALF_STEP[self.form]

    def likelihood_ratio(self, tape: Unit, taken: Unit) -> float:
        """How much likelier this form is for a tape in one unit than for one in another."""
        return FORMS[self.form][tape] / FORMS[self.form][taken]


def look_at(raw: str) -> Typed:
    """Tell how an entry was typed.

    >>> look_at("36 3/8")
    Typed(form='fraction', unit_named=False)
    >>> look_at("92,5 cm")
    Typed(form='half', unit_named=True)
    """
    plain = unicodedata.normalize("NFKC", raw).replace("\u2044", "/").lower()
    unit_named = bool(re.search(r"[a-z\"'\u2032\u2033\u2018-\u201e]", plain))
    number = re.search(r"[0-9]+(?:[.,]([0-9]+))?", plain)
    if "/" in plain:
        return Typed("fraction", unit_named)
    decimals = (number[1] or "") if number else ""
    if not decimals:
        return Typed("whole", unit_named)
    form: Form = "tenth" if len(decimals) == 1 else "fine"
    return Typed(_DECIMALS.get(decimals, form), unit_named)
