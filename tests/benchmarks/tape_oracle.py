"""The best judge of all: what no rule can better, whatever it is made of.

This judge knows all that a rule could know: the girth as a normal variable given the photos and her
other readings, the doubt of her tape, how each slip turns what the tape shows into what is typed,
and how often a slip comes again. Its women type tenths of a centimetre. What is left to it is what
the numbers do not tell.
"""

import itertools
import math
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize
from scipy.special import ndtr

from ellwand.tape import summarise
from ellwand.tape.repeats import COMMON_SD_MM, REPEAT_SD_MM

from .tape_trials import MOST, Floats


class Typed(NamedTuple):
    """A number of centimetres with one decimal: its value in mm, and how many figures it has."""

    mm: int
    figures: int


# Values that the tape may have shown, in mm, each with the density that it lends the typed number.
Shown = list[tuple[float, float]]


@dataclass(frozen=True)
class Slip:
    """A slip as it happens.

    Args:
        again: share of it that spoils every repeat alike, and not one alone.
        make: from what the tape shows, in mm, to what is typed; None where it cannot happen.
        undo: what the tape may have shown.
    """

    again: float
    make: Callable[[float, random.Random], Typed | None]
    undo: Callable[[Typed], Shown]


@dataclass(frozen=True)
class Case:
    """A girth of a woman before she measures it, in mm.

    Args:
        code: which.
        mean_mm: given the photos and her other readings.
        variance_mm2: of the same.
    """

    code: str
    mean_mm: float
    variance_mm2: float


def most_caught(distances: Floats, false_share: float) -> float:
    """Most of a slip that any rule catches, where it moves one normal reading to another.

    Args:
        distances: for each woman, by how many standard deviations the slip moves her mean.
        false_share: of sound readings of all women together that may be queried.

    Returns:
        The share of slips caught.

    Source: Neyman-Pearson lemma. The log ratio of N(d, 1) to N(0, 1) at z is d z - d^2 / 2; it
    passes one threshold k of all women with the chances Phi(-k / d - d / 2) when sound and
    Phi(d / 2 - k / d) when not.
    """
    d = np.maximum(distances, 1e-9)
    low, high = -1e3, 1e3
    while high - low > 1e-9:
        middle = (low + high) / 2
        too_many = ndtr(-middle / d - d / 2).mean() > false_share
        low, high = (middle, high) if too_many else (low, middle)
    return float(ndtr(d / 2 - high / d).mean())


def linear(factor: float, step_mm: float, again: float) -> Slip:
    """A slip that turns a length x into factor x + step."""

    def make(mm: float, _: random.Random) -> Typed | None:
        return typed(round(factor * mm + step_mm))

    def undo(seen: Typed) -> Shown:
        if seen != typed(seen.mm):
            return []
        return [((seen.mm - step_mm) / factor, 1 / abs(factor))]

    return Slip(again, make, undo)


def typed(mm: int) -> Typed | None:
    """A length as it is typed, 5 mm as 0.5; None where there is none."""
    return Typed(mm, max(2, len(str(mm)))) if mm > 0 else None


def swapped(again: float) -> Slip:
    """Two neighbouring figures change places, each pair that differs equally likely."""
    return Slip(again, _swap, _unswap)


def _swap(mm: float, rng: random.Random) -> Typed | None:
    sound = typed(round(mm))
    turned = _turned(sound) if sound else []
    return rng.choice(turned) if turned else None


def _turned(seen: Typed) -> list[Typed]:
    """All that one swap of figures that differ makes of a number."""
    text = str(seen.mm).zfill(seen.figures)
    pairs = [k for k in range(len(text) - 1) if text[k] != text[k + 1]]
    texts = [text[:k] + text[k + 1] + text[k] + text[k + 2 :] for k in pairs]
    return [Typed(int(one), seen.figures) for one in texts]


def _unswap(seen: Typed) -> Shown:
    return [(one.mm, 1 / len(_turned(one))) for one in _turned(seen) if one == typed(one.mm)]


SOUND = linear(1.0, 0.0, again=1.0)


def density(rows: Sequence[Shown], case: Case) -> float:
    """Density of repeats of a girth, each of which the tape may have shown in several ways."""
    if not all(rows):
        return 0.0
    ways = list(itertools.product(*rows))
    x = np.array([[mm for mm, _ in way] for way in ways], dtype=float)
    weights = np.array([math.prod(weight for _, weight in way) for way in ways])
    count, mean = x.shape[1], x.mean(axis=1)
    own = REPEAT_SD_MM**2
    between = case.variance_mm2 + COMMON_SD_MM**2 + own / count
    spread = ((x - mean[:, None]) ** 2).sum(axis=1)
    logs = (mean - case.mean_mm) ** 2 / between + math.log(between) + spread / own
    logs += (count - 1) * math.log(own) + math.log(count) + count * math.log(2 * math.pi)
    return float(weights @ np.exp(-logs / 2))


