"""The measurement card for programs: JSON whose keys stay as they are within one version."""

import json

from ellwand.card.content import CardContent, CardRow
from ellwand.measurements import KINDS, Estimate

CARD_FORMAT = "ellwand-card"
CARD_VERSION = 1
# A nanometre: it takes off the noise of binary fractions and keeps any fraction of an inch.
_MM_PLACES = 6


def card_json(content: CardContent) -> bytes:
    """The card as JSON, the same bytes for the same content.

    Args:
        content: the card; whom it is for and on which day are left out.

    Returns:
        One JSON object, UTF-8, with a line break at its end. Lengths are in millimetres, not
        rounded as they are on paper.

    Raises:
        ValueError: a length is not finite, or a measurement has no such name.
    """
    order = list(KINDS)
    decided = content.decision is not None
    document = {
        "format": CARD_FORMAT,
        "version": CARD_VERSION,
        "rows": [_row(row) for row in sorted(content.rows, key=lambda row: order.index(row.code))],
        "queries": [
            {"code": query.code, "sentence": query.sentence, "advice": query.advice}
            for query in content.queries
        ],
        "decision": None if content.decision is None else content.decision.to_json(),
        "undecided": None if decided else content.undecided,
        "scale_note": content.scale_note,
        "warnings": list(content.warnings),
        "outside": list(content.outside),
        "bust_difference": _difference(content.bust_difference),
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2)
    return f"{text}\n".encode()


def _row(row: CardRow) -> dict[str, object]:
    return {
        "code": row.code,
        "name": KINDS[row.code].name,
        "value_mm": _plain_mm(row.value_mm),
        "low_mm": None if row.low_mm is None else _plain_mm(row.low_mm),
        "high_mm": None if row.high_mm is None else _plain_mm(row.high_mm),
        "standing": row.standing,
        "how": row.how,
        "reason": row.reason,
    }


def _difference(difference: Estimate | None) -> dict[str, float] | None:
    if difference is None:
        return None
    return {
        "value_mm": _plain_mm(difference.value_mm),
        "low_mm": _plain_mm(difference.low_mm),
        "high_mm": _plain_mm(difference.high_mm),
    }


def _plain_mm(length_mm: float) -> float:
    # A whole number would else be written without its point, and 925 and 925.0 are one length.
    return round(float(length_mm), _MM_PLACES)
