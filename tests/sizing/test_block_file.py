"""A block file: what is read from it, and that every complaint names the line's key."""

import tomllib
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path

import pytest

from ellwand.errors import BlockProblem
from ellwand.sizing import block_from_toml, demo_block, demo_block_toml, load_block
from ellwand.sizing.toml_table import LINE_NAMES

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
hem_allowance = 0.75
cuff = "none"
[garment.top.ease.woven]
full_bust = { least = 2, drafted = 4 }
waist = { least = 2, drafted = 5 }
"""


# What a garment in knit with a closed cuff has besides.
KNIT = (
    SMALL.replace('fabric = "woven"', 'fabric = "knit"\nstretch = 0.25')
    .replace('cuff = "none"', 'cuff = "closed"\ncuff_girth = 9.5')
    .replace("ease.woven", "ease.knit")
)


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


def test_a_file_of_a_block_in_one_cup_needs_not_say_so() -> None:
    assert block_from_toml(SMALL.encode()).drafted_cups == ("B",)
    said = replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["A", "B", "C"]')
    assert block_from_toml(said.encode()).drafted_cups == ("A", "B", "C")


def test_length_changes_that_are_not_given_are_none() -> None:
    petite, _, tall = block_from_toml(
        replaced("from = 68", "from = 68\nhem_change = 1\nsleeve_change = 0.5").encode()
    ).length_classes
    assert (petite.back_waist_change_mm, petite.hem_change_mm, petite.sleeve_change_mm) == (0, 0, 0)
    assert tall.hem_change_mm == pytest.approx(25.4)
    assert tall.sleeve_change_mm == pytest.approx(12.7)


def test_hem_cuff_and_stretch_of_a_garment_are_read() -> None:
    woven, knit = (block_from_toml(text.encode()).garments["top"] for text in (SMALL, KNIT))
    assert woven.hem_allowance_mm == pytest.approx(19.05)
    assert (woven.cuff_girth_mm, woven.stretch) == (None, None)
    assert knit.cuff_girth_mm == pytest.approx(241.3)
    assert knit.stretch == 0.25


# A knit that stretches by a quarter reaches around 26.5 in when it has 21.2 in, 5.3 in less.
@pytest.mark.parametrize(("least", "enough"), [(-5.3, True), (-5.31, False)])
def test_a_knit_may_be_smaller_than_the_smallest_body_by_what_it_stretches(
    least: float, enough: bool
) -> None:
    text = KNIT.replace("waist = { least = 2", f"waist = {{ least = {least}")
    if enough:
        assert block_from_toml(text.encode()).garments["top"].ease["knit"]["waist"].least_mm < 0
        return
    with pytest.raises(BlockProblem, match="cannot stretch that far"):
        block_from_toml(text.encode())


def test_the_smallest_body_is_that_of_the_smallest_drafted_cup() -> None:
    # 34 in at the full bust gives 6.8 in to a quarter of stretch, 33 in of an A cup but 6.6 in.
    text = KNIT.replace("full_bust = { least = 2", "full_bust = { least = -6.7")
    assert block_from_toml(text.encode())
    with pytest.raises(BlockProblem, match="cannot stretch that far"):
        block_from_toml(text.replace("cup_step", 'drafted_cups = ["A", "B"]\ncup_step').encode())


def test_a_cup_of_the_block_has_the_full_bust_that_goes_with_it() -> None:
    block = demo_block("fuller")
    assert (block.cup, block.drafted_cups) == ("D", ("C", "D", "DD"))
    assert block.in_cup("D") == block
    for cup, wider in (("C", -25.4), ("DD", 25.4)):
        other = block.in_cup(cup)
        assert other.cup == cup
        for drafted, cut in zip(block.sizes, other.sizes, strict=True):
            assert cut.full_bust_mm == pytest.approx(drafted.full_bust_mm + wider)
            assert cut.high_bust_mm == drafted.high_bust_mm


@pytest.mark.parametrize(
    ("steps", "cup"), [(0, "C"), (2, "C"), (3, "C"), (4, "D"), (5, "DD"), (8, "DD")]
)
def test_the_nearest_drafted_cup_is_cut(steps: int, cup: str) -> None:
    assert demo_block("fuller").nearest_cup(steps) == cup


def test_the_two_demo_blocks_share_a_part_of_their_range() -> None:
    misses, fuller = demo_block("misses"), demo_block("fuller")
    assert misses.sizes[0].high_bust_mm < fuller.sizes[0].high_bust_mm
    shared = [s for s in fuller.sizes if s.high_bust_mm < misses.sizes[-1].high_bust_mm]
    assert 2 <= len(shared) < len(fuller.sizes)
    for size in shared:
        nearest = min(misses.sizes, key=lambda s: abs(s.high_bust_mm - size.high_bust_mm))
        assert size.waist_mm - size.high_bust_mm > nearest.waist_mm - nearest.high_bust_mm
        assert size.full_hip_mm > nearest.full_hip_mm
    assert len(fuller.garments) >= 2
    assert "nvented" in fuller.note


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
    ("size a, full_bust", replaced('cup = "B"', 'cup = "C"')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["A", "C"]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["C", "B"]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["B", "B"]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["C", "D"]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["B", "E"]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = ["B", 3]')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = []')),
    ("drafted_cups", replaced('cup = "B"', 'cup = "B"\ndrafted_cups = "B"')),
    ("size b, waist", replaced("waist = 28.5\n", "")),
    ("size b, waist", replaced("waist = 28.5", 'waist = "28 1/2"')),
    ("size b, waist", replaced("waist = 28.5", "waist = true")),
    ("size b, waist", replaced("waist = 28.5", "waist = nan")),
    ("size b, waist", replaced("waist = 28.5", "waist = -28.5")),
    ("size b, waist", replaced("waist = 28.5", f"waist = 1{'0' * 400}")),
    ("size b, waist", replaced("waist = 28.5", "waist = 26.5")),
    ("size c, waist", replaced("waist = 30.5", "waist = 28.0")),
    ("size b, wiast", replaced("waist = 28.5", "waist = 28.5\nwiast = 28.5")),
    ("size b, name", replaced('name = "c"', 'name = "b"')),
    ("size b, high_hip", replaced("waist = 28.5", "waist = 28.5\nhigh_hip = 33")),
    (
        "size c, high_bust",
        replaced("high_bust = 36\nfull_bust = 38", "high_bust = 38\nfull_bust = 40"),
    ),
    ("size a, high_bust", replaced('unit = "in"\ncup = "B"\ncup_step = 1',
                                             'unit = "cm"\ncup = "B"\ncup_step = 2.54')),
    ("length_class.tall", SMALL.replace("[length_class.tall]\nstature_from = 68\n", "")),
    ("length_class.regular.stature_from", replaced("stature_from = 64", "stature_from = 65")),
    ("length_class.regular.stature_up_to", replaced("stature_up_to = 68", "stature_up_to = 60")),
    ("length_class.tall.stature_from", replaced("stature_from = 68", "stature_from = 172")),
    ("length_class.petite.hem_change", replaced("_to = 64", "_to = 64\nhem_change = 1")),
    ("length_class.tall.sleeve_change", replaced("from = 68", "from = 68\nsleeve_change = -1")),
    ("length_class.tall.back_waist_change",
     replaced("from = 68", "from = 68\nback_waist_change = -1")),
    ("length_class.regular.hem_change", replaced("_to = 68", "_to = 68\nhem_change = 1")),
    ("length_class.tall.hem_change", replaced("from = 68", "from = 68\nhem_change = 120")),
    ("length_class.short", SMALL + "\n[length_class.short]\nstature_up_to = 60\n"),
    ("garment", SMALL[: SMALL.index("[garment.top]")]),
    ("garment.top.fabric", replaced('fabric = "woven"', 'fabric = "felt"')),
    ("garment.top.fabric", replaced('fabric = "woven"', 'fabric = "knit"')),
    ("garment.top.hem", replaced('hem = "waist"', 'hem = "high_hip"')),
    ("garment.top.side_seams", replaced("side_seams = 2", "side_seams = 0")),
    ("garment.top.side_seams", replaced("side_seams = 2", "side_seams = 9")),
    ("garment.top.hem_allowance", replaced("hem_allowance = 0.75\n", "")),
    ("garment.top.hem_allowance", replaced("hem_allowance = 0.75", "hem_allowance = -0.75")),
    ("garment.top.stretch", replaced('cuff = "none"', 'cuff = "none"\nstretch = 0.2')),
    ("garment.top.stretch", KNIT.replace("stretch = 0.25\n", "")),
    ("garment.top.stretch", KNIT.replace("stretch = 0.25", "stretch = 25")),
    ("garment.top.stretch", KNIT.replace("stretch = 0.25", "stretch = 0")),
    ("garment.top.stretch", KNIT.replace("stretch = 0.25", 'stretch = "much"')),
    ("garment.top.cuff_girth", replaced('cuff = "none"', 'cuff = "none"\ncuff_girth = 9.5')),
    ("garment.top.cuff_girth", replaced('cuff = "none"', 'cuff = "opens"\ncuff_girth = 9.5')),
    ("garment.top.cuff_girth", replaced('cuff = "none"', 'cuff = "closed"')),
    ("garment.top.cuff_girth", KNIT.replace("cuff_girth = 9.5", "cuff_girth = 3")),
    ("garment.top.ease.woven.full_bust.least",
     replaced("full_bust = { least = 2", "full_bust = { least = -0.5")),
    ("garment.top.ease.knit.full_bust.least",
     KNIT.replace("full_bust = { least = 2", "full_bust = { least = -7")),
    ("garment.top.ease.knit.waist.least",
     KNIT.replace("waist = { least = 2", "waist = { least = -6")),
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
    assert caught.value.sentence.startswith(f"The block file cannot be used: {key}: ")
    assert caught.value.code == "block-line"
    assert caught.value.exit_code == 4


@pytest.mark.parametrize(
    ("key", "meant", "content"),
    [
        ("size b, wast", "waist", replaced("waist = 28.5", "wast = 28.5")),
        ("size b, ful_hip", "full_hip", replaced("full_hip = 38", "ful_hip = 38")),
        ("cup_steps", "cup_step", replaced("cup_step = 1", "cup_steps = 1")),
        (
            "garment.top.seam_alowance",
            "seam_allowance",
            replaced("seam_allowance", "seam_alowance"),
        ),
        (
            "length_class.tall.stature_form",
            "stature_from",
            replaced("stature_from = 68", "stature_form = 68"),
        ),
    ],
)
def test_a_misspelt_line_is_named_itself_with_what_was_meant(
    key: str, meant: str, content: str
) -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(content.encode())
    told = f"{key}: no such line is known here; perhaps {meant} is meant."
    assert caught.value.sentence == f"The block file cannot be used: {told}"
    wrong = key.rpartition(" ")[2].rpartition(".")[2]
    assert content.splitlines()[(caught.value.at_line or 0) - 1].startswith(wrong)


def test_a_line_that_is_known_is_never_taken_for_one_that_is_missing() -> None:
    # One of the hem is there, and much like that of the seams.
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(replaced("seam_allowance = 0.625\n", "").encode())
    assert "garment.top.seam_allowance: this line is missing" in caught.value.sentence


def test_all_names_of_lines_are_known() -> None:
    def names(table: object) -> Iterator[str]:
        if isinstance(table, list):
            for one in table:
                yield from names(one)
        if isinstance(table, dict):
            for name, inner in table.items():
                yield name
                yield from names(inner)

    for demo in (demo_block_toml(), demo_block_toml("fuller")):
        file = tomllib.loads(demo.decode())
        assert set(names(file)) - LINE_NAMES == set(file["garment"])


def test_mistakes_in_several_sizes_are_told_at_once() -> None:
    wrong = replaced("waist = 28.5", "waist = 2850").replace("full_hip = 40", "ful_hip = 40")
    lines = wrong.splitlines()
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(wrong.encode())
    first, second = lines.index("waist = 2850") + 1, lines.index("ful_hip = 40") + 1
    assert caught.value.at_line == first
    assert "size b, waist: is longer than 3 m" in caught.value.sentence
    assert caught.value.advice == (
        f"Correct the block file at line {first} and at line {second} (size c, ful_hip: no such "
        "line is known here; perhaps full_hip is meant), and try again."
    )


def test_a_file_is_named_without_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "autumn.toml"
    path.write_text(replaced("waist = 28.5\n", ""), encoding="utf-8")
    with pytest.raises(BlockProblem) as caught:
        load_block(path)
    assert caught.value.sentence == (
        "The block file “autumn.toml” cannot be used: size b, waist: this line is missing."
    )


def test_a_size_without_a_name_is_told_by_its_number() -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(replaced('name = "b"\n', "").encode())
    assert "size number 2, name: this line is missing" in caught.value.sentence


def test_a_mark_that_some_editors_put_first_does_no_harm() -> None:
    assert block_from_toml(b"\xef\xbb\xbf" + SMALL.encode()).name == "Small block"


@pytest.mark.parametrize("line", [f"deep = {'[' * 5000}", f"long = 1{'0' * 5000}"])
def test_what_nobody_writes_by_hand_is_refused_too(line: str) -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml((line + SMALL).encode())
    assert caught.value.code == "block-not-toml"


def test_one_size_alone_is_no_block() -> None:
    start, end = SMALL.index('[[sizes]]\nname = "b"'), SMALL.index("[length_class.petite]")
    with pytest.raises(BlockProblem, match="at least two sizes"):
        block_from_toml((SMALL[:start] + SMALL[end:]).encode())


def test_two_sizes_far_apart_have_a_gap() -> None:
    start, end = SMALL.index('[[sizes]]\nname = "b"'), SMALL.index('[[sizes]]\nname = "c"')
    with pytest.raises(BlockProblem, match="size c, high_bust"):
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
