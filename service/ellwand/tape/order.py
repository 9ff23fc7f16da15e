"""Order of girths that no body breaks, with the room that existing bodies need."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ellwand.tape.repeats import Taped


@dataclass(frozen=True)
class OrderRule:
    """One girth is at most another, but for an allowance.

    Args:
        smaller: code of the girth that is not the larger one.
        larger: code of the other.
        allowance_mm: by how much the first may still exceed the second.
        remark: whether an excess within the allowance is rare enough to be told.
    """

    smaller: str
    larger: str
    allowance_mm: float
    remark: bool


ORDER_RULES = (
    # ASTM D5585-11e1, table 1: the upper chest of size 00 exceeds its bust by 5/8 in.
    OrderRule("high_bust", "full_bust", 16.0, remark=True),
    # Two standard deviations of the tape (judged).
    OrderRule("underbust", "full_bust", 20.0, remark=False),
    # A round belly lies above the hip bones, and above the seat (judged).
    OrderRule("waist", "high_hip", 60.0, remark=False),
    OrderRule("high_hip", "full_hip", 60.0, remark=False),
)


def log_order(code: str, mm: float, u_mm: float, taped: Mapping[str, Taped]) -> float:
    """Weigh a girth by the order rules: log of the chance that the true values keep them.

    Args:
        code: the girth's code.
        mm: its value.
        u_mm: its standard uncertainty.
        taped: the other girths.

    Returns:
        0 where no rule speaks against the value, below 0 otherwise.
    """
    total = 0.0
    for rule in ORDER_RULES:
        if code == rule.smaller and rule.larger in taped:
            other, room = taped[rule.larger], taped[rule.larger].value_mm - mm
        elif code == rule.larger and rule.smaller in taped:
            other, room = taped[rule.smaller], mm - taped[rule.smaller].value_mm
        else:
            continue
        total += _log_normal_cdf((room + rule.allowance_mm) / math.hypot(u_mm, other.u_mm))
    return total


def _log_normal_cdf(z: float) -> float:
    """Log of the normal distribution function, by its tail expansion where that underflows."""
    far = -30.0
    if z > far:
        return math.log(0.5 * math.erfc(-z / math.sqrt(2)))
    return -0.5 * z * z - math.log(-z * math.sqrt(2 * math.pi))
