"""What the page offers to read in with one tap, from what the service says of a slip."""

import json

import pytest

from ellwand.sitting import Sitting, read
from ellwand.tape.readings import SlipName

from .test_page_files import PAGE, run


def meant(
    slip: SlipName | None, mm: float | None, readings: list[tuple[str, float, str]]
) -> object:
    """What readings were meant as; each with what was typed, its length in mm and its unit."""
    rows = [{"raw": raw, "mm": length, "unit": unit} for raw, length, unit in readings]
    query = {"slip": slip, "corrected_mm": mm}
    return run(
        f'import {{ meantBy }} from "{(PAGE / "meant.js").as_uri()}";'
        f"console.log(JSON.stringify(meantBy({json.dumps(query)}, {json.dumps(rows)})));"
    )


@pytest.mark.parametrize(
    ("slip", "mm", "readings", "as_meant"),
    [
        ("wrong unit", 787.4, [("31", 310.0, "cm")], ["31 in"]),
        ("wrong unit", 787.4, [("31 cm", 310.0, "cm")], ["31 in"]),
        ("wrong unit", 784.2, [("30 7/8", 308.75, "cm")], ["30 7/8 in"]),
        ("wrong unit", 780.0, [("78", 1981.2, "in")], ["78 cm"]),
        ("wrong unit", 780.0, [("78", 1981.2, "in"), ("78,5", 1993.9, "in")], ["78 cm", "78,5 cm"]),
        # A reading that is sound stays as it is.
        ("wrong unit", 787.4, [("31", 310.0, "cm"), ("78.5", 785.0, "cm")], ["31 in", "78.5"]),
        # A height in metres.
        ("wrong unit", 1650.0, [("1,65", 16.5, "cm")], ["1,65 m"]),
        # One in feet and inches.
        ("wrong unit", 1676.4, [("56", 1422.4, "in")], ["5 ft 6 in"]),
        ("wrong unit", 1676.4, [("56 in", 1422.4, "in")], ["5 ft 6 in"]),
        ("wrong unit", 1803.4, [("5,11", 129.794, "in")], ["5 ft 11 in"]),
        ("wrong unit", 1803.4, [("511", 5110.0, "cm")], ["5 ft 11 in"]),
        ("decimal point lost", 925.0, [("925", 9250.0, "cm")], ["92.5 cm"]),
        ("decimal point lost", 925.5, [("9255", 92550.0, "cm")], ["92.55 cm"]),
        # Inches stand on the button as they stand in the query.
        ("decimal point lost", 927.1, [("365", 9271.0, "in")], ["36 1/2 in"]),
        ("decimal point lost", 922.02, [("363", 9220.2, "in")], ["36.3 in"]),
        ("decimal point lost", 925.0, [("9.25", 92.5, "cm")], ["92.5 cm"]),
        # A last digit that is missing cannot be known.
        ("decimal point lost", 900.0, [("9", 90.0, "cm")], None),
        # What was not typed wrongly is measured again.
        ("digits swapped", 780.0, [("87", 870.0, "cm")], None),
        ("tape doubled", 780.0, [("39", 390.0, "cm")], None),
        (None, None, [("78", 780.0, "cm")], None),
    ],
)  # fmt: skip
def test_a_slip_of_typing_is_put_right(
    slip: SlipName | None,
    mm: float | None,
    readings: list[tuple[str, float, str]],
    as_meant: list[str] | None,
) -> None:
    assert meant(slip, mm, readings) == as_meant


@pytest.mark.parametrize("typed", ["56", "56 in", "5.6", "5,6", "5.6 in"])
def test_a_height_in_feet_and_inches_is_put_right_by_what_the_service_says(typed: str) -> None:
    held = read(Sitting(unit="in"), "stature", [typed])
    (query,) = held.queries
    row = held.record.readings["stature"][0]
    assert meant(query.slip, query.corrected_mm, [(row.raw, row.mm, row.unit)]) == ["5 ft 6 in"]


@pytest.mark.parametrize(("typed", "as_meant"), [("31", ["31 in"]), ("785", ["78.5 cm"])])
def test_what_the_service_says_of_a_slip_is_enough_for_it(typed: str, as_meant: list[str]) -> None:
    record = read(Sitting(), "full_bust", ["92"]).record
    held = read(record, "waist", [typed])
    (query, *_) = held.queries
    row = held.record.readings["waist"][0]
    assert meant(query.slip, query.corrected_mm, [(row.raw, row.mm, row.unit)]) == as_meant


def exchanged(record: Sitting, code: str) -> object:
    """The measurement whose readings belong to another, as its query has it."""
    held = {one: row.model_dump(mode="json") for one, row in record.measurements.items()}
    (query, *_) = held[code]["queries"]
    return run(
        f'import {{ exchangedWith }} from "{(PAGE / "meant.js").as_uri()}";'
        f"const [query, held] = {json.dumps([query, held])};"
        f'console.log(JSON.stringify(exchangedWith(query, "{code}", held)));'
    )


def test_what_changed_places_is_put_right_at_once() -> None:
    record = read(Sitting(), "full_bust", ["92"]).record
    alone = read(record, "waist", ["100"]).record
    both = read(alone, "full_hip", ["74"]).record
    assert exchanged(both, "waist") == "full_hip"
    assert exchanged(both, "full_hip") == "waist"
    # Where only one of them is doubted there is nothing to exchange it with.
    assert exchanged(read(both, "full_hip", ["99"], instead=True).record, "waist") is None
