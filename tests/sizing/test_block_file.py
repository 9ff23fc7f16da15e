"""A block file: what is read from it, and that every complaint names the line's key."""

from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

from ellwand.errors import BlockProblem
from ellwand.sizing import block_from_toml, demo_block, load_block

DEMO = resources.files("ellwand.sizing").joinpath("demo_block.toml").read_text(encoding="utf-8")

SMALL = """
name = "Small block"
unit = "in"
cup = "B"
cup_step = 1

[[sizes]]
name = "a"
high_bust = 32
full_bust = 34
waist = 26.5
full_hip = 36

[[sizes]]
name = "b"
high_bust = 34
full_bust = 36
waist = 28.5
full_hip = 38

[[sizes]]
name = "c"
high_bust = 36
full_bust = 38
waist = 30.5
full_hip = 40

[length_class.petite]
stature_up_to = 64
[length_class.regular]
stature_from = 64
stature_up_to = 68
[length_class.tall]
stature_from = 68

[garment.top]
fabric = "woven"
hem = "waist"
under_layer = 0
seam = "plain"
side_seams = 2
seam_allowance = 0.625
allowance_kept = 0.4375
cuff = "none"
[garment.top.ease.woven]
full_bust = { least = 2, drafted = 4 }
waist = { least = 2, drafted = 5 }
"""


def replaced(old: str, new: str, count: int = 1) -> str:
    assert SMALL.count(old) >= 1
    return SMALL.replace(old, new, count)


def test_inches_of_the_file_become_millimetres() -> None:
    block = block_from_toml(SMALL.encode())
    assert block.cup_step_mm == 25.4
    assert block.sizes[0].high_bust_mm == pytest.approx(812.8)
    assert block.sizes[1].waist_mm == pytest.approx(723.9)
    assert block.sizes[0].high_hip_mm is None
    assert block.length_classes[1].from_mm == pytest.approx(1625.6)
    assert block.garments["top"].ease["woven"]["waist"].drafted_mm == pytest.approx(127)
    assert block.garments["top"].levels == ("full_bust", "waist")


def test_the_demo_block_says_that_it_is_invented() -> None:
    block = demo_block()
    assert "nvented" in block.note
    assert "invented" in DEMO.splitlines()[0]
    assert len(block.sizes) == 10
    assert list(block.garments) == ["blouse", "sheer-blouse", "camisole"]


def test_a_block_file_is_read_from_disk(tmp_path: Path) -> None:
    path = tmp_path / "block.toml"
    path.write_text(DEMO, encoding="utf-8")
    assert load_block(path) == demo_block()


