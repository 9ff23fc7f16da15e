"""Invented women for tests of the tape: what photos would show of them, and typed entries."""

from collections.abc import Mapping, Sequence

from ellwand.girth.joint import Joint
from ellwand.measurements import LEVELS, Estimate
from ellwand.quantity import Unit
from ellwand.tape import Judged, Reading, enter, judge, summarise
from ellwand.tape.doubt import LIMITS, Doubts, Limits, weigh
from ellwand.tape.expect import expect

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


def tied(correlation: float, u_mm: float = 20.0) -> Joint:
    """The girths of `PHOTOS` together, each pair with the same correlation."""
    rows = (
        tuple(u_mm**2 * (1.0 if one == other else correlation) for other in LEVELS)
        for one in LEVELS
    )
    return Joint(LEVELS, tuple(PHOTOS_MM[code] for code in LEVELS), tuple(rows))


def entered(entries: Mapping[str, str], unit: Unit = "cm") -> dict[str, list[Reading]]:
    """Readings of entries, repeats parted by a bar."""
    return {
        code: [enter(code, text, unit) for text in texts.split("|")]
        for code, texts in entries.items()
    }


def judged(
    entries: Mapping[str, str],
    photos: Mapping[str, Estimate],
    unit: Unit = "cm",
    joint: Joint | None = None,
) -> dict[str, Judged]:
    """Judge entries."""
    return judge(entered(entries, unit), photos, joint)


def doubts(
    readings: Mapping[str, Sequence[Reading]],
    photos: Mapping[str, Estimate],
    joint: Joint | None = None,
    limits: Limits = LIMITS,
) -> Doubts:
    """Weigh readings."""
    taped = {code: summarise([row.mm for row in rows]) for code, rows in readings.items()}
    return weigh(expect(readings.keys(), photos, joint, None), readings, taped, limits)
