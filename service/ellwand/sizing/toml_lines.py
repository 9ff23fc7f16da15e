"""Lines of a TOML file: where a key stands, and what is usually wrong with one."""

import re
from collections import Counter

from ellwand.language import gettext_noop

_HEADER = re.compile(r"\s*(\[{1,2})\s*([^\[\]#]+?)\s*\]{1,2}\s*(?:#.*)?")
# What people write in place of TOML, by what stands behind the sign of equality (judged).
_SLIPS = (
    (
        re.compile(
            r"=\s*[-+]?\d+(?:[.,]\d+)?\s*(?:mm|cm|m|in|inch|inches|zoll|[\"\u201d\u2033])(?!\w)",
            re.IGNORECASE,
        ),
        gettext_noop("A number stands without its unit: the line unit says it for all of them."),
    ),
    (re.compile(r"=\s*[-+]?\d+,\d"), gettext_noop("A number has a point in it, no comma.")),
    (
        re.compile(r"=\s*\d+(?:[ -]\d+/\d|/\d|\s*[¼½¾⅛⅜⅝⅞])"),
        gettext_noop("A part of an inch stands as decimals behind a point, not as a fraction."),
    ),
    (
        # Curly ones, or none.
        re.compile(
            r"=\s*\[?\s*(?:[\u2018-\u201e\u00ab\u00bb]|(?!(?:true|false|nan|inf)\b)[^\W\d_])"
        ),
        gettext_noop('A text stands in straight quotation marks, such as "4".'),
    ),
)
_ENTRY = re.compile(r"\s*([A-Za-z0-9_\-.\"' ]+?)\s*=")


def line_of(text: str, path: str) -> int:
    r"""The line of a key, or else the one that it would belong to.

    Args:
        text: the file, sound TOML.
        path: the key, with members of lists counted from 1, such as "sizes[3].waist".

    Returns:
        Counted from 1: the line of the key; where it is written inside of another one or is
        missing, that one's, its table's, or the first of the file.

    >>> line_of('unit = "cm"\n[[sizes]]\nwaist = 64\n[[sizes]]\nwaist = 60', "sizes[2].waist")
    5
    """
    best, known, table = 1, 0, ""
    seen: Counter[str] = Counter()
    for number, line in enumerate(text.splitlines(), 1):
        if header := _HEADER.fullmatch(line):
            table = _plain(header[2])
            if header[1] == "[[":
                seen[table] += 1
                table = f"{table}[{seen[table]}]"
            key = table
        elif entry := _ENTRY.match(line):
            key = f"{table}.{_plain(entry[1])}".lstrip(".")
        else:
            continue
        if len(key) > known and _belongs(path, key):
            best, known = number, len(key)
    return best


def slip_in(line: str) -> str | None:
    """What to put right in a line that is no TOML; a text of the catalogues.

    Args:
        line: the line.

    Returns:
        The rule that it breaks; None where it looks like none of the usual slips.

    >>> slip_in("waist = 90,5")
    'A number has a point in it, no comma.'
    """
    entry = line.partition("#")[0]
    if _HEADER.fullmatch(line):
        return None
    return next((told for slip, told in _SLIPS if slip.search(entry)), None)


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))


def _belongs(path: str, key: str) -> bool:
    """Whether a key is another one, or a part of it."""
    return path == key or path.startswith((f"{key}.", f"{key}["))
