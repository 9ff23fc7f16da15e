"""Lengths written as somebody would type them, for the parser to read again."""

from decimal import Decimal
from fractions import Fraction

from ellwand.quantity import DENOMINATORS, Unit


def typed(value: Fraction, unit: Unit) -> str:
    """A length as text: inches of a ruler as whole and fraction, all else as a decimal that ends.

    Args:
        value: its exact number in the unit.
        unit: the unit.
    """
    whole, rest = divmod(value, 1)
    if unit == "in" and rest.denominator in DENOMINATORS:
        return " ".join([*([str(whole)] if whole else []), *([str(rest)] if rest else []), "in"])
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f} {unit}"
