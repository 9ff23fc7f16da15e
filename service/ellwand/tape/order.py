"""Order of girths that no body breaks, with the room that existing bodies need."""

from dataclasses import dataclass


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
