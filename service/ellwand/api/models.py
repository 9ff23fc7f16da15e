"""What is sent and answered, as it is described to programs."""

from typing import Literal

from pydantic import Field, SecretStr, TypeAdapter

from ellwand.api.base import Code, Entry, Model, Sent, example
from ellwand.api.problems import (
    PhotoProblemDetail,
    ProblemDetails,
    RefusedEntryDetail,
    details_kept,
)
from ellwand.api.size_models import SizeView
from ellwand.api.tape_models import CrookedView, Scatter
from ellwand.language import Language
from ellwand.photo.problems import said
from ellwand.sitting import (
    Measurement,
    PaperCode,
    QueryEntry,
    ReferenceKind,
    Sitting,
    SittingUnit,
    TypedSetup,
)
from ellwand.store.jobs import Job, JobKind, JobStatus
from ellwand.store.sittings import Held
from ellwand.tape import MeasuredBy, Worn


class LinkToken(Sent):
    """What opens a link."""

    model_config = example(token="gT0cP3q7vXy1mBz5nKd8rWf2hLs6jUa9eQo4iCxYtRk")  # noqa: S106

    token: SecretStr = Field(min_length=20, max_length=100)
    """The part of the link behind the #."""


class Consent(Sent):
    """What she states before her photos are taken in."""

    model_config = example(adult=True, photos=True)

    adult: Literal[True]
    """She is an adult."""
    photos: Literal[True]
    """Her photos may be measured, in memory, and are deleted as soon as that is done."""


class UnitChoice(Sent):
    """The unit of numbers without one, and the first where a length is told in both."""

    model_config = example(unit="cm")

    unit: SittingUnit
    """From now on; what was typed before stays."""


class LanguageChoice(Sent):
    """The language of page, sentences and card."""

    model_config = example(language="de")

    language: Language
    """From now on; what is in doubt and what was decided are said anew."""


class TakingChoice(Sent):
    """How tape entries are taken; one out of a few answers each, so that no name is in it."""

    model_config = example(measured_by="herself", worn="bra")

    measured_by: MeasuredBy
    """Who holds the tape: she herself, or somebody with her."""
    worn: Worn
    """What lies under it, of several the last of this list; thick is a blouse or more."""


class OutlineChoice(Sent):
    """Whether her outline is on the card."""

    model_config = example(on_card=False)

    on_card: bool
    """Neck to thighs, without a photo; the workroom sees it there and nowhere else."""


class NewReadings(Sent):
    """Tape entries of one measurement."""

    model_config = example(code="waist", entries=["74", "29 1/8 in"])

    code: Code
    """What was measured."""
    entries: list[Entry] = Field(min_length=1, max_length=10)
    """As typed; each a repeat of those before."""
    instead: bool = False
    """Whether earlier readings no longer count."""
    measured_by: MeasuredBy | None = None
    """Who held the tape for these; null as is said for the sitting."""
    worn: Worn | None = None
    """What lay under it for these; null as is said for the sitting."""


class SetupToCheck(Sent):
    """What is typed beside photos, as the form of photos has it."""

    model_config = example(stature="1,65", reference="marker-sheets", check_bars=["149.6 mm"])

    stature: Entry = ""
    """Her height."""
    reference: ReferenceKind
    """What of known size is in the photos."""
    paper: PaperCode = "a4"
    """Paper of the sheets."""
    check_bars: list[Entry] = Field(default=[], max_length=2)
    """Printed lengths of the check bars."""
    standoff_front: Entry | None = None
    """Standoff in the front photo; null when it hangs beside her."""
    standoff_side: Entry | None = None
    """Standoff in the side photo."""
    focal_35mm: Entry | None = None
    """Focal length equivalent to 35 mm film."""
    weight: Entry | None = None
    """Her weight, with its unit."""

    def typed(self) -> TypedSetup:
        """As the sitting takes it."""
        return TypedSetup(
            stature=self.stature,
            reference=self.reference,
            paper=self.paper,
            check_bars=tuple(self.check_bars),
            standoff_front=self.standoff_front,
            standoff_side=self.standoff_side,
            focal_35mm=self.focal_35mm,
            weight=self.weight,
        )


class SetupChecked(Model):
    """What cannot be used of it."""

    refused: list[RefusedEntryDetail]
    """All of it; nothing when the photos can be sent with it."""


class NewKeep(Sent):
    """That a value stands although it is queried."""

    model_config = example(code="waist", reason="measured by a friend, three times")

    code: Code
    """Of which measurement."""
    reason: str = Field(max_length=1000)
    """Why; it goes on the card."""


class DecisionRequest(Sent):
    """For which garment the size is decided."""

    model_config = example(garment=None)

    garment: str | None = Field(default=None, max_length=80)
    """One of the block's; null takes the one of the invitation."""


