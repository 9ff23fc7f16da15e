"""The state to paper: measurement card and marker sheets."""

from ellwand.card.content import CardContent, CardQuery, CardRow
from ellwand.card.figures import interval_95
from ellwand.card.pdf import card_pdf
from ellwand.card.sheets import PaperCode, marker_sheets_pdf

__all__ = [
    "CardContent",
    "CardQuery",
    "CardRow",
    "PaperCode",
    "card_pdf",
    "interval_95",
    "marker_sheets_pdf",
]
