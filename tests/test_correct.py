"""`ellwand correct`: what it says, and what screen and card say afterwards."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ellwand import correct_cli
from ellwand.card import content_of
from ellwand.geometry.sighting import VIEWS
from ellwand.sitting import load

from .conftest import DemoEstimate
from .running import Outcome, ellwand

WAIST_UP = ("--view", "front", "--level", "waist", "--up", "1.2 cm")


@pytest.fixture
def sitting(estimate_of: Callable[[str], DemoEstimate], tmp_path: Path) -> Path:
    """A sitting whose photos were measured."""
    path = tmp_path / "sitting.json"
    path.write_bytes(estimate_of("adela").written)
    return path


def correct(sitting: Path, *options: str) -> Outcome:
    return ellwand("correct", sitting, *options)


def test_choices_are_those_of_the_photos() -> None:
    assert correct_cli.VIEWS == VIEWS


def test_a_level_is_moved_and_the_numbers_follow_and_go_back(sitting: Path) -> None:
    before = load(sitting)
    told = correct(sitting, *WAIST_UP)
    assert told.code == 0
    assert "waist:" in told.out
    assert "was 80.9 cm (31 7/8 in)" in told.out
    assert told.out.endswith("By hand now: waist (level).\n")
    assert "  level corrected by hand\n" in ellwand("check", sitting).out
    rows = {row.code: row.how for row in content_of(load(sitting), False).rows}
    assert rows["waist"] == "photos, level corrected by hand"
    assert rows["full_hip"] == "photos"
    undone = correct(sitting, "--undo")
    assert undone.out.endswith("No line is corrected by hand now.\n")
    assert load(sitting).measurements == before.measurements
    assert "corrected" not in ellwand("check", sitting).out


@pytest.mark.parametrize(
    ("way", "by_mm"), [("--out", 8.0), ("--in", -8.0), ("--up", 8.0), ("--down", -8.0)]
)
def test_every_way_goes_where_it_says_and_programs_are_told(
    sitting: Path, way: str, by_mm: float
) -> None:
    end = ("--end", "left") if abs(by_mm) and way in ("--out", "--in") else ()
    told = correct(
        sitting, "--view", "side", "--level", "full_hip", *end, way, "8 mm",
        "--sure-to", "2.5 mm", "--json",
    )  # fmt: skip
    (one,) = json.loads(told.out)["corrections"]
    (move,) = one["moves"]
    assert (move["view"], move["level"], move["by_mm"], move["u_mm"]) == (
        "side", "full_hip", by_mm, 2.5,
    )  # fmt: skip
    assert move["part"] == ("left" if end else "height")
    (_, right), (left_x, _) = move["from_px"], move["to_px"][0]
    assert right == move["to_px"][1] if end else right != move["to_px"][1]
    if end:
        assert (left_x < move["from_px"][0][0]) == (way == "--out")


def test_with_a_taped_girth_the_card_says_both(sitting: Path) -> None:
    correct(sitting, "--view", "front", "--level", "underbust", "--down", "4 mm")
    for entry in ("98.5", "98.8"):
        ellwand("read", sitting, "full_bust", entry)
    rows = {row.code: row.how for row in content_of(load(sitting), False).rows}
    assert rows["underbust"] == "photos, level corrected by hand, using tape readings"


@pytest.mark.parametrize(
    "options",
    [("--view", "front", "--level", "waist", "--out", "1 cm"),
     ("--view", "front", "--level", "waist", "--end", "left", "--up", "1 cm"),
     ("--level", "waist", "--up", "1 cm")],
)  # fmt: skip
def test_a_line_that_is_not_told_is_asked_for_and_nothing_changes(
    sitting: Path, options: tuple[str, ...]
) -> None:
    before = sitting.read_bytes()
    told = correct(sitting, *options)
    assert told.code == 2
    assert "It is not said which line" in told.err
    assert sitting.read_bytes() == before
