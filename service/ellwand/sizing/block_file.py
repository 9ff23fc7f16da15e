"""Loading a block file: TOML that the seamstress edits, checked line by line."""

import hashlib
import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

from ellwand.errors import BlockProblem
from ellwand.language import Noun, gettext, gettext_noop
from ellwand.listing import listed
from ellwand.measurements import KINDS
from ellwand.sizing.block import LENGTH_NAMES, Block, LengthClass, LengthName, Size
from ellwand.sizing.cups import CUP_LETTERS, cup_letter, cup_steps
from ellwand.sizing.garment_table import garments_of
from ellwand.sizing.toml_lines import line_of, slip_in
from ellwand.sizing.toml_table import Key, LineProblem, Table, each

# A block of 30 sizes and 10 garments has under 20 kB; far more is not a block file (judged).
LARGEST_FILE_BYTES = 256_000

# Between two sizes of published tables the high bust grows by at most 1.86 times the usual step
# (ASTM D5585 upper chest: 1 5/8 in at a usual 7/8 in); more means that a size was left out.
GAP_RATIO = 1.9
# With two sizes only there is no usual step to compare with (judged).
WIDEST_STEP_MM = 80.0

# One inch, give or take the rounding of a metric workroom (judged).
CUP_STEP_LIMITS_MM = (20.0, 30.0)

_THE_FILE = Noun(gettext_noop("The block file"))
_LINE_AND_COLUMN = re.compile(r"(?P<found>.*) \(at line (?P<line>\d+), column (?P<column>\d+)\)")
_AT_THE_END = " (at end of document)"
_RULES = gettext_noop(
    "A number has a point in it, no comma, and no unit behind it; a text stands in straight "
    "quotation marks."
)

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
    called = gettext("The block file “{name}”", name=path.name) if path.name else _THE_FILE
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as cause:
        raise BlockProblem(
            "block-missing",
            "{file} cannot be opened.",
            "Check its name and that you may read it.",
            file=called,
        ) from cause
    return block_from_toml(content, called)


def block_from_toml(content: bytes, called: str = _THE_FILE) -> Block:
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
            "{file} is far larger than a block needs.",
            "Check that it is the file you meant.",
            file=called,
        )
    data = _toml(content, called)
    try:
        block = _block(Table(data).in_its_unit())
    except LineProblem as line:
        text = content.decode("utf-8-sig")
        number = line_of(text, line.path)
        raise BlockProblem(
            "block-line",
            "{file} cannot be used: {line}.",
            "Correct the block file at line {number} and at {others}, and try again."
            if line.others
            else "Correct the block file at line {number} and try again.",
            at_line=number,
            file=called,
            line=line,
            number=number,
            others=_Others(tuple((line_of(text, one.path), one) for one in line.others)),
        ) from line
    return replace(block, fingerprint=_fingerprint(data))


def _fingerprint(data: Mapping[str, object]) -> str:
    """The SHA-256 of what a file says; comments, spaces and the order of lines say nothing."""
    return hashlib.sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()


def _toml(content: bytes, called: str) -> Mapping[str, object]:
    try:
        text = content.decode("utf-8-sig")
        return tomllib.loads(text)
    except UnicodeDecodeError as cause:
        raise BlockProblem(
            "block-not-text", "{file} is not plain text.", "Save it as UTF-8 text.", file=called
        ) from cause
    except (ValueError, RecursionError) as cause:
        # Besides what is no TOML: numbers of thousands of digits, brackets in brackets.
        place = _Place.of(cause, text)
        raise BlockProblem(
            "block-not-toml",
            "{file} is not written as TOML asks: {place}.",
            "Correct that place and try again. {rule}",
            at_line=place.line,
            file=called,
            place=place,
            rule=_Rule(place.slip or _RULES),
        ) from cause


@dataclass(frozen=True)
class _Others:
    """Further mistakes with their lines, said in the language of who reads it."""

    found: tuple[tuple[int, LineProblem], ...]

    def __str__(self) -> str:
        return listed(
            [
                gettext("line {number} ({line})", number=number, line=one)
                for number, one in self.found
            ]
        )


@dataclass(frozen=True)
class _Place:
    """Where and why a file is no TOML; said in the language of who reads it.

    Args:
        told: what the library found, in its own words; empty where it is nothing like a block.
        line: counted from 1; None where it is not known.
        column: counted from 1; None at the file's end.
        slip: the rule that the line breaks, if it looks like a usual slip.
    """

    told: str
    line: int | None = None
    column: int | None = None
    slip: str | None = None

    @classmethod
    def of(cls, cause: Exception, text: str) -> "_Place":
        """Of what the library says."""
        if not isinstance(cause, tomllib.TOMLDecodeError):
            return cls("")
        told, lines = str(cause), text.split("\n")
        if found := _LINE_AND_COLUMN.fullmatch(told):
            line = int(found["line"])
            return cls(found["found"], line, int(found["column"]), slip_in(lines[line - 1]))
        if told.endswith(_AT_THE_END):
            line = len(text.rstrip().split("\n"))
            return cls(told.removesuffix(_AT_THE_END), line, None, slip_in(lines[line - 1]))
        return cls(told)

    def __str__(self) -> str:
        if not self.told:
            return gettext("nothing like a block")
        if self.slip:
            # Our own words say more than the library's.
            return gettext("line {line}", line=self.line)
        if self.column:
            return gettext(
                "{found} (at line {line}, column {column})",
                found=self.told,
                line=self.line,
                column=self.column,
            )
        return gettext("{found} (at end of document)", found=self.told) if self.line else self.told


