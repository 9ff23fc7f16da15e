"""The command `ellwand size`: one decision, or several blocks and garments beside each other."""

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.operator_cli import Commands

if TYPE_CHECKING:
    from ellwand.sizing import Block

FABRICS = ("woven", "drapey-woven", "knit")

_ABOUT = "Decide the size from the confirmed measurements, or compare blocks and garments."


def add_size_command(commands: Commands) -> None:
    """Add `size`."""
    added = commands.add_parser("size", help=_ABOUT, description=_ABOUT, allow_abbrev=False)
    added.set_defaults(run=_size)
    option = added.add_argument
    option("sitting", metavar="SITTING", type=Path, help="the sitting's file")
    option("--block", metavar="FILE", type=Path, action="append", default=[],
           help="the workroom's block file; several are compared, nothing is noted")  # fmt: skip
    option("--garment", metavar="NAME", help="one of the block's garments")
    option("--fabric", choices=FABRICS, help="what it is cut in (the garment's own)")
    option("--under-layer", metavar="LENGTH",
           help='what you wear beneath adds to each girth, like "1 cm"')  # fmt: skip
    option("--all-garments", action="store_true", help="compare all garments of the blocks")
    option("--fresh-weeks", metavar="N", type=int, help="ask to measure again after so many weeks")
    option("--chart", metavar="FILE", type=Path,
           help="draw the ease at each level, such as ease.svg")  # fmt: skip
    option("--json", action="store_true", help="print JSON for programs")


def _size(arguments: argparse.Namespace) -> int:
    from ellwand.sizing import demo_block, load_block

    blocks = [load_block(path) for path in arguments.block] or [demo_block()]
    if len(blocks) > 1 or arguments.all_garments:
        return _compare(arguments, blocks)
    return _decide(arguments, blocks[0])


def _decide(arguments: argparse.Namespace, block: "Block") -> int:
    from ellwand.card import write_output
    from ellwand.quantity import parse_length
    from ellwand.sitting import FRESH_WEEKS, editing, sized
    from ellwand.size_screen import size_json, size_lines
    from ellwand.sizing import decision_from_json, ease_chart

    weeks = arguments.fresh_weeks or FRESH_WEEKS
    with editing(arguments.sitting) as edit:
        layer = arguments.under_layer
        edit.record = sized(
            edit.record,
            block,
            arguments.garment,
            arguments.fabric,
            parse_length(layer, edit.record.unit).mm if layer else None,
            today=date.today(),
            fresh_weeks=weeks,
        )
    decision = decision_from_json(edit.record.decision)
    if arguments.chart:
        write_output(arguments.chart, ease_chart(decision).encode())
    print(size_json(decision) if arguments.json else "\n".join(size_lines(decision)))
    return 0


def _compare(arguments: argparse.Namespace, blocks: Sequence["Block"]) -> int:
    from ellwand.sitting import confirmed, estimates_given_tape, load
    from ellwand.size_screen import comparison_json, comparison_lines
    from ellwand.sizing import compare

    record = load(arguments.sitting)
    choices = []
    for block in blocks:
        names = list(block.garments)
        wanted = names if arguments.all_garments else [arguments.garment or names[0]]
        choices += [(block, name) for name in wanted]
    found = compare(confirmed(record), estimates_given_tape(record), choices)
    print(comparison_json(found) if arguments.json else "\n".join(comparison_lines(found)))
    return 0
