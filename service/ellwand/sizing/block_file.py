"""Loading a block file: TOML that the seamstress edits, checked line by line."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from ellwand.errors import BlockProblem
from ellwand.measurements import KINDS
from ellwand.sizing.block import (
    CUFFS,
    EASE_LEVELS,
    FABRICS,
    HEM_LEVELS,
    LENGTH_NAMES,
    SEAMS,
    Block,
    EaseLevel,
    EaseRange,
    Fabric,
    Garment,
    LengthClass,
    Size,
)
from ellwand.sizing.cups import CUP_LETTERS, cup_letter, cup_steps
from ellwand.sizing.toml_table import Table, complain

Word = TypeVar("Word", bound=str)

# A block of 30 sizes and 10 garments has under 20 kB; far more is not a block file (judged).
LARGEST_FILE_BYTES = 256_000

# Between two sizes of published tables the high bust grows by at most 1.86 times the usual step
# (ASTM D5585 upper chest: 1 5/8 in at a usual 7/8 in); more means that a size was left out.
GAP_RATIO = 1.9
# With two sizes only there is no usual step to compare with (judged).
WIDEST_STEP_MM = 80.0

# One inch, give or take the rounding of a metric workroom (judged).
CUP_STEP_LIMITS_MM = (20.0, 30.0)

_ASCENDING = ("high_bust", "full_bust", "waist", "high_hip", "full_hip")
_NEVER_SMALLER = ("shoulder_width", "back_waist_length")
_OPTIONAL = ("high_hip", "shoulder_width", "back_waist_length")


def load_block(path: Path) -> Block:
    """Read and check a block file.

    Args:
        path: a TOML file.

    Returns:
        The block, in millimetres.

    Raises:
        BlockProblem: it cannot be read, or a line of it is wrong; the line's key is named.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as cause:
        raise BlockProblem(
            "block-missing",
            "The block file cannot be opened.",
            "Check its name and that you may read it.",
        ) from cause
    if len(content) > LARGEST_FILE_BYTES:
        raise BlockProblem(
            "block-too-large",
            "The block file is far larger than a block needs.",
            "Check that it is the file you meant.",
        )
    return block_from_toml(content)


@cache
def demo_block() -> Block:
    """The invented block that comes with the package.

    Returns:
        A block of ten sizes and three garments.
    """
    return block_from_toml(demo_block_toml())


def demo_block_toml() -> bytes:
    """The file of the invented block, to be copied and filled with a workroom's own numbers."""
    return resources.files("ellwand.sizing").joinpath("demo_block.toml").read_bytes()


def block_from_toml(content: bytes) -> Block:
    """Read and check the content of a block file.

    Args:
        content: TOML in UTF-8.

    Returns:
        The block, in millimetres.

    Raises:
        BlockProblem: it is no TOML, or a line of it is wrong; the line's key is named.
    """
    try:
        data = tomllib.loads(content.decode("utf-8"))
    except UnicodeDecodeError as cause:
        raise BlockProblem(
            "block-not-text", "The block file is not plain text.", "Save it as UTF-8 text."
        ) from cause
    except tomllib.TOMLDecodeError as cause:
        raise BlockProblem(
            "block-not-toml",
            f"The block file is not written as TOML asks: {cause}.",
            "Correct that place and try again.",
        ) from cause
    return _block(Table(data).in_its_unit())


def _block(top: Table) -> Block:
    cup = top.choice("cup", CUP_LETTERS)
    step = top.length_mm("cup_step")
    if not CUP_STEP_LIMITS_MM[0] <= step <= CUP_STEP_LIMITS_MM[1]:
        raise complain(top.key("cup_step"), "must be about one inch; is the unit right?")
    tables = top.tables("sizes")
    sizes = tuple(_size(table) for table in tables)
    _check_sizes(tables, sizes, cup, step)
    block = Block(
        name=top.text("name"),
        note=top.text("note") if top.has("note") else "",
        cup=cup,
        cup_step_mm=step,
        sizes=sizes,
        length_classes=_length_classes(top.table("length_class")),
        garments=MappingProxyType(
            _garments(top.table("garment"), has_high_hip=sizes[0].high_hip_mm is not None)
        ),
    )
    top.finish()
    return block


def _size(table: Table) -> Size:
    name = table.text("name")
    table = table.called(f"size {name}")
    size = Size(
        name=name,
        high_bust_mm=_body_length_mm(table, "high_bust"),
        full_bust_mm=_body_length_mm(table, "full_bust"),
        waist_mm=_body_length_mm(table, "waist"),
        full_hip_mm=_body_length_mm(table, "full_hip"),
        high_hip_mm=_optional_body_length_mm(table, "high_hip"),
        shoulder_width_mm=_optional_body_length_mm(table, "shoulder_width"),
        back_waist_length_mm=_optional_body_length_mm(table, "back_waist_length"),
    )
    table.finish()
    return size


def _body_length_mm(table: Table, code: str) -> float:
    value = table.length_mm(code)
    low, high = KINDS[code].plausible_mm
    if not low <= value <= high:
        raise complain(
            table.key(code), f"is no {KINDS[code].name} of an adult woman; is the unit right?"
        )
    return value


def _optional_body_length_mm(table: Table, code: str) -> float | None:
    return _body_length_mm(table, code) if table.has(code) else None


