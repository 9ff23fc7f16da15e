"""What the tape gave: a reading as typed, a query about it, and a number that counts as a fact."""

from dataclasses import dataclass
from typing import Literal

from ellwand.quantity import Unit

Rule = Literal["range", "estimate", "women", "order", "repeats", "worn"]
SlipName = Literal[
    "wrong unit",
    "digits swapped",
    "tape read from its other end",
    "counted from the 10 cm mark",
    "a ten misread",
    "fields exchanged",
    "tape doubled",
    "decimal point lost",
    "tape crooked or loose",
    "size typed for a girth",
]


@dataclass(frozen=True)
class Reading:
    """One tape entry as the customer typed it.

    Args:
        code: key of `measurements.KINDS`.
        raw: the text, unchanged.
        mm: its value.
        unit: unit that the value was typed in or taken to be in.
    """

    code: str
    raw: str
    mm: float
    unit: Unit


@dataclass(frozen=True)
class Query:
    """A doubt about a reading, in words for the customer (its numbers never go into a log).

    Args:
        code: the measurement in doubt.
        rule: what it was judged by.
        sentence: what was entered, and what was to be expected.
        advice: one thing to do.
        cause: the likeliest slip in words, empty without one.
        z: distance from what is expected over its standard uncertainty, None where the rule has
            no expectation.
        probability: chance that a sound reading lies at least as far off, None without z.
        slip: likeliest cause, None when no slip explains the reading well.
        corrected_mm: value if that slip is undone, None when the slip leaves none to compute.
        against: code of the other measurement of an order rule.
        blocks: whether the measurement is held back; False marks a remark that needs no answer.
    """

    code: str
    rule: Rule
    sentence: str
    advice: str
    cause: str = ""
    z: float | None = None
    probability: float | None = None
    slip: SlipName | None = None
    corrected_mm: float | None = None
    against: str | None = None
    blocks: bool = True

    @property
    def told(self) -> str:
        """What is odd, and probably why."""
        return f"{self.sentence} {self.cause}".rstrip()


@dataclass(frozen=True)
class Confirmed:
    """A taped number that counts as a fact; besides an `Estimate` all that sizing takes.

    Args:
        code: key of `measurements.KINDS`.
        value_mm: median of the readings that count.
        u_mm: its standard uncertainty.
        reason: why the customer keeps it against a query or unrepeated, None when confirmed.
    """

    code: str
    value_mm: float
    u_mm: float
    reason: str | None = None
