"""What is typed beside the photos: check bars, standoffs, focal length, height."""

import pytest

from ellwand.errors import EntryProblem
from ellwand.girth.setup import SetUp
from ellwand.language import speaking
from ellwand.sitting import (
    EntriesRefused,
    Sitting,
    TypedSetup,
    set_up_of,
    with_typed_setup,
    without_weight,
)


def noted(unit: str = "cm", **typed: object) -> Sitting:
    """A new sitting in which a set-up was typed."""
    texts = TypedSetup(**({"stature": "168 cm", "reference": "marker-sheets"} | typed))  # type: ignore[arg-type]
    return with_typed_setup(Sitting(unit=unit), texts)  # type: ignore[arg-type]


def set_up(unit: str = "cm", **typed: object) -> SetUp:
    """The same as the estimate takes it."""
    setup = noted(unit, **typed).setup
    assert setup is not None
    return set_up_of(setup)


def test_height_and_set_up_are_noted_as_typed() -> None:
    record = noted(standoff_front="30 cm", check_bars=("149.6 mm",), paper="letter")
    assert record.readings["stature"][0].raw == "168 cm"
    assert record.setup is not None
    assert record.setup.paper == "letter"
    assert record.setup.stature is not None
    assert record.setup.stature.mm == 1680
    assert record.setup.check_bar_across is not None
    assert record.setup.check_bar_across.raw == "149.6 mm"
    assert record.setup.check_bar_up is None


@pytest.mark.parametrize(
    ("typed", "across_mm", "up_mm"),
    [
        ((), None, None),
        (("149.6 mm",), 149.6, None),
        (("23.9",), None, 239.0),
        (("24 cm", "15 cm"), 150.0, 240.0),
        (("5 29/32 in",), 150.01875, None),
    ],
)
def test_a_check_bar_is_told_by_its_length(
    typed: tuple[str, ...], across_mm: float | None, up_mm: float | None
) -> None:
    assert set_up(check_bars=typed).check_bars_mm == pytest.approx((across_mm, up_mm))


@pytest.mark.parametrize(
    ("typed", "value_mm", "bound_mm"),
    [
        ("30 cm", 300.0, 20.0),
        ("30", 300.0, 20.0),
        ("0.3 m", 300.0, 20.0),
        ("30 cm ± 1 cm", 300.0, 10.0),
        ("30 cm +- 1 cm", 300.0, 10.0),
        ("30 +/- 0.5", 300.0, 5.0),
        ("12 in ± 1/2 in", 304.8, 12.7),
        ("0 cm", 0.0, 20.0),
        ("0", 0.0, 20.0),
        ("0 cm ± 3 cm", 0.0, 30.0),
    ],
)
def test_a_standoff_is_read_with_its_bound(typed: str, value_mm: float, bound_mm: float) -> None:
    given = set_up(standoff_front=typed, standoff_side="35 cm")
    assert given.standoffs_mm["front"] == pytest.approx((value_mm, bound_mm))
    assert given.standoffs_mm["side"] == (350.0, 20.0)


def test_no_standoff_means_beside_her() -> None:
    given = set_up()
    assert given.standoffs_mm == {}
    value, u = given.standoff("front")
    assert (value, round(1.96 * u, 6)) == (0.0, 40.0)


@pytest.mark.parametrize(("typed", "focal"), [("26", 26.0), ("26 mm", 26.0), ("26,5", 26.5)])
def test_a_focal_length_is_in_millimetres_whatever_the_unit(typed: str, focal: float) -> None:
    assert set_up("in", focal_35mm=typed).focal_35mm == focal


@pytest.mark.parametrize(
    ("typed", "kg"), [("70 kg", 70.0), ("30 kg", 30.0), ("250 kg", 250.0), ("154 lb", 69.85322498)]
)
def test_a_weight_is_noted_as_typed_and_goes_to_the_estimate(typed: str, kg: float) -> None:
    setup = noted(weight=typed).setup
    assert setup is not None
    assert setup.weight is not None
    assert (setup.weight.raw, setup.weight.kg) == (typed, kg)
    assert set_up("in", weight=typed).mass_kg == kg


def test_a_weight_is_hers_to_tell_and_to_take_back() -> None:
    assert set_up().mass_kg is None
    told = noted(weight="70 kg")
    again = with_typed_setup(told, TypedSetup(stature="168 cm", reference="marker-sheets"))
    assert again == noted()


