"""The JSON Schema of a card, made from its record.

`python -m ellwand.card.schema` writes it anew beside this module; it is part of the package, so
that other programs can check a card without ellwand.
"""

from pathlib import Path

from ellwand.card.document import CARD_VERSION, CardDocument
from ellwand.sitting.schema import published

SCHEMA_FILE = Path(__file__).with_name("card.schema.json")


def schema_text() -> str:
    """The schema of a card."""
    return published(CardDocument, f"ellwand card, up to version {CARD_VERSION}")


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