class MailTo(Sent):
    """Where the card is to go, as it was shown to her."""

    model_config = example(address="cards@loft.example")

    address: str = Field(max_length=254)
    """The workroom's address; where it is another one by now, nothing is sent."""


class Query(QueryEntry):
    """A doubt about a reading, or a remark."""

    code: Code
    """The measurement."""


class PhotoAdvice(PhotoProblemDetail):
    """Something that speaks against a photo that was checked."""

    cue: str
    """What to do at once, in a few words that can be read aloud."""


_ADVICE = TypeAdapter(list[PhotoAdvice])


class JobView(Model):
    """How far a job is."""

    id: str
    """Its id."""
    kind: JobKind
    """estimate: photos are measured; check: one photo is checked; correct: lines on photos are put
    right; mail: the card is sent."""
    status: JobStatus
    """queued and running go on; done, refused and failed have ended."""
    problem: ProblemDetails | None = None
    """Why it was refused or has failed."""
    advice: list[PhotoAdvice] | None = None
    """What speaks against a photo that was checked; null for other jobs, and until it is known."""

    @classmethod
    def of(cls, job: Job) -> "JobView":
        """A job as it is shown, in the language spoken."""
        problem = advice = None
        if job.status in ("refused", "failed"):
            problem = details_kept(job.outcome)
        if job.kind == "check" and isinstance(job.outcome, dict) and "advice" in job.outcome:
            kept = _ADVICE.validate_python(job.outcome["advice"])
            advice = [
                one.model_copy(update={"advice": said(one.advice), "cue": said(one.cue)})
                for one in kept
            ]
        return cls(id=job.id, kind=job.kind, status=job.status, problem=problem, advice=advice)


class CardSent(Model):
    """A card that went to the workroom by mail."""

    at: float
    """When she sent it, seconds since 1970."""
    address: str
    """Where it went; empty where that was not noted."""


class Overview(Model):
    """A sitting as its customer sees it."""

    id: str
    """Its id."""
    workroom: str
    """Whom it is for."""
    garment: str | None
    """What is to be sewn; null is the block's first garment."""
    asked: list[Code]
    """What is to be taped."""
    needed: list[Code]
    """What of it, and of what the size needs, is not confirmed yet."""
    language: Language
    """Language of the page."""
    unit: SittingUnit
    """Unit of numbers without one, and the first where a length is told in both."""
    consent: bool
    """Whether she has stated her age and agreed to her photos being measured."""
    outline_on_card: bool
    """Whether she wants her outline on the card; she can take it back."""
    address: str
    """Where the card goes by e-mail; empty when the workroom gave no address."""
    mails: bool
    """Whether the card can be sent there from here."""
    photos: JobView | None
    """The last photos that were sent, unless they gave the findings that are in the record."""
    correction: JobView | None
    """The correction of lines that is being worked out, if any."""
    card_sent: CardSent | None
    """The last card that went to the workroom by mail; null while there is none."""
    trial: bool
    """Whether photos may travel unencrypted because the operator tries things out."""
    erase_at: float
    """When all of it is erased, seconds since 1970; every change moves it on."""
    queries: list[Query]
    """Open queries."""
    crooked: dict[str, CrookedView]
    """What a crooked tape adds, by code, for girths of the trunk."""
    repeats: Scatter | None
    """How far her repeats scatter; null while nothing was repeated."""
    size: SizeView | None
    """The size decision to be read; null while there is none."""
    block_changed: bool
    """Whether it rests on the workroom's block as it was before a change; decided again, it is of
    the block as it is now."""
    record: Sitting
    """Everything there is."""


class ReadingsRead(Model):
    """What came of tape entries."""

    echo: list[str]
    """What was read, in both units, and what comes next."""
    queries: list[Query]
    """Doubts and remarks about this measurement."""
    measurement: Measurement
    """The value that the sitting holds now."""


class Checks(Model):
    """What is doubted, and what is still to be done."""

    queries: list[Query]
    """Open queries."""
    needed: list[Code]
    """What is not confirmed yet, of what is asked and what the size needs."""
    better_taped: list[Code]
    """What may be estimated, but is better taped."""
    repeats: Scatter | None
    """How far her repeats scatter; null while nothing was repeated."""


class Alive(Model):
    """That the process runs."""

    alive: Literal[True] = True
    """Always."""


class Ready(Model):
    """Whether work can be taken."""

    ready: bool
    """Whether all of the rest is well."""
    database: bool
    """Whether it answers, with the tables of this version."""
    room: bool
    """Whether another job can be taken."""


def queries_of(held: Held) -> list[Query]:
    """Open queries of a sitting."""
    return [
        Query(code=code, **query.model_dump())
        for code, one in held.record.measurements.items()
        if one.standing == "queried"
        for query in one.queries
        if query.blocks
    ]
