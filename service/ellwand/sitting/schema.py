"""The JSON Schema of a sitting file, made from the record.

`python -m ellwand.sitting.schema` writes it anew beside this module; it is part of the package, so
that other programs can check a file without ellwand.
"""

import json
from pathlib import Path

from ellwand.sitting.record import VERSION, Sitting

SCHEMA_FILE = Path(__file__).with_name("sitting.schema.json")


def schema_text() -> str:
    """The schema as its file holds it."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **Sitting.model_json_schema(),
        "title": f"ellwand sitting, up to version {VERSION}",
        "required": ["format", "version"],
    }
    return json.dumps(schema, indent=2) + "\n"


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
