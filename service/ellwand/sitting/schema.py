"""The JSON Schema of a sitting file, made from the record.

`python -m ellwand.sitting.schema` writes it anew beside this module; it is part of the package, so
that other programs can check a file without ellwand.
"""

import json
from pathlib import Path

from pydantic import BaseModel

from ellwand.sitting.record import VERSION, Sitting

SCHEMA_FILE = Path(__file__).with_name("sitting.schema.json")


def published(record: type[BaseModel], title: str, **more: object) -> str:
    """The schema of a record as its file holds it.

    Args:
        record: what is described.
        title: of the schema.
        more: keywords beside those that the record gives.
    """
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **record.model_json_schema(),
        "title": title,
        **more,
    }
    return json.dumps(schema, indent=2) + "\n"


def schema_text() -> str:
    """The schema of a sitting."""
    title = f"ellwand sitting, up to version {VERSION}"
    return published(Sitting, title, required=["format", "version"])


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
