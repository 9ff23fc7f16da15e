import pytest

from ellwand.tape.form import FORMS, Form, look_at


@pytest.mark.parametrize(
    ("raw", "form", "named"),
    [
        ("92", "whole", False),
        ("92.5", "half", False),
        ("92,3 cm", "tenth", True),
        ("36 3/8", "fraction", False),
        ("36\u215c in", "fraction", True),
        ('36"', "whole", True),
        ("36.25", "quarter", False),
        ("36.375", "eighth", False),
        ("92.34", "fine", False),
        ("1016", "whole", False),
    ],
)
def test_an_entry_is_told_by_its_form(raw: str, form: Form, named: bool) -> None:
    typed = look_at(raw)
    assert (typed.form, typed.unit_named) == (form, named)


def test_how_often_each_form_is_typed_sums_to_one() -> None:
    assert sum(row["cm"] for row in FORMS.values()) == pytest.approx(1)
    assert sum(row["in"] for row in FORMS.values()) == pytest.approx(1)
    assert sum(row["mm"] for row in FORMS.values()) == pytest.approx(1)


def test_a_fraction_speaks_for_inches_and_a_tenth_for_centimetres() -> None:
    assert look_at("36 3/8").likelihood_ratio("in", "cm") > 100
    assert look_at("36.3").likelihood_ratio("in", "cm") < 1 / 3


def test_rounding_is_half_of_the_step_that_was_typed() -> None:
    assert [look_at(raw).half_step for raw in ("92", "92.5", "92.3", "36 3/8")] == [
        0.5, 0.25, 0.05, 1 / 16,
    ]  # fmt: skip
