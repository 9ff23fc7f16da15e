"""One job from claim to end, with detectors and mail servers that do as they are told."""

import json
import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from sqlalchemy.exc import OperationalError

from ellwand.api.problems import details_kept
from ellwand.errors import EntryProblem
from ellwand.jobs.detecting import Checked, CueEntry, Found, Refused, _refused
from ellwand.jobs.detector import DetectorFailed, DetectorLost, DetectorStopped, TookTooLong
from ellwand.jobs.post import PostDelayed, PostRefused
from ellwand.jobs.run import MAIL_ATTEMPTS, Done, do
from ellwand.language import Noun, speaking
from ellwand.settings import Settings
from ellwand.sitting import FindingsEntry, entry_of, read
from ellwand.sitting.record import ProblemEntry
from ellwand.store import sittings
from ellwand.store.engine import Store
from ellwand.store.erasing import erase, photo_name
from ellwand.store.jobs import Claimed
from ellwand.store.sittings import Held

from ..sitting.invented import findings
from ..store.kept import (
    DAYS,
    Clock,
    check_job,
    claimed,
    job,
    mail_job,
    move_address,
    sitting,
)
from .at_desk import AtDesk

FOUND = Found(findings=entry_of(findings()))
DARK = ProblemEntry(code="dark", severity="refused", advice="it is too dark.")
REFUSED = Refused(
    code="dark",
    sentence="The front photo can't be used: it is too dark.",
    advice="Take both photos again.",
    problems={"front": (DARK,)},
)


@dataclass
class Told:
    """A detector and a mail server that do as they are told, one thing after the other.

    Args:
        acts: what comes of each call; an error is raised.
        seen: what they were given.
    """

    acts: list[Found | Checked | Refused | Exception | Callable[[], None] | None]
    seen: list[tuple[object, ...]] = field(default_factory=list)

    def estimate(self, front: bytes, side: bytes, setup: str, timeout_s: float) -> Found | Refused:
        self.seen.append((front, side, json.loads(setup)["reference"], timeout_s))
        answer = self._next()
        return answer if isinstance(answer, Found | Refused) else FOUND

    def check(self, view: str, photo: bytes, setup: str, timeout_s: float) -> Checked:
        self.seen.append((view, photo, json.loads(setup)["reference"], timeout_s))
        answer = self._next()
        return answer if isinstance(answer, Checked) else Checked(problems=())

    def send(self, held: Held, claimed: Claimed) -> None:
        self.seen.append((held.terms.address, claimed.id))
        self._next()

    def _next(self) -> object:
        act = self.acts.pop(0)
        if isinstance(act, Exception):
            raise act
        if callable(act):
            act()
        return act


class Desk(AtDesk):
    """A sitting with a job."""

    def run(
        self, *acts: Found | Checked | Refused | Exception | Callable[[], None] | None
    ) -> Done | None:
        """Do the job, while what is behind it acts so."""
        told = Told(list(acts))
        done = do(self.job_id, self.store, self.settings, told, told.send)
        assert told.acts == []
        return done

    def photos(self) -> list[str]:
        """Names of the photos that wait."""
        return sorted(path.name for path in self.settings.spool.iterdir())

    def code(self) -> str:
        """Code of the problem that the job ended with."""
        outcome = self.state().outcome
        assert isinstance(outcome, dict)
        assert set(outcome) <= {"type", "title", "status", "detail", "code", "problems", "advice"}
        return str(outcome["code"])


@pytest.fixture
def desk(store: Store, settings: Settings) -> Desk:
    """A sitting whose photos are to be measured."""
    kept = sitting(store)
    return Desk(store, settings, kept, job(store, kept))


@pytest.fixture
def checking(store: Store, settings: Settings) -> Desk:
    """A sitting of which one photo is to be checked."""
    kept = sitting(store)
    return Desk(store, settings, kept, check_job(store, kept))


@pytest.fixture
def post(store: Store, settings: Settings) -> Desk:
    """A sitting whose card is to be sent."""
    kept = sitting(store)
    return Desk(store, settings, kept, mail_job(store, kept))


@pytest.fixture
def log(caplog: pytest.LogCaptureFixture) -> Iterator[pytest.LogCaptureFixture]:
    """What is logged, all of it."""
    with caplog.at_level(logging.DEBUG):
        yield caplog


def test_findings_are_noted_with_the_job_and_photos_are_gone(desk: Desk) -> None:
    told = Told([FOUND])
    done = do(desk.job_id, desk.store, desk.settings, told, told.send)
    assert done is not None
    assert (done.kind, done.status) == ("estimate", "done")
    assert told.seen == [(b"front", b"side", "marker-sheets", desk.settings.job_time_limit_s)]
    with desk.store.reading() as session:
        record = sittings.held(desk.store, session, desk.kept).record
    assert record.findings == FOUND.findings
    assert record.measurements["waist"].standing == "estimated"
    assert FindingsEntry.model_validate(desk.state().outcome) == FOUND.findings
    assert desk.photos() == []
    assert desk.run() is None


