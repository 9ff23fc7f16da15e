"""A card as JSON beside a later sitting: what it has to be compared by."""

from ellwand.card.content import CardContent
from ellwand.girth.joint import COVERAGE_FACTOR_95
from ellwand.sitting import Measurement, Side


def side_of_card(content: CardContent) -> Side:
    """What a card has to be set beside a sitting, or another card.

    A card holds ends of intervals and no uncertainty: half of an interval over its coverage factor
    is one, exactly for what was taped.

    Args:
        content: from `content_from_json`.

    Returns:
        All but measurements without an interval, of which nothing can be told.

    Source: JCGM 100, G.1, for the factor.
    """
    measurements = {
        row.code: Measurement(
            value_mm=row.value_mm,
            u_mm=(row.high_mm - row.low_mm) / (2 * COVERAGE_FACTOR_95),
            standing=row.standing,
            reason=row.reason,
        )
        for row in content.rows
        if row.low_mm is not None and row.high_mm is not None
    }
    days = {row.code: row.on for row in content.rows if row.on is not None}
    return Side(measurements, days, content.decision)
