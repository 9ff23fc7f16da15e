"""At which line of a TOML file a key stands: what has read it no longer knows."""

import re
from collections import Counter

_HEADER = re.compile(r"\s*(\[{1,2})\s*([^\[\]#]+?)\s*\]{1,2}\s*(?:#.*)?")
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


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))


def _belongs(path: str, key: str) -> bool:
    """Whether a key is another one, or a part of it."""
    return path == key or path.startswith((f"{key}.", f"{key}["))