TURNED = CueEntry(code="turned", severity="refused", advice="you are turned.", cue="Turn.")
LOW = CueEntry(code="arms-low", severity="warned", advice="lift them.", cue="Higher.")


@pytest.mark.parametrize(
    ("problems", "ending"), [((), "done"), ((LOW,), "done"), ((LOW, TURNED), "refused")]
)
def test_a_check_says_what_it_found_and_leaves_the_sitting_alone(
    checking: Desk, problems: tuple[CueEntry, ...], ending: str
) -> None:
    told = Told([Checked(problems=problems)])
    done = do(checking.job_id, checking.store, checking.settings, told, told.send)
    assert done is not None
    assert (done.kind, done.status) == ("check", ending)
    assert told.seen == [("side", b"side", "marker-sheets", checking.settings.job_time_limit_s)]
    outcome = checking.state().outcome
    assert isinstance(outcome, dict)
    assert outcome["advice"] == [one.model_dump() for one in problems]
    assert outcome.get("code") == ("photo-refused" if ending == "refused" else None)
    assert checking.photos() == []
    with checking.store.reading() as session:
        record = sittings.held(checking.store, session, checking.kept).record
    assert (record.setup, record.findings) == (None, None)


def test_a_check_whose_detector_is_lost_is_begun_again_and_given_up_in_the_end(
    checking: Desk,
) -> None:
    for _ in range(checking.settings.job_attempts - 1):
        done = checking.run(DetectorLost())
        assert done is not None
        assert done.status == "put-back"
    done = checking.run(DetectorLost())
    assert done is not None
    assert (done.status, checking.code()) == ("failed", "photos-not-measured")
    assert checking.photos() == []


def test_what_she_typed_meanwhile_stays(desk: Desk) -> None:
    def type_waist() -> None:
        with sittings.changing(desk.store, desk.kept, DAYS) as change:
            change.record = read(change.record, "waist", ["76", "76.2"]).record

    desk.run(type_waist)
    with desk.store.reading() as session:
        record = sittings.held(desk.store, session, desk.kept).record
    assert record.findings is not None
    assert record.measurements["waist"].standing == "confirmed"
    assert record.measurements["full_hip"].standing == "estimated"


def test_refused_photos_say_why_by_view(desk: Desk) -> None:
    done = desk.run(REFUSED)
    assert done is not None
    assert done.status == "refused"
    assert desk.state().outcome == {
        "type": "about:blank",
        "title": REFUSED.sentence,
        "status": 422,
        "detail": REFUSED.advice,
        "code": "dark",
        "problems": {"front": [DARK.model_dump()], "side": []},
    }
    assert desk.photos() == []


def test_why_it_was_refused_is_kept_in_english_with_what_is_put_in(desk: Desk) -> None:
    unseen = EntryProblem(
        "level-outside-outline", "Not seen where the {level} would lie.", "Move it by less.",
        level=Noun("waist"),
    )  # fmt: skip
    with speaking("de"):
        desk.run(_refused(unseen))
    outcome = desk.state().outcome
    assert isinstance(outcome, dict)
    assert outcome["title"] == "Not seen where the {level} would lie."
    assert outcome["values"] == {"level": "waist"}
    assert details_kept(outcome).title == "Not seen where the waist would lie."


def test_a_failure_is_kept_in_english_whoever_speaks_and_told_to_who_asks(desk: Desk) -> None:
    with speaking("de"):
        desk.run(TookTooLong())
        told = details_kept(desk.state().outcome)
    outcome = desk.state().outcome
    assert isinstance(outcome, dict)
    assert outcome["title"] == "Measuring the photos took too long."
    assert "values" not in outcome
    assert told.title == "Das Vermessen der Fotos hat zu lange gedauert."


def test_a_lost_detector_is_tried_again_and_then_given_up(desk: Desk) -> None:
    for _ in range(desk.settings.job_attempts - 1):
        done = desk.run(DetectorLost())
        assert done is not None
        assert (done.status, done.again_after_s) == ("put-back", 0)
        assert desk.state().status == "queued"
        assert len(desk.photos()) == 2
    desk.run(DetectorLost())
    assert (desk.state().status, desk.code()) == ("failed", "photos-not-measured")
    assert desk.photos() == []


def test_after_a_lost_detector_it_may_succeed(desk: Desk) -> None:
    desk.run(DetectorLost())
    desk.run(FOUND)
    assert desk.state().status == "done"


