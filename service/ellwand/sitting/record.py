"""The state of a sitting as its file holds it: numbers and words, no photo, no path.

The only time in it is the day of a tape entry, because girths change.
"""

from datetime import date
from operator import not_
from typing import ClassVar, Final, Literal, Self

from pydantic import Field, JsonValue, model_validator

from ellwand.girth.joint import Joint, independent
from ellwand.measurements import LEVELS, BudgetShare, Estimate
from ellwand.sitting.correction_entry import CorrectionEntry
from ellwand.sitting.part import Part
from ellwand.sitting.traced_entry import TracedEntry
from ellwand.sitting.tryon_entry import TryOnEntry
from ellwand.sitting.typed import Typed, TypedWeight
from ellwand.tape import MeasuredBy, Query, Reading, Rule, SlipName, Taken, Worn

FORMAT: Final = "ellwand-sitting"
VERSION: Final = 4

SittingUnit = Literal["cm", "in"]
Standing = Literal["estimated", "read", "queried", "confirmed", "kept"]
ReferenceKind = Literal["marker-sheets", "plain-sheets", "id-card", "stature"]
PaperCode = Literal["a4", "letter"]
PointPx = tuple[float, float]


class Taking(Part):
    """How readings are taken; one out of a few answers each, so that no name is in it."""

    measured_by: MeasuredBy = "untold"
    """Who held the tape: she herself, or somebody with her."""
    worn: Worn = "untold"
    """What lay under the tape; thick is a blouse or more."""

    def taken(self) -> Taken:
        """The same as it is put into words."""
        return Taken(self.measured_by, self.worn)


class ReadingEntry(Typed):
    """One tape entry; it is never removed."""

    superseded: bool = False
    """Whether it no longer counts: later entries took its place, or it is too far from them."""
    on: date | None = None
    """The day it was entered; older files have none."""
    taking: Taking = Taking()
    """How it was taken, as was told then; versions before 4 had none."""

    def reading(self, code: str) -> Reading:
        """The entry as the tape checks take it."""
        return Reading(code, self.raw, self.mm, self.unit)


class KeepEntry(Part):
    """The customer's word that a value stands; it is never removed."""

    reason: str
    """Why, in her words."""
    value_mm: float
    """The value kept, in millimetres."""
    readings: int
    """How many readings there were; a later reading ends the keeping."""


class QueryEntry(Part):
    """A doubt about a reading."""

    named_by: ClassVar[tuple[str, ...]] = ("rule", "against")

    rule: Rule
    """What the reading was judged by."""
    sentence: str
    """What is implausible."""
    advice: str
    """One thing to do."""
    cause: str = Field(default="", exclude_if=not_)
    """The likeliest slip in words, if any; older files have it in the sentence."""
    z: float | None = None
    """Distance from what is expected over its standard uncertainty."""
    probability: float | None = None
    """Chance that a sound reading lies at least as far off."""
    slip: SlipName | None = None
    """Likeliest cause."""
    corrected_mm: float | None = None
    """Value with the slip undone, in millimetres."""
    against: str | None = None
    """Code of the other measurement concerned."""
    blocks: bool = True
    """Whether it holds the measurement back; false for a remark."""

    @classmethod
    def of(cls, query: Query) -> "QueryEntry":
        """A query as the file holds it."""
        return cls(
            rule=query.rule,
            sentence=query.sentence,
            advice=query.advice,
            cause=query.cause,
            z=None if query.z is None else round(query.z, 3),
            probability=None if query.probability is None else float(f"{query.probability:.3g}"),
            slip=query.slip,
            corrected_mm=None if query.corrected_mm is None else round(query.corrected_mm, 2),
            against=query.against,
            blocks=query.blocks,
        )

    def query(self, code: str) -> Query:
        """The query about a measurement."""
        return Query(
            code=code,
            rule=self.rule,
            sentence=self.sentence,
            advice=self.advice,
            cause=self.cause,
            z=self.z,
            probability=self.probability,
            slip=self.slip,
            corrected_mm=self.corrected_mm,
            against=self.against,
            blocks=self.blocks,
        )


