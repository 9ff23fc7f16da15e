"""What the commands say of girths that belong together, and of bodies that are out of the way."""

import json
from pathlib import Path

from ellwand.card import outside_words
from ellwand.screen import estimate_json, estimate_lines
from ellwand.shown import showing_first
from ellwand.sitting import Sitting, load, read, save, with_findings

from .running import ellwand
from .sitting.invented import findings

PHOTOS = with_findings(Sitting(), findings(correlation=0.5))


def test_full_bust_minus_high_bust_stands_below_the_girths() -> None:
    (line,) = [one for one in estimate_lines(PHOTOS) if one.startswith("full bust minus high")]
    assert " ".join(line.split()) == "full bust minus high bust 5.0 ± 4.0 2 ± 1 5/8"
    told = json.loads(estimate_json(PHOTOS))["bust_difference"]
    assert (told["value_mm"], told["u_mm"]) == (50.0, 20.0)
    assert (told["low_mm"], told["high_mm"]) == (10.8, 89.2)


def test_inches_stand_first_in_the_table_of_who_measures_in_inches() -> None:
    with showing_first("in"):
        lines = [" ".join(line.split()) for line in estimate_lines(PHOTOS)]
    assert "in cm breadth depth height" in lines
    assert "full bust minus high bust 2 ± 1 5/8 5.0 ± 4.0" in lines


def test_photos_alone_say_nothing_of_the_tape() -> None:
    assert not any("tape readings" in line for line in estimate_lines(PHOTOS))
    told = json.loads(estimate_json(PHOTOS))
    assert told["using_tape"] == {}
    assert told["joint"]["codes"][:2] == ["high_bust", "full_bust"]
    assert told["joint"]["covariance_mm2"][0][:2] == [400.0, 200.0]


def test_estimates_that_use_readings_are_told_beside_those_of_the_photos() -> None:
    record = read(PHOTOS, "full_hip", ["103", "103"]).record
    lines = estimate_lines(record)
    start = lines.index("Estimated, using your tape readings:")
    assert [line.split(":")[0].strip() for line in lines[start + 1 : start + 6]] == [
        "high bust", "full bust", "underbust", "waist", "high hip",
    ]  # fmt: skip
    assert "waist" in "".join(lines[:start])
    held = record.measurements["waist"]
    told = json.loads(estimate_json(record))
    assert told["using_tape"]["waist"]["value_mm"] == held.value_mm
    assert told["using_tape"]["waist"]["tightened_by"] == ["full_hip"]
    assert told["estimates"] == json.loads(estimate_json(PHOTOS))["estimates"]


def test_a_reading_that_confirms_a_girth_tells_what_it_says_of_others(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    save(path, PHOTOS)
    once = ellwand("read", path, "full_hip", "103")
    assert "tape readings" not in once.out
    twice = ellwand("read", path, "full_hip", "103")
    assert "Estimated, using your tape readings:\n" in twice.out
    (line,) = [one for one in twice.out.splitlines() if one.startswith("  waist: ")]
    # 20 mm more than the photos said moves the waist by 200 / (400 + u^2) of it.
    held = load(path).measurements["waist"]
    assert 760 < held.value_mm < 770
    assert line.startswith(f"  waist: {held.value_mm / 10:.1f} ± ")
    # A length that the photos said nothing about tells nothing of girths.
    assert "tape readings" not in ellwand("read", path, "hand", "20", "20").out


def test_keeping_a_single_reading_tells_it_too(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    save(path, PHOTOS)
    ellwand("read", path, "full_hip", "103")
    kept = ellwand("keep", path, "full_hip", "--reason", "the tape is worn")
    assert "Estimated, using your tape readings:\n" in kept.out


def test_a_body_outside_what_the_estimates_stand_for_is_told() -> None:
    record = with_findings(Sitting(), findings(outside=("height", "shape of the outline")))
    assert outside_words(["height", "shape of the outline"]) in estimate_lines(record)
    assert json.loads(estimate_json(record))["outside"] == ["height", "shape of the outline"]
    assert not any("Outside what" in line for line in estimate_lines(PHOTOS))
