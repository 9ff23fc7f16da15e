"""The state of a sitting, its file, and what can be done to it."""

from ellwand.sitting.actions import (
    ReadResult,
    active,
    confirmed,
    keep,
    open_queries,
    read,
    rejudged,
    repeatability,
    with_entry,
    with_findings,
    with_setup,
    with_stature,
    with_unit,
)
from ellwand.sitting.comparing import (
    Decided,
    Difference,
    SittingsCompared,
    Verdict,
    sittings_compared,
)
from ellwand.sitting.deciding import sized
from ellwand.sitting.estimating import estimate_photos, estimated, read_photo_files
from ellwand.sitting.file import Editing, dump, editing, load, load_or_new, parse, save
from ellwand.sitting.findings import entry_of, findings_of
from ellwand.sitting.freshness import FRESH_WEEKS, stale_words
from ellwand.sitting.learning import learnt
from ellwand.sitting.photo_setup import TypedSetup, set_up_of, with_typed_setup, without_weight
from ellwand.sitting.record import (
    EstimateEntry,
    FindingsEntry,
    KeepEntry,
    Measurement,
    PaperCode,
    QueryEntry,
    ReadingEntry,
    ReferenceKind,
    Setup,
    Sitting,
    SittingUnit,
    Standing,
    View,
)
from ellwand.sitting.tightening import (
    Tightened,
    bust_difference_given_tape,
    estimates_given_tape,
    tightened,
)
from ellwand.sitting.trying_on import TriedOn, TypedFinding, tried_on
from ellwand.sitting.tryon_entry import TryOnEntry
from ellwand.sitting.typed import Typed, TypedWeight

__all__ = [
    "FRESH_WEEKS",
    "Decided",
    "Difference",
    "Editing",
    "EstimateEntry",
    "FindingsEntry",
    "KeepEntry",
    "Measurement",
    "PaperCode",
    "QueryEntry",
    "ReadResult",
    "ReadingEntry",
    "ReferenceKind",
    "Setup",
    "Sitting",
    "SittingUnit",
    "SittingsCompared",
    "Standing",
    "Tightened",
    "TriedOn",
    "TryOnEntry",
    "Typed",
    "TypedFinding",
    "TypedSetup",
    "TypedWeight",
    "Verdict",
    "View",
    "active",
    "bust_difference_given_tape",
    "confirmed",
    "dump",
    "editing",
    "entry_of",
    "estimate_photos",
    "estimated",
    "estimates_given_tape",
    "findings_of",
    "keep",
    "learnt",
    "load",
    "load_or_new",
    "open_queries",
    "parse",
    "read",
    "read_photo_files",
    "rejudged",
    "repeatability",
    "save",
    "set_up_of",
    "sittings_compared",
    "sized",
    "stale_words",
    "tightened",
    "tried_on",
    "with_entry",
    "with_findings",
    "with_setup",
    "with_stature",
    "with_typed_setup",
    "with_unit",
    "without_weight",
]
