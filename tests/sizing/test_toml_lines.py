"""At which line of a block file a complaint points."""

import pytest

from ellwand.errors import BlockProblem
from ellwand.sizing import block_from_toml, demo_block_toml
from ellwand.sizing.toml_lines import line_of

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


def test_a_complaint_about_a_block_names_the_line() -> None:
    lines = demo_block_toml().decode().splitlines()
    wrong = lines.index("waist = 72")
    lines[wrong] = "waist = 7200"
    with pytest.raises(BlockProblem) as caught:
        block_from_toml("\n".join(lines).encode())
    assert caught.value.advice == (f"Correct the block file at line {wrong + 1} and try again.")
