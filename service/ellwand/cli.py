"""The command `ellwand`: it reads arguments, calls one act, and says what came of it.

Libraries are imported where a command needs them, so that `ellwand --help` answers at once.
"""

import argparse
import contextlib
import io
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.block_cli import add_block_commands
from ellwand.card_cli import PAPERS, add_card_command, add_sheets_command
from ellwand.compare_cli import add_compare_command
from ellwand.correct_cli import add_correct_command
from ellwand.errors import EllwandError
from ellwand.measurements import KINDS
from ellwand.operator_cli import Commands, add_operator_commands
from ellwand.shown import showing_first
from ellwand.size_cli import add_size_command
from ellwand.tryon_cli import add_tryon

if TYPE_CHECKING:
    from ellwand.sitting import SittingUnit, TypedSetup

REFERENCES = ("marker-sheets", "plain-sheets", "id-card", "stature")
UNITS = ("cm", "in")
DEFAULT_UNIT: "SittingUnit" = "cm"
MEASURED_BY = ("herself", "somebody", "untold")
WORN = ("nothing", "bra", "close-top", "padded-bra", "thick", "untold")

# What a shell reports for a program that a signal ended: 128 and the signal's number.
INTERRUPTED, BROKEN_PIPE = 130, 141

_ABOUT = """\
Two photos and a tape become measurements with error bounds, a size and a card for made-to-measure
blouses. Photos stay on this machine. For adults; no medical device."""
_CODES = f"""\
measurements: {", ".join(KINDS)}

exit codes: 0 done, 2 wrong usage or an entry that cannot be read, 3 a photo that can't be used,
4 a sitting or block file that can't be read, 5 the service cannot do it"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command.

    Args:
        argv: the arguments; None takes those of the process.

    Returns:
        The exit code.

    Raises:
        SystemExit: help was asked for, or the arguments are wrong (exit code 2).
    """
    _make_printable()
    arguments = parser().parse_args(argv)
    run: Callable[[argparse.Namespace], int] = arguments.run
    try:
        with showing_first(_unit_of(arguments)):
            code = run(arguments)
        sys.stdout.flush()
    except EllwandError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # Nobody reads on; what is left in the buffer must not complain at exit.
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BROKEN_PIPE
    return code


def _unit_of(arguments: argparse.Namespace) -> "SittingUnit":
    """The unit that lengths are shown in first: the one asked for, else that of the sitting."""
    chosen: SittingUnit | None = getattr(arguments, "unit", None)
    # Of two sittings beside each other, the later one.
    path: Path | None = getattr(arguments, "new", getattr(arguments, "sitting", None))
    if chosen is None and path is not None:
        from ellwand.sitting import load

        # What is wrong with a file says the command itself.
        with contextlib.suppress(EllwandError):
            return load(path).unit
    return chosen or DEFAULT_UNIT


