"""Checked reading of a TOML table: every complaint names the line's key."""

import math
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import get_args

from ellwand.quantity import Unit, converted

# No girth, length, ease or allowance of a block is longer; more is a wrong unit (judged).
LONGEST_MM = 3000.0


class WrongLine(Exception):
    """One line of a block file that cannot be right.

    Args:
        key: the line's key; members of a list are counted from 1, as in "sizes[3].waist".
        what: what is wrong with it, without a full stop.
    """

    def __init__(self, key: str, what: str) -> None:
        super().__init__(f"{key}: {what}")
        self.key = key
        self.what = what


class Table:
    """One table of a block file, read key by key.

    Args:
        data: the table as TOML gives it.
        path: key of the table itself, empty for the whole file.
        mm_per_unit: what one unit of the file is.
        label: what to call the table beside its key, such as "size 4".
    """

    def __init__(
        self, data: Mapping[str, object], path: str = "", mm_per_unit: float = 1.0, label: str = ""
    ) -> None:
        self._data = data
        self._path = path
        self._mm_per_unit = mm_per_unit
        self._label = label
        self._read: set[str] = set()

    def key(self, name: str) -> str:
        """The full key of an entry, for a complaint.

        Returns:
            For instance "sizes[3].waist (size 4)".
        """
        full = f"{self._path}.{name}" if self._path else name
        return f"{full} ({self._label})" if self._label else full

    def has(self, name: str) -> bool:
        """Whether the table has the entry."""
        return name in self._data

    def called(self, label: str) -> "Table":
        """The same table, called by a name in complaints."""
        return self._again(self._mm_per_unit, label)

    def in_its_unit(self) -> "Table":
        """The same table, with its lengths read in the unit that its `unit` line states."""
        unit = self.choice("unit", get_args(Unit))
        return self._again(float(converted(Fraction(1), unit, "mm")), self._label)

    def text(self, name: str) -> str:
        """A text that is not empty.

        Raises:
            WrongLine: it is missing or no text.
        """
        value = self._entry(name)
        if not isinstance(value, str) or not value.strip():
            raise WrongLine(self.key(name), 'must be a text in quotation marks, such as "4"')
        return value.strip()

    def choice(self, name: str, allowed: Iterable[str]) -> str:
        """A text that is one of a few.

        Raises:
            WrongLine: it is missing or none of them.
        """
        value = self.text(name)
        choices = tuple(allowed)
        if value not in choices:
            raise WrongLine(self.key(name), f"must be one of {', '.join(choices)}")
        return value

    def choices(self, name: str, allowed: Iterable[str]) -> tuple[str, ...]:
        """A list of texts, each one of a few.

        Raises:
            WrongLine: it is missing, no list, or has another entry.
        """
        value = self._entry(name)
        known = tuple(allowed)
        if not isinstance(value, list) or not value or any(one not in known for one in value):
            raise WrongLine(
                self.key(name), f'must be a list, such as ["{known[0]}"], of {", ".join(known)}'
            )
        return tuple(value)

    def count(self, name: str, most: int) -> int:
        """A whole number from one up to the most there can be.

        Raises:
            WrongLine: it is missing or no such number.
        """
        value = self._entry(name)
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise WrongLine(self.key(name), f"must be a whole number from 1 to {most}")
        return value

    def share(self, name: str) -> float:
        """A share of more than none and at most the whole.

        Raises:
            WrongLine: it is missing or no such number.
        """
        value = self._number(name)
        if not 0 < value <= 1:
            raise WrongLine(self.key(name), "must be a share, such as 0.25 for a quarter")
        return value

    def length_mm(self, name: str) -> float:
        """A length of zero or more, from the file's unit to millimetres.

        Raises:
            WrongLine: it is missing, no number, or below zero.
        """
        value = self.signed_length_mm(name)
        if value < 0:
            raise WrongLine(self.key(name), "must not be below zero")
        return value

    def signed_length_mm(self, name: str) -> float:
        """A length that may be below zero, from the file's unit to millimetres.

        Raises:
            WrongLine: it is missing or no number.
        """
        value = self._number(name) * self._mm_per_unit
        if abs(value) > LONGEST_MM:
            raise WrongLine(self.key(name), "is longer than 3 m; is the unit right?")
        return value

    def table(self, name: str) -> "Table":
        """A table inside this one.

        Raises:
            WrongLine: it is missing or no table.
        """
        value = self._entry(name)
        if not isinstance(value, dict):
            raise WrongLine(self.key(name), "must be a table of its own")
        return Table(value, self._inner(name), self._mm_per_unit)

    def tables(self, name: str) -> list["Table"]:
        """A list of tables, at least one.

        Raises:
            WrongLine: it is missing, empty or no list of tables.
        """
        value = self._entry(name)
        if not isinstance(value, list) or not value:
            raise WrongLine(self.key(name), f"must be a list of tables, each headed [[{name}]]")
        tables = []
        for number, item in enumerate(value, start=1):
            path = f"{self._inner(name)}[{number}]"
            if not isinstance(item, dict):
                raise WrongLine(path, "must be a table of its own")
            tables.append(Table(item, path, self._mm_per_unit))
        return tables

    def names(self) -> tuple[str, ...]:
        """The keys of the table, in the file's order."""
        return tuple(self._data)

    def finish(self) -> None:
        """Refuse what nobody asked for: most often a misspelt key.

        Raises:
            WrongLine: a key is left that this table does not have.
        """
        for name in self._data:
            if name not in self._read:
                raise WrongLine(self.key(name), "no such line is known here; is it misspelt?")

    def _again(self, mm_per_unit: float, label: str) -> "Table":
        table = Table(self._data, self._path, mm_per_unit, label)
        table._read = self._read
        return table

    def _number(self, name: str) -> float:
        value = self._entry(name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
            raise WrongLine(self.key(name), "must be a number, such as 92.5")
        return float(value)

    def _inner(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def _entry(self, name: str) -> object:
        if name not in self._data:
            raise WrongLine(self.key(name), "this line is missing")
        self._read.add(name)
        return self._data[name]


def _is_finite(value: int | float) -> bool:
    """Whether a number can be reckoned with; TOML has whole numbers of any length."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False
