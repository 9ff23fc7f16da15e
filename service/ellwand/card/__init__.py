"""The state to paper and post: measurement card and marker sheets."""

from ellwand.card.as_json import card_json, content_from_json
from ellwand.card.as_page import CARD_STYLE, Linked, card_page, style_sheet
from ellwand.card.beside import side_of_card
from ellwand.card.content import CardContent, CardFinding, CardQuery, CardRow, CardTryOn
from ellwand.card.digest import check_copy, check_same, digest_of, digest_of_json, grouped, is_same
from ellwand.card.figures import Figures, figures, in_line, in_words
from ellwand.card.mail import (
    CardForms,
    Sending,
    as_eml,
    card_forms,
    card_message,
    checked_address,
    domain_of,
)
from ellwand.card.of_sitting import content_of, outside_words, photo_warnings, scale_words
from ellwand.card.output import write_output
from ellwand.card.pdf import card_pdf
from ellwand.card.sheets import PaperCode, marker_sheets_pdf
from ellwand.card.wording import file_name

__all__ = [
    "CARD_STYLE",
    "CardContent",
    "CardFinding",
    "CardForms",
    "CardQuery",
    "CardRow",
    "CardTryOn",
    "Figures",
    "Linked",
    "PaperCode",
    "Sending",
    "as_eml",
    "card_forms",
    "card_json",
    "card_message",
    "card_page",
    "card_pdf",
    "check_copy",
    "check_same",
    "checked_address",
    "content_from_json",
    "content_of",
    "digest_of",
    "digest_of_json",
    "domain_of",
    "figures",
    "file_name",
    "grouped",
    "in_line",
    "in_words",
    "is_same",
    "marker_sheets_pdf",
    "outside_words",
    "photo_warnings",
    "scale_words",
    "side_of_card",
    "style_sheet",
    "write_output",
]