def test_a_job_that_takes_whole_processes_with_it_is_given_up(desk: Desk, clock: Clock) -> None:
    for _ in range(desk.settings.job_attempts):
        assert claimed(desk.store, desk.kept, desk.job_id) is not None
        clock.now += desk.store.lease_s + 1
    desk.run()
    assert (desk.state().status, desk.code()) == ("failed", "photos-not-measured")


def test_stopping_counts_as_no_attempt(desk: Desk) -> None:
    for _ in range(desk.settings.job_attempts + 2):
        desk.run(DetectorStopped())
    desk.run(FOUND)
    assert desk.state().status == "done"


def test_what_takes_too_long_is_not_tried_again(desk: Desk) -> None:
    desk.run(TookTooLong())
    assert (desk.state().status, desk.code()) == ("failed", "took-too-long")
    assert desk.photos() == []


def test_photos_that_are_gone_are_to_be_sent_again(desk: Desk) -> None:
    desk.store.spool.discard(photo_name(desk.job_id, "side"))
    desk.run()
    assert (desk.state().status, desk.code()) == ("failed", "photo-gone")
    assert desk.photos() == []


@pytest.mark.parametrize("error", [DetectorFailed("KeyError"), KeyError("waist 92.5 cm")])
def test_a_mistake_of_ours_is_logged_by_its_type_alone(
    desk: Desk, error: Exception, log: pytest.LogCaptureFixture
) -> None:
    desk.run(error)
    assert (desk.state().status, desk.code()) == ("failed", "photos-not-measured")
    assert "KeyError" in log.text
    assert "92.5" not in log.text
    assert "Traceback" not in log.text
    assert desk.kept not in log.text
    assert desk.photos() == []


def test_a_sitting_that_is_erased_meanwhile_leaves_nothing(desk: Desk) -> None:
    done = desk.run(lambda: erase(desk.store, [desk.kept]))
    assert done is not None
    assert done.status == "gone"
    assert desk.photos() == []
    assert desk.run() is None


def test_a_job_of_an_erased_sitting_is_nothing_to_do(desk: Desk) -> None:
    erase(desk.store, [desk.kept])
    assert desk.run() is None


def test_who_was_overtaken_changes_nothing(desk: Desk, clock: Clock) -> None:
    def overtake() -> None:
        clock.now += desk.store.lease_s + 1
        assert claimed(desk.store, desk.kept, desk.job_id) is not None

    done = desk.run(overtake)
    assert done is not None
    assert done.status == "gone"
    with desk.store.reading() as session:
        assert sittings.held(desk.store, session, desk.kept).record.findings is None
    assert desk.state().status == "running"
    assert len(desk.photos()) == 2


def test_a_database_that_goes_away_leaves_the_job_to_its_lease(desk: Desk) -> None:
    with pytest.raises(OperationalError):
        desk.run(OperationalError("select", {}, Exception("away")))
    assert desk.state().status == "running"
    assert len(desk.photos()) == 2


def test_a_card_is_sent_to_the_address_of_the_workroom(post: Desk) -> None:
    told = Told([None])
    done = do(post.job_id, post.store, post.settings, told, told.send)
    assert done is not None
    assert (done.kind, done.status) == ("mail", "done")
    assert told.seen == [("cards@workroom.example", post.job_id)]
    assert (post.state().status, post.state().outcome) == ("done", None)


def test_a_card_is_not_sent_to_an_address_that_she_was_not_shown(post: Desk) -> None:
    move_address(post.store, post.kept, "elsewhere@workroom.example")
    post.run()
    assert (post.state().status, post.code()) == ("failed", "address-changed")


def test_a_card_whose_job_names_no_address_is_not_sent(store: Store, settings: Settings) -> None:
    kept = sitting(store)
    old = Desk(store, settings, kept, mail_job(store, kept, address=""))
    old.run()
    assert (old.state().status, old.code()) == ("failed", "address-changed")


def test_a_delayed_card_waits_longer_each_time_and_is_given_up(post: Desk) -> None:
    waits = []
    for _ in range(MAIL_ATTEMPTS - 1):
        done = post.run(PostDelayed("away"))
        assert done is not None
        assert done.status == "put-back"
        waits.append(done.again_after_s)
    assert waits == sorted(waits)
    assert waits[0] >= 30
    post.run(PostDelayed("away"))
    assert (post.state().status, post.code()) == ("failed", "mail-not-sent")


def test_a_refused_card_is_not_sent_again(post: Desk) -> None:
    post.run(PostRefused("no such recipient"))
    assert (post.state().status, post.code()) == ("failed", "mail-refused")


def test_a_card_that_cannot_be_set_is_a_mistake_of_ours(post: Desk) -> None:
    post.run(ValueError("a name"))
    assert (post.state().status, post.code()) == ("failed", "mail-not-sent")