WRONG_LINES = [
    ("unit", replaced('unit = "in"\n', "")),
    ("unit", replaced('unit = "in"', 'unit = "ell"')),
    ("name", replaced('name = "Small block"\n', "")),
    ("name", replaced('name = "Small block"', "name = 3")),
    ("cup", replaced('cup = "B"', 'cup = "K"')),
    ("cup_step", replaced("cup_step = 1", "cup_step = 2.54")),
    ("sizes[1].full_bust (size a)", replaced('cup = "B"', 'cup = "C"')),
    ("sizes[2].waist (size b)", replaced("waist = 28.5\n", "")),
    ("sizes[2].waist (size b)", replaced("waist = 28.5", 'waist = "28 1/2"')),
    ("sizes[2].waist (size b)", replaced("waist = 28.5", "waist = true")),
    ("sizes[2].waist (size b)", replaced("waist = 28.5", "waist = nan")),
    ("sizes[2].waist (size b)", replaced("waist = 28.5", "waist = -28.5")),
    ("sizes[2].waist (size b)", replaced("waist = 28.5", "waist = 26.5")),
    ("sizes[3].waist (size c)", replaced("waist = 30.5", "waist = 28.0")),
    ("sizes[2].wiast (size b)", replaced("waist = 28.5", "waist = 28.5\nwiast = 28.5")),
    ("sizes[3].name (size b)", replaced('name = "c"', 'name = "b"')),
    ("sizes[2].high_hip (size b)", replaced("waist = 28.5", "waist = 28.5\nhigh_hip = 33")),
    (
        "sizes[3].high_bust (size c)",
        replaced("high_bust = 36\nfull_bust = 38", "high_bust = 38\nfull_bust = 40"),
    ),
    ("sizes[1].high_bust (size a)", replaced('unit = "in"\ncup = "B"\ncup_step = 1',
                                             'unit = "cm"\ncup = "B"\ncup_step = 2.54')),
    ("length_class.tall", SMALL.replace("[length_class.tall]\nstature_from = 68\n", "")),
    ("length_class.regular.stature_from", replaced("stature_from = 64", "stature_from = 65")),
    ("length_class.regular.stature_up_to", replaced("stature_up_to = 68", "stature_up_to = 60")),
    ("length_class.tall.stature_from", replaced("stature_from = 68", "stature_from = 172")),
    ("length_class.short", SMALL + "\n[length_class.short]\nstature_up_to = 60\n"),
    ("garment", SMALL[: SMALL.index("[garment.top]")]),
    ("garment.top.fabric", replaced('fabric = "woven"', 'fabric = "felt"')),
    ("garment.top.fabric", replaced('fabric = "woven"', 'fabric = "knit"')),
    ("garment.top.hem", replaced('hem = "waist"', 'hem = "high_hip"')),
    ("garment.top.side_seams", replaced("side_seams = 2", "side_seams = 0")),
    ("garment.top.allowance_kept", replaced("allowance_kept = 0.4375", "allowance_kept = 1")),
    ("garment.top.ease.woven.waist", replaced("waist = { least = 2, drafted = 5 }\n", "")),
    ("garment.top.ease.woven.waist", replaced("waist = { least = 2, drafted = 5 }", "waist = 5")),
    ("garment.top.ease.woven.waist.drafted", replaced("drafted = 5", "drafted = 1")),
    ("garment.top.ease.silk", SMALL + "\n[garment.top.ease.silk]\nwaist = 3\n"),
    ("mood", 'mood = "blue"\n' + SMALL),
]  # fmt: skip


@pytest.mark.parametrize(("key", "content"), WRONG_LINES)
def test_a_wrong_line_is_named_by_its_key(key: str, content: str) -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(content.encode())
    assert f": {key}: " in caught.value.sentence
    assert caught.value.code == "block-line"
    assert caught.value.exit_code == 4


def test_one_size_alone_is_no_block() -> None:
    start, end = SMALL.index('[[sizes]]\nname = "b"'), SMALL.index("[length_class.petite]")
    with pytest.raises(BlockProblem, match="at least two sizes"):
        block_from_toml((SMALL[:start] + SMALL[end:]).encode())


def test_two_sizes_far_apart_have_a_gap() -> None:
    start, end = SMALL.index('[[sizes]]\nname = "b"'), SMALL.index('[[sizes]]\nname = "c"')
    with pytest.raises(BlockProblem, match=r"sizes\[2\].high_bust \(size c\)"):
        block_from_toml((SMALL[:start] + SMALL[end:]).encode())


def _missing(folder: Path) -> Path:
    return folder / "no.toml"


def _folder(folder: Path) -> Path:
    return folder


def _huge(folder: Path) -> Path:
    path = folder / "huge.toml"
    path.write_bytes(b"# " + b"x" * 300_000)
    return path


def _picture(folder: Path) -> Path:
    path = folder / "picture.toml"
    path.write_bytes(b"\xff\xd8\xff\xe0")
    return path


def _prose(folder: Path) -> Path:
    path = folder / "prose.toml"
    path.write_text("size four is 88 around", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (_missing, "block-missing"),
        (_folder, "block-missing"),
        (_huge, "block-too-large"),
        (_picture, "block-not-text"),
        (_prose, "block-not-toml"),
    ],
)
def test_a_file_that_is_no_block_is_refused_without_its_path(
    make: Callable[[Path], Path], code: str, tmp_path: Path
) -> None:
    with pytest.raises(BlockProblem) as caught:
        load_block(make(tmp_path))
    assert caught.value.code == code
    assert str(tmp_path) not in str(caught.value)
