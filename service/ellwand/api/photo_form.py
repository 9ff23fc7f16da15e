"""What is said beside photos: the form as it is described, and as it is read."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from ellwand.errors import EntryProblem
from ellwand.photo.files import MOST_PIXELS
from ellwand.settings import MEGABYTE, Settings
from ellwand.sitting import PaperCode, ReferenceKind, TypedSetup

REFERENCES: tuple[ReferenceKind, ...] = ("marker-sheets", "plain-sheets", "id-card", "stature")
PAPERS: tuple[PaperCode, ...] = ("a4", "letter")

_TEXT = {"type": "string", "maxLength": 200}
_PHOTO = {"type": "string", "format": "binary"}
_LIMITS = (
    f"JPEG or PNG, at most {Settings.model_fields['photo_bytes'].default // MEGABYTE} MB unless "
    f"the operator says otherwise, and {MOST_PIXELS // 1_000_000} megapixels."
)
_BESIDE = {
    "stature": {**_TEXT, "description": "Her height as typed", "examples": ["168 cm"]},
    "reference": {"type": "string", "enum": list(REFERENCES)},
    "paper": {"type": "string", "enum": list(PAPERS), "default": "a4"},
    "check_bars": {"type": "array", "items": _TEXT, "maxItems": 2},
    "standoff_front": {**_TEXT, "description": "As typed; left out when it hangs beside her"},
    "standoff_side": _TEXT,
    "focal_35mm": {**_TEXT, "description": "Where the photo has none"},
    "weight": {
        **_TEXT,
        "description": "As typed, with its unit, if she likes to tell it: makes the bounds "
        "tighter; shown to nobody but her",
        "examples": ["70 kg"],
    },
}
_FRONT = {**_PHOTO, "description": f"From ahead: {_LIMITS}"}
_SIDE = {**_PHOTO, "description": f"From aside: {_LIMITS}"}


def form(required: list[str], example: Mapping[str, object]) -> dict[str, Any]:
    """A form of photos and what is said beside them, for the description.

    Args:
        required: the photos that it must have.
        example: one that is accepted.
    """
    schema = {
        "type": "object",
        "required": [*required, "stature", "reference"],
        "properties": {"front": _FRONT, "side": _SIDE, **_BESIDE},
    }
    return {
        "requestBody": {
            "required": True,
            "content": {"multipart/form-data": {"schema": schema, "example": example}},
        }
    }


def typed_setup(fields: Mapping[str, Sequence[str]]) -> TypedSetup:
    """What was typed beside photos, as the text parts of an upload.

    Args:
        fields: the parts by name.

    Raises:
        EntryProblem: one that may come once came twice, or a choice is not known.
    """

    def one(name: str) -> str | None:
        found = fields.get(name, [])
        if len(found) > 1:
            raise EntryProblem(
                "field-twice",
                "Something about the photos was said twice.",
                "Send each field once; only check_bars may stand twice.",
            )
        # A form sends what was left empty, too.
        return (found[0] if found else "").strip() or None

    bars = tuple(text for text in fields.get("check_bars", []) if text.strip())
    return TypedSetup(
        stature=one("stature") or "",
        reference=cast(ReferenceKind, _choice(one("reference"), REFERENCES)),
        paper=cast(PaperCode, _choice(one("paper") or "a4", PAPERS)),
        check_bars=bars,
        standoff_front=one("standoff_front"),
        standoff_side=one("standoff_side"),
        focal_35mm=one("focal_35mm"),
        weight=one("weight"),
    )


def _choice(text: str | None, among: tuple[str, ...]) -> str:
    if text not in among:
        raise EntryProblem(
            "not-a-choice",
            "A choice about the photos is missing or not known.",
            "It is one of {choices}.",
            choices=", ".join(among),
        )
    return text
