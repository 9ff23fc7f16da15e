"""`ellwand estimate` on the demo photos: true values, bounds, refusals, the same bytes."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ellwand.girth.setup import SetUp
from ellwand.measurements import KINDS, LEVELS
from ellwand.photo.problems import View
from ellwand.photo.reference import ReferenceKind
from ellwand.sitting import check_photo, parse

from ..conftest import DemoEstimate, options_of
from ..running import DEMO_IMAGES, ellwand

EstimateOf = Callable[[str], DemoEstimate]

SITTINGS = sorted(path.parent.name for path in (DEMO_IMAGES / "sittings").glob("*/truth.json"))
REFUSALS = json.loads((DEMO_IMAGES / "refused" / "refused.json").read_text("utf-8"))
LENGTHS = ("shoulder_width", "back_waist_length", "arm_length", "inside_leg", "waist_to_hip")
# Levels whose breadths and depths two sheets must give, mean and standard deviation in mm.
TWO_SHEET_LEVELS, MOST_MEAN_MM, MOST_SD_MM = ("full_bust", "waist", "full_hip"), 3.0, 6.0
LEAST_COVERED = 0.90
# A normal error is larger than this many standard uncertainties once in 370 times.
MOST_Z = 3.0


def truth_of(name: str) -> dict[str, Any]:
    """The truth of a demo sitting."""
    text = (DEMO_IMAGES / "sittings" / name / "truth.json").read_text("utf-8")
    truth: dict[str, Any] = json.loads(text)
    return truth


@pytest.mark.parametrize("name", SITTINGS)
def test_no_good_photo_is_refused(name: str, estimate_of: EstimateOf) -> None:
    estimate = estimate_of(name)
    assert estimate.outcome.code == 0
    for view in ("front", "side"):
        problems = estimate.printed["photos"][view]["problems"]
        assert [one for one in problems if one["severity"] == "refused"] == []


@pytest.mark.parametrize("name", SITTINGS)
def test_true_girths_are_where_the_estimates_say(name: str, estimate_of: EstimateOf) -> None:
    estimate = estimate_of(name)
    far = {}
    for code in LEVELS:
        one, true_mm = estimate.printed["estimates"][code], girth_mm(estimate, code)
        z = (one["value_mm"] - true_mm) / one["u_mm"]
        if abs(z) > MOST_Z and not one["low_mm"] <= true_mm <= one["high_mm"]:
            far[code] = round(z, 1)
    assert far == {}


def test_bounds_cover_the_true_girths_as_often_as_they_claim(estimate_of: EstimateOf) -> None:
    covered = [
        estimate_of(name).printed["estimates"][code]["low_mm"]
        <= girth_mm(estimate_of(name), code)
        <= estimate_of(name).printed["estimates"][code]["high_mm"]
        for name in SITTINGS
        for code in LEVELS
    ]
    assert np.mean(covered) >= LEAST_COVERED


def test_two_sheets_give_breadths_and_depths_to_a_few_millimetres(estimate_of: EstimateOf) -> None:
    errors = []
    for name in SITTINGS:
        truth = truth_of(name)
        if len(truth["reference"]["sheets"]) < 2 or truth["typed"]["reference"] == "stature":
            continue
        for code in TWO_SHEET_LEVELS:
            for kind in ("breadth_mm", "depth_mm"):
                found = estimate_of(name).printed["estimates"][code][kind]
                errors.append(found - truth["levels"][code][kind])
    assert len(errors) >= 6 * len(TWO_SHEET_LEVELS) * 2
    assert abs(np.mean(errors)) <= MOST_MEAN_MM
    assert np.std(errors, ddof=1) <= MOST_SD_MM


@pytest.mark.parametrize("name", SITTINGS)
def test_true_lengths_are_where_the_estimates_say(name: str, estimate_of: EstimateOf) -> None:
    estimate = estimate_of(name)
    far = {}
    for code in LENGTHS:
        one, true_mm = estimate.printed["estimates"][code], estimate.truth["lengths"][code]
        z = (one["value_mm"] - true_mm) / one["u_mm"]
        if abs(z) > MOST_Z:
            far[code] = round(z, 1)
    assert far == {}


def girth_mm(estimate: DemoEstimate, code: str) -> float:
    """True girth."""
    return float(estimate.truth["levels"][code]["girth_mm"])


def test_less_to_measure_by_means_wider_bounds(tmp_path: Path, estimate_of: EstimateOf) -> None:
    folder = DEMO_IMAGES / "sittings" / "adela"
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", folder / "front.jpg", "--side",
        folder / "side.jpg", "--stature", "165 cm", "--reference", "stature", "--json",
    )  # fmt: skip
    assert told.code == 0
    alone = json.loads(told.out)
    assert {one["source"] for one in alone["scale"]["sources"]} <= {"stature", "combined"}
    two_sheets = estimate_of("adela").printed
    for code in ("waist", "full_hip"):
        assert alone["estimates"][code]["u_mm"] > two_sheets["estimates"][code]["u_mm"]


def test_the_json_holds_all_that_was_asked_of_it(estimate_of: EstimateOf) -> None:
    printed = estimate_of("adela").printed
    assert set(LEVELS) | set(LENGTHS) == set(printed["estimates"])
    for code, one in printed["estimates"].items():
        assert set(one) == {"value_mm", "u_mm", "low_mm", "high_mm", "budget",
                            "breadth_mm", "depth_mm", "height_mm"}  # fmt: skip
        assert one["budget"] == printed["budget"][code]
        assert one["low_mm"] < one["value_mm"] < one["high_mm"]
        assert sum(printed["budget"][code].values()) == pytest.approx(1, abs=0.005)
        assert (one["height_mm"] is None) == (code in LENGTHS)
        assert KINDS[code].plausible_mm[0] < one["value_mm"] < KINDS[code].plausible_mm[1]
    assert printed["estimates"]["high_bust"]["breadth_mm"] is None
    for source in printed["scale"]["sources"]:
        assert set(source) == {"view", "source", "mm_per_px", "u_mm_per_px"}
    assert printed["scale"]["agree"] is True
    for view in ("front", "side"):
        photo = printed["photos"][view]
        assert (photo["width_px"], photo["height_px"]) == (1500, 2000)
        assert len(photo["outline_px"]) > 100
        assert len(photo["references_px"]) == 2
        assert set(photo["levels_px"]) >= {"full_bust", "waist", "full_hip"}
        assert "nose" in photo["landmarks_px"]


def test_the_table_for_people_says_the_same(tmp_path: Path, estimate_of: EstimateOf) -> None:
    estimate = estimate_of("adela")
    folder = DEMO_IMAGES / "sittings" / "adela"
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", folder / "front.jpg", "--side",
        folder / "side.jpg", *options_of(estimate.truth),
    )  # fmt: skip
    assert told.code == 0
    for code, one in estimate.printed["estimates"].items():
        line = next(row for row in told.out.splitlines() if row.startswith(KINDS[code].name + " "))
        value, bound = line.split()[len(KINDS[code].name.split()) :][:3:2]
        assert float(value) == pytest.approx(one["value_mm"] / 10, abs=0.051)
        assert float(value) - float(bound) <= one["low_mm"] / 10 + 1e-9
        assert float(value) + float(bound) >= one["high_mm"] / 10 - 1e-9
    assert "Next, with the tape, twice each: high bust and full bust" in told.out
    assert "estimating" in told.err


@pytest.mark.parametrize("refusal", REFUSALS, ids=lambda refusal: refusal["code"])
def test_a_bad_photo_is_refused_for_its_reason(refusal: dict[str, str], tmp_path: Path) -> None:
    good = DEMO_IMAGES / "sittings" / refusal["sitting"]
    photos = {view: good / f"{view}.jpg" for view in ("front", "side")}
    photos[refusal["view"]] = DEMO_IMAGES / "refused" / refusal["file"]
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", photos["front"], "--side", photos["side"],
        *options_of(truth_of(refusal["sitting"])), "--json",
    )  # fmt: skip
    assert told.code == 3
    printed = json.loads(told.out)
    refused = {
        view: [one["code"] for one in told["problems"] if one["severity"] == "refused"]
        for view, told in printed["photos"].items()
    }
    assert refused.pop(refusal["view"]) == [refusal["code"]]
    assert list(refused.values()) == [[]]
    assert printed["estimates"] == {}
    assert f"The {refusal['view']} photo can't be used" in told.err


@pytest.mark.parametrize(
    ("name", "chosen", "found"),
    [
        ("edda", ("plain-sheets", "a4"), "paper-is-letter"),
        ("birgit", ("plain-sheets", "letter"), "paper-is-a4"),
        ("adela", ("plain-sheets", "letter"), "sheets-are-printed"),
        ("edda", ("marker-sheets", "letter"), "sheets-are-blank"),
        ("livia", ("plain-sheets", "a4"), "reference-missing"),
    ],
)
def test_a_wrong_choice_of_sheets_is_told_from_a_bad_photo(
    name: str, chosen: tuple[ReferenceKind, str], found: str
) -> None:
    set_up = SetUp(truth_of(name)["stature_mm"], *chosen)
    photos: dict[View, str] = {"front": "front.jpg", "side": "side.jpg"}
    for view, file in photos.items():
        told = check_photo(view, (DEMO_IMAGES / "sittings" / name / file).read_bytes(), set_up)
        assert [one.code for one in told if one.severity == "refused"] == [found]


def test_the_command_says_which_paper_hangs_and_that_the_photos_can_stay(tmp_path: Path) -> None:
    folder = DEMO_IMAGES / "sittings" / "edda"
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", folder / "front.jpg", "--side",
        folder / "side.jpg", *options_of(truth_of("edda")), "--paper", "a4",
    )  # fmt: skip
    assert told.code == 3
    assert "front photo can't be used: the sheets in it look like Letter, but A4 is" in told.err
    assert told.err.endswith("Change what was chosen, and give both photos once more.\n")


def test_exchanged_photos_are_told_from_turned_bodies(tmp_path: Path) -> None:
    folder = DEMO_IMAGES / "sittings" / "adela"
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", folder / "side.jpg", "--side",
        folder / "front.jpg", *options_of(truth_of("adela")), "--json",
    )  # fmt: skip
    assert told.code == 3
    for photo in json.loads(told.out)["photos"].values():
        assert [one["code"] for one in photo["problems"]] == ["views-exchanged"]


def test_a_wrong_height_is_asked_about_and_not_dropped(tmp_path: Path) -> None:
    folder = DEMO_IMAGES / "sittings" / "adela"
    options = [one.replace("165 cm", "185 cm") for one in options_of(truth_of("adela"))]
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", folder / "front.jpg", "--side",
        folder / "side.jpg", *options, "--json",
    )  # fmt: skip
    assert told.code == 0
    printed = json.loads(told.out)
    assert printed["scale"]["agree"] is False
    for photo in printed["photos"].values():
        assert "scale-disagreement" in [one["code"] for one in photo["problems"]]


def test_the_same_command_gives_the_same_bytes(tmp_path: Path, estimate_of: EstimateOf) -> None:
    first = estimate_of("adela")
    folder = DEMO_IMAGES / "sittings" / "adela"
    for number in (1, 2):
        sitting = tmp_path / f"{number}.json"
        done = subprocess.run(
            [sys.executable, "-m", "ellwand.cli", "estimate", str(sitting),
             "--front", str(folder / "front.jpg"), "--side", str(folder / "side.jpg"),
             *options_of(first.truth), "--json"],
            env=os.environ | {"PYTHONHASHSEED": str(number)},
            capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0
        assert done.stdout == first.outcome.out
        assert sitting.read_bytes() == first.written


def test_the_sitting_holds_numbers_and_no_photo(estimate_of: EstimateOf) -> None:
    written = estimate_of("adela").written
    for trace in (b".jpg", str(DEMO_IMAGES).encode(), b"Exif", b"JFIF", b"base64"):
        assert trace not in written
    assert len(written) < 200_000
    record = parse(written)
    assert {code: held.standing for code, held in record.measurements.items()} == {
        "stature": "confirmed"
    } | dict.fromkeys((*LEVELS, *LENGTHS), "estimated")