def test_others_do_not_see_whether_she_told_her_weight() -> None:
    assert without_weight(noted(weight="70 kg")) == noted() == without_weight(noted())
    assert without_weight(Sitting()) == Sitting()


def test_bare_numbers_take_the_unit_of_the_sitting() -> None:
    assert set_up("in", stature="66", standoff_front="12").stature_mm == 1676.4


def test_paper_is_noted_where_there_is_some() -> None:
    for reference, paper in (("plain-sheets", "letter"), ("id-card", None), ("stature", None)):
        setup = noted(reference=reference, paper="letter").setup
        assert setup is not None
        assert setup.paper == paper


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"check_bars": ("160 mm",)}, "check-bar-off"),
        ({"check_bars": ("145.4 mm",)}, "check-bar-off"),
        ({"check_bars": ("150 cm",)}, "check-bar-off"),
        ({"check_bars": ("150",)}, "check-bar-without-unit"),  # centimetres
        ({"check_bars": ("160",)}, "check-bar-off"),
        ({"check_bars": ("150 mm", "149 mm")}, "check-bar-twice"),
        ({"check_bars": ("150 mm", "240 mm", "240 mm")}, "check-bar-twice"),
        ({"check_bars": ("150 mm",), "reference": "id-card"}, "check-bar-without-sheet"),
        ({"check_bars": ("about 150",)}, "entry-unreadable"),
        ({"standoff_front": "7ft"}, "standoff-implausible"),
        ({"standoff_front": "1 m 20"}, "standoff-implausible"),
        ({"standoff_front": "1 ft"}, "standoff-in-feet"),
        ({"standoff_front": "a foot"}, "entry-unreadable"),
        ({"standoff_front": "2.5 m"}, "standoff-implausible"),
        ({"standoff_front": "200"}, "standoff-implausible"),
        ({"standoff_side": "101"}, "standoff-implausible"),
        ({"standoff_front": "2"}, "standoff-too-near"),
        ({"standoff_side": "3.9 cm ± 1 cm"}, "standoff-too-near"),
        ({"standoff_side": "30 cm ± 60 cm"}, "standoff-bound-unreadable"),
        ({"standoff_side": "30 cm ± 1 cm ± 1 cm"}, "standoff-bound-unreadable"),
        ({"standoff_side": "30 cm ±"}, "entry-empty"),
        ({"standoff_side": "-3 cm"}, "entry-unreadable"),
        ({"focal_35mm": "2.6"}, "focal-implausible"),
        ({"weight": "70"}, "weight-without-unit"),
        ({"weight": "7"}, "weight-implausible"),
        ({"weight": "700"}, "weight-implausible"),
        ({"weight": "much"}, "entry-unreadable"),
        ({"weight": "29.9 kg"}, "weight-implausible"),
        ({"weight": "250.1 kg"}, "weight-implausible"),
        ({"weight": "66 lb"}, "weight-implausible"),
        ({"stature": "68 cm"}, "stature-implausible"),
        ({"stature": "tall"}, "entry-unreadable"),
        ({"stature": "5'13"}, "entry-unreadable"),
    ],
)
def test_what_cannot_be_used_is_refused(typed: dict[str, object], code: str) -> None:
    with pytest.raises(EntryProblem) as caught:
        noted(**typed)
    assert caught.value.code == code


def test_all_that_cannot_be_used_is_named_at_once_and_nothing_is_noted() -> None:
    with pytest.raises(EntriesRefused) as caught:
        noted(stature="68", weight="70", standoff_front="3 m", standoff_side="3 m")
    told = caught.value
    assert [(one.where, one.problem.code) for one in told.entries] == [
        (("stature",), "stature-implausible"),
        (("standoff_front",), "standoff-implausible"),
        (("standoff_side",), "standoff-implausible"),
        (("weight",), "weight-without-unit"),
    ]
    assert told.sentence == "Several entries cannot be used."
    # What is wrong with two of them alike is said once.
    assert told.advice.startswith("Height: Photos cannot be measured")
    assert "Standoff in the front photo and Standoff in the side photo: This" in told.advice
    assert told.advice.count("This standoff is farther") == 1


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("30 m", "30 cm"), ("300", "300 mm"), ("1 ft", "12 in"), ("1 ft 2 1/2", "14 1/2 in"),
        # Feet are no slip for centimetres, and nobody stands so far off.
        ("7ft", None), ("7 ft 2 in", None), ("1 m 20", None), ("0 ft", None),
        # Her height in the wrong field.
        ("160", None), ("168 cm", None),
    ],
)  # fmt: skip
def test_what_is_offered_for_a_standoff_is_a_likely_slip(typed: str, meant: str | None) -> None:
    with pytest.raises(EntriesRefused) as caught:
        noted(standoff_front=typed)
    (one,) = caught.value.entries
    assert (one.meant.raw if one.meant else None) == meant