def parser() -> argparse.ArgumentParser:
    """All commands with their options."""
    top = argparse.ArgumentParser(
        prog="ellwand",
        description=_ABOUT,
        epilog=_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    commands = top.add_subparsers(metavar="COMMAND", required=True)
    for add in (
        add_sheets_command,
        _add_estimate,
        add_correct_command,
        _add_howto,
        _add_read,
        _add_keep,
        _add_check,
        add_size_command,
        add_tryon,
        add_compare_command,
        add_card_command,
        _add_demo,
    ):
        add(commands)
    add_block_commands(commands)
    add_operator_commands(commands)
    return top


def _command(
    commands: Commands,
    name: str,
    run: Callable[[argparse.Namespace], int],
    about: str,
    sitting: bool = True,
) -> argparse.ArgumentParser:
    added = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
    added.set_defaults(run=run)
    if sitting:
        added.add_argument("sitting", metavar="SITTING", type=Path, help="the sitting's file")
    return added


def _add_estimate(commands: Commands) -> None:
    about = "Estimate girths and lengths from a front and a side photo."
    added = _command(commands, "estimate", _estimate, about)
    option = added.add_argument
    option("--front", metavar="PHOTO", type=Path, required=True, help="JPEG or PNG")
    option("--side", metavar="PHOTO", type=Path, required=True, help="JPEG or PNG")
    option("--stature", metavar="HEIGHT", required=True, help='your height, like "168 cm"')
    option("--reference", choices=REFERENCES, required=True, help="what of known size is in it")
    option("--paper", choices=PAPERS, default="a4", help="paper of the sheets (default a4)")
    option("--check-bar", metavar="LENGTH", action="append", default=[],
           help='printed length of a check bar, like "149.6 mm"; once or twice')  # fmt: skip
    option("--standoff", metavar="DISTANCE",
           help='from the sheets to your ankle, like "30 cm" or "30 cm +- 1 cm"; none when the '
           "sheets stand beside you")  # fmt: skip
    option("--standoff-front", metavar="DISTANCE", help="the same, for the front photo alone")
    option("--standoff-side", metavar="DISTANCE", help="the same, for the side photo alone")
    option("--focal-35mm", metavar="LENGTH", help="35 mm equivalent, where the photo has none")
    option("--weight", metavar="WEIGHT",
           help='optional, like "70 kg": makes the bounds tighter; kept in the sitting, never on '
           "the card")  # fmt: skip
    _add_unit(added)
    _add_json(added)


def _add_howto(commands: Commands) -> None:
    about = "Say how one takes a measurement alone with a tape."
    added = _command(commands, "howto", _howto, about, sitting=False)
    added.add_argument("code", metavar="CODE", type=_code, nargs="?",
                       help="like waist; none for what holds for all")  # fmt: skip
    added.add_argument("--sitting", metavar="SITTING", type=Path,
                       help="whose photos tell what a crooked tape adds")  # fmt: skip


def _add_read(commands: Commands) -> None:
    about = "Read tape entries of one measurement in, and check them."
    added = _command(commands, "read", _read, about)
    _add_code(added)
    added.add_argument("entries", metavar="ENTRY", nargs="+", help='like "92.5" or "36 3/8 in"')
    added.add_argument("--instead", action="store_true", help="earlier readings no longer count")
    added.add_argument("--by", choices=MEASURED_BY,
                       help="who holds the tape, from now on: you or one with you")  # fmt: skip
    added.add_argument("--worn", choices=WORN,
                       help="what lies under it, from now on; of several, the one further on in "
                       "this list (thick: a blouse or more)")  # fmt: skip
    _add_unit(added)


def _add_keep(commands: Commands) -> None:
    about = "Keep a value that was queried, for a reason that goes on the card."
    added = _command(commands, "keep", _keep, about)
    _add_code(added)
    added.add_argument("--reason", metavar="WORDS", required=True, help="why it is right")


def _add_check(commands: Commands) -> None:
    about = "Say what stands, what is in doubt, and what to do next; nothing is changed."
    _command(commands, "check", _check, about)


def _add_demo(commands: Commands) -> None:
    about = "Show the whole run on demo photos of an invented woman."
    added = _command(commands, "demo", _demo, about, sitting=False)
    added.add_argument("--out", metavar="FOLDER", type=Path, default=Path("demo_result"),
                       help="where its files go (default demo_result)")  # fmt: skip
    added.add_argument("--images", metavar="FOLDER", type=Path, help="where the demo photos are")


def _add_code(added: argparse.ArgumentParser) -> None:
    added.add_argument("code", metavar="CODE", type=_code, help='like full_bust or "full bust"')


def _add_unit(added: argparse.ArgumentParser) -> None:
    added.add_argument("--unit", choices=UNITS,
                       help="of numbers without unit, and shown first, from now on")  # fmt: skip


def _add_json(added: argparse._ActionsContainer) -> None:
    added.add_argument("--json", action="store_true", help="print JSON for programs")


def _code(text: str) -> str:
    """A measurement as someone types it; what is none is refused by the act."""
    names = {kind.name: code for code, kind in KINDS.items()}
    plain = " ".join(text.lower().replace("_", " ").replace("-", " ").split())
    return names.get(plain, plain.replace(" ", "_"))


def _estimate(arguments: argparse.Namespace) -> int:
    from ellwand.errors import PhotoProblem
    from ellwand.screen import estimate_json, estimate_lines, refusal_json
    from ellwand.sitting import (
        editing,
        estimated,
        read_photo_files,
        with_typed_setup,
        with_unit,
    )

    typed = _typed_setup(arguments)
    with editing(arguments.sitting, arguments.unit or DEFAULT_UNIT) as edit:
        # Written before the photos are opened: what was typed stays even when they are refused.
        record = with_unit(edit.record, arguments.unit or edit.record.unit)
        edit.record = with_typed_setup(record, typed)
    try:
        photos = read_photo_files({"front": arguments.front, "side": arguments.side})
        with editing(arguments.sitting) as edit:
            edit.record = estimated(edit.record, typed, photos, _progress)
    except PhotoProblem as error:
        if arguments.json:
            _say([refusal_json(error)])
        raise
    _say([estimate_json(edit.record)] if arguments.json else estimate_lines(edit.record))
    return 0


def _typed_setup(arguments: argparse.Namespace) -> "TypedSetup":
    from ellwand.sitting import TypedSetup

    return TypedSetup(
        stature=arguments.stature,
        reference=arguments.reference,
        paper=arguments.paper,
        check_bars=tuple(arguments.check_bar),
        standoff_front=arguments.standoff_front or arguments.standoff,
        standoff_side=arguments.standoff_side or arguments.standoff,
        focal_35mm=arguments.focal_35mm,
        weight=arguments.weight,
    )


def _howto(arguments: argparse.Namespace) -> int:
    from ellwand.screen import beforehand_lines, how_to_lines
    from ellwand.sitting import load

    estimates = load(arguments.sitting).estimates() if arguments.sitting else {}
    code = arguments.code
    _say(beforehand_lines() if code is None else how_to_lines(code, estimates))
    return 0


def _read(arguments: argparse.Namespace) -> int:
    from ellwand.screen import query_lines, taking_lines, tightened_lines
    from ellwand.sitting import editing, read, with_taking, with_unit

    with editing(arguments.sitting, arguments.unit or DEFAULT_UNIT) as edit:
        record = with_unit(edit.record, arguments.unit or edit.record.unit)
        record = with_taking(record, arguments.by, arguments.worn)
        result = read(record, arguments.code, arguments.entries, arguments.instead, date.today())
        edit.record = result.record
    given = tightened_lines(result.record, arguments.code)
    told = taking_lines(result.record) if arguments.by or arguments.worn else []
    _say([*result.echo, *told, *query_lines(result.queries), *given])
    return 0


def _keep(arguments: argparse.Namespace) -> int:
    from ellwand.screen import keep_lines, tightened_lines
    from ellwand.sitting import editing, keep

    with editing(arguments.sitting) as edit:
        edit.record = keep(edit.record, arguments.code, arguments.reason)
    given = tightened_lines(edit.record, arguments.code)
    _say([*keep_lines(edit.record, arguments.code), *given])
    return 0


def _check(arguments: argparse.Namespace) -> int:
    from ellwand.screen import check_lines
    from ellwand.sitting import load

    _say(check_lines(load(arguments.sitting)))
    return 0


def _demo(arguments: argparse.Namespace) -> int:
    from ellwand.demo import play

    return play(arguments.out, arguments.images, main, print)


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _progress(step: str) -> None:
    print(f"{step} ...", file=sys.stderr, flush=True)


def _make_printable() -> None:
    """Let a terminal that lacks a sign show another one instead of failing."""
    for stream in _streams():
        stream.reconfigure(errors="replace")


def _streams() -> Iterator[io.TextIOWrapper]:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            yield stream


if __name__ == "__main__":
    sys.exit(main())
