import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from ellwand.sitting import Sitting, dump, keep, read, with_findings, with_setup, with_stature
from ellwand.sitting.schema import SCHEMA_FILE, schema_text

from .invented import SETUP, findings

FILES = sorted((Path(__file__).parent / "files").glob("v*.json"))
SCHEMA: dict[str, Any] = json.loads(SCHEMA_FILE.read_text("utf-8"))


def test_the_published_schema_is_what_the_record_gives() -> None:
    assert SCHEMA_FILE.read_text("utf-8") == schema_text()


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_files_of_past_versions_keep_to_the_schema(file: Path) -> None:
    jsonschema.validate(json.loads(file.read_text("utf-8")), SCHEMA)


def test_what_is_written_keeps_to_the_schema() -> None:
    record = with_setup(with_stature(Sitting(), "168"), SETUP)
    record = read(with_findings(record, findings()), "waist", ["60"]).record
    record = keep(record, "waist", "measured over a belt")
    jsonschema.validate(json.loads(dump(record)), SCHEMA)


@pytest.mark.parametrize(
    "change",
    [
        {"format": "other"},
        {"version": 5},
        {"version": 0},
        {"unit": "mm"},
        {"readings": {"waist": [{"raw": "1", "mm": "1", "unit": "cm"}]}},
        {"measurements": {"waist": {"value_mm": 1, "u_mm": 1, "standing": "sure"}}},
        {"decision": []},
    ],
)
def test_what_is_no_sitting_breaks_the_schema(change: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(json.loads(dump(Sitting())) | change, SCHEMA)
