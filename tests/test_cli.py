"""The command line: what is typed, what comes back, what is in the file afterwards."""

import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from ellwand import cli, size_cli, tryon_cli
from ellwand.card.output import write_output
from ellwand.measurements import KINDS, LEVELS
from ellwand.photo.reference import ReferenceKind
from ellwand.sitting import (
    FindingsEntry,
    PaperCode,
    SittingUnit,
    editing,
    load,
    taken_of,
    with_entry,
)
from ellwand.sizing import FINDINGS, Made
from ellwand.sizing.block import FABRICS
from ellwand.tape import BEFORE, CAUTIONS, HOW_TOS, MeasuredBy, Taken, Worn

from .api.measured import findings
from .running import ellwand

COMMANDS = (
    "sheets", "estimate", "correct", "howto", "read", "keep", "check", "size", "tryon", "compare",
    "card", "demo", "block",
)  # fmt: skip


@pytest.fixture
def sitting(tmp_path: Path) -> Path:
    """A sitting in which height, high bust and full bust are confirmed, waist and hip too."""
    path = tmp_path / "sitting.json"
    ellwand("read", path, "stature", "168")
    for code, first, second in (
        ("high_bust", "92", "92.5"),
        ("full_bust", "99", "99.4"),
        ("waist", "80", "80.5"),
        ("full_hip", "107", "107.5"),
    ):
        assert ellwand("read", path, code, first, second).code == 0
    return path


def test_help_names_every_command_and_every_exit_code() -> None:
    told = ellwand("--help")
    assert told.code == 0
    for command in COMMANDS:
        assert f"\n    {command} " in told.out
        assert ellwand(command, "--help").code == 0
    for code in ("0 done", "2 wrong usage", "3 a photo", "4 a sitting"):
        assert code in told.out


