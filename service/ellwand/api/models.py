"""What is sent and answered, as it is described to programs."""

from typing import Literal

from pydantic import ConfigDict, Field, JsonValue, SecretStr, TypeAdapter

from ellwand.api.base import Code, Entry, Model, Sent
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
from ellwand.store.sittings import Held, Terms
from ellwand.tape import MeasuredBy, Worn


def _example(**sent: JsonValue) -> ConfigDict:
    """A body that is accepted, for the description."""
    return ConfigDict(json_schema_extra={"examples": [sent]})


class LinkToken(Sent):
    """What opens a link."""

    model_config = _example(token="gT0cP3q7vXy1mBz5nKd8rWf2hLs6jUa9eQo4iCxYtRk")  # noqa: S106

    token: SecretStr = Field(min_length=20, max_length=100)
    """The part of the link behind the #."""


class Consent(Sent):
    """What she states before her photos are taken in."""

    model_config = _example(adult=True, photos=True)

    adult: Literal[True]
    """She is an adult."""
    photos: Literal[True]
    """Her photos may be measured, in memory, and are deleted as soon as that is done."""


class UnitChoice(Sent):
    """The unit of numbers without one, and the first where a length is told in both."""

    model_config = _example(unit="cm")

    unit: SittingUnit
    """From now on; what was typed before stays."""


class LanguageChoice(Sent):
    """The language of page, sentences and card."""

    model_config = _example(language="de")

    language: Language
    """From now on; what is in doubt and what was decided are said anew."""


class TakingChoice(Sent):
    """How tape entries are taken; one out of a few answers each, so that no name is in it."""

    model_config = _example(measured_by="herself", worn="bra")

    measured_by: MeasuredBy
    """Who holds the tape: she herself, or somebody with her."""
    worn: Worn
    """What lies under it, of several the last of this list; thick is a blouse or more."""


class OutlineChoice(Sent):
    """Whether her outline is on the card."""

    model_config = _example(on_card=False)

    on_card: bool
    """Neck to thighs, without a photo; the workroom sees it there and nowhere else."""


class NewReadings(Sent):
    """Tape entries of one measurement."""

    model_config = _example(code="waist", entries=["74", "29 1/8 in"])

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

    model_config = _example(stature="1,65", reference="marker-sheets", check_bars=["149.6 mm"])

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

    model_config = _example(code="waist", reason="measured by a friend, three times")

    code: Code
    """Of which measurement."""
    reason: str = Field(max_length=1000)
    """Why; it goes on the card."""


class DecisionRequest(Sent):
    """For which garment the size is decided."""

    model_config = _example(garment=None)

    garment: str | None = Field(default=None, max_length=80)
    """One of the block's; null takes the one of the invitation."""


class MailTo(Sent):
    """Where the card is to go, as it was shown to her."""

    model_config = _example(address="cards@loft.example")

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


class Login(Sent):
    """A workroom's login."""

    model_config = _example(login="mara", password="two words and a button")  # noqa: S106

    login: str = Field(max_length=200)
    """As she was taken in."""
    password: SecretStr = Field(max_length=1000)
    """Her password."""


class BlockView(Model):
    """A block as far as it is understood."""

    name: str
    """What the workroom calls it."""
    sizes: list[str]
    """Its sizes."""
    garments: list[str]
    """Its garments."""
    problem: str | None = None
    """Why a file that was kept by an earlier version has to be corrected before it can be used;
    it has neither sizes nor garments then."""


class BlockChecked(Model):
    """What a block's file says."""

    understood: list[str]
    """In words, line by line."""


class WorkroomOverview(Model):
    """A workroom as it sees itself."""

    name: str
    """As customers see it."""
    blocks: list[str]
    """Names of its blocks."""
    keys: list["KeyView"]
    """Keys of its programs."""
    mails: bool
    """Whether cards are sent by e-mail from here."""
    demo: BlockView
    """The demo block, which an invitation without a block takes."""


class NewInvitation(Sent, Terms):
    """What the workroom asks of a customer."""

    model_config = _example(
        label="blouse for the summer party",
        asked=["stature", "high_bust", "full_bust", "waist", "full_hip", "arm_length"],
        address="cards@loft.example",
        unit="cm",
    )


class Invitation(Model):
    """A new link for a customer."""

    id: str
    """Of the sitting."""
    link: str
    """To be sent to the customer; shown this once."""
    link_ends_at: float
    """When it ends if it is not opened, seconds since 1970."""


class SittingLine(Model):
    """A sitting in the workroom's list."""

    id: str
    """Its id."""
    terms: Terms
    """What was asked."""
    opened: bool
    """Whether the customer has opened her link."""
    link_open: bool
    """Whether the link can still be opened."""
    confirmed: list[Code]
    """What is confirmed."""
    needed: list[Code]
    """What is still to be confirmed."""
    queries: int
    """How many queries are open."""
    decided: bool
    """Whether the size is decided."""
    created_at: float
    """When she was invited, seconds since 1970."""
    erase_at: float
    """When all of it is erased."""


class SittingOfWorkroom(SittingLine):
    """A sitting as the workroom sees it."""

    size: SizeView | None
    """The size decision to be read; null while there is none."""
    record: Sitting
    """Everything there is, but that she alone sees her weight and the points of her outline."""


class NewKey(Sent):
    """A key for a program."""

    model_config = _example(label="order book")

    label: str = Field(min_length=1, max_length=80)
    """What it is for."""


class KeyView(Model):
    """A key of a program."""

    id: str
    """By which it is ended."""
    label: str
    """What it is for."""
    created_at: float
    """Seconds since 1970."""


class KeyMade(Model):
    """A new key."""

    id: str
    """By which it is ended."""
    key: str
    """To be sent as `Authorization: Bearer`; shown this once."""


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
