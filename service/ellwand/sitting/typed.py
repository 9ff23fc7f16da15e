"""Lengths and weights as typed, as the record holds them."""

from ellwand.quantity import Length, Mass, Unit
from ellwand.sitting.part import Part


class Typed(Part):
    """A length as typed."""

    raw: str
    """The text, unchanged."""
    mm: float
    """Its value in millimetres."""
    unit: Unit
    """The unit it was typed in or taken to be in."""

    @classmethod
    def of(cls, length: Length) -> "Typed":
        """A parsed length as the file holds it."""
        return cls(raw=length.raw, mm=length.mm, unit=length.unit)


class TypedWeight(Part):
    """A weight as typed."""

    raw: str
    """The text, unchanged."""
    kg: float
    """Its value in kilograms."""

    @classmethod
    def of(cls, mass: Mass) -> "TypedWeight":
        """A parsed weight as the file holds it."""
        return cls(raw=mass.raw, kg=mass.kg)
