"""The command `ellwand tryon`: what was seen at a try-on, read from its arguments."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ellwand.operator_cli import Commands

MADE = ("planned", "plain", "altered")


def add_tryon(commands: Commands) -> None:
    """Add `tryon`."""
    about = "Note what was seen at a try-on: where it comes from, what to do, what it teaches."
    added = commands.add_parser("tryon", help=about, description=about, allow_abbrev=False)
    added.set_defaults(run=_tryon)
    option = added.add_argument
    option("sitting", metavar="SITTING", type=Path, help="the sitting's file")
    option("--finding", metavar="WORDS", action=_FindingAction, default=[],
           help='like "rides up at the back" or "snug at full hip"; repeatable; without one, the '
           "words that can be used")  # fmt: skip
    option("--by", metavar="LENGTH", action=_ByAction, default=argparse.SUPPRESS,
           help='girth lacking or pinched at the finding before it, like "3/4 in"')  # fmt: skip
    option("--over", metavar="WORDS", help='what it was worn over, like "camisole"')
    option("--made", choices=MADE,
           help="cut as the size decision says, in the chosen size without its changes, or altered "
           "as the last try-on said; needed where the decision changes the pattern")  # fmt: skip
    option("--block", metavar="FILE", type=Path, help="the block of the size decision")
    option("--garment", metavar="NAME", help="the garment, if it is to be checked")
    option("--json", action="store_true", help="print JSON for programs")


class _FindingAction(argparse.Action):
    """Note a finding, as yet without an amount."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        namespace.finding = [*namespace.finding, (values, None)]


class _ByAction(argparse.Action):
    """Give the finding before it an amount."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        if not namespace.finding or namespace.finding[-1][1] is not None:
            parser.error("--by belongs behind the one --finding that it measures")
        namespace.finding = [*namespace.finding[:-1], (namespace.finding[-1][0], values)]


def _tryon(arguments: argparse.Namespace) -> int:
    from ellwand.sitting import TypedFinding, editing, load, tried_on
    from ellwand.sizing import demo_block, load_block
    from ellwand.tryon_screen import tryon_json, tryon_lines, word_lines

    if not arguments.finding:
        load(arguments.sitting)
        print("\n".join(word_lines()))
        return 0
    typed = [TypedFinding(words, by) for words, by in arguments.finding]
    with editing(arguments.sitting) as edit:
        block = load_block(arguments.block) if arguments.block else demo_block()
        tried = tried_on(
            edit.record, block, typed, arguments.over, arguments.garment, arguments.made
        )
        edit.record = tried.record
    print(tryon_json(tried) if arguments.json else "\n".join(tryon_lines(tried)))
    return 0