@dataclass(frozen=True)
class _Rule:
    """A rule of TOML, said in the language of who reads it."""

    text: str

    def __str__(self) -> str:
        return gettext(self.text)


def _block(top: Table) -> Block:
    cup = top.choice("cup", CUP_LETTERS)
    step = top.length_mm("cup_step")
    if not CUP_STEP_LIMITS_MM[0] <= step <= CUP_STEP_LIMITS_MM[1]:
        raise LineProblem(top.key("cup_step"), "must be about one inch (is the unit right?)")
    tables = top.tables("sizes")
    sizes = each(_size, tables)
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
        garments=MappingProxyType(garments_of(top.table("garment"), sizes[0].fuller(fewer * step))),
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
        raise LineProblem(
            top.key("drafted_cups"), "go from the smallest to the largest cup and leave none out"
        )
    if cup not in cups:
        raise LineProblem(
            top.key("drafted_cups"), "{cup} is missing, the cup of the sizes", cup=cup
        )
    return cups


def _size(table: Table) -> Size:
    name = table.text("name")
    table = table.of_size(name)
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
        raise LineProblem(
            table.key(code),
            "is no {name} of an adult woman (is the unit right?)",
            name=Noun(KINDS[code].name),
        )
    return value


def _optional_body_length_mm(table: Table, code: str) -> float | None:
    return _body_length_mm(table, code) if table.has(code) else None


def _check_sizes(tables: list[Table], sizes: tuple[Size, ...], cup: str, step_mm: float) -> None:
    """Names once each, every size complete, ascending, none left out, in the block's cup."""
    called = [table.of_size(size.name) for table, size in zip(tables, sizes, strict=True)]
    for number, (table, size) in enumerate(zip(called, sizes, strict=True)):
        if size.name in {earlier.name for earlier in sizes[:number]}:
            raise LineProblem(table.key("name"), "another size has this name already")
        for code in _OPTIONAL:
            if table.has(code) != called[0].has(code):
                raise LineProblem(table.key(code), "give it for every size or for none")
        drafted = cup_letter(cup_steps(size.full_bust_mm - size.high_bust_mm, step_mm))
        if drafted != cup:
            raise LineProblem(
                table.key("full_bust"),
                "full bust minus high bust makes cup {made}, but the block is drafted for {cup}",
                made=drafted,
                cup=cup,
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
                raise LineProblem(
                    tables[number].key(code),
                    "must be larger than in size {before}; sizes are listed from the smallest to "
                    "the largest",
                    before=sizes[number - 1].name,
                )


def _check_no_gap(tables: list[Table], sizes: tuple[Size, ...]) -> None:
    steps = [larger.high_bust_mm - smaller.high_bust_mm for smaller, larger in pairwise(sizes)]
    if not steps:
        raise LineProblem(Key("sizes"), "a block needs at least two sizes")
    usual = sorted(steps)[(len(steps) - 1) // 2]
    for number, step in enumerate(steps, start=1):
        if step > WIDEST_STEP_MM or step >= GAP_RATIO * usual:
            raise LineProblem(
                tables[number].key("high_bust"),
                "is so much larger than in size {before} that a size seems to be left out",
                before=sizes[number - 1].name,
            )


def _length_classes(table: Table) -> tuple[LengthClass, ...]:
    classes: list[LengthClass] = []
    for name in LENGTH_NAMES:
        entry = table.table(name)
        first, last = name == LENGTH_NAMES[0], name == LENGTH_NAMES[-1]
        lower = None if first else _stature_mm(entry, "stature_from")
        upper = None if last else _stature_mm(entry, "stature_up_to")
        if not first and lower != classes[-1].up_to_mm:
            raise LineProblem(
                entry.key("stature_from"),
                "must be the stature at which {length} ends, so that nobody falls between or into "
                "both",
                length=classes[-1].name,
            )
        if lower is not None and upper is not None and upper <= lower:
            raise LineProblem(entry.key("stature_up_to"), "must be larger than stature_from")
        changes = {f"{key}_mm": _length_change_mm(entry, key, name) for key in _LENGTH_CHANGES}
        classes.append(LengthClass(name, lower, upper, **changes))
        entry.finish()
    table.finish()
    return tuple(classes)


def _length_change_mm(entry: Table, key: str, name: LengthName) -> float:
    """How much longer than regular; a sign lost on the way would make petite the longer one."""
    value = entry.signed_length_mm(key) if entry.has(key) else 0.0
    if name == "regular" and value:
        raise LineProblem(entry.key(key), "regular is what the others are compared with")
    if (name == "petite" and value > 0) or (name == "tall" and value < 0):
        raise LineProblem(
            entry.key(key), "how much longer than regular: below zero in petite, above in tall"
        )
    return value


def _stature_mm(table: Table, name: str) -> float:
    value = table.length_mm(name)
    low, high = KINDS["stature"].plausible_mm
    if not low <= value <= high:
        raise LineProblem(table.key(name), "is no height of an adult woman (is the unit right?)")
    return value
