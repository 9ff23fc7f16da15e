"""The measurement card for programs: JSON whose keys stay as they are within one version."""

import json

from pydantic import ValidationError

from ellwand.card.content import CardContent
from ellwand.card.document import CardDocument, content_of_document, document_of
from ellwand.errors import EntryProblem


def card_json(content: CardContent) -> bytes:
    """The card as JSON, the same bytes for the same content.

    Args:
        content: the card; whom it is for, on which day and how it is printed are left out.

    Returns:
        One JSON object, UTF-8, with a line break at its end. Lengths are in millimetres, not
        rounded as they are on paper.

    Raises:
        ValueError: a length is not finite, or a measurement has no such name.
    """
    plain = document_of(content).model_dump(mode="json")
    text = json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=2)
    return f"{text}\n".encode()


def content_from_json(data: bytes) -> CardContent:
    """The card that a JSON file tells of.

    Args:
        data: what `card_json` wrote, of this or an earlier version.

    Returns:
        The card; written again, it gives the same bytes.

    Raises:
        EntryProblem: it is no card.
    """
    try:
        return content_of_document(CardDocument.model_validate_json(data, strict=True))
    except (ValidationError, UnicodeDecodeError):
        raise unreadable() from None


def unreadable() -> EntryProblem:
    """What is said of a file that is no card."""
    return EntryProblem(
        "card-unreadable",
        "This file is no saved measurement card.",
        "Give the file that ended in .json when the card was written or sent.",
    )