def test_a_standoff_that_is_too_far_is_told_how_far_it_may_be() -> None:
    with pytest.raises(EntriesRefused, match=r"1 m \(39 in\) at most"):
        noted(standoff_front="7ft")


def test_two_bars_of_one_kind_are_a_matter_of_both_fields() -> None:
    with pytest.raises(EntriesRefused) as caught:
        noted(check_bars=("150 mm", "149 mm"))
    assert [one.where for one in caught.value.entries] == [("check_bars",)]


@pytest.mark.parametrize(
    ("unit", "typed", "meant"),
    [
        ("cm", {"stature": "1,65"}, "1,65 m"),
        ("cm", {"stature": "1.65 cm"}, "1.65 m"),
        ("cm", {"stature": "1650"}, "1650 mm"),
        ("cm", {"stature": "65 1/2"}, "65 1/2 in"),
        ("in", {"stature": "165"}, "165 cm"),
        ("in", {"stature": "56"}, "5 ft 6 in"),
        ("in", {"stature": "5.11"}, "5 ft 11 in"),
        ("in", {"stature": "5,6 ft"}, "5 ft 6 in"),
        ("in", {"stature": "5 6"}, "5 ft 6 in"),
        ("in", {"stature": "511 in"}, "5 ft 11 in"),
        ("cm", {"stature": "56"}, "5 ft 6 in"),
        ("cm", {"stature": "62"}, "62 in"),
        ("cm", {"stature": "tall"}, None),
        ("cm", {"stature": "16"}, None),
        ("cm", {"stature": "9"}, None),
        ("cm", {"check_bars": ("149.6",)}, "149.6 mm"),
        ("cm", {"check_bars": ("5 7/8",)}, "5 7/8 in"),
        ("cm", {"check_bars": ("160",)}, None),
        ("cm", {"standoff_front": "0,3"}, "0,3 m"),
        ("cm", {"standoff_front": "300"}, "300 mm"),
        ("cm", {"standoff_side": "30 m"}, "30 cm"),
        ("cm", {"standoff_side": "2"}, None),
        ("cm", {"standoff_side": "2.5 m ± 1 cm"}, None),
        ("cm", {"weight": "68"}, "68 kg"),
        ("cm", {"weight": "67,5"}, "67,5 kg"),
        ("cm", {"weight": "260"}, "260 lb"),
        ("in", {"weight": "150"}, "150 lb"),
        ("in", {"weight": "66"}, "66 kg"),
        ("cm", {"weight": "20"}, None),
        ("cm", {"weight": "25 kg"}, None),
        ("cm", {"weight": "136 Pfund"}, None),
    ],
)
def test_the_unit_that_makes_sense_of_a_number_is_told(
    unit: str, typed: dict[str, object], meant: str | None
) -> None:
    with pytest.raises(EntriesRefused) as caught:
        noted(unit, **typed)
    (one,) = caught.value.entries
    assert (one.meant and one.meant.raw) == meant


@pytest.mark.parametrize("text", ["56 in", "56 inches", '56"', "4 ft 8", "60", "66"])
def test_a_height_in_inches_alone_is_taken_with_its_unit_or_where_no_feet_can_be_meant(
    text: str,
) -> None:
    assert noted("in", stature=text).readings["stature"][0].raw == text


def test_inches_that_are_meant_are_written_as_the_language_does() -> None:
    with speaking("de"), pytest.raises(EntriesRefused) as caught:
        noted(stature="65 1/2")
    meant = caught.value.entries[0].meant
    assert meant is not None
    assert meant.raw == "65 1/2 Zoll"
    assert noted(stature=meant.raw).readings["stature"][0].mm == 1663.7


def test_a_set_up_without_height_gives_no_estimate() -> None:
    setup = noted().setup
    assert setup is not None
    with pytest.raises(EntryProblem) as caught:
        set_up_of(setup.model_copy(update={"stature": None}))
    assert caught.value.code == "no-stature"
