"""The height that photos are judged by: read, and held to what adults have."""

from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS
from ellwand.quantity import LargeUnit, Length, Unit, run_together
from ellwand.sitting.record import SittingUnit
from ellwand.sitting.refused_entries import in_another_unit
from ellwand.tape import Reading, enter, look_at

HEIGHT = "stature"
_UNITS: tuple[Unit | LargeUnit, ...] = ("mm", "cm", "in", "m")
_FAR: tuple[LargeUnit, ...] = ("m",)


def height_of_photos(text: str, unit: SittingUnit) -> Reading:
    """Read the height that photos are judged by.

    Args:
        text: what was typed.
        unit: of a bare number.

    Raises:
        EntryProblem: the text is not a height, or none that photos can be measured by.
    """
    reading = enter(HEIGHT, text, unit)
    if not is_a_height(reading):
        raise EntryProblem(
            "stature-implausible",
            "Photos cannot be measured by a height like this.",
            'Check the number and type it with its unit, like "168 cm" or "5 ft 6 in".',
        )
    # Nobody is asked who has typed the unit behind so many inches.
    if not look_at(text).unit_named and run_together(text):
        raise EntryProblem(
            "stature-without-unit",
            'Feet may be missing here; a height in inches alone needs its unit, like "58 in".',
            'Type it like "5 ft 6 in", or with its unit if it is in inches alone.',
        )
    return reading


def is_a_height(length: Length | Reading) -> bool:
    """Whether adults are as tall as this."""
    return KINDS[HEIGHT].is_plausible(length.mm)


def height_meant(text: str) -> Length | None:
    """What a height that cannot be used may be: feet and inches, or one in another unit.

    Args:
        text: as typed.
    """
    in_feet = run_together(text)
    if in_feet and is_a_height(in_feet):
        return in_feet
    return in_another_unit(text, _UNITS, is_a_height, _FAR)
