import math

import pytest

from ellwand.tape.order import log_order
from ellwand.tape.repeats import Taped


def test_a_girth_without_neighbours_is_free() -> None:
    assert log_order("full_bust", 900.0, 10.0, {}) == 0.0
    assert log_order("wrist", 900.0, 10.0, {"waist": Taped(700.0, 10.0, 1, False)}) == 0.0


def test_at_the_allowance_the_chance_is_one_half() -> None:
    high = {"high_bust": Taped(916.0, 10.0, 1, False)}
    assert log_order("full_bust", 900.0, 10.0, high) == pytest.approx(math.log(0.5))


@pytest.mark.parametrize("excess", [100.0, 300.0, 500.0, 2000.0])
def test_the_farther_out_of_order_the_less_likely(excess: float) -> None:
    high = {"high_bust": Taped(900.0, 10.0, 1, False)}
    near = log_order("full_bust", 900.0 - excess, 10.0, high)
    far = log_order("full_bust", 880.0 - excess, 10.0, high)
    assert far < near < 0


def test_the_tail_expansion_joins_the_distribution_function() -> None:
    high = {"high_bust": Taped(900.0, 0.0, 1, False)}
    both = [log_order("full_bust", 900 - 16 - 10 * z, 10.0, high) for z in (29.9999, 30.0001)]
    assert both[0] == pytest.approx(both[1], rel=1e-4)
