"""The command `ellwand compare`: two sittings of the same customer, or cards of them."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.operator_cli import Commands

if TYPE_CHECKING:
    from ellwand.sitting import Side

_ABOUT = "Say what has changed since an earlier sitting, and how sure that is; nothing is noted."


def add_compare_command(commands: Commands) -> None:
    """Add `compare`."""
    added = commands.add_parser("compare", help=_ABOUT, description=_ABOUT, allow_abbrev=False)
    added.set_defaults(run=_compare)
    added.add_argument(
        "old", metavar="OLD", type=Path, help="file of the earlier sitting, or its card as JSON"
    )
    added.add_argument("new", metavar="NEW", type=Path, help="the same of the later one")
    added.add_argument(
        "--check",
        metavar="FIGURES",
        help="figures of the earlier card on paper; a file that says something else is refused",
    )
    added.add_argument("--json", action="store_true", help="print JSON for programs")


def _compare(arguments: argparse.Namespace) -> int:
    from ellwand.compare_screen import comparison_json, comparison_lines
    from ellwand.sitting import sides_compared

    if arguments.check is not None:
        from ellwand.card import check_copy

        check_copy(arguments.old, arguments.check)
    found = sides_compared(_side(arguments.old), _side(arguments.new))
    print(comparison_json(found) if arguments.json else "\n".join(comparison_lines(found)))
    return 0


def _side(path: Path) -> "Side":
    """A sitting, or a card as JSON; what is neither is told of as a sitting."""
    from ellwand.errors import EntryProblem, SittingProblem
    from ellwand.sitting import load, side_of

    try:
        return side_of(load(path))
    except SittingProblem as problem:
        if problem.code != "sitting-foreign":
            raise
        # Only a card waits for what sets cards.
        from ellwand.card import content_from_json, side_of_card

        try:
            return side_of_card(content_from_json(path.read_bytes()))
        except (EntryProblem, OSError):
            raise problem from None