class Measurement(Part):
    """The value that the sitting holds for a name."""

    value_mm: float
    """Median of the readings that count, or the estimate, in millimetres."""
    u_mm: float
    """Standard uncertainty in millimetres."""
    standing: Standing
    """How far it can be relied on."""
    reason: str | None = None
    """Why it is kept, when it is."""
    queries: tuple[QueryEntry, ...] = ()
    """Doubts and remarks about it."""
    tightened_by: tuple[str, ...] = ()
    """Codes of taped girths that an estimate leans on besides the photos."""


class Setup(Part):
    """How the photos were taken, as told by the customer."""

    reference: ReferenceKind
    """Kind of reference object."""
    paper: PaperCode | None = None
    """Paper of the sheets."""
    check_bar_across: Typed | None = None
    """Printed length of the check bar across."""
    check_bar_up: Typed | None = None
    """Printed length of the check bar up."""
    standoff_front: Typed | None = None
    """Standoff in the front photo."""
    standoff_front_bound: Typed | None = None
    """Error bound of it, when one was typed."""
    standoff_side: Typed | None = None
    """Standoff in the side photo."""
    standoff_side_bound: Typed | None = None
    """Error bound of it, when one was typed."""
    focal_35mm: float | None = None
    """Focal length equivalent to 35 mm film, in millimetres, when it was typed."""
    stature: Typed | None = None
    """Height that the estimates rest on."""
    weight: TypedWeight | None = None
    """Weight, when she told it; nobody but her is shown it."""


class BudgetEntry(Part):
    """What one input contributes to the doubt of an estimate."""

    named_by: ClassVar[tuple[str, ...]] = ("source",)

    source: str
    """The input."""
    share: float
    """Its part of the variance, 0 to 1."""


class EstimateEntry(Part):
    """A value from photos with its doubt."""

    value_mm: float
    """Best value in millimetres."""
    u_mm: float
    """Standard uncertainty in millimetres."""
    low_mm: float
    """Lower end of the 95 % coverage interval."""
    high_mm: float
    """Upper end of it."""
    budget: tuple[BudgetEntry, ...] = ()
    """Shares of the variance by input."""
    breadth_mm: float | None = None
    """Extent seen from the front at the level."""
    depth_mm: float | None = None
    """Extent seen from the side at the level."""
    height_mm: float | None = None
    """Height of the level over the floor."""

    def estimate(self, code: str) -> Estimate:
        """The estimate as the rest of the package takes it."""
        return Estimate(
            code=code,
            value_mm=self.value_mm,
            u_mm=self.u_mm,
            low_mm=self.low_mm,
            high_mm=self.high_mm,
            budget=tuple(BudgetShare(part.source, part.share) for part in self.budget),
            breadth_mm=self.breadth_mm,
            depth_mm=self.depth_mm,
            height_mm=self.height_mm,
        )


class JointEntry(Part):
    """The girths as one joint normal distribution."""

    codes: tuple[str, ...]
    """What they are."""
    mean_mm: tuple[float, ...]
    """Best values in millimetres."""
    covariance_mm2: tuple[tuple[float, ...], ...]
    """Covariances in square millimetres, a row for each girth."""

    @model_validator(mode="after")
    def _holds(self) -> Self:
        self.joint().checked()
        return self

    def joint(self) -> Joint:
        """The girths as the rest of the package takes them."""
        return Joint(self.codes, self.mean_mm, self.covariance_mm2)


class ProblemEntry(Part):
    """Something that was said against a photo."""

    named_by: ClassVar[tuple[str, ...]] = ("code",)

    code: str
    """Short name of the case."""
    severity: Literal["refused", "warned"]
    """Whether the photo could be used."""
    advice: str
    """What to do."""


