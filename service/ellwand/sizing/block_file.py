"""Loading a block file: TOML that the seamstress edits, checked line by line."""

import tomllib
from collections.abc import Mapping
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
    Cuff,
    EaseLevel,
    EaseRange,
    Fabric,
    Garment,
    LengthClass,
    LengthName,
    Size,
)
from ellwand.sizing.cups import CUP_LETTERS, cup_letter, cup_steps
from ellwand.sizing.toml_table import Table, WrongLine

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

# Two are usual; panels with seams of their own make a few more (judged).
MOST_SIDE_SEAMS = 8

_ASCENDING = ("high_bust", "full_bust", "waist", "high_hip", "full_hip")
_NEVER_SMALLER = ("shoulder_width", "back_waist_length")
_LENGTH_CHANGES = ("back_waist_change", "hem_change", "sleeve_change")
_OPTIONAL = ("high_hip", "shoulder_width", "back_waist_length")


def load_block(path: Path) -> Block:
    """Read and check a block file.

    Args:
        path: a TOML file.

    Returns:
        The block, in millimetres.

    Raises:
        BlockProblem: it cannot be read, or a line of it is wrong; file and line are named.
    """
    # Its own name without the folder, which nobody else need know.
    called = f"The block file “{path.name}”" if path.name else "The block file"
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as cause:
        raise BlockProblem(
            "block-missing",
            f"{called} cannot be opened.",
            "Check its name and that you may read it.",
        ) from cause
    return block_from_toml(content, called)


def block_from_toml(content: bytes, called: str = "The block file") -> Block:
    """Read and check the content of a block file.

    Args:
        content: TOML in UTF-8.
        called: what a complaint calls it, at the start of a sentence.

    Returns:
        The block, in millimetres.

    Raises:
        BlockProblem: it is no TOML, or a line of it is wrong; the first such line is named by
            its key.
    """
    if len(content) > LARGEST_FILE_BYTES:
        raise BlockProblem(
            "block-too-large",
            f"{called} is far larger than a block needs.",
            "Check that it is the file you meant.",
        )
    try:
        return _block(Table(_toml(content, called)).in_its_unit())
    except WrongLine as line:
        raise BlockProblem(
            "block-line",
            f"{called} cannot be used: {line.key}: {line.what}.",
            "Correct that line of the block file and try again.",
        ) from line


def _toml(content: bytes, called: str) -> Mapping[str, object]:
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as cause:
        raise BlockProblem(
            "block-not-text", f"{called} is not plain text.", "Save it as UTF-8 text."
        ) from cause
    except (ValueError, RecursionError) as cause:
        # Besides what is no TOML: numbers of thousands of digits, brackets in brackets.
        place = cause if isinstance(cause, tomllib.TOMLDecodeError) else "nothing like a block"
        raise BlockProblem(
            "block-not-toml",
            f"{called} is not written as TOML asks: {place}.",
            "Correct that place and try again.",
        ) from cause


def _block(top: Table) -> Block:
    cup = top.choice("cup", CUP_LETTERS)
    step = top.length_mm("cup_step")
    if not CUP_STEP_LIMITS_MM[0] <= step <= CUP_STEP_LIMITS_MM[1]:
        raise WrongLine(top.key("cup_step"), "must be about one inch; is the unit right?")
    tables = top.tables("sizes")
    sizes = tuple(_size(table) for table in tables)
    _check_sizes(tables, sizes, cup, step)
    drafted = _drafted_cups(top, cup)
    fewer = CUP_LETTERS.index(drafted[0]) - CUP_LETTERS.index(cup)
    block = Block(
        name=top.text("name"),
        note=top.text("note") if top.has("note") else "",
        cup=cup,
        drafted_cups=drafted,
        cup_step_mm=step,
        sizes=sizes,
        length_classes=_length_classes(top.table("length_class")),
        garments=MappingProxyType(_garments(top.table("garment"), sizes[0].fuller(fewer * step))),
    )
    top.finish()
    return block


