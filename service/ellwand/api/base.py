"""What all descriptions of requests and answers have in common."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from ellwand.measurements import KINDS

Code = Annotated[
    str, Field(json_schema_extra={"enum": list(KINDS)}, description="Code of a measurement.")
]
# An entry may be whatever she types; the parser says what is wrong with it.
Entry = Annotated[str, Field(max_length=200, examples=["92.5", "36 3/8 in"])]


class Model(BaseModel):
    """A part of a request or an answer."""

    model_config = ConfigDict(frozen=True, use_attribute_docstrings=True, allow_inf_nan=False)


class Sent(Model):
    """A part of a request: what it does not know is refused."""

    model_config = ConfigDict(extra="forbid")


def example(**sent: JsonValue) -> ConfigDict:
    """A body that is accepted, for the description."""
    return ConfigDict(json_schema_extra={"examples": [sent]})