class View(Part):
    """What one photo holds, in pixels of the upright photo (the first pixel's centre is 0, 0)."""

    width_px: int
    """Width of the photo."""
    height_px: int
    """Height of the photo."""
    outline_px: tuple[PointPx, ...]
    """The body's silhouette as a closed polygon."""
    landmarks_px: dict[str, tuple[float, float, float]]
    """x, y and visibility by landmark name."""
    references_px: tuple[tuple[PointPx, ...], ...]
    """Corners of each reference object found."""
    levels_px: dict[str, tuple[PointPx, PointPx]]
    """By level code, its two ends on the outline."""
    problems: tuple[ProblemEntry, ...] = ()
    """What was warned about."""
    traced: TracedEntry | None = None
    """What measuring again needs besides; without it no line can be put right."""


class ScaleSourceEntry(Part):
    """One source of scale in one photo."""

    named_by: ClassVar[tuple[str, ...]] = ("view", "source")

    view: Literal["front", "side"]
    """The photo."""
    source: Literal["reference", "stature", "combined"]
    """The source."""
    mm_per_px: float
    """Size of a pixel at the body's middle."""
    u_mm_per_px: float
    """Its standard uncertainty."""


class ScaleEntry(Part):
    """All sources of scale and how they go together."""

    sources: tuple[ScaleSourceEntry, ...]
    """Each source."""
    disagreement_z: float | None = None
    """Largest difference between two sources over its standard uncertainty."""
    agree: bool
    """Whether they agree within their uncertainties."""


class FindingsEntry(Part):
    """The result of an estimate."""

    estimates: dict[str, EstimateEntry]
    """Girths and lengths by code."""
    front: View
    """The front photo."""
    side: View
    """The side photo."""
    scale: ScaleEntry
    """Sources of scale."""
    joint: JointEntry | None = None
    """The girths together; version 1 had none."""
    bust_difference: EstimateEntry | None = None
    """Full bust minus high bust."""
    outside: tuple[str, ...] = ()
    """What of this body lies outside what the estimates stand for, in words."""
    setup: Setup | None = None
    """How these photos were taken, without the weight; `Sitting.setup` may be of later ones."""
    corrections: tuple[CorrectionEntry, ...] = ()
    """What was put right by hand on these photos, in order; nothing of it is ever removed."""

    def together(self) -> Joint:
        """The girths together; without a joint they count as telling nothing of one another."""
        if self.joint is not None:
            return self.joint.joint()
        found = self.estimates
        return independent(
            {code: (found[code].value_mm, found[code].u_mm) for code in LEVELS if code in found}
        )


class Sitting(Part):
    """One occasion on which a customer measures herself."""

    format: Literal["ellwand-sitting"] = FORMAT
    """What kind of file this is."""
    version: Literal[1, 2, 3, 4] = VERSION
    """Version of the format."""
    unit: SittingUnit = "cm"
    """Unit of a bare number."""
    taking: Taking = Taking()
    """How the next tape entries are taken; versions before 4 had none."""
    setup: Setup | None = None
    """How the photos were taken."""
    findings: FindingsEntry | None = None
    """What the photos gave."""
    readings: dict[str, tuple[ReadingEntry, ...]] = Field(default_factory=dict)
    """Every tape entry by code of the measurement, in the order of entry."""
    keeps: dict[str, tuple[KeepEntry, ...]] = Field(default_factory=dict)
    """Every keeping by code of the measurement, in the order of entry."""
    measurements: dict[str, Measurement] = Field(default_factory=dict)
    """What follows from findings, readings and keeps, by code."""
    decision: dict[str, JsonValue] | None = None
    """What the size engine decided on these measurements."""
    tryons: tuple[TryOnEntry, ...] = ()
    """Every try-on in the order of entry; versions 1 and 2 had none."""

    def estimates(self) -> dict[str, Estimate]:
        """The values from photos, by code."""
        found = self.findings.estimates if self.findings else {}
        return {code: entry.estimate(code) for code, entry in found.items()}