def is_apart(rows: Sequence[Typed]) -> bool:
    """Whether two readings ask for a third."""
    return len(rows) == 2 and not summarise([row.mm for row in rows]).agree


def densities(rows: Sequence[Typed], case: Case, slips: Mapping[str, Slip]) -> list[float]:
    """Density of what was typed when sound, and with each slip, as the benchmark counts it.

    Two readings that are apart are judged at once where the slip is in one of them; where it is in
    all, only what she reads in the end is judged.
    """
    sound = [SOUND.undo(row) for row in rows]
    found = [density(sound, case)]
    for slip in slips.values():
        undone = [slip.undo(row) for row in rows]
        total = 0.0 if is_apart(rows) else slip.again * density(undone, case)
        if len(rows) == 2:
            one = density([undone[0], sound[1]], case) + density([sound[0], undone[1]], case)
            total += (1 - slip.again) / 2 * one
        found.append(total)
    return found


def read(slip: Slip, case: Case, rng: random.Random) -> list[Typed]:
    """Draw a woman's girth and what she types; nothing where she cannot slip like that."""
    common = math.sqrt(case.variance_mm2 + COMMON_SD_MM**2)
    middle = rng.gauss(case.mean_mm, common)
    every, which = rng.random() < slip.again, rng.randrange(2)
    rows: list[Typed] = []
    for k in range(MOST if every else 2):
        turn = slip if every or k == which else SOUND
        row = turn.make(rng.gauss(middle, REPEAT_SD_MM), rng)
        if row is None:
            return []
        rows.append(row)
        if k and summarise([one.mm for one in rows]).agree:
            break
    return rows


@dataclass(frozen=True, eq=False)
class Drawn:
    """Readings drawn from sound women and from each slip alike.

    Args:
        share: (n, 1 + slips) how far each reading stands for sound ones, and for those of each
            slip: its density over the sum of all.
        apart: (n) two readings that ask for a third whatever is thought of them.
        case: (n) index of the case.
        count: how many were drawn of each.
    """

    share: Floats
    apart: np.ndarray
    case: np.ndarray
    count: int

    def of(self, chosen: np.ndarray) -> Floats:
        """(1 + slips) share of all sound ones, and of each slip, that a choice of readings has."""
        return np.asarray(self.share[chosen].sum(axis=0) / self.count)


def draw(cases: Sequence[Case], slips: Mapping[str, Slip], times: int, rng: random.Random) -> Drawn:
    """Let every woman measure soundly, and make every slip, so many times."""
    shares, apart, index = [], [], []
    for k, case in enumerate(cases):
        for slip in (SOUND, *slips.values()):
            for _ in range(times):
                rows = read(slip, case, rng)
                # Sound women meet the third reading, too.
                for seen in [rows[:2], rows] if slip is SOUND and len(rows) > 2 else [rows]:
                    if not seen:
                        continue
                    found = densities(seen, case, slips)
                    shares.append(np.array(found) / sum(found))
                    apart.append(is_apart(seen))
                    index.append(k)
    return Drawn(np.array(shares), np.array(apart), np.array(index), times * len(cases))


@dataclass(frozen=True)
class Best:
    """What the best judge does.

    Args:
        caught: by slip, share caught.
        named: by slip, share of these that are named right.
    """

    caught: dict[str, float]
    named: dict[str, float]


def best_named(drawn: Drawn, slips: Mapping[str, Slip], false: float, accused: float) -> Best:
    """Catch and name as many as can be, all slips taken for equally likely.

    Args:
        drawn: the readings.
        slips: what was drawn, in its order.
        false: share of sound entries that may be queried in the end.
        accused: share of sound entries to whose first two readings, which are apart, a slip may be
            named.
    """
    gain = drawn.share[:, 1:].sum(axis=1)
    name = drawn.share[:, 1:].argmax(axis=1)
    queried = _within(drawn, gain, ~drawn.apart, false)
    told = queried | _within(drawn, drawn.share[:, 1:].max(axis=1), drawn.apart, accused)
    caught = drawn.of(queried | drawn.apart)[1:] / drawn.of(np.full(len(gain), True))[1:]
    right = [drawn.of(told & (name == k))[1 + k] for k in range(len(slips))]
    all_caught = drawn.of(queried | drawn.apart)[1:]
    return Best(
        dict(zip(slips, caught.tolist(), strict=True)),
        dict(zip(slips, (np.array(right) / all_caught).tolist(), strict=True)),
    )


def _within(drawn: Drawn, gain: Floats, among: np.ndarray, budget: float) -> np.ndarray:
    """The readings with most gain for the sound ones that they cost, within a budget of these."""
    worth = np.where(among, gain / np.maximum(drawn.share[:, 0], 1e-300), -1.0)
    order = np.argsort(-worth)
    spent = np.cumsum(drawn.share[order, 0]) / drawn.count
    chosen = np.zeros(len(gain), bool)
    chosen[order[spent <= budget]] = True
    return chosen & among


