"""The command `ellwand compare`: two sittings of the same customer."""

import argparse
from pathlib import Path

from ellwand.operator_cli import Commands

_ABOUT = "Say what has changed since an earlier sitting, and how sure that is; nothing is noted."


def add_compare_command(commands: Commands) -> None:
    """Add `compare`."""
    added = commands.add_parser("compare", help=_ABOUT, description=_ABOUT, allow_abbrev=False)
    added.set_defaults(run=_compare)
    added.add_argument("old", metavar="OLD", type=Path, help="file of the earlier sitting")
    added.add_argument("new", metavar="NEW", type=Path, help="file of the later one")
    added.add_argument("--json", action="store_true", help="print JSON for programs")


def _compare(arguments: argparse.Namespace) -> int:
    from ellwand.compare_screen import comparison_json, comparison_lines
    from ellwand.sitting import load, sittings_compared

    found = sittings_compared(load(arguments.old), load(arguments.new))
    print(comparison_json(found) if arguments.json else "\n".join(comparison_lines(found)))
    return 0
