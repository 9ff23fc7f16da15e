"""The measurement card as PDF: always the same bytes for the same content."""

from ellwand.card.content import CardContent
from ellwand.card.page import card_data
from ellwand.card.typeset import typeset_pdf

CARD_TEMPLATE = "card.typ"


def card_pdf(content: CardContent) -> bytes:
    """Set the card.

    Args:
        content: all that it shows.

    Returns:
        A PDF (PDF/UA-1) of one page; what does not fit in letters of 8 points goes on behind.
    """
    return typeset_pdf(CARD_TEMPLATE, card_data(content), standard="ua-1")
