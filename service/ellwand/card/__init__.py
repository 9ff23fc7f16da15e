"""The state to paper: measurement card and marker sheets."""

from ellwand.card.content import CardContent, CardQuery, CardRow
from ellwand.card.figures import Figures, figures, interval_95
from ellwand.card.of_sitting import content_of, photo_warnings, scale_words
from ellwand.card.pdf import card_pdf
from ellwand.card.pdf_file import write_pdf
from ellwand.card.sheets import PaperCode, marker_sheets_pdf

__all__ = [
    "CardContent",
    "CardQuery",
    "CardRow",
    "Figures",
    "PaperCode",
    "card_pdf",
    "content_of",
    "figures",
    "interval_95",
    "marker_sheets_pdf",
    "photo_warnings",
    "scale_words",
    "write_pdf",
]
