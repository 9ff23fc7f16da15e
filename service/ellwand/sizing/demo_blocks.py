"""The invented blocks that come with the package, to be tried, copied and filled in."""

from functools import cache
from importlib import resources
from pathlib import Path
from typing import Literal

from ellwand.errors import EntryProblem
from ellwand.language import WRITTEN_IN, Language
from ellwand.sizing.block import Block
from ellwand.sizing.block_file import block_from_toml

DemoRange = Literal["misses", "fuller"]

_FILES: dict[DemoRange, str] = {
    "misses": "demo_block",
    "fuller": "demo_block_fuller",
}


@cache
def demo_block(name: DemoRange = "misses") -> Block:
    """An invented block.

    Args:
        name: misses' range, drafted for a B cup; or a fuller one, drafted in the cups C to DD.

    Returns:
        The block; the smallest sizes of the fuller range lie inside the misses'.
    """
    return block_from_toml(demo_block_toml(name))


def demo_block_toml(name: DemoRange = "misses", language: Language = WRITTEN_IN) -> bytes:
    """The file of an invented block, to be copied and filled with a workroom's own numbers.

    Args:
        name: which of them.
        language: of its comments, name and note; everything else is the same in each.
    """
    ending = "" if language == WRITTEN_IN else f".{language}"
    return resources.files("ellwand.sizing").joinpath(f"{_FILES[name]}{ending}.toml").read_bytes()


def write_new_block(
    path: Path, name: DemoRange = "misses", language: Language = WRITTEN_IN
) -> None:
    """Write an invented block to begin with, over nothing.

    Args:
        path: where.
        name: which of them.
        language: as in `demo_block_toml`.

    Raises:
        EntryProblem: there is something of that name, or it cannot be written there.
    """
    try:
        with path.open("xb") as file:
            file.write(demo_block_toml(name, language))
    except FileExistsError:
        raise EntryProblem(
            "block-in-the-way",
            "There is something called “{name}” already; nothing was written.",
            "Choose another name for the new block, or move that file away first.",
            name=path.name,
        ) from None
    except OSError:
        raise EntryProblem(
            "block-unwritable",
            "The block file “{name}” cannot be written there.",
            "Check that the folder exists, that you may write in it and that the disk is not full.",
            name=path.name,
        ) from None
