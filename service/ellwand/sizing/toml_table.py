"""Checked reading of a TOML table: every complaint names the line's key."""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from typing import TypeVar, get_args

from ellwand.language import gettext
from ellwand.quantity import Unit, converted

# No girth, length, ease or allowance of a block is longer; more is a wrong unit (judged).
LONGEST_MM = 3000.0

# Every name that is this much like a missing one is taken for it (judged).
_ALIKE = 0.75
# All names that a line can have, whatever its table, but for those that the workroom gives.
LINE_NAMES = frozenset(
    (
        *("name", "note", "unit", "cup", "drafted_cups", "cup_step", "sizes", "garment"),
        *("high_bust", "full_bust", "waist", "high_hip", "full_hip"),
        *("shoulder_width", "back_waist_length", "length_class", "petite", "regular", "tall"),
        *("stature_from", "stature_up_to", "back_waist_change", "hem_change", "sleeve_change"),
        *("fabric", "hem", "ease", "under_layer", "seam", "side_seams", "seam_allowance"),
        *("allowance_kept", "hem_allowance", "cuff", "cuff_girth", "stretch"),
        *("woven", "drapey-woven", "knit", "least", "drafted"),
    )
)
_T = TypeVar("_T")

_OF_A_SIZE = re.compile(r"sizes\[(\d+)\](?:\.(.+))?")


class LineProblem(Exception):
    """One line of a block file that cannot be right; said in the language of who reads it.

    Args:
        key: the line's key; members of a list are counted from 1, as in "sizes[3].waist".
        what: what is wrong with it, without a full stop; a text of the catalogues.
        values: what is put into it.
    """

    def __init__(self, key: "Key", what: str, **values: object) -> None:
        super().__init__(key)
        self.path = key.path
        self._key = key
        self._what = what
        self._values = values
        # Mistakes beside this one, so that all are put right in one round.
        self.others: tuple[LineProblem, ...] = ()

    def __str__(self) -> str:
        """Both."""
        return f"{self._key}: {gettext(self._what, **self._values)}"


@dataclass(frozen=True)
class Key:
    """The full key of a line, for a complaint.

    Args:
        path: the key itself.
        size: name of the size that it belongs to, empty where it belongs to none.
    """

    path: str
    size: str = ""

    def __str__(self) -> str:
        """For instance "size 4, waist"; the third of the sizes where its name is not known."""
        within = _OF_A_SIZE.fullmatch(self.path)
        if within is None:
            return self.path
        number, key = within.groups()
        if self.size:
            return gettext("size {size}, {key}", size=self.size, key=key)
        if key:
            return gettext("size number {number}, {key}", number=number, key=key)
        return gettext("size number {number}", number=number)


