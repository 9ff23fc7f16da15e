"""What all parts of the record have in common: immutable, and keeping what they do not know.

Every part keeps keys that this version does not know, so that a file may pass through an older
ellwand without loss.
"""

from typing import ClassVar, TypeVar

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A part of the record."""

    model_config = ConfigDict(
        frozen=True, extra="allow", allow_inf_nan=False, use_attribute_docstrings=True
    )

    named_by: ClassVar[tuple[str, ...]] = ()
    """Fields that tell which of several parts in a list this one is."""


PartT = TypeVar("PartT", bound=Part)


def carried(new: PartT, old: Part | None) -> PartT:
    """Give a renewed part the unknown keys of the one it replaces, at every level.

    Args:
        new: the renewed part.
        old: the part it replaces, if any.

    Returns:
        The new part; where both know a key, the new value.
    """
    if old is None:
        return new
    values: dict[str, object] = {**(old.model_extra or {}), **(new.model_extra or {})}
    for name in type(new).model_fields:
        values[name] = _carried_value(getattr(new, name), getattr(old, name, None))
    return new.model_copy(update=values)


def _carried_value(new: object, old: object) -> object:
    """Carry unknown keys into a field: a part, parts by code, or a list of parts."""
    if isinstance(new, Part) and isinstance(old, Part):
        return carried(new, old)
    if isinstance(new, dict) and isinstance(old, dict):
        return {key: _carried_value(value, old.get(key)) for key, value in new.items()}
    if isinstance(new, tuple) and isinstance(old, tuple):
        named = {_name(part): part for part in old if isinstance(part, Part)}
        return tuple(
            carried(item, named.get(_name(item))) if isinstance(item, Part) else item
            for item in new
        )
    return new


def _name(part: Part) -> tuple[object, ...]:
    """What tells a part from the others in its list."""
    return tuple(getattr(part, field) for field in part.named_by)
