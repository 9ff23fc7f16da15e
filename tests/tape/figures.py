"""Invented women for tests of the tape: what photos would show of them, and typed entries."""

from collections.abc import Mapping

from ellwand.measurements import Estimate
from ellwand.quantity import Unit
from ellwand.tape import Judged, enter, judge

PHOTOS_MM = {
    "high_bust": 900.0,
    "full_bust": 950.0,
    "underbust": 800.0,
    "waist": 760.0,
    "high_hip": 920.0,
    "full_hip": 1010.0,
}


def estimate(code: str, value_mm: float, u_mm: float = 20.0) -> Estimate:
    """An estimate with a normal bound."""
    bound = 1.96 * u_mm
    return Estimate(code, value_mm, u_mm, value_mm - bound, value_mm + bound, ())


PHOTOS = {code: estimate(code, mm) for code, mm in PHOTOS_MM.items()}


def judged(
    entries: Mapping[str, str], photos: Mapping[str, Estimate], unit: Unit = "cm"
) -> dict[str, Judged]:
    """Judge entries, repeats parted by a bar."""
    readings = {
        code: [enter(code, text, unit) for text in texts.split("|")]
        for code, texts in entries.items()
    }
    return judge(readings, photos)
