"""Lines on the photos, put right by hand: a job works the estimates out anew."""

from typing import Literal

from fastapi import APIRouter, Response
from pydantic import ConfigDict, Field, JsonValue, TypeAdapter

from ellwand.api.accepting import accept
from ellwand.api.base import Sent
from ellwand.api.callers import AsCustomerOnce
from ellwand.api.examples import headers
from ellwand.api.models import JobView
from ellwand.api.problems import documented
from ellwand.girth.move import HAND_U_MM, Move, MovedPart
from ellwand.measurements import LevelCode
from ellwand.sitting import Asked, check_correction, fingerprint, to_correct
from ellwand.store import jobs
from ellwand.store.sittings import Change

router = APIRouter(tags=["photos"])

# Six levels, each with a height and four ends.
MOST_MOVES = 30


class NewMove(Sent):
    """A line, or one end of it, that is moved."""

    view: Literal["front", "side"]
    """The photo in which it is moved; a height holds for both."""
    level: LevelCode
    """Whose line."""
    part: MovedPart
    """height: the whole line, up or down; left, right: its end on that side of the photo."""
    by_mm: float
    """How far: up, or away from the middle of the body."""
    u_mm: float = HAND_U_MM
    """Standard uncertainty of where the hand puts it: about 2 pixels of the screen, in mm."""


class NewCorrection(Sent):
    """What is put right; either moves or undo."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"moves": [{"view": "front", "level": "waist", "part": "height", "by_mm": 12.0}]},
                {"undo": True},
            ]
        }
    )

    moves: list[NewMove] = Field(default=[], max_length=MOST_MOVES)
    """What is moved, in order; undone together."""
    undo: bool = False
    """Whether the last correction that stands no longer counts; asked again, the one before."""

    def asked(self) -> Asked:
        """The same as the act takes it."""
        return Asked(tuple(Move(**one.model_dump()) for one in self.moves), self.undo)


@router.post(
    "/sitting/corrections",
    status_code=202,
    summary="Correct lines on the photos",
    response_model=JobView,
    responses={**documented(404, 409, 422, 503), 202: headers("Location", "Retry-After")},
)
def correct(sent: NewCorrection, customer: AsCustomerOnce) -> Response:
    """Correct levels or ends of their lines; a job works the estimates out, its result has them."""

    def task(change: Change) -> JsonValue:
        asked = sent.asked()
        check_correction(change.record, asked)
        # New photos would have other lines.
        jobs.check_none_under_way(change.session, change.held.id, "estimate")
        findings, _ = to_correct(change.record)
        return {
            "asked": TypeAdapter(Asked).dump_python(asked, mode="json"),
            "of": fingerprint(findings),
        }

    return accept(customer, jobs.new_job_id(), "correct", "corrections", sent, task)[0]
