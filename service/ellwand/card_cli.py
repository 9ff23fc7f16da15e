"""The commands `ellwand sheets` and `ellwand card`: what is printed, in the language asked for."""

import argparse
from pathlib import Path

from ellwand.language import LANGUAGES, WRITTEN_IN, speaking
from ellwand.operator_cli import Commands

PAPERS = ("a4", "letter")
HTML_ENDINGS = (".html", ".htm")

_SHEETS = "Write the two marker sheets to print, and how to hang them."
_CARD = "Write the measurement card, or check a copy of one."
_PRINT = """\
Print it at 100 % (actual size), then measure the check bars and give their lengths
to `ellwand estimate` with --check-bar. The third page shows how to hang the sheets
and where to stand."""


def add_sheets_command(commands: Commands) -> None:
    """Add `sheets`."""
    added = commands.add_parser("sheets", help=_SHEETS, description=_SHEETS, allow_abbrev=False)
    added.set_defaults(run=_sheets)
    added.add_argument("--paper", choices=PAPERS, required=True, help="what you print on")
    _add_language(added)
    added.add_argument(
        "-o", dest="output", metavar="FILE", type=Path, required=True, help="such as sheets.pdf"
    )


def add_card_command(commands: Commands) -> None:
    """Add `card`."""
    added = commands.add_parser("card", help=_CARD, description=_CARD, allow_abbrev=False)
    added.set_defaults(run=_card)
    added.add_argument("sitting", metavar="SITTING", type=Path, help="the sitting's file")
    what = added.add_mutually_exclusive_group(required=True)
    what.add_argument(
        "-o",
        dest="output",
        metavar="FILE",
        type=Path,
        help="such as card.pdf, or card.html for a browser",
    )
    what.add_argument("--json", action="store_true", help="print JSON for programs")
    what.add_argument("--check", metavar="FIGURES",
                      help="whether a card as JSON, given in place of a sitting, has these "
                           "figures beside its code")  # fmt: skip
    added.add_argument("--drawing", action="store_true",
                       help="with your outline, neck to thighs; not in JSON")  # fmt: skip
    _add_language(added)


def _add_language(added: argparse.ArgumentParser) -> None:
    added.add_argument("--language", choices=LANGUAGES, default=WRITTEN_IN,
                       help=f"of what is printed (default {WRITTEN_IN})")  # fmt: skip


def _sheets(arguments: argparse.Namespace) -> int:
    from ellwand.card import marker_sheets_pdf, write_output

    with speaking(arguments.language):
        pdf = marker_sheets_pdf(arguments.paper)
    write_output(arguments.output, pdf)
    print(_PRINT)
    return 0


def _card(arguments: argparse.Namespace) -> int:
    from ellwand.card import card_json, card_page, card_pdf, check_copy, content_of, write_output
    from ellwand.sitting import load

    if arguments.check is not None:
        check_copy(arguments.sitting, arguments.check)
        print("The file says what the printed card says.")
        return 0
    record = load(arguments.sitting)
    if arguments.json:
        print(card_json(content_of(record)).decode(), end="")
        return 0
    in_browser = arguments.output.suffix.lower() in HTML_ENDINGS
    with speaking(arguments.language):
        content = content_of(record, arguments.drawing)
        written = card_page(content).encode() if in_browser else card_pdf(content)
    write_output(arguments.output, written)
    print("The card is written; it holds no photo.")
    if arguments.drawing and content.drawing is None:
        print("Your outline could not be drawn: the photos are missing, or lack a level.")
    return 0
