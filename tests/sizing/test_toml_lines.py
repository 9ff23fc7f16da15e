"""At which line of a block file a complaint points."""

import pytest

from ellwand.errors import BlockProblem
from ellwand.sizing import block_from_toml, demo_block_toml
from ellwand.sizing.toml_lines import line_of, slip_in

FILE = """\
name = "Autumn"   # waist = 1
unit = "cm"

[[sizes]]
name = "1"
waist = 64

[[sizes]]  # the second
"waist" = 68

[garments.blouse]
ease = { woven = { waist = 8 } }
[ garments . blouse . seams ]
hem=2
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("unit", 2),
        ("sizes[1].waist", 6),
        ("sizes[2].waist", 9),
        # Inside of another one.
        ("garments.blouse.ease.woven.waist", 12),
        ("garments.blouse.seams.hem", 14),
        # What is missing belongs to its table.
        ("sizes[1].full_hip", 4),
        ("sizes[2]", 8),
        ("garments.blouse.closing", 11),
        ("cup", 1),
        ("sizes[3].waist", 1),
    ],
)
def test_a_key_is_found_where_it_stands(path: str, line: int) -> None:
    assert line_of(FILE, path) == line


SLIPS = [
    ("waist = 90,5", "no comma"),
    ("waist = { least = 2,5, drafted = 6 }", "no comma"),
    ("waist = 90 cm", "without its unit"),
    ("waist = 90,5 cm # taped", "without its unit"),
    ('waist = 35"', "without its unit"),
    ("waist = 35 1/2", "not as a fraction"),
    ("waist = 35½", "not as a fraction"),
    ("name = Demo blouse block", "straight quotation marks"),
    ("name = „Demo“", "straight quotation marks"),
    ("drafted_cups = [A, B]", "straight quotation marks"),
]


@pytest.mark.parametrize(("line", "rule"), SLIPS)
def test_a_line_that_is_no_toml_is_told_which_rule_it_breaks(line: str, rule: str) -> None:
    text = demo_block_toml().decode()
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(f"{line}\n{text}".encode())
    assert (caught.value.code, caught.value.at_line) == ("block-not-toml", 1)
    assert caught.value.sentence == "The block file is not written as TOML asks: line 1."
    assert caught.value.advice.startswith("Correct that place and try again. A")
    assert rule in caught.value.advice
    assert caught.value.advice.count(".") == 2


@pytest.mark.parametrize("line", ["[[sizes]", "= 4", 'name = "Demo', "waist = "])
def test_a_line_with_another_slip_is_told_all_rules(line: str) -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(f'unit = "cm"\n{line}'.encode())
    assert caught.value.at_line == 2
    for rule in ("no comma", "no unit behind it", "quotation marks"):
        assert rule in caught.value.advice


def test_no_line_of_a_sound_block_looks_like_a_slip() -> None:
    for line in demo_block_toml().decode().splitlines():
        assert slip_in(line) is None, line


def test_a_complaint_about_a_block_names_the_line() -> None:
    lines = demo_block_toml().decode().splitlines()
    wrong = lines.index("waist = 72")
    lines[wrong] = "waist = 7200"
    with pytest.raises(BlockProblem) as caught:
        block_from_toml("\n".join(lines).encode())
    assert caught.value.advice == (f"Correct the block file at line {wrong + 1} and try again.")
    assert caught.value.at_line == wrong + 1
