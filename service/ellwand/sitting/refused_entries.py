"""Several entries of one form: what cannot be used of them is gathered, and told at once."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import TypeVar

from ellwand.errors import EntryProblem
from ellwand.language import gettext, gettext_noop
from ellwand.listing import listed
from ellwand.quantity import LargeUnit, Length, Mass, Unit, with_sign
from ellwand.shown import sign_of
from ellwand.tape import readable

T = TypeVar("T")

# The field of a measurement's entries.
READINGS = "entries"
_NAMES = {
    "stature": gettext_noop("Height"),
    "check_bars": gettext_noop("Check bar"),
    "standoff_front": gettext_noop("Standoff in the front photo"),
    "standoff_side": gettext_noop("Standoff in the side photo"),
    "focal_35mm": gettext_noop("Focal length"),
    "weight": gettext_noop("Weight"),
}


@dataclass(frozen=True)
class RefusedEntry:
    """An entry that cannot be used.

    Args:
        where: its field, and of several in one field its number, counted from 0.
        problem: why.
        meant: what was meant, where that can be told.
    """

    where: tuple[str | int, ...]
    problem: EntryProblem
    meant: Length | Mass | None = None


class EntriesRefused(EntryProblem):
    """One or more entries of a form cannot be used.

    Args:
        entries: all of them, at least one; the code is that of the first.
    """

    def __init__(self, entries: Sequence[RefusedEntry]) -> None:
        self.entries = tuple(entries)
        first = entries[0].problem
        super().__init__(first.code, *first.texts, **first.values)

    @property
    def sentence(self) -> str:
        """What is wrong; of several entries each is named in the advice."""
        if len(self.entries) == 1:
            return super().sentence
        return gettext("Several entries cannot be used.")

    @property
    def advice(self) -> str:
        """What to do, entry by entry; what is wrong with several alike is said once."""
        if len(self.entries) == 1:
            return super().advice
        named: dict[str, list[str]] = {}
        for one in self.entries:
            name = _called(one.where)
            names = named.setdefault(str(one.problem), [])
            if name not in names:
                names.append(name)
        return " ".join(f"{listed(names)}: {problem}" for problem, names in named.items())


def _called(where: tuple[str | int, ...]) -> str:
    """A field as it is called; entries of one measurement by their number."""
    field, *number = where
    if field == READINGS:
        return gettext("Entry {number}", number=int(number[0]) + 1)
    return gettext(_NAMES[str(field)])


class Entries:
    """Entries that are read one after the other; those that cannot be used are gathered."""

    def __init__(self) -> None:
        self._refused: list[RefusedEntry] = []

    def read(
        self,
        where: tuple[str | int, ...],
        reading: Callable[[], T],
        meant: Callable[[], Length | Mass | None] = lambda: None,
    ) -> T | None:
        """What an entry says; None for one that cannot be used.

        Args:
            where: its field.
            reading: reads it.
            meant: looks what may be meant by one that cannot be used.
        """
        try:
            return reading()
        except EntryProblem as problem:
            self._refused.append(RefusedEntry(where, problem, meant()))
            return None

    def check(self) -> None:
        """Say all that could not be used.

        Raises:
            EntriesRefused: there was something.
        """
        if self._refused:
            raise EntriesRefused(self._refused)


def in_another_unit(
    text: str,
    units: Sequence[Unit | LargeUnit],
    fits: Callable[[Length], bool],
    also: Collection[LargeUnit] = (),
) -> Length | None:
    """The same number with the one unit that makes sense of it; None where none does, or several.

    Args:
        text: as typed, with or without a unit.
        units: that it may have.
        fits: whether a length makes sense.
        also: larger units that such an entry may have.
    """
    texts = [with_sign(text, sign_of(unit)) for unit in units]
    # Each has its unit, so none is ever taken.
    found = [one for text in texts if (one := readable(text, "mm", also)) and fits(one)]
    return found[0] if len(found) == 1 else None
