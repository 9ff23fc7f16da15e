"""The command `ellwand correct`: lines on the photos, put right by hand."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.measurements import LEVELS
from ellwand.operator_cli import Commands

if TYPE_CHECKING:
    from ellwand.sitting import Asked, SittingUnit

VIEWS, ENDS = ("front", "side"), ("left", "right")
_ABOUT = "Correct the line of a level on the photos; the estimates follow, without the photos."


def add_correct_command(commands: Commands) -> None:
    """Add `correct`."""
    added = commands.add_parser("correct", help=_ABOUT, description=_ABOUT, allow_abbrev=False)
    added.set_defaults(run=_correct)
    added.add_argument("sitting", metavar="SITTING", type=Path, help="the sitting's file")
    option = added.add_argument
    option("--view", choices=VIEWS, help="in which photo the line is seen to be wrong")
    option("--level", choices=LEVELS, help="whose line; a height holds for both photos")
    option("--end", choices=ENDS, help="with --out or --in: which end of the line, in the photo")
    way = added.add_mutually_exclusive_group(required=True)
    way.add_argument("--up", metavar="LENGTH", help='how much higher it belongs, like "1.2 cm"')
    way.add_argument("--down", metavar="LENGTH", help="how much lower it belongs")
    way.add_argument("--out", metavar="LENGTH", help="how much farther from her middle")
    way.add_argument("--in", dest="inward", metavar="LENGTH", help="how much nearer to her middle")
    way.add_argument("--undo", action="store_true", help="take the last correction back")
    option("--sure-to", metavar="LENGTH",
           help="standard uncertainty of where you see the line (usually 8 mm)")  # fmt: skip
    added.add_argument("--json", action="store_true", help="print JSON for programs")


def _correct(arguments: argparse.Namespace) -> int:
    from ellwand.screen import corrected_lines, estimate_json
    from ellwand.sitting import corrected, editing

    with editing(arguments.sitting) as edit:
        before = edit.record
        edit.record = corrected(before, _asked(arguments, before.unit))
    after = edit.record
    print(estimate_json(after) if arguments.json else "\n".join(corrected_lines(before, after)))
    return 0


def _asked(arguments: argparse.Namespace, unit: "SittingUnit") -> "Asked":
    from ellwand.errors import EntryProblem
    from ellwand.girth.move import HAND_U_MM, Move
    from ellwand.quantity import parse_length
    from ellwand.sitting import Asked

    if arguments.undo:
        return Asked(undo=True)
    sideways = arguments.out is not None or arguments.inward is not None
    if None in (arguments.view, arguments.level) or sideways != (arguments.end is not None):
        raise EntryProblem(
            "which-line",
            "It is not said which line, or which end of it, is to be corrected.",
            "Give --view and --level with --up or --down, or --end too with --out or --in.",
        )
    outward = arguments.up or arguments.out
    by_mm = parse_length(outward or arguments.down or arguments.inward, unit).mm
    sure = arguments.sure_to
    move = Move(
        view=arguments.view,
        level=arguments.level,
        part=arguments.end or "height",
        by_mm=by_mm if outward else -by_mm,
        u_mm=parse_length(sure, unit).mm if sure else HAND_U_MM,
    )
    return Asked((move,))
