"""A job that corrects lines, from claim to end."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from pydantic import TypeAdapter

from ellwand.girth.move import Move
from ellwand.jobs.detecting import Found, Refused
from ellwand.jobs.detector import DetectorLost, Detectors
from ellwand.jobs.run import Done, do
from ellwand.settings import Settings
from ellwand.sitting import (
    Asked,
    FindingsEntry,
    Setup,
    corrected,
    entry_of,
    fingerprint,
    read,
    with_entry,
)
from ellwand.store import jobs, sittings
from ellwand.store.engine import Store
from ellwand.store.jobs import Claimed
from ellwand.store.sittings import Held

from ..sitting.invented import findings as others
from ..store.kept import DAYS, seal_of, sitting
from .at_desk import AtDesk
from .photos import findings, setup

ASKED = Asked((Move("front", "waist", "height", 12.0, 3.0),))
Act = Found | Refused | Exception | Callable[[], None] | None


@dataclass
class Told:
    """A detector that does as it is told.

    Args:
        acts: what comes of each call.
        seen: what it was given.
    """

    acts: list[Act]
    seen: list[tuple[str, str, str]] = field(default_factory=list)

    def estimate(self, front: bytes, side: bytes, setup: str, timeout_s: float) -> Found | Refused:
        raise AssertionError("no photo is to be measured")

    def correct(self, findings: str, setup: str, asked: str, timeout_s: float) -> Found | Refused:
        self.seen.append((findings, setup, asked))
        act = self.acts.pop(0)
        if isinstance(act, Exception):
            raise act
        if callable(act):
            act()
        return act if isinstance(act, Found | Refused) else CORRECTED

    def send(self, held: Held, claimed: Claimed) -> None:
        raise AssertionError("no card is to be sent")


CORRECTED = Found(findings=entry_of(others(waist=777.0), setup()))


class Desk(AtDesk):
    """A sitting with measured photos and a job that corrects them."""

    def run(self, told: Told) -> Done | None:
        """Do the job."""
        return do(self.job_id, self.store, self.settings, told, told.send)

    def found(self) -> FindingsEntry | None:
        """What the sitting holds of its photos."""
        with self.store.reading() as session:
            return sittings.held(self.store, session, self.kept).record.findings

    def note(self, found: FindingsEntry) -> None:
        """Put other findings in the sitting."""
        with sittings.changing(self.store, self.kept, DAYS) as change:
            change.record = with_entry(change.record, found)


@pytest.fixture
def desk(store: Store, settings: Settings) -> Desk:
    """A sitting with the demo photos measured."""
    kept, job_id = sitting(store), jobs.new_job_id()
    made = Desk(store, settings, kept, job_id)
    made.note(findings())
    found = made.found()
    assert found is not None
    asked = TypeAdapter(Asked).dump_python(ASKED, mode="json")
    with store.writing() as session:
        task = {"asked": asked, "of": fingerprint(found)}
        jobs.add_job(store, session, job_id, "correct", seal_of(store, kept), task)
    return made


def test_new_findings_are_noted_with_the_job_and_what_she_typed_stays(desk: Desk) -> None:
    def types() -> None:
        with sittings.changing(desk.store, desk.kept, DAYS) as change:
            change.record = read(change.record, "waist", ["76", "76.2"]).record

    told = Told([types])
    done = desk.run(told)
    assert done is not None
    assert (done.kind, done.status) == ("correct", "done")
    given, how, asked = told.seen[0]
    assert FindingsEntry.model_validate_json(given) == findings()
    assert Setup.model_validate_json(how) == setup()
    assert TypeAdapter(Asked).validate_json(asked) == ASKED
    found = desk.found()
    assert found is not None
    assert found.estimates["waist"].value_mm == 777.0
    with desk.store.reading() as session:
        record = sittings.held(desk.store, session, desk.kept).record
    assert record.measurements["waist"].standing == "confirmed"
    assert FindingsEntry.model_validate(desk.state().outcome) == CORRECTED.findings
    assert desk.run(Told([])) is None


@pytest.mark.parametrize("when", ["before", "meanwhile"])
def test_lines_of_other_photos_than_she_saw_are_not_corrected(desk: Desk, when: str) -> None:
    new = entry_of(others(waist=800.0), setup())
    told = Told([lambda: desk.note(new)])
    if when == "before":
        desk.note(new)
    done = desk.run(told)
    assert done is not None
    assert done.status == "failed"
    outcome = desk.state().outcome
    assert isinstance(outcome, dict)
    assert (outcome["code"], outcome["status"]) == ("photos-changed", 409)
    found = desk.found()
    assert found is not None
    assert found.estimates["waist"].value_mm == 800.0
    assert len(told.seen) == (when == "meanwhile")


def test_what_cannot_be_put_right_is_said_and_nothing_changes(desk: Desk) -> None:
    refused = Refused(
        code="levels-out-of-order", sentence="It lies over it.", advice="By less.", problems={}
    )
    done = desk.run(Told([refused]))
    assert done is not None
    assert done.status == "refused"
    outcome = desk.state().outcome
    assert isinstance(outcome, dict)
    assert (outcome["code"], outcome["status"]) == ("levels-out-of-order", 422)
    assert desk.found() == findings()


def test_a_lost_detector_is_tried_again(desk: Desk) -> None:
    done = desk.run(Told([DetectorLost()]))
    assert done is not None
    assert done.status == "put-back"
    again = desk.run(Told([None]))
    assert again is not None
    assert again.status == "done"


def given(asked: Asked) -> tuple[str, str, str]:
    """What a detector process is given."""
    told = TypeAdapter(Asked).dump_json(asked).decode()
    return findings().model_dump_json(), setup().model_dump_json(), told


def test_a_detector_process_corrects_as_this_process_does(
    detectors: Detectors, store: Store
) -> None:
    answer = detectors.correct(*given(ASKED), 60.0)
    assert isinstance(answer, Found)
    kept = sitting(store)
    with sittings.changing(store, kept, DAYS) as change:
        here = corrected(with_entry(change.record, findings()), ASKED).findings
    assert here is not None
    assert answer.findings.corrections == here.corrections
    for code, one in here.estimates.items():
        assert answer.findings.estimates[code].value_mm == pytest.approx(one.value_mm, abs=0.02)
    far = Asked((Move("front", "underbust", "height", -120.0, 3.0),))
    refused = detectors.correct(*given(far), 60.0)
    assert isinstance(refused, Refused)
    assert (refused.code, refused.status) == ("levels-out-of-order", 422)
    assert json.loads(refused.model_dump_json())["problems"] == {}
