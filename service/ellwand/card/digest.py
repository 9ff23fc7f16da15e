"""A digest of the card: printed on paper, it shows whether a copy as JSON says the same.

The digest is the SHA-256 (FIPS 180-4) of the card's JSON in the canonical form of RFC 8785, so that
neither spaces nor the order of keys matter, and any program can work it out. Printed are its first
64 bits, which nobody hits by accident; whoever wants to cheat can print another card altogether.
"""

import hashlib
import json
import re
from decimal import Decimal
from pathlib import Path

from ellwand.card.as_json import card_json, unreadable
from ellwand.card.content import CardContent
from ellwand.card.document import CARD_FORMAT
from ellwand.errors import EntryProblem

DIGEST_FIGURES = 16
_GROUP = 4
# ECMAScript writes decimals out down to this, and Python down to 1e-4.
_SMALLEST_WRITTEN_OUT, _LARGEST_WRITTEN_OUT = 1e-6, 1e21


def digest_of(content: CardContent) -> str:
    """The digest of a card.

    Returns:
        The first 16 hexadecimal figures, in small letters.
    """
    return digest_of_json(card_json(content))


def digest_of_json(data: bytes) -> str:
    """The digest of a card's JSON, however it is spaced and ordered.

    Args:
        data: the JSON, UTF-8.

    Returns:
        The first 16 hexadecimal figures.

    Raises:
        EntryProblem: it is no card.
    """
    try:
        document = json.loads(data, parse_constant=_refuse, object_pairs_hook=_once)
        text = canonical(document)
        plain = text.encode()
    except (ValueError, RecursionError, OverflowError):
        raise unreadable() from None
    if not isinstance(document, dict) or document.get("format") != CARD_FORMAT:
        raise unreadable()
    return hashlib.sha256(plain).hexdigest()[:DIGEST_FIGURES]


def grouped(digest: str) -> str:
    """A digest as it is printed.

    >>> grouped("3f2a91bc00d4e877")
    '3f2a 91bc 00d4 e877'
    """
    return " ".join(digest[at : at + _GROUP] for at in range(0, len(digest), _GROUP))


def is_same(data: bytes, printed: str) -> bool:
    """Whether a card's JSON is what a printed card was made of.

    Args:
        data: the JSON.
        printed: the digest on the paper, as someone types it: in groups or not, in capitals or not.

    Raises:
        EntryProblem: the digest does not have 16 figures, or the JSON is none.
    """
    plain = re.sub(r"[\s\-]", "", printed).lower()
    if not re.fullmatch(f"[0-9a-f]{{{DIGEST_FIGURES}}}", plain):
        raise EntryProblem(
            "digest-unreadable",
            "These are not the figures of a card.",
            "They are 16, from 0 to 9 and a to f, and stand beside the code on the card.",
        )
    return digest_of_json(data) == plain


def check_copy(path: Path, printed: str) -> None:
    """Check a copy of a card against a printed one.

    Args:
        path: the card as JSON.
        printed: the digest on the paper.

    Raises:
        EntryProblem: the file cannot be read or is no card, the digest is none, or it is another
            card's.
    """
    try:
        data = path.read_bytes()
    except OSError:
        raise unreadable() from None
    check_same(data, printed)


def check_same(data: bytes, printed: str) -> None:
    """Check that a card's JSON is what a printed card was made of.

    Args:
        data: the JSON.
        printed: the digest on the paper.

    Raises:
        EntryProblem: the JSON is no card, the digest is none, or it is another card's.
    """
    if not is_same(data, printed):
        raise EntryProblem(
            "card-differs",
            "The file does not say what the printed card says.",
            "Check the figures that you typed. If they are right, sew from neither before you know "
            "which is right: have both made anew.",
        )


def canonical(value: object) -> str:
    """JSON in its one canonical form.

    Args:
        value: what JSON can hold.

    Source: RFC 8785.

    >>> canonical({"b": 925.0, "a": [1e-6, None, "½"]})
    '{"a":[0.000001,null,"½"],"b":925}'
    """
    if isinstance(value, dict):
        # By UTF-16 code units.
        keys = sorted(value, key=lambda key: str(key).encode("utf-16-be", "surrogatepass"))
        return f"{{{','.join(f'{canonical(key)}:{canonical(value[key])}' for key in keys)}}}"
    if isinstance(value, list):
        return f"[{','.join(canonical(one) for one in value)}]"
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _number(float(value))
    return json.dumps(value, ensure_ascii=False)


def _number(value: float) -> str:
    """A number as ECMAScript writes it (ECMA-262, Number::toString)."""
    if value == 0:
        return "0"
    if _SMALLEST_WRITTEN_OUT <= abs(value) < _LARGEST_WRITTEN_OUT:
        # The shortest figures that read back as the same number, without an exponent.
        shortest = f"{Decimal(repr(value)):f}"
        return shortest.rstrip("0").rstrip(".") if "." in shortest else shortest
    figures, exponent = repr(value).split("e")
    return f"{figures.removesuffix('.0')}e{int(exponent):+d}"


def _refuse(constant: str) -> None:
    raise ValueError(constant)


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """An object of a file; a key that stands twice could be read in two ways."""
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a key stands twice")
    return found
