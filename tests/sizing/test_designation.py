"""The published designation, against its worked examples."""

import pytest

from ellwand.sizing.designation import (
    BUST_CM,
    HIP_CM,
    bra_size,
    designate,
    interval_cm,
    letter_code,
)
from ellwand.tape import Confirmed


@pytest.mark.parametrize(
    ("underbust_cm", "bust_cm", "bra"),
    # EN 13402, worked cups of the stored explanatory page.
    [(87, 107, "85D"), (89, 108, "90D"), (82, 100, "80C")],
)
def test_published_bra_sizes_are_met(underbust_cm: float, bust_cm: float, bra: str) -> None:
    assert bra_size(10 * bust_cm, 10 * underbust_cm) == bra


@pytest.mark.parametrize(("underbust_cm", "bust_cm"), [(90, 100), (80, 105)])
def test_outside_the_cups_of_the_table_there_is_no_bra_size(
    underbust_cm: float, bust_cm: float
) -> None:
    assert bra_size(10 * bust_cm, 10 * underbust_cm) is None


@pytest.mark.parametrize(
    ("bust_cm", "interval", "letter"),
    [
        (73.9, None, None),
        (74, 76, "XS"),
        (81.9, 80, "XS"),
        (82, 84, "S"),
        (97.9, 96, "M"),
        (98, 100, "L"),
        (106.9, 104, "L"),
        (107, 110, None),
        (130.9, 128, None),
        (131, None, None),
    ],
)
def test_bust_intervals_end_half_way_to_the_next(
    bust_cm: float, interval: int | None, letter: str | None
) -> None:
    assert interval_cm(10 * bust_cm, BUST_CM) == interval
    assert letter_code(10 * bust_cm) == letter


def test_only_what_is_taped_is_designated() -> None:
    full = {code: Confirmed(code, value, 5.0) for code, value in
            {"full_bust": 1000.0, "underbust": 820.0, "full_hip": 1070.0}.items()}  # fmt: skip
    designation = designate(full)
    assert (designation.bust_cm, designation.hip_cm) == (100, 108)
    assert (designation.letter, designation.bra) == ("L", "80C")
    nothing = designate({})
    assert (nothing.bust_cm, nothing.hip_cm, nothing.letter, nothing.bra) == (None,) * 4
    assert interval_cm(1250, HIP_CM) is None