class Table:
    """One table of a block file, read key by key.

    Args:
        data: the table as TOML gives it.
        path: key of the table itself, empty for the whole file.
        mm_per_unit: what one unit of the file is.
        size: name of the size that it is of, empty where it is of none.
    """

    def __init__(
        self, data: Mapping[str, object], path: str = "", mm_per_unit: float = 1.0, size: str = ""
    ) -> None:
        self._data = data
        self._path = path
        self._mm_per_unit = mm_per_unit
        self._size = size
        self._read: set[str] = set()

    def key(self, name: str) -> Key:
        """The full key of an entry, for a complaint."""
        return Key(self._inner(name), self._size)

    def has(self, name: str) -> bool:
        """Whether the table has the entry."""
        return name in self._data

    def of_size(self, size: str) -> "Table":
        """The same table, with the size that it is of in complaints."""
        return self._again(self._mm_per_unit, size)

    def in_its_unit(self) -> "Table":
        """The same table, with its lengths read in the unit that its `unit` line states."""
        unit = self.choice("unit", get_args(Unit))
        return self._again(float(converted(Fraction(1), unit, "mm")), self._size)

    def text(self, name: str) -> str:
        """A text that is not empty.

        Raises:
            LineProblem: it is missing or no text.
        """
        value = self._entry(name)
        if not isinstance(value, str) or not value.strip():
            raise LineProblem(self.key(name), 'must be a text in quotation marks, such as "4"')
        return value.strip()

    def choice(self, name: str, allowed: Iterable[str]) -> str:
        """A text that is one of a few.

        Raises:
            LineProblem: it is missing or none of them.
        """
        value = self.text(name)
        choices = tuple(allowed)
        if value not in choices:
            raise LineProblem(self.key(name), "must be one of {names}", names=", ".join(choices))
        return value

    def choices(self, name: str, allowed: Iterable[str]) -> tuple[str, ...]:
        """A list of texts, each one of a few.

        Raises:
            LineProblem: it is missing, no list, or has another entry.
        """
        value = self._entry(name)
        known = tuple(allowed)
        if not isinstance(value, list) or not value or any(one not in known for one in value):
            raise LineProblem(
                self.key(name),
                'must be a list, such as ["{first}"], of {names}',
                first=known[0],
                names=", ".join(known),
            )
        return tuple(value)

    def count(self, name: str, most: int) -> int:
        """A whole number from one up to the most there can be.

        Raises:
            LineProblem: it is missing or no such number.
        """
        value = self._entry(name)
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise LineProblem(self.key(name), "must be a whole number from 1 to {most}", most=most)
        return value

    def share(self, name: str) -> float:
        """A share of more than none and at most the whole.

        Raises:
            LineProblem: it is missing or no such number.
        """
        value = self._number(name)
        if not 0 < value <= 1:
            raise LineProblem(
                self.key(name), "must be a share, such as {share} for a quarter", share="0.25"
            )
        return value

    def length_mm(self, name: str) -> float:
        """A length of zero or more, from the file's unit to millimetres.

        Raises:
            LineProblem: it is missing, no number, or below zero.
        """
        value = self.signed_length_mm(name)
        if value < 0:
            raise LineProblem(self.key(name), "must not be below zero")
        return value

    def signed_length_mm(self, name: str) -> float:
        """A length that may be below zero, from the file's unit to millimetres.

        Raises:
            LineProblem: it is missing or no number.
        """
        value = self._number(name) * self._mm_per_unit
        if abs(value) > LONGEST_MM:
            raise LineProblem(self.key(name), "is longer than 3 m (is the unit right?)")
        return value

    def table(self, name: str) -> "Table":
        """A table inside this one.

        Raises:
            LineProblem: it is missing or no table.
        """
        value = self._entry(name)
        if not isinstance(value, dict):
            raise LineProblem(self.key(name), "must be a table of its own")
        return Table(value, self._inner(name), self._mm_per_unit)

    def tables(self, name: str) -> list["Table"]:
        """A list of tables, at least one.

        Raises:
            LineProblem: it is missing, empty or no list of tables.
        """
        value = self._entry(name)
        if not isinstance(value, list) or not value:
            raise LineProblem(
                self.key(name), "must be a list of tables, each headed [[{name}]]", name=name
            )
        tables = []
        for number, item in enumerate(value, start=1):
            path = f"{self._inner(name)}[{number}]"
            if not isinstance(item, dict):
                raise LineProblem(Key(path), "must be a table of its own")
            tables.append(Table(item, path, self._mm_per_unit))
        return tables

    def names(self) -> tuple[str, ...]:
        """The keys of the table, in the file's order."""
        return tuple(self._data)

    def finish(self) -> None:
        """Refuse what nobody asked for: most often a misspelt key.

        Raises:
            LineProblem: a key is left that this table does not have.
        """
        for name in self._data:
            if name not in self._read:
                raise LineProblem(self.key(name), "no such line is known here (is it misspelt?)")

    def _again(self, mm_per_unit: float, size: str) -> "Table":
        table = Table(self._data, self._path, mm_per_unit, size)
        table._read = self._read
        return table

    def _number(self, name: str) -> float:
        value = self._entry(name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
            raise LineProblem(self.key(name), "must be a number, such as {number}", number="92.5")
        return float(value)

    def _inner(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def _entry(self, name: str) -> object:
        if name not in self._data:
            unknown = [one for one in self._data if one not in LINE_NAMES]
            for alike in get_close_matches(name, unknown, 1, _ALIKE):
                raise LineProblem(
                    self.key(alike),
                    "no such line is known here; perhaps {name} is meant",
                    name=name,
                )
            raise LineProblem(self.key(name), "this line is missing")
        self._read.add(name)
        return self._data[name]


def each(read: Callable[["Table"], _T], tables: Iterable["Table"]) -> tuple[_T, ...]:
    """Read tables one after the other, and those behind one that is wrong as well.

    Raises:
        LineProblem: the first one, with those of the other tables.
    """
    made, wrong = [], []
    for table in tables:
        try:
            made.append(read(table))
        except LineProblem as problem:
            wrong.append(problem)
    if wrong:
        wrong[0].others = tuple(wrong[1:])
        raise wrong[0]
    return tuple(made)


def _is_finite(value: int | float) -> bool:
    """Whether a number can be reckoned with; TOML has whole numbers of any length."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False
