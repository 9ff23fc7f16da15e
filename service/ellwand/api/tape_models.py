"""What is answered about measuring with the tape."""

from ellwand.api.base import Code, Model
from ellwand.sitting import Sitting, repeatability
from ellwand.tape import DROPS_MM, HowTo, Section, crooked, crooked_words, scatter


class CrookedRow(Model):
    """What a tape shows too much that drops at the back."""

    drop_mm: float
    """How much lower it lies at the back than in front."""
    adds_mm: float
    """What that adds to the girth."""


class CrookedView(Model):
    """What a crooked tape does to a girth."""

    words: str
    """What it is worked out for, and where it comes from."""
    rows: list[CrookedRow]
    """The least drop first."""

    @classmethod
    def of(cls, section: Section) -> "CrookedView":
        """As it is shown."""
        found = [crooked(section, drop_mm) for drop_mm in DROPS_MM]
        return cls(
            words=crooked_words(section),
            rows=[
                CrookedRow(drop_mm=one.drop_mm, adds_mm=round(one.together_mm, 2)) for one in found
            ],
        )


class Scatter(Model):
    """How far repeats of the same measurement scatter."""

    words: str
    """In words, in both units."""
    technical_error_mm: float
    """Technical error of measurement."""
    share: float
    """The same as a share of the mean reading."""
    measurements: int
    """How many measurements were repeated."""

    @classmethod
    def of(cls, record: Sitting) -> "Scatter | None":
        """Of a sitting; None where no repeats agree."""
        found = repeatability(record)
        if found is None:
            return None
        return cls(
            words=scatter(found, named=False),
            technical_error_mm=found.value_mm,
            share=found.share,
            measurements=found.measurements,
        )


class HowToPart(Model):
    """A part of how something is measured."""

    heading: str
    """What it tells."""
    words: str
    """It."""


class HowToView(Model):
    """How one person alone measures something."""

    parts: list[HowToPart]
    """Where the tape goes, what to wear, how to see that it lies right, how tight."""
    wrong: list[str]
    """What goes wrong."""

    @classmethod
    def of(cls, how: HowTo) -> "HowToView":
        """As it is shown."""
        parts = [HowToPart(heading=heading, words=words) for heading, words in how.parts()]
        return cls(parts=parts, wrong=list(how.wrong))


class KindView(Model):
    """Something that can be measured."""

    code: Code
    """Its code."""
    name: str
    """Its name."""
    taken: str
    """How it is taken, in one line."""
    clothed: bool
    """Whether what she wears about the trunk lies under the tape."""
    over_bra: bool
    """Whether a bra does, too."""
    how_to: HowToView
    """How she takes it alone."""