def test_help_waits_for_no_library() -> None:
    script = (
        "import sys; from ellwand.cli import parser; parser().format_help();"
        "print([name for name in ('numpy', 'cv2', 'pydantic', 'typst', 'mediapipe', 'PIL')"
        " if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (done.stdout, done.stderr) == ("[]\n", "")


def test_choices_are_those_of_the_sitting_file() -> None:
    for choices, words in (
        (cli.REFERENCES, ReferenceKind),
        (cli.PAPERS, PaperCode),
        (cli.UNITS, SittingUnit),
        (cli.MEASURED_BY, MeasuredBy),
        (cli.WORN, Worn),
    ):
        assert choices == words.__args__
    # Nobody types that something is untold.
    assert (*tryon_cli.MADE, "untold") == Made.__args__
    assert size_cli.FABRICS == FABRICS


@pytest.mark.parametrize("paper", cli.PAPERS)
def test_sheets_are_written_for_either_paper(paper: str, tmp_path: Path) -> None:
    told = ellwand("sheets", "--paper", paper, "-o", tmp_path / "sheets.pdf")
    assert told.code == 0
    assert "100 %" in told.out
    assert "--check-bar" in told.out
    assert len(PdfReader(tmp_path / "sheets.pdf").pages) == 3


def test_sheets_and_card_are_printed_in_the_language_asked_for(
    sitting: Path, tmp_path: Path
) -> None:
    sheets, card, page = (tmp_path / name for name in ("sheets.pdf", "karte.pdf", "karte.html"))
    assert ellwand("sheets", "--paper", "a4", "--language", "de", "-o", sheets).code == 0
    assert "Blatt 1" in PdfReader(sheets).pages[0].extract_text()
    assert ellwand("card", sitting, "--language", "de", "-o", card).code == 0
    text = " ".join(PdfReader(card).pages[0].extract_text().split())
    assert "Maßkarte Name: Noch keine Größe. Alles, was sie braucht, ist bestätigt" in text
    assert "Taillenumfang 80,3 ± " in text
    assert ellwand("card", sitting, "--language", "de", "-o", page).code == 0
    assert '<html lang="de">' in page.read_text("utf-8")
    # Without being asked, and for programs in any case.
    assert ellwand("card", sitting, "-o", page).code == 0
    assert '<html lang="en">' in page.read_text("utf-8")
    plain = ellwand("card", sitting, "--json")
    assert ellwand("card", sitting, "--json", "--language", "de") == plain
    assert ellwand("card", sitting, "--language", "fr", "-o", page).code == 2


@pytest.mark.parametrize(
    "code", ["full_bust", "full bust", "full-bust", "Full Bust", "FULL_BUST", " full  bust "]
)
def test_a_measurement_can_be_named_as_people_write_it(code: str, tmp_path: Path) -> None:
    told = ellwand("read", tmp_path / "s.json", code, "36 3/8 in")
    assert told.code == 0
    assert "full bust, reading 1: 92.4 cm (36 3/8 in)" in told.out
    assert list(load(tmp_path / "s.json").readings) == ["full_bust"]


def test_the_name_on_screen_serves_as_code(tmp_path: Path) -> None:
    ellwand("read", tmp_path / "s.json", "height", "168")
    ellwand("read", tmp_path / "s.json", "across shoulders", "39")
    assert list(load(tmp_path / "s.json").readings) == ["stature", "shoulder_width"]


def test_all_entries_are_read_in_or_none(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    ellwand("read", path, "waist", "80")
    before = path.read_bytes()
    told = ellwand("read", path, "waist", "81", "eighty")
    assert (told.code, told.out) == (2, "")
    assert "cannot be read as a length" in told.err
    assert path.read_bytes() == before


def test_a_unit_holds_for_bare_numbers_from_then_on(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    ellwand("read", path, "waist", "80")
    assert "36 in (91.4 cm)" in ellwand("read", path, "full bust", "36", "--unit", "in").out
    assert "40 in (101.6 cm)" in ellwand("read", path, "full hip", "40").out
    assert [row.mm for row in load(path).readings["waist"]] == [800]


def test_the_unit_of_a_sitting_is_shown_first_by_every_command(tmp_path: Path) -> None:
    path, later = tmp_path / "s.json", tmp_path / "later.json"
    ellwand("read", path, "stature", "66", "--unit", "in")
    for code, *entries in (
        ("high bust", "34 5/8", "34 3/4"), ("full bust", "37", "37 1/8"),
        ("waist", "29", "29 1/4"), ("full hip", "39", "39 1/8"),
    ):  # fmt: skip
        ellwand("read", path, code, *entries)
    later.write_bytes(path.read_bytes())
    ellwand("read", later, "full bust", "38 1/2", "38 1/2", "--instead")
    for told in (
        ellwand("check", path), ellwand("size", path), ellwand("compare", path, later),
        ellwand("howto", "full hip", "--sitting", path),
    ):  # fmt: skip
        said = " ".join(told.out.split())
        assert re.search(r"[\d/]+ in \([\d.]+ cm\)", said)
        assert not re.search(r"\d cm \([\d /]+ in\)", said)
    # The card for programs has no order, and the one on paper has its figures.
    ellwand("card", path, "-o", tmp_path / "card.html")
    (tmp_path / "card.json").write_text(ellwand("card", path, "--json").out)
    page = (tmp_path / "card.html").read_text()
    (figures,) = re.findall(r'<p class="figures">([^<]*)', page)
    told = ellwand("card", tmp_path / "card.json", "--check", figures)
    assert (told.code, told.err) == (0, "")


def test_who_holds_the_tape_and_what_is_worn_are_remembered_and_told(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    assert "Noted" not in ellwand("read", path, "waist", "80").out
    told = ellwand("read", path, "high_bust", "92", "92", "--by", "herself", "--worn", "bra")
    assert (
        "Noted for these readings and those to come: by yourself, in an unpadded bra.\n"
    ) in told.out
    assert "Noted" not in ellwand("read", path, "full_bust", "99", "99").out
    ellwand("read", path, "wrist", "16", "--by", "untold")
    record = load(path)
    assert taken_of(record, "high_bust") == taken_of(record, "full_bust") == (
        Taken("herself", "bra"),
    )  # fmt: skip
    assert taken_of(record, "waist") == taken_of(record, "wrist") == ()
    lines = ellwand("check", path).out.splitlines()
    assert lines.count("  taken: by yourself, in an unpadded bra") == 2
    assert sum(line.startswith("  taken: ") for line in lines) == 2


def test_a_cup_from_two_layers_is_remarked_on_by_read_check_and_size(sitting: Path) -> None:
    ellwand("read", sitting, "high_bust", "92", "92", "--instead", "--worn", "bra")
    told = ellwand("read", sitting, "full_bust", "99", "99", "--instead", "--worn", "thick")
    assert told.code == 0
    assert told.out.count("Remark: ") == 2
    for command in ("check", "size"):
        said = " ".join(ellwand(command, sitting).out.split())
        assert "Measured in a blouse or thicker: full bust. The cloth is in the number" in said
        assert "High bust and full bust were not measured over the same" in said
    assert load(sitting).measurements["full_bust"].standing == "confirmed"


@pytest.mark.parametrize("option", [("--by", "Anna"), ("--worn", "my red bra")])
def test_no_name_and_no_free_words_are_taken_for_it(
    option: tuple[str, str], tmp_path: Path
) -> None:
    told = ellwand("read", tmp_path / "s.json", "waist", "80", *option)
    assert told.code == 2
    assert not (tmp_path / "s.json").exists()


def test_how_to_measure_is_told_for_each_measurement() -> None:
    for code, kind in KINDS.items():
        told = ellwand("howto", kind.name)
        assert told.code == 0
        assert told.out.startswith(f"{kind.name}: {kind.taken}\n")
        said = " ".join(told.out.split())
        for words in (HOW_TOS[code].where, *HOW_TOS[code].wrong, *CAUTIONS):
            assert words in said
        assert ("drops at the back" in told.out) == (code in LEVELS)
        assert max(map(len, told.out.splitlines())) <= 100


def test_how_to_measure_begins_with_what_holds_for_all() -> None:
    said = " ".join(ellwand("howto").out.split())
    for words in (*CAUTIONS, *BEFORE, *KINDS):
        assert words in said


def test_a_crooked_tape_is_told_for_a_usual_figure_or_her_own(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    usual = ellwand("howto", "waist")
    assert "3.0 cm (1 1/8 in) lower: about 2.0 cm (3/4 in) more" in usual.out
    ellwand("read", path, "waist", "80")
    assert ellwand("howto", "waist", "--sitting", path).out == usual.out
    found = findings()
    found["estimates"]["waist"] |= {"breadth_mm": 280.0, "depth_mm": 190.0, "height_mm": 1040.0}
    with editing(path) as edit:
        edit.record = with_entry(edit.record, FindingsEntry.model_validate(found))
    own = ellwand("howto", "waist", "--sitting", path)
    assert "your photos show" in own.out
    assert own.out != usual.out


@pytest.mark.parametrize("arguments", [("neck",), ("waist", "--sitting", "missing.json")])
def test_how_to_measure_what_is_not_there_is_refused(arguments: tuple[str, ...]) -> None:
    told = ellwand("howto", *arguments)
    assert (told.code, told.out) == (2 if len(arguments) == 1 else 4, "")


def test_a_doubt_is_told_and_does_not_fail_the_command(sitting: Path) -> None:
    told = ellwand("read", sitting, "waist", "250", "--instead")
    assert told.code == 0
    assert "Query:" in told.out
    assert load(sitting).measurements["waist"].standing == "queried"


def test_a_check_says_what_stands_what_is_in_doubt_and_how_far_repeats_scatter(
    tmp_path: Path,
) -> None:
    path = tmp_path / "s.json"
    ellwand("read", path, "high_bust", "91", "91.6")
    ellwand("read", path, "waist", "38", "96")
    before = path.read_bytes()
    lines = ellwand("check", path).out.splitlines()
    assert lines[0].startswith("high bust: 91.3 cm")
    assert lines[0].endswith(", confirmed")
    assert "waist: readings differ, queried" in lines
    assert "  typed: 38; 96" in lines
    assert any(line.startswith("  Query: ") for line in lines)
    # A pair that differs by 6 mm: 6 / sqrt(2), and the waist's pair does not agree.
    assert any("one measurement scatter by 0.4 cm" in line for line in lines)
    assert lines[-2].startswith("Next, with the tape")
    assert max(map(len, lines)) <= 100
    assert path.read_bytes() == before


def test_a_check_of_an_empty_sitting_says_what_to_measure(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    with editing(path, "cm"):
        pass
    told = ellwand("check", path).out
    assert told.startswith("Nothing has been measured yet.\nNext, with the tape")


def test_keeping_says_what_is_kept_and_why(sitting: Path) -> None:
    ellwand("read", sitting, "waist", "130", "--instead")
    told = ellwand("keep", sitting, "waist", "--reason", "taken twice by a nurse")
    assert told.code == 0
    assert told.out == "waist: 130.0 cm (51 1/8 in), kept because “taken twice by a nurse”.\n"


def test_the_size_is_told_step_by_step_and_noted(sitting: Path) -> None:
    told = ellwand("size", sitting)
    assert told.code == 0
    for step in ("Length class: ", "Size: ", "Cup: ", "At the full hip: ", "Sew first: "):
        assert step in told.out
    noted = load(sitting).decision
    assert noted is not None
    told = json.loads(ellwand("size", sitting, "--json").out)["decision"]
    assert told["size"] == noted["size"]["name"]
    assert told["cup"] == noted["cup"]["name"]
    assert told["length_class"] == noted["length_class"]["name"]
    assert told["size_probabilities"] == noted["size_probabilities"]
    assert sum(told["cup_probabilities"].values()) == pytest.approx(1, abs=0.01)
    assert {one["title"] for one in told["reasons"]} >= {"Size", "Cup", "Length class"}
    assert told["grading"] == noted["grading"]
    assert told["cautions"] == noted["cautions"]


def test_blocks_and_garments_are_compared_and_nothing_is_noted(
    sitting: Path, tmp_path: Path
) -> None:
    fuller = tmp_path / "fuller.toml"
    assert ellwand("block", "new", fuller, "--range", "fuller").code == 0
    misses = tmp_path / "misses.toml"
    assert ellwand("block", "new", misses).code == 0
    before = load(sitting)
    told = ellwand("size", sitting, "--block", misses, "--block", fuller)
    assert told.code == 0
    assert "Demo blouse block, blouse is closest" in told.out
    assert "beyond" in told.out
    each = json.loads(ellwand("size", sitting, "--all-garments", "--json").out)
    assert [one["garment"] for one in each["compared"]] == ["blouse", "sheer-blouse", "camisole"]
    assert each["compared"][each["closest"]]["decision"]["size"]
    assert load(sitting) == before


def test_ease_is_counted_over_what_is_worn_beneath_and_in_its_cloth(sitting: Path) -> None:
    def left(*options: str) -> float:
        told = json.loads(ellwand("size", sitting, "--json", *options).out)["decision"]
        ease: float = told["ease"][0]["ease_at_low_mm"]
        return ease

    assert left("--under-layer", "1 cm") == pytest.approx(left() - 10)
    # The invented blouse is drafted with 9 cm of ease in woven and 4 cm in knit.
    assert left("--fabric", "knit") == pytest.approx(left() - 50)
    assert ellwand("size", sitting, "--under-layer", "thick").code == 2


def test_the_ease_is_drawn_and_never_over_another_kind_of_file(
    sitting: Path, tmp_path: Path
) -> None:
    chart = tmp_path / "ease.svg"
    assert ellwand("size", sitting, "--chart", chart).code == 0
    assert chart.read_text().startswith("<svg")
    told = ellwand("size", sitting, "--chart", sitting)
    assert told.code == 2
    assert "no SVG picture" in told.err


def test_a_size_is_refused_with_what_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    ellwand("read", path, "stature", "168")
    ellwand("read", path, "high bust", "92")
    before = path.read_bytes()
    told = ellwand("size", path)
    assert (told.code, told.out) == (2, "")
    assert "still to be confirmed: high bust and full bust" in told.err
    assert path.read_bytes() == before


HIP = ("--finding", "rides up at the back", "--finding", "snug at full hip", "--by", "3/4 in")


def test_a_try_on_tells_cause_remedy_and_the_next_order_and_is_noted(sitting: Path) -> None:
    # 107.25 cm leave 3.75 cm of ease in size 5, and 4 cm are the least.
    ellwand("size", sitting)
    told = ellwand("tryon", sitting, *HIP, "--made", "plain", "--over", "camisole")
    assert (told.code, told.err) == (0, "")
    said = " ".join(told.out.split())
    for words in (
        "Blouse, size 5, cut without the changes of the size decision, worn over camisole.",
        "try it on without once before anything is changed",
        "Rides up at the back First: too little width at the full hip. The try-on says so.",
        "Now: It lacks 1.9 cm (3/4 in) at the full hip. Let the side seams out there by "
        "0.5 cm (3/16 in) at each of 4 edges, which gains 1.9 cm (3/4 in).",
        "Next time: Size 5 at the bust, half a size more at the full hip",
        "Leave alone: the back is too long (sway back). Leave it alone until the width at the "
        "full hip and high hip is settled",
        "Snug at the full hip First: too little width at the full hip, as above.",
        "The next order starts from size 5 at the bust, a full bust adjustment of 2.2 cm (7/8 in) "
        "and half a size more at the full hip.",
    ):
        assert words in said
    assert max(map(len, told.out.splitlines())) <= 100
    assert [one.over for one in load(sitting).tryons] == ["camisole"]
    size = ellwand("size", sitting).out
    assert "As the last try-on showed: size 5 at the bust, half a size more at the full" in size
    assert "From the last try-on (snug at the full hip)" in size


def test_a_try_on_that_was_not_told_how_it_was_cut_says_what_to_do_and_teaches_nothing(
    sitting: Path,
) -> None:
    ellwand("size", sitting)
    said = " ".join(ellwand("tryon", sitting, *HIP).out.split())
    assert "it was not told whether the garment was cut so" in said
    assert "First: too little width at the full hip." in said
    assert "3/16 in) at each of 4 edges" in said
    assert said.endswith("and one size more at the full hip.")


def test_a_try_on_is_told_to_programs(sitting: Path) -> None:
    ellwand("size", sitting)
    printed = json.loads(ellwand("tryon", sitting, *HIP, "--made", "plain", "--json").out)
    rides, snug = printed["findings"]
    assert [cause["weight"] for cause in rides["causes"]][0::3] == ["seen", "later"]
    assert snug["causes"][0]["remedy"]["each_edge_mm"] == 4.7625
    assert printed["learnt"][0]["girth_mm"] == 1049.05
    assert printed["next_order"].endswith(" and half a size more at the full hip")
    assert printed["tryon"] == json.loads(sitting.read_bytes())["tryons"][0]


def test_what_fits_and_what_the_numbers_speak_against_is_told(sitting: Path) -> None:
    ellwand("read", sitting, "back waist length", "41.2", "41.2")
    ellwand("read", sitting, "high hip", "94", "94")
    ellwand("size", sitting)
    told = ellwand("tryon", sitting, "--finding", "fits at full hip", "--finding",
                   "rides up at the back")  # fmt: skip
    assert "Noted: the next order starts from this." in told.out
    assert "First: check the tape and how it was cut" in told.out
    assert "The try-on says otherwise." in told.out


def test_a_garment_for_a_layer_is_tried_on_over_it(sitting: Path) -> None:
    ellwand("size", sitting, "--garment", "sheer-blouse")
    finding = ("--finding", "drag lines from the bust")
    over = "try it on over that layer before anything is changed"
    assert over in " ".join(ellwand("tryon", sitting, *finding).out.split())
    assert over not in ellwand("tryon", sitting, *finding, "--over", "camisole").out


def test_a_try_on_without_a_finding_lists_the_words_and_changes_nothing(sitting: Path) -> None:
    before = sitting.read_bytes()
    told = ellwand("tryon", sitting)
    assert told.code == 0
    for kind in FINDINGS.values():
        assert f"  {kind.words}" in told.out
        assert kind.see in told.out
    assert sitting.read_bytes() == before
    assert ellwand("tryon", sitting.with_name("none.json")).code == 4


def test_the_card_is_complete_before_and_after_the_size(sitting: Path) -> None:
    card = sitting.with_name("card.pdf")
    assert ellwand("card", sitting, "-o", card).code == 0
    assert "has not been decided" in " ".join(PdfReader(card).pages[0].extract_text().split())
    ellwand("size", sitting)
    before = sitting.read_bytes()
    assert ellwand("card", sitting, "-o", card).code == 0
    text = " ".join(PdfReader(card).pages[0].extract_text().split())
    assert "SEWING CUP" in text.upper()
    for name in ("height", "high bust", "full bust", "waist", "full hip"):
        assert name in text
    assert sitting.read_bytes() == before


@pytest.mark.parametrize("ending", ["html", "HTM"])
def test_the_card_for_a_browser_says_the_same_and_stands_alone(sitting: Path, ending: str) -> None:
    card = sitting.with_name(f"card.{ending}")
    ellwand("size", sitting)
    told = ellwand("card", sitting, "-o", card)
    assert (told.code, told.out) == (0, "The card is written; it holds no photo.\n")
    page = card.read_text("utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert "<style>" in page
    assert "sewing cup" in page
    assert ellwand("card", sitting, "-o", card).code == 0
    # What is no page is not written over.
    note = sitting.with_name(f"note.{ending}")
    note.write_text("my own", encoding="utf-8")
    refused = ellwand("card", sitting, "-o", note)
    assert (refused.code, note.read_text("utf-8")) == (2, "my own")
    assert "no HTML document" in refused.err


def test_a_copy_of_the_card_is_checked_by_the_figures_on_paper(sitting: Path) -> None:
    card, copy = sitting.with_name("card.pdf"), sitting.with_name("card.json")
    ellwand("size", sitting)
    assert ellwand("card", sitting, "-o", card).code == 0
    told = ellwand("card", sitting, "--json")
    assert (told.code, told.err) == (0, "")
    copy.write_text(told.out, encoding="utf-8")
    (figures,) = re.findall(
        r"\b[0-9a-f]{4}(?: [0-9a-f]{4}){3}\b", PdfReader(card).pages[0].extract_text()
    )
    assert ellwand("card", copy, "--check", figures).out == (
        "The file says what the printed card says.\n"
    )
    # The waist, one millimetre off.
    changed = told.out.replace('"value_mm": 802.5', '"value_mm": 803.5')
    assert changed != told.out
    copy.write_text(changed, encoding="utf-8")
    refused = ellwand("card", copy, "--check", figures)
    assert (refused.code, refused.out) == (2, "")
    assert "does not say what the printed card says" in refused.err
    for path, typed, words in (
        (card, figures, "no saved measurement card"),
        (sitting.with_name("none.json"), figures, "no saved measurement card"),
        (copy, "12 34", "not the figures of a card"),
    ):
        told = ellwand("card", path, "--check", typed)
        assert told.code == 2
        assert words in told.err


def test_an_outline_that_cannot_be_drawn_is_told(sitting: Path) -> None:
    card = sitting.with_name("card.pdf")
    told = ellwand("card", sitting, "--drawing", "-o", card)
    assert told.code == 0
    assert "could not be drawn" in told.out
    assert "HER OUTLINE" not in PdfReader(card).pages[0].extract_text()
    assert "drawn" not in ellwand("card", sitting, "-o", card).out


def test_nothing_but_a_pdf_is_written_over(sitting: Path) -> None:
    before = sitting.read_bytes()
    told = ellwand("card", sitting, "-o", sitting)
    assert told.code == 2
    assert "no PDF" in told.err
    assert sitting.read_bytes() == before


def test_a_pdf_that_is_there_is_replaced_by_an_ordinary_file(tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    for data in (b"%PDF-1", b"%PDF-2"):
        write_output(path, data)
        assert path.read_bytes() == data
    mask = os.umask(0)
    os.umask(mask)
    assert path.stat().st_mode & 0o777 == 0o666 & ~mask
    assert [file.name for file in tmp_path.iterdir()] == ["card.pdf"]


def test_photos_that_cannot_be_opened_leave_what_was_typed(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    told = ellwand(
        "estimate", path, "--front", tmp_path / "no.jpg", "--side", tmp_path, "--stature", "168 cm",
        "--reference", "marker-sheets", "--standoff", "30 cm", "--json",
    )  # fmt: skip
    assert told.code == 3
    assert "The front photo can't be used" in told.err
    assert "The side photo can't be used" in told.err
    printed = json.loads(told.out)
    assert printed["estimates"] == {}
    for view in ("front", "side"):
        problems = printed["photos"][view]["problems"]
        assert [(one["code"], one["severity"]) for one in problems] == [
            ("photo-missing", "refused")
        ]
    record = load(path)
    assert record.readings["stature"][0].raw == "168 cm"
    assert record.setup is not None
    assert record.setup.standoff_side is not None
    assert record.setup.standoff_side.raw == "30 cm"
    assert record.findings is None


def test_the_standoff_of_one_photo_goes_before_that_of_both(tmp_path: Path) -> None:
    path = tmp_path / "s.json"
    ellwand(
        "estimate", path, "--front", "no", "--side", "no", "--stature", "66", "--unit", "in",
        "--reference", "plain-sheets", "--standoff", "12", "--standoff-side", "14 in +- 1 in",
        "--focal-35mm", "26", "--weight", "11 st 4 lb",
    )  # fmt: skip
    setup = load(path).setup
    assert setup is not None
    assert setup.standoff_front is not None
    assert setup.standoff_side is not None
    assert setup.standoff_side_bound is not None
    assert (setup.standoff_front.raw, setup.standoff_side.raw) == ("12", "14 in")
    assert setup.standoff_side_bound.mm == 25.4
    assert setup.focal_35mm == 26
    assert setup.weight is not None
    assert (setup.weight.raw, setup.weight.kg) == ("11 st 4 lb", 71.66759446)


def test_photos_of_another_format_are_refused_each_for_its_reason(tmp_path: Path) -> None:
    (tmp_path / "front.heic").write_bytes(b"\x00\x00\x00\x18ftypheic" + bytes(40))
    (tmp_path / "side.jpg").write_text("not a photo")
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", tmp_path / "front.heic", "--side",
        tmp_path / "side.jpg", "--stature", "168", "--reference", "stature", "--json",
    )  # fmt: skip
    assert told.code == 3
    photos = json.loads(told.out)["photos"]
    assert [one["code"] for one in photos["front"]["problems"]] == ["heic"]
    assert [one["code"] for one in photos["side"]["problems"]] == ["not-a-photo"]


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("measure",),
        ("sheets", "--paper", "a5", "-o", "x.pdf"),
        ("sheets", "--paper", "a4"),
        ("estimate", "s.json", "--front", "f", "--side", "s", "--stature", "168"),
        ("read", "s.json", "waist"),
        ("keep", "s.json", "waist"),
        ("card", "s.json"),
        ("card", "s.json", "-o", "c.pdf", "--json"),
        ("card", "s.json", "--json", "--check", "0" * 16),
        ("size", "s.json", "--bl", "b"),
        ("block",),
        ("block", "check"),
        ("block", "new"),
        ("block", "new", "--range", "men", "b"),
        ("block", "check", "--range", "misses", "b"),
        ("block", "new", "--ran", "misses", "b"),
        ("tryon", "s.json", "--by", "1 in", "--finding", "snug at waist"),
        ("tryon", "s.json", "--finding", "snug at waist", "--by", "1 in", "--by", "2 in"),
        ("tryon", "s.json", "--finding", "snug at waist", "--made", "well"),
    ],
)
def test_wrong_usage_exits_with_2_and_says_how(
    arguments: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = ellwand(*arguments)
    assert told.code == 2
    assert told.err.startswith("usage: ellwand")
    assert list(tmp_path.iterdir()) == []


def test_an_interrupted_command_ends_quietly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("ellwand.sitting.load", interrupt)
    told = ellwand("card", tmp_path / "s.json", "-o", tmp_path / "c.pdf")
    assert (told.code, told.out, told.err) == (cli.INTERRUPTED, "", "")


def test_a_bug_is_not_hidden(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("ellwand.sitting.load", fail)
    with pytest.raises(ZeroDivisionError):
        ellwand("card", tmp_path / "s.json", "-o", tmp_path / "c.pdf")


def test_a_reader_that_goes_away_is_no_error(sitting: Path) -> None:
    command = [sys.executable, "-m", "ellwand.cli", "size", str(sitting), "--json"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, bufsize=0
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == cli.BROKEN_PIPE


def test_a_terminal_without_a_sign_shows_another(sitting: Path) -> None:
    ellwand("read", sitting, "waist", "130", "--instead")
    done = subprocess.run(
        [sys.executable, "-m", "ellwand.cli", "keep", str(sitting), "waist", "--reason", "é"],
        env=os.environ | {"PYTHONIOENCODING": "ascii"},
        capture_output=True,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"kept because ???." in done.stdout


def test_streams_that_are_no_terminal_are_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    with pytest.raises(SystemExit) as end:
        cli.main(["--help"])
    assert end.value.code == 0
