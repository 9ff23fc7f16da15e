"""The JSON Schema of a card, made from its record.

`python -m ellwand.card.schema` writes it anew beside this module; it is part of the package, so
that other programs can check a card without ellwand.
"""

import json
from pathlib import Path

from ellwand.card.document import CARD_VERSION, CardDocument

SCHEMA_FILE = Path(__file__).with_name("card.schema.json")


def schema_text() -> str:
    """The schema as its file holds it."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **CardDocument.model_json_schema(),
        "title": f"ellwand card, up to version {CARD_VERSION}",
    }
    return json.dumps(schema, indent=2) + "\n"


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