def _check_sizes(tables: list[Table], sizes: tuple[Size, ...], cup: str, step_mm: float) -> None:
    """Names once each, every size complete, ascending, none left out, in the block's cup."""
    called = [table.called(f"size {size.name}") for table, size in zip(tables, sizes, strict=True)]
    for number, (table, size) in enumerate(zip(called, sizes, strict=True)):
        if size.name in {earlier.name for earlier in sizes[:number]}:
            raise complain(table.key("name"), "another size has this name already")
        for code in _OPTIONAL:
            if table.has(code) != called[0].has(code):
                raise complain(table.key(code), "give it for every size or for none")
        drafted = cup_letter(cup_steps(size.full_bust_mm - size.high_bust_mm, step_mm))
        if drafted != cup:
            raise complain(
                table.key("full_bust"),
                f"full bust minus high bust makes a {drafted} cup, but the block is drafted "
                f"for {cup}",
            )
    _check_ascending(called, sizes)
    _check_no_gap(called, sizes)


def _check_ascending(tables: list[Table], sizes: tuple[Size, ...]) -> None:
    for number in range(1, len(sizes)):
        for code in (*_ASCENDING, *_NEVER_SMALLER):
            before = getattr(sizes[number - 1], f"{code}_mm")
            here = getattr(sizes[number], f"{code}_mm")
            if before is None or here is None:
                continue
            if here < before or (here == before and code in _ASCENDING):
                raise complain(
                    tables[number].key(code),
                    f"must be larger than in size {sizes[number - 1].name}; "
                    "sizes are listed from the smallest to the largest",
                )


def _check_no_gap(tables: list[Table], sizes: tuple[Size, ...]) -> None:
    steps = [larger.high_bust_mm - smaller.high_bust_mm for smaller, larger in pairwise(sizes)]
    if not steps:
        raise complain("sizes", "a block needs at least two sizes")
    usual = sorted(steps)[(len(steps) - 1) // 2]
    for number, step in enumerate(steps, start=1):
        if step > WIDEST_STEP_MM or step >= GAP_RATIO * usual:
            raise complain(
                tables[number].key("high_bust"),
                f"is so much larger than in size {sizes[number - 1].name} that a size seems to "
                "be left out",
            )


def _length_classes(table: Table) -> tuple[LengthClass, ...]:
    classes: list[LengthClass] = []
    for name in LENGTH_NAMES:
        entry = table.table(name)
        first, last = name == LENGTH_NAMES[0], name == LENGTH_NAMES[-1]
        lower = None if first else _stature_mm(entry, "stature_from")
        upper = None if last else _stature_mm(entry, "stature_up_to")
        if not first and lower != classes[-1].up_to_mm:
            raise complain(
                entry.key("stature_from"),
                f"must be the stature at which {classes[-1].name} ends, so that nobody falls "
                "between or into both",
            )
        if lower is not None and upper is not None and upper <= lower:
            raise complain(entry.key("stature_up_to"), "must be larger than stature_from")
        change = (
            entry.signed_length_mm("back_waist_change") if entry.has("back_waist_change") else 0.0
        )
        classes.append(LengthClass(name, lower, upper, change))
        entry.finish()
    table.finish()
    return tuple(classes)


def _stature_mm(table: Table, name: str) -> float:
    value = table.length_mm(name)
    low, high = KINDS["stature"].plausible_mm
    if not low <= value <= high:
        raise complain(table.key(name), "is no height of an adult woman; is the unit right?")
    return value


def _garments(table: Table, *, has_high_hip: bool) -> dict[str, Garment]:
    if not table.names():
        raise complain("garment", "a block needs at least one garment, such as [garment.blouse]")
    return {
        name: _garment(name, table.table(name), has_high_hip=has_high_hip) for name in table.names()
    }


def _garment(name: str, table: Table, *, has_high_hip: bool) -> Garment:
    fabric = _one_of(table, "fabric", FABRICS)
    hem = _one_of(table, "hem", HEM_LEVELS)
    levels = EASE_LEVELS[: EASE_LEVELS.index(hem) + 1]
    if "high_hip" in levels and not has_high_hip:
        raise complain(table.key("hem"), "reaches the high hip, which the sizes do not give")
    allowance = table.length_mm("seam_allowance")
    kept = table.length_mm("allowance_kept")
    if kept > allowance:
        raise complain(table.key("allowance_kept"), "must not be more than seam_allowance")
    garment = Garment(
        name=name,
        fabric=fabric,
        hem=hem,
        ease=MappingProxyType(_eases(table.table("ease"), levels)),
        under_layer_mm=table.length_mm("under_layer"),
        seam=_one_of(table, "seam", SEAMS),
        side_seams=table.count("side_seams"),
        allowance_mm=allowance,
        allowance_kept_mm=kept,
        cuff=_one_of(table, "cuff", CUFFS),
    )
    table.finish()
    if fabric not in garment.ease:
        raise complain(table.key("fabric"), f"its ease is missing: {table.key('ease')}.{fabric}")
    return garment


def _eases(
    table: Table, levels: tuple[EaseLevel, ...]
) -> dict[Fabric, Mapping[EaseLevel, EaseRange]]:
    fabrics: dict[Fabric, Mapping[EaseLevel, EaseRange]] = {}
    for fabric in FABRICS:
        if not table.has(fabric):
            continue
        entry = table.table(fabric)
        fabrics[fabric] = MappingProxyType({level: _ease(entry.table(level)) for level in levels})
        entry.finish()
    table.finish()
    if not fabrics:
        raise complain(table.key("woven"), f"ease is needed for one of {', '.join(FABRICS)}")
    return fabrics


def _ease(table: Table) -> EaseRange:
    least = table.signed_length_mm("least")
    drafted = table.signed_length_mm("drafted")
    if drafted < least:
        raise complain(table.key("drafted"), "must not be less than least")
    table.finish()
    return EaseRange(least, drafted)


def _one_of(table: Table, name: str, allowed: tuple[Word, ...]) -> Word:
    value = table.choice(name, allowed)
    return next(word for word in allowed if word == value)