def _drafted_cups(top: Table, cup: str) -> tuple[str, ...]:
    """The cups that the block is drafted in; where it does not say, the one of its sizes."""
    if not top.has("drafted_cups"):
        return (cup,)
    cups = top.choices("drafted_cups", CUP_LETTERS)
    first = CUP_LETTERS.index(cups[0])
    if cups != CUP_LETTERS[first : first + len(cups)]:
        raise WrongLine(
            top.key("drafted_cups"), "go from the smallest to the largest cup and leave none out"
        )
    if cup not in cups:
        raise WrongLine(top.key("drafted_cups"), f"{cup} is missing, the cup of the sizes")
    return cups


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
        raise WrongLine(
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
            raise WrongLine(table.key("name"), "another size has this name already")
        for code in _OPTIONAL:
            if table.has(code) != called[0].has(code):
                raise WrongLine(table.key(code), "give it for every size or for none")
        drafted = cup_letter(cup_steps(size.full_bust_mm - size.high_bust_mm, step_mm))
        if drafted != cup:
            raise WrongLine(
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
                raise WrongLine(
                    tables[number].key(code),
                    f"must be larger than in size {sizes[number - 1].name}; "
                    "sizes are listed from the smallest to the largest",
                )


def _check_no_gap(tables: list[Table], sizes: tuple[Size, ...]) -> None:
    steps = [larger.high_bust_mm - smaller.high_bust_mm for smaller, larger in pairwise(sizes)]
    if not steps:
        raise WrongLine("sizes", "a block needs at least two sizes")
    usual = sorted(steps)[(len(steps) - 1) // 2]
    for number, step in enumerate(steps, start=1):
        if step > WIDEST_STEP_MM or step >= GAP_RATIO * usual:
            raise WrongLine(
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
            raise WrongLine(
                entry.key("stature_from"),
                f"must be the stature at which {classes[-1].name} ends, so that nobody falls "
                "between or into both",
            )
        if lower is not None and upper is not None and upper <= lower:
            raise WrongLine(entry.key("stature_up_to"), "must be larger than stature_from")
        changes = {f"{key}_mm": _length_change_mm(entry, key, name) for key in _LENGTH_CHANGES}
        classes.append(LengthClass(name, lower, upper, **changes))
        entry.finish()
    table.finish()
    return tuple(classes)


def _length_change_mm(entry: Table, key: str, name: LengthName) -> float:
    """How much longer than regular; a sign lost on the way would make petite the longer one."""
    value = entry.signed_length_mm(key) if entry.has(key) else 0.0
    if name == "regular" and value:
        raise WrongLine(entry.key(key), "regular is what the others are compared with")
    if (name == "petite" and value > 0) or (name == "tall" and value < 0):
        raise WrongLine(
            entry.key(key), "how much longer than regular: below zero in petite, above in tall"
        )
    return value


def _stature_mm(table: Table, name: str) -> float:
    value = table.length_mm(name)
    low, high = KINDS["stature"].plausible_mm
    if not low <= value <= high:
        raise WrongLine(table.key(name), "is no height of an adult woman; is the unit right?")
    return value


def _garments(table: Table, smallest: Size) -> dict[str, Garment]:
    if not table.names():
        raise WrongLine("garment", "a block needs at least one garment, such as [garment.blouse]")
    return {name: _garment(name, table.table(name), smallest) for name in table.names()}


def _garment(name: str, table: Table, smallest: Size) -> Garment:
    fabric = _one_of(table, "fabric", FABRICS)
    hem = _one_of(table, "hem", HEM_LEVELS)
    levels = EASE_LEVELS[: EASE_LEVELS.index(hem) + 1]
    if "high_hip" in levels and smallest.high_hip_mm is None:
        raise WrongLine(table.key("hem"), "reaches the high hip, which the sizes do not give")
    allowance = table.length_mm("seam_allowance")
    kept = table.length_mm("allowance_kept")
    if kept > allowance:
        raise WrongLine(table.key("allowance_kept"), "must not be more than seam_allowance")
    ease = table.table("ease")
    stretch = _stretch(table, cut_in_knit=ease.has("knit"))
    cuff = _one_of(table, "cuff", CUFFS)
    garment = Garment(
        name=name,
        fabric=fabric,
        hem=hem,
        ease=MappingProxyType(_eases(ease, levels, smallest, stretch)),
        under_layer_mm=table.length_mm("under_layer"),
        seam=_one_of(table, "seam", SEAMS),
        side_seams=table.count("side_seams", MOST_SIDE_SEAMS),
        allowance_mm=allowance,
        allowance_kept_mm=kept,
        hem_allowance_mm=table.length_mm("hem_allowance"),
        cuff=cuff,
        cuff_girth_mm=_cuff_girth_mm(table, cuff),
        stretch=stretch,
    )
    table.finish()
    if fabric not in garment.ease:
        raise WrongLine(table.key("fabric"), f"its ease is missing: {table.key('ease')}.{fabric}")
    return garment


def _stretch(table: Table, *, cut_in_knit: bool) -> float | None:
    """How far its knit can stretch; without knit nothing may."""
    if cut_in_knit:
        return table.share("stretch")
    if table.has("stretch"):
        raise WrongLine(table.key("stretch"), "only a garment with ease in knit has a stretch")
    return None


def _cuff_girth_mm(table: Table, cuff: Cuff) -> float | None:
    """The finished girth of a cuff that must pass the hand."""
    if cuff != "closed":
        if table.has("cuff_girth"):
            raise WrongLine(table.key("cuff_girth"), 'only cuff = "closed" has a cuff_girth')
        return None
    girth = table.length_mm("cuff_girth")
    if girth < KINDS["hand"].plausible_mm[0]:
        raise WrongLine(table.key("cuff_girth"), "passes no hand; is the unit right?")
    return girth


def _eases(
    table: Table, levels: tuple[EaseLevel, ...], smallest: Size, stretch: float | None
) -> dict[Fabric, Mapping[EaseLevel, EaseRange]]:
    fabrics: dict[Fabric, Mapping[EaseLevel, EaseRange]] = {}
    for fabric in FABRICS:
        if not table.has(fabric):
            continue
        entry = table.table(fabric)
        give = stretch if fabric == "knit" else None
        fabrics[fabric] = MappingProxyType(
            {level: _ease(entry.table(level), smallest.body_mm(level), give) for level in levels}
        )
        entry.finish()
    table.finish()
    if not fabrics:
        raise WrongLine(table.key("woven"), f"ease is needed for one of {', '.join(FABRICS)}")
    return fabrics


def _ease(table: Table, body_mm: float, stretch: float | None) -> EaseRange:
    """Ease at one level, held against what the cloth can give on the smallest body."""
    least = table.signed_length_mm("least")
    drafted = table.signed_length_mm("drafted")
    if drafted < least:
        raise WrongLine(table.key("drafted"), "must not be less than least")
    if least < 0 and stretch is None:
        raise WrongLine(table.key("least"), "only a knit can have less than none")
    # Stretched as far as it goes the garment must reach around: (body + ease) (1 + stretch).
    if stretch is not None and (body_mm + least) * (1 + stretch) < body_mm:
        raise WrongLine(table.key("least"), "the knit cannot stretch that far on the smallest size")
    table.finish()
    return EaseRange(least, drafted)


def _one_of(table: Table, name: str, allowed: tuple[Word, ...]) -> Word:
    value = table.choice(name, allowed)
    return next(word for word in allowed if word == value)
