"""`ellwand block`: a block file is written to begin with, filled in, and tried."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from ellwand.block_cli import RANGES
from ellwand.language import speaking
from ellwand.sizing import DemoRange, demo_block, load_block
from ellwand.sizing.naming import block_words, note_words

from .running import ellwand


def test_ranges_are_those_of_the_demo_blocks() -> None:
    assert DemoRange.__args__ == RANGES


@pytest.mark.parametrize("demo_range", RANGES)
def test_a_new_block_passes_the_check_and_says_what_its_lines_mean(
    demo_range: DemoRange, tmp_path: Path
) -> None:
    path = tmp_path / "block.toml"
    told = ellwand("block", "new", "--range", demo_range, path)
    assert (told.code, told.err) == (0, "")
    assert f"ellwand block check {path}" in told.out
    assert ellwand("block", "check", path).code == 0
    assert load_block(path) == demo_block(demo_range)
    comments = [line for line in path.read_text("utf-8").splitlines() if "#" in line]
    assert any("invented" in line for line in comments)
    for key in ("drafted_cups", "hem_change", "sleeve_change", "cuff_girth", "stretch", "least"):
        assert any(key in line for line in comments), key


@pytest.mark.parametrize("demo_range", RANGES)
def test_a_new_block_in_german_differs_in_comments_name_and_note_alone(
    demo_range: DemoRange, tmp_path: Path
) -> None:
    english, german = tmp_path / "block.toml", tmp_path / "grundschnitt.toml"
    ellwand("block", "new", "--range", demo_range, english)
    told = ellwand("block", "new", "--range", demo_range, "--language", "de", german)
    assert (told.code, told.err) == (0, "")
    assert _without_comments(german)[2:] == _without_comments(english)[2:]
    with speaking("de"):
        block = demo_block(demo_range)
        in_words = replace(block, name=block_words(block.name), note=note_words(block.note))
    assert load_block(german) == in_words
    comments = _comments(german)
    assert "erfunden" in comments
    assert not {"the", "of", "and", "with"} & set(comments.split())
    for key in re.findall(r"\b\w+_\w+\b", _comments(english)):
        assert key in comments


def _without_comments(path: Path) -> list[str]:
    """The lines that say something to a program; the first two are name and note."""
    lines = (line.partition("#")[0].strip() for line in path.read_text("utf-8").splitlines())
    return [line for line in lines if line]


def _comments(path: Path) -> str:
    """All that is said to a reader."""
    return " ".join(line.partition("#")[2] for line in path.read_text("utf-8").splitlines())


def test_a_misses_range_is_written_where_none_is_named(tmp_path: Path) -> None:
    ellwand("block", "new", tmp_path / "block.toml")
    assert load_block(tmp_path / "block.toml") == demo_block()


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "block.toml"
    path.write_text("my own numbers")
    told = ellwand("block", "new", path)
    assert (told.code, told.out) == (2, "")
    assert "“block.toml” already; nothing was written" in told.err
    assert path.read_text() == "my own numbers"


def test_a_check_says_what_was_understood(tmp_path: Path) -> None:
    path = tmp_path / "block.toml"
    ellwand("block", "new", "--range", "fuller", path)
    before = path.read_bytes()
    told = ellwand("block", "check", path).out
    for words in (
        "Demo fuller blouse block: Invented numbers",
        "Sizes: 7, from F1 to F7, high bust from 103.0 cm (40 1/2 in) to 137.0 cm (53 7/8 in)",
        "Cups drafted: C, D and DD; the full bust of the sizes is for D; 2.5 cm (1 in) from cup",
        "Length petite: for heights below 161.0 cm (63 3/8 in)",
        "waist to hem 2.5 cm (1 in) shorter and sleeve 2.0 cm (3/4 in) shorter",
        "Length regular: for heights from 161.0 cm",
        "Length tall: for heights from 172.0 cm",
        "Garment blouse: ends at the full hip, with a cuff that opens, cut in woven unless",
        "2 side seams, plain: allowance 2.0 cm (3/4 in), of which 1.0 cm (3/8 in) must stay",
        "full bust: 11.0 cm (4 3/8 in) of ease; at least 6.0 cm (2 3/8 in) are needed",
        "Garment tunic: ends at the full hip, with a closed cuff of 24.0 cm (9 1/2 in), cut in",
        "in knit, which stretches by 30 %:",
        "waist: 8.0 cm (3 1/8 in) of ease; it may stretch by 1.0 cm (3/8 in) at most",
        "hem allowance 2.5 cm (1 in)",
    ):
        assert words in told, words
    assert told.endswith("This block can be used.\n")
    assert path.read_bytes() == before


def test_a_layer_underneath_and_a_missing_cuff_are_told(tmp_path: Path) -> None:
    path = tmp_path / "block.toml"
    ellwand("block", "new", path)
    told = ellwand("block", "check", path).out
    assert "worn over a layer of 1.0 cm (3/8 in)" in told
    assert "Garment camisole: ends at the waist, with no cuff, cut in knit" in told
    assert "Cups drafted: B; " in told


@pytest.mark.parametrize("command", [("block", "check"), ("size", "sitting.json", "--block")])
def test_a_wrong_line_is_told_with_file_key_and_reason(
    command: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ellwand("read", "sitting.json", "waist", "80")
    ellwand("block", "new", "block.toml")
    text = Path("block.toml").read_text("utf-8").replace("waist = 72", "waist = 62")
    Path("block.toml").write_text(text, "utf-8")
    told = ellwand(*command, tmp_path / "block.toml")
    assert (told.code, told.out) == (4, "")
    line = text.splitlines().index("waist = 62") + 1
    assert told.err == (
        "The block file “block.toml” cannot be used: size 3, waist: must be larger than "
        "in size 2; sizes are listed from the smallest to the largest. Correct the block file at "
        f"line {line} and try again.\n"
    )
