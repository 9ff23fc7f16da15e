"""`ellwand demo`: the whole run, its slip, and its files."""

from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from ellwand.measurements import LEVELS
from ellwand.sitting import load

from ..running import Outcome, ellwand

FILES = {"about.txt", "card.pdf", "front.jpg", "side.jpg", "sitting.json"}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a run."""
    return tmp_path_factory.mktemp("demo") / "result"


@pytest.fixture(scope="module")
def told(out: Path) -> Outcome:
    """What a run says."""
    return ellwand("demo", "--out", out)


def test_the_demo_ends_well_with_all_its_files(told: Outcome, out: Path) -> None:
    assert told.code == 0
    assert {file.name for file in out.iterdir()} == FILES
    for view in ("front", "side"):
        with Image.open(out / f"{view}.jpg") as photo:
            assert photo.size == (1500, 2000)
            assert dict(photo.getexif()) == {}


def test_each_step_is_a_command_that_a_customer_types(told: Outcome) -> None:
    typed = [line for line in told.out.splitlines() if line.startswith("$ ")]
    assert {line.split()[2] for line in typed} == {"estimate", "read", "size", "card"}
    assert all(line.startswith("$ ellwand ") for line in typed)


def test_the_slip_is_queried_named_and_put_right(told: Outcome, out: Path) -> None:
    query, after = told.out.split("\nQuery: ")
    assert query.rstrip().splitlines()[-1].startswith("Not confirmed yet")
    assert "10-cm mark" in after.splitlines()[0]
    record = load(out / "sitting.json")
    assert record.measurements["full_bust"].standing == "confirmed"
    assert [row.superseded for row in record.readings["full_bust"]] == [True, True, False, False]


def test_the_card_has_the_decision_and_both_kinds_of_numbers(told: Outcome, out: Path) -> None:
    assert told.code == 0
    (page,) = PdfReader(out / "card.pdf").pages
    text = " ".join(page.extract_text().split())
    decision = load(out / "sitting.json").decision
    assert decision is not None
    for words in (
        "tape, 2 readings, measured by herself, in an unpadded bra",
        "estimated",
        "Sew first",
    ):
        assert words in text or words.lower() in text.lower()


def test_the_truth_of_the_invented_woman_stands_beside_the_estimates(told: Outcome) -> None:
    rows = told.out.split("Only a demo can")[1].splitlines()[2:]
    for row in rows[: len(LEVELS)]:
        assert row.endswith(("  yes", "  NO"))


def test_another_run_gives_the_same_bytes_and_replaces_its_own_files(
    told: Outcome, out: Path
) -> None:
    before = {file.name: file.read_bytes() for file in out.iterdir()}
    assert ellwand("demo", "--out", out).out == told.out
    assert {file.name: file.read_bytes() for file in out.iterdir()} == before