@dataclass(frozen=True, eq=False)
class Prices:
    """What goals weigh against each other; any choice of them proves a bound.

    Args:
        named: (slips) of the goals for naming; they sum to 1.
        caught: (slips) of the goals for catching.
        false: of sound entries queried.
        accused: of sound entries that a slip is named to when the first two readings are apart.
    """

    named: Floats
    caught: Floats
    false: float
    accused: float


@dataclass(frozen=True, eq=False)
class Goals:
    """What is asked of a judge.

    Args:
        caught: (slips) share of each to be caught.
        named: (slips) share of those caught to be named right.
        asked: (slips) whether the goals of a slip count.
        false: share of sound entries that may be queried.
        accused: share of them that a slip may be named to when the first two readings are apart.
    """

    caught: Floats
    named: Floats
    asked: np.ndarray
    false: float
    accused: float


def margin(drawn: Drawn, goals: Goals, prices: Prices) -> tuple[float, float]:
    """By how much the best judge that catches enough can pass the goals for naming, at most.

    Below 0 no judge meets them all.

    Args:
        drawn: the readings, others than those that the prices were found on.
        goals: what is asked.
        prices: any.

    Returns:
        The bound, as a share of the trials of a slip, and its standard error from the draws.

    Source: weak duality. A judge that catches enough and passes the others by m gains at least m at
    these prices, and none gains more than one that takes the dearest answer to every reading.
    """
    terms = _worth(drawn, goals, prices).max(axis=1)
    by_case = np.bincount(drawn.case, terms) * (drawn.case.max() + 1) / drawn.count
    fixed = prices.false * goals.false + prices.accused * goals.accused
    fixed -= float(prices.caught @ goals.caught)
    return float(by_case.mean()) + fixed, float(by_case.std() / math.sqrt(len(by_case)))


def _worth(drawn: Drawn, goals: Goals, prices: Prices) -> Floats:
    """(n, 1 + slips) what it is worth to let each reading pass, or to name each slip."""
    sound, slips = drawn.share[:, :1], drawn.share[:, 1:]
    caught = slips @ (prices.caught - prices.named * goals.named)
    cost = np.where(drawn.apart, prices.accused, prices.false)[:, None] * sound
    named = caught[:, None] + slips * prices.named - cost
    return np.column_stack([np.where(drawn.apart, caught, 0.0), named])


def fair_prices(drawn: Drawn, goals: Goals) -> Prices:
    """The prices at which the bound of `margin` is least, as far as a search finds them.

    Args:
        drawn: the readings.
        goals: what is asked.
    """
    asked = np.flatnonzero(goals.asked)
    point = np.full(2 * len(asked) + 2, -2.0)
    for blur in (0.03, 0.01, 0.003, 0.001):
        point = minimize(
            _blurred_margin, point, (drawn, goals, asked, blur), jac=True, method="L-BFGS-B"
        ).x
    return _prices(point, asked, len(goals.asked))


def _prices(point: Floats, asked: np.ndarray, count: int) -> Prices:
    """Prices from a point without bounds."""
    first, second = np.split(point[:-2], 2)
    named, caught = np.zeros(count), np.zeros(count)
    named[asked] = np.exp(first - first.max()) / np.exp(first - first.max()).sum()
    caught[asked] = np.exp(second)
    return Prices(named, caught, math.exp(point[-2]), math.exp(point[-1]))


def _blurred_margin(
    point: Floats, drawn: Drawn, goals: Goals, asked: np.ndarray, blur: float
) -> tuple[float, Floats]:
    """The bound with its corners rounded, and its slope."""
    prices = _prices(point, asked, len(goals.asked))
    worth = _worth(drawn, goals, prices) / blur
    top = worth.max(axis=1)
    parts = np.exp(worth - top[:, None])
    whole = parts.sum(axis=1)
    chosen = parts / whole[:, None] / drawn.count
    value = blur * float((top + np.log(whole)).sum()) / drawn.count
    value += prices.false * goals.false + prices.accused * goals.accused
    value -= float(prices.caught @ goals.caught)
    sound, slips = drawn.share[:, 0], drawn.share[:, 1:]
    told = chosen[:, 1:].sum(axis=1)
    caught = slips.T @ np.where(drawn.apart, 1 / drawn.count, told)
    named = (slips * chosen[:, 1:]).sum(axis=0) - goals.named * caught
    slope = prices.named * (named - prices.named @ named)
    missed = prices.caught * (caught - goals.caught)
    costs = [
        price * (budget - float((told * sound)[where].sum()))
        for price, budget, where in (
            (prices.false, goals.false, ~drawn.apart),
            (prices.accused, goals.accused, drawn.apart),
        )
    ]
    return value, np.concatenate([slope[asked], missed[asked], costs])
