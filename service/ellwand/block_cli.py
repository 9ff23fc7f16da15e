"""The commands `ellwand block`: trying a block file, and writing one to begin with."""

import argparse
import shlex
from collections.abc import Callable
from pathlib import Path

from ellwand.language import LANGUAGES, WRITTEN_IN
from ellwand.operator_cli import Commands

RANGES = ("misses", "fuller")

_ABOUT = "Try the workroom's block file, or write one to begin with."


def add_block_commands(commands: Commands) -> None:
    """Add `block check` and `block new`."""
    added = commands.add_parser("block", help=_ABOUT, description=_ABOUT, allow_abbrev=False)
    below = added.add_subparsers(metavar="COMMAND", required=True)
    _command(below, "check", _check, "Check a block file and say what was understood.")
    new = _command(below, "new", _new, "Write an invented block file with comments, to fill in.")
    new.add_argument("--range", choices=RANGES, default=RANGES[0], dest="demo_range",
                     help=f"which sizes it has (default {RANGES[0]})")  # fmt: skip
    new.add_argument("--language", choices=LANGUAGES, default=WRITTEN_IN,
                     help=f"of its comments (default {WRITTEN_IN})")  # fmt: skip


def _command(
    commands: Commands, name: str, run: Callable[[argparse.Namespace], int], about: str
) -> argparse.ArgumentParser:
    added = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
    added.set_defaults(run=run)
    added.add_argument("file", metavar="FILE", type=Path, help="such as block.toml")
    return added


def _check(arguments: argparse.Namespace) -> int:
    from ellwand.block_screen import block_lines
    from ellwand.sizing import load_block

    print("\n".join(block_lines(load_block(arguments.file))))
    return 0


def _new(arguments: argparse.Namespace) -> int:
    from ellwand.block_screen import new_block_lines
    from ellwand.sizing import write_new_block

    write_new_block(arguments.file, arguments.demo_range, arguments.language)
    print("\n".join(new_block_lines(shlex.quote(str(arguments.file)))))
    return 0
