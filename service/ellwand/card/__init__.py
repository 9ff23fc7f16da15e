"""The state to paper: measurement card and marker sheets."""

from ellwand.card.sheets import PaperCode, marker_sheets_pdf

__all__ = ["PaperCode", "marker_sheets_pdf"]
