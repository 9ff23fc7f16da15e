"""The girths of one body as one joint normal distribution: what the tape says of one tells others.

A few plain floats, so that reading the tape in needs no library of arrays.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ellwand.language import gettext_noop
from ellwand.measurements import Estimate

BUST_DIFFERENCE = "bust_difference"
BUST_DIFFERENCE_NAME = gettext_noop("full bust minus high bust")

# Half-width of the 95 % interval of a normal distribution over its standard uncertainty.
COVERAGE_FACTOR_95 = 1.96
# Beyond these is no girth: 1 km, and 1 m of uncertainty. The rest is room for rounded numbers.
_LARGEST_MM, _LARGEST_MM2, _ROUNDING_MM2 = 1e6, 1e6, 0.1
# A girth whose variance has shrunk to less than this part of itself is known as well as floating
# point can tell; what is left is noise, and an exact reading of it tells nothing more.
_KNOWN = 1e-12


@dataclass(frozen=True)
class Joint:
    """A joint normal distribution of girths.

    Args:
        codes: what they are, keys of `measurements.KINDS`.
        mean_mm: (k) best values.
        covariance_mm2: (k, k) rows, symmetric and positive semi-definite.
    """

    codes: tuple[str, ...]
    mean_mm: tuple[float, ...]
    covariance_mm2: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        sizes = {len(self.mean_mm), len(self.covariance_mm2), *map(len, self.covariance_mm2)}
        if sizes != {len(self.codes)} or len(set(self.codes)) < len(self.codes):
            raise ValueError("codes, means and covariances do not go together")

    def checked(self) -> "Joint":
        """The same, for numbers from outside that may be none of a distribution.

        Raises:
            ValueError: a number is beyond all girths, or the covariances are not symmetric or
                larger than the variances allow.
        """
        sizes = range(len(self.codes))
        rows = self.covariance_mm2
        if not all(abs(mean) <= _LARGEST_MM for mean in self.mean_mm):
            raise ValueError("a mean is no girth")
        if not all(0 <= rows[k][k] <= _LARGEST_MM2 for k in sizes):
            raise ValueError("a variance is none of a girth")
        for i in sizes:
            for j in sizes:
                most = math.sqrt(rows[i][i] * rows[j][j]) + _ROUNDING_MM2
                if not (rows[i][j] == rows[j][i] and abs(rows[i][j]) <= most):
                    raise ValueError("these are no covariances")
        return self

    def value_mm(self, code: str) -> float:
        """Best value of a girth."""
        return self.mean_mm[self.codes.index(code)]

    def u_mm(self, code: str) -> float:
        """Standard uncertainty of a girth."""
        k = self.codes.index(code)
        return math.sqrt(self.covariance_mm2[k][k])


def independent(girths: Mapping[str, tuple[float, float]]) -> Joint:
    """Girths that tell nothing about one another.

    Args:
        girths: by code, value and standard uncertainty, in millimetres.
    """
    return Joint(
        codes=tuple(girths),
        mean_mm=tuple(value for value, _ in girths.values()),
        covariance_mm2=tuple(
            tuple(u**2 if one == other else 0.0 for other in girths)
            for one, (_, u) in girths.items()
        ),
    )


def conditioned(joint: Joint, taped: Mapping[str, tuple[float, float]]) -> Joint:
    """The girths once some of them have been read off a tape.

    Readings are taken in one after the other, which comes to the same as all at once and divides
    by a sum of variances only, so that girths which go together exactly do no harm.

    Args:
        joint: what is known of the girths before.
        taped: by code, value and standard uncertainty of a reading, in millimetres, readings
            independent of one another and of the girths; codes that the joint lacks are passed
            over.

    Returns:
        The joint distribution given the readings, of the same codes.

    Raises:
        ValueError: an uncertainty is negative, or a number is not finite.

    Source: conditional of a multivariate normal distribution, mean + C h (y - mean) / s and
    C - C h h' C / s with s = h' C h + u^2.
    """
    mean = list(joint.mean_mm)
    covariance = [list(row) for row in joint.covariance_mm2]
    for k, code in enumerate(joint.codes):
        if code not in taped:
            continue
        value, u = taped[code]
        if not (math.isfinite(value) and math.isfinite(u) and u >= 0):
            raise ValueError(f"a reading of {code} is no value with an uncertainty")
        column = [row[k] for row in covariance]
        total = column[k] + u**2
        if total <= _KNOWN * joint.covariance_mm2[k][k]:
            continue
        off = (value - mean[k]) / total
        for i, one in enumerate(column):
            mean[i] += one * off
            for j, other in enumerate(column[: i + 1]):
                covariance[i][j] -= one * other / total
                covariance[j][i] = covariance[i][j]
            covariance[i][i] = max(covariance[i][i], 0.0)
    return Joint(joint.codes, tuple(mean), tuple(map(tuple, covariance)))


def difference(joint: Joint, one: str, other: str) -> tuple[float, float]:
    """A girth less another, whose common errors drop out.

    Args:
        joint: of both girths.
        one: code of the first.
        other: code of the one that is taken off.

    Returns:
        Value and standard uncertainty in millimetres.

    Raises:
        ValueError: the joint lacks one of them.
    """
    i, j = joint.codes.index(one), joint.codes.index(other)
    covariance = joint.covariance_mm2
    variance = covariance[i][i] + covariance[j][j] - 2 * covariance[i][j]
    return joint.mean_mm[i] - joint.mean_mm[j], math.sqrt(max(variance, 0.0))


def interval_95(value_mm: float, u_mm: float) -> tuple[float, float]:
    """The 95 % interval of a value with normally distributed error.

    Args:
        value_mm: the value.
        u_mm: its standard uncertainty.

    Returns:
        Lower and upper end in millimetres.
    """
    return value_mm - COVERAGE_FACTOR_95 * u_mm, value_mm + COVERAGE_FACTOR_95 * u_mm


def bust_difference(joint: Joint) -> Estimate | None:
    """Full bust minus high bust, of which the sewing cup is made, with a bound of its own.

    No tape can take it, so it is no key of `measurements.KINDS`.

    Args:
        joint: the girths.

    Returns:
        The estimate under the code `BUST_DIFFERENCE`, None when the joint lacks a bust girth.
    """
    if not {"full_bust", "high_bust"} <= set(joint.codes):
        return None
    value, u = difference(joint, "full_bust", "high_bust")
    return Estimate(BUST_DIFFERENCE, value, u, *interval_95(value, u), budget=())


def joint_of(
    codes: Iterable[str], mean_mm: Iterable[float], covariance_mm2: Iterable[Iterable[float]]
) -> Joint:
    """Girths from any kind of numbers, such as arrays.

    Args:
        codes: what they are.
        mean_mm: (k) best values.
        covariance_mm2: (k, k).
    """
    rows = (tuple(float(one) for one in row) for row in covariance_mm2)
    return Joint(tuple(codes), tuple(float(mean) for mean in mean_mm), tuple(rows))
