"""The numbers of a card as a QR code, to be read without a connection.

The text in it is our own, short enough for a code of three centimetres:

    ELLWAND/1/HB8800CFB9820KWA9250E/4+5/D/REGULAR/3F2A91BC00D4E877

Parts stand between strokes: the name, the version of this text, the measurements, size, sewing
cup, length class, and the digest of the card (`card.digest`). A measurement is its two letters
(`SHORT`), its value in tenths of a millimetre, and one letter for its standing: C confirmed,
K kept, R read, Q queried, E estimated; what is Q or E is no fact. Names of a block are written with
`%` and two figures for each byte of UTF-8 that is no capital letter or figure; "+" stands before
the other choice where the tape leaves it open, and a name of more than 16 letters is cut. The three
parts of a size are empty as long as there is none.

Source: ISO/IEC 18004 for the code; its alphanumeric mode has capital letters, figures and nine
signs, which is why no others are used.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from ellwand.card.content import CardContent, CardRow, ordered
from ellwand.card.wording import shortened
from ellwand.sitting import Standing
from ellwand.sizing import Choice

TEXT_VERSION = 1
SHORT = {
    "stature": "ST",
    "high_bust": "HB",
    "full_bust": "FB",
    "underbust": "UB",
    "waist": "WA",
    "high_hip": "HH",
    "full_hip": "FH",
    "shoulder_width": "SW",
    "back_waist_length": "BW",
    "shoulder_to_bust": "SB",
    "arm_length": "AL",
    "upper_arm": "UA",
    "wrist": "WR",
    "hand": "HA",
    "waist_to_hip": "WH",
    "inside_leg": "IL",
}
_STANDING: dict[Standing, str] = {
    "confirmed": "C",
    "kept": "K",
    "read": "R",
    "queried": "Q",
    "estimated": "E",
}
_PLAIN = frozenset(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789")
# A longer name is cut, with … at its end, so that the code stays small.
_LONGEST_NAME = 16
# Medium: about 15 % of the code may be lost, to a fold or a pin.
_CORRECTION = "m"
# ISO/IEC 18004, 9.1: white on all sides.
QUIET_MODULES = 4


@dataclass(frozen=True)
class Code:
    """A QR code as it is drawn.

    Args:
        modules: modules along each side, with the quiet zone.
        svg: the drawing, black on white, one unit a module.
    """

    modules: int
    svg: str


def code_text(content: CardContent, digest: str) -> str:
    """What stands in the code.

    Args:
        content: the card.
        digest: its digest.

    Returns:
        Capital letters, figures, `/`, `+` and `%`.
    """
    rows = ordered(content.rows)
    decision = content.decision
    choices = (
        ("", "", "")
        if decision is None
        else (_choice(decision.size), _choice(decision.cup), _choice(decision.length_class, True))
    )
    measured = "".join(_measured(row) for row in rows)
    return "/".join(("ELLWAND", str(TEXT_VERSION), measured, *choices, digest.upper()))


def code_of(text: str) -> Code:
    """Draw a text as a QR code.

    Args:
        text: of the characters of the alphanumeric mode.
    """
    # Only who prints waits for the library.
    import segno

    made = segno.make(text, error=_CORRECTION, mode="alphanumeric", micro=False)
    rows = [[bool(module) for module in row] for row in made.matrix]
    side = len(rows) + 2 * QUIET_MODULES
    # One path, so that no seam shows between two modules.
    path = "".join(
        f"M{start + QUIET_MODULES} {y + QUIET_MODULES}h{length}v1h-{length}z"
        for y, row in enumerate(rows)
        for start, length in _runs(row)
    )
    return Code(
        side,
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
        f'<path fill="#fff" d="M0 0h{side}v{side}H0z"/><path d="{path}"/></svg>',
    )


def _measured(row: CardRow) -> str:
    return f"{SHORT[row.code]}{round(10 * row.value_mm)}{_STANDING[row.standing]}"


def _choice(choice: Choice, in_capitals: bool = False) -> str:
    names = [name for name in (choice.name, choice.alternative) if name is not None]
    short = [shortened(name, _LONGEST_NAME) for name in names]
    return "+".join(_coded(name.upper() if in_capitals else name) for name in short)


def _coded(name: str) -> str:
    return "".join(chr(one) if one in _PLAIN else f"%{one:02X}" for one in name.encode())


def _runs(row: Iterable[bool]) -> list[tuple[int, int]]:
    """Start and length of each run of dark modules."""
    found: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and found and sum(found[-1]) == x:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        elif dark:
            found.append((x, 1))
    return found
