"""What is expected of every measurement before the tape: one joint normal distribution.

Girths seen in photos are normal in millimetres, as the photos' posterior has them. Everything else
is normal on a stretched scale: height and girths without photos as women have them, one joint
distribution; any other length as its plausible range says.
"""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from ellwand.girth.joint import Joint, conditioned
from ellwand.girth.people import Stretch, part_of, people
from ellwand.measurements import KINDS, LEVELS, Estimate
from ellwand.tape.repeats import Taped

# A plausible range is taken for the middle 99 % of women (judged).
_RANGE_Z = 2.576


@dataclass(frozen=True)
class Expected:
    """What is known of some measurements.

    Args:
        joint: of all of them, on their scales.
        scales: of those that are not in plain millimetres.
        seen: codes of those that photos show.
    """

    joint: Joint
    scales: Mapping[str, Stretch]
    seen: frozenset[str]

    def on_scale(self, code: str, mm: float, u_mm: float) -> tuple[float, float]:
        """A length above 0 and its uncertainty on the measurement's scale."""
        scale = self.scales.get(code)
        return (scale.of(mm), u_mm * scale.slope(mm)) if scale else (mm, u_mm)

    def log_slope(self, code: str, mm: float) -> float:
        """Log of the factor from a density on the scale to one in millimetres."""
        scale = self.scales.get(code)
        return math.log(scale.slope(mm)) if scale else 0.0

    def off_scale(self, code: str, x_mm: float) -> float:
        """The length in millimetres of a value on the measurement's scale."""
        scale = self.scales.get(code)
        return scale.back(x_mm) if scale else x_mm

    def given(self, taped: Mapping[str, Taped]) -> "Expected":
        """The same once some measurements have been taped."""
        facts = {code: self.on_scale(code, one.value_mm, one.u_mm) for code, one in taped.items()}
        return Expected(conditioned(self.joint, facts), self.scales, self.seen)

    def tells(self, one: str, other: str) -> bool:
        """Whether a reading of one measurement says anything of another."""
        i, j = self.joint.codes.index(one), self.joint.codes.index(other)
        return i != j and self.joint.covariance_mm2[i][j] != 0.0

    def normal(self, code: str) -> tuple[float, float]:
        """Mean and variance of a measurement, on its scale."""
        k = self.joint.codes.index(code)
        return self.joint.mean_mm[k], self.joint.covariance_mm2[k][k]


def expect(
    codes: Collection[str],
    estimates: Mapping[str, Estimate],
    joint: Joint | None,
    mass_kg: float | None,
) -> Expected:
    """What is expected of the measurements that were read, and of all girths that may be known.

    Args:
        codes: what was read.
        estimates: from photos, by code; may be empty.
        joint: of the girths from photos; None when they tell nothing of one another.
        mass_kg: her weight, if she told it.

    Returns:
        Expectations of `codes`, and of the girths that photos show, or of all six without photos.
    """
    shown = joint if joint is not None else Joint((), (), ())
    seen = {*shown.codes, *estimates}
    women = people(mass_kg)
    parts = [part_of(shown, [code for code in LEVELS if code in shown.codes])]
    scales: dict[str, Stretch] = {}
    wanted = set(codes) | {code for code in LEVELS if code in seen}
    if seen.isdisjoint(LEVELS):
        wanted |= set(LEVELS)
        parts.append(women.joint)
        scales |= women.scales
    for code in (code for code in KINDS if code in wanted):
        if any(code in part.codes for part in parts):
            continue
        if code in estimates:
            parts.append(_one(code, estimates[code].value_mm, estimates[code].u_mm))
        elif code in women.joint.codes:
            parts.append(part_of(women.joint, [code]))
            scales[code] = women.scales[code]
        else:
            low, high = KINDS[code].plausible_mm
            scales[code] = Stretch(math.sqrt(low * high))
            sd = scales[code].centre_mm * math.log(high / low) / (2 * _RANGE_Z)
            parts.append(_one(code, scales[code].centre_mm, sd))
    return Expected(_side_by_side(parts), scales, frozenset(seen))


def _one(code: str, mean_mm: float, sd_mm: float) -> Joint:
    return Joint((code,), (mean_mm,), ((sd_mm**2,),))


def _side_by_side(parts: list[Joint]) -> Joint:
    """Distributions that tell nothing of one another, as one."""
    codes = tuple(code for part in parts for code in part.codes)
    rows, before = [], 0
    for part in parts:
        after = len(codes) - before - len(part.codes)
        rows += [(0.0,) * before + row + (0.0,) * after for row in part.covariance_mm2]
        before += len(part.codes)
    return Joint(codes, tuple(mean for part in parts for mean in part.mean_mm), tuple(rows))
