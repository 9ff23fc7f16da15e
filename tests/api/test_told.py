"""What the service tells in another language, while what is kept stays as it is."""

from collections.abc import Callable
from typing import Any

import pytest

from ellwand.api import customer, photos, workroom
from ellwand.api.callers import Customer, WorkroomCaller
from ellwand.api.limiting import Limiter
from ellwand.api.models import JobView
from ellwand.api.problems import answer_to, details_kept, details_of
from ellwand.api.told import findings_told, record_told
from ellwand.errors import EntryProblem, ServiceProblem
from ellwand.language import Noun, speaking
from ellwand.measurements import PEOPLE, source_words
from ellwand.photo.files import damaged, heic
from ellwand.photo.problems import PhotosRefused, of_file, problem
from ellwand.settings import Settings
from ellwand.sitting import Sitting, dump, parse, with_entry
from ellwand.sitting.record import ProblemEntry
from ellwand.store import sittings
from ellwand.store.jobs import Job
from tests.service import Service

from ..conftest import DemoEstimate
from .measured import REFUSED
from .measured import findings as measured_findings
from .test_photos import end_job, send


@pytest.fixture(scope="module")
def measured(estimate_of: Callable[[str], DemoEstimate]) -> Sitting:
    """A sitting whose photos were measured, with a warning and something outside the model."""
    record = parse(estimate_of("adela").written)
    assert record.findings is not None
    low = problem("arms-low", "warned")
    warned = ProblemEntry(code=low.code, severity=low.severity, advice=low.advice)
    front = record.findings.front.model_copy(update={"problems": (warned,)})
    changed = {"front": front, "outside": ("height", "shape of the outline")}
    return record.model_copy(update={"findings": record.findings.model_copy(update=changed)})


@pytest.fixture
def kept(service: Service, measured: Sitting) -> str:
    """Id of a sitting with those findings."""
    opened = service.customer(service.workroom())
    sitting_id: str = opened.get("/api/v1/sitting").json()["id"]
    with sittings.changing(service.store, sitting_id, 30) as change:
        assert measured.findings is not None
        change.record = with_entry(change.record, measured.findings)
    return sitting_id


def held(service: Service, sitting_id: str) -> sittings.Held:
    with service.store.reading() as session:
        return sittings.held(service.store, session, sitting_id)


def sources(found: Any) -> set[str]:
    """Words for what the bounds come from."""
    return {part.source for one in found.estimates.values() for part in one.budget}


def check_german(record: Sitting) -> None:
    found = record.findings
    assert found is not None
    assert found.outside == ("Körpergröße", "Form des Umrisses")
    assert [one.advice[:38] for one in found.front.problems] == [
        "Ihre Arme könnten etwas höher sein, et"
    ]
    assert {"Brennweite", "Kleidung", "Umfang aus dem Umriss"} <= sources(found)
    assert found.bust_difference is not None


def test_findings_are_told_in_the_language_spoken_and_kept_as_they_were(measured: Sitting) -> None:
    before = dump(measured)
    with speaking("de"):
        told = record_told(measured)
    check_german(told)
    assert dump(measured) == before
    assert record_told(Sitting()) == Sitting()


def test_an_input_of_a_budget_is_said_in_plain_words_and_kept_under_its_own(
    measured: Sitting,
) -> None:
    assert measured.findings is not None
    told = record_told(measured)
    assert told.findings is not None
    assert PEOPLE in sources(measured.findings)
    assert sources(told.findings) == sources(measured.findings) - {PEOPLE} | {
        "differences in build"
    }
    with speaking("de"):
        assert source_words(PEOPLE) == "Unterschiede im Körperbau"


def test_only_words_differ_in_what_is_told(measured: Sitting) -> None:
    assert measured.findings is not None
    with speaking("de"):
        told = findings_told(measured.findings)
    back = {"estimates": measured.findings.estimates, "front": measured.findings.front,
            "side": measured.findings.side, "outside": measured.findings.outside,
            "bust_difference": measured.findings.bust_difference}  # fmt: skip
    assert told.model_copy(update=back) == measured.findings
    for code, one in told.estimates.items():
        english = measured.findings.estimates[code]
        assert [part.share for part in one.budget] == [part.share for part in english.budget]
        assert one.model_copy(update={"budget": ()}) == english.model_copy(update={"budget": ()})


def test_she_and_her_workroom_are_told_in_the_language_spoken(service: Service, kept: str) -> None:
    desk = service.app.state.desk
    before = held(service, kept)
    with service.store.reading() as session:
        owner = workroom.workrooms.workroom(service.store, session, before.workroom_id)
    with speaking("de"):
        check_german(customer.see(Customer(desk, kept)).record)
        check_german(workroom.see_sitting(kept, WorkroomCaller(desk, owner)).record)
        told = photos.see_findings(Customer(desk, kept))
    assert told.outside == ("Körpergröße", "Form des Umrisses")
    assert held(service, kept).record == before.record


def test_a_result_is_told_in_the_language_spoken(service: Service) -> None:
    opened = service.customer(service.workroom())
    job_id = send(opened).json()["id"]
    end_job(service, job_id, "done", measured_findings())
    sitting_id = opened.get("/api/v1/sitting").json()["id"]
    with speaking("de"):
        told = photos.see_result(job_id, Customer(service.app.state.desk, sitting_id))
    assert '"outside":["Körpergröße"]' in bytes(told.body).decode()
    english = opened.get(f"/api/v1/sitting/jobs/{job_id}/result").json()
    assert english == measured_findings()


def test_a_refused_pair_is_told_in_the_language_of_who_asks() -> None:
    refused = JobView.of(Job("id", "estimate", "refused", REFUSED))
    assert refused.problem is not None
    assert refused.problem.problems is not None
    assert refused.problem.problems["front"][0].advice == "it is too dark."
    dark = problem("dark").advice
    outcome = {**REFUSED, "detail": "Take both photos again, or choose others, and send them.",
               "problems": {"front": [{"code": "dark", "severity": "refused", "advice": dark}],
                            "side": []}}  # fmt: skip
    with speaking("de"):
        told = details_kept(outcome)
    assert told.title.startswith("Das Foto von vorn kann nicht verwendet werden: Es ist zu dunkel.")
    assert told.detail.startswith("Nehmen Sie beide Fotos noch einmal auf")
    assert told.problems is not None
    assert told.problems["front"][0].advice.startswith("Es ist zu dunkel. ")
    assert details_kept(outcome).title == f"The front photo can't be used: {dark}"


def test_a_check_is_told_in_the_language_of_who_asks() -> None:
    found = (problem("leaning"), of_file(heic()))
    advice = [{"code": one.code, "severity": one.severity, "advice": one.advice, "cue": one.cue}
              for one in found]  # fmt: skip
    outcome = {"title": "The side photo can't be used.", "status": 422, "code": "photo-refused",
               "detail": "Do what stands beside it, and take it again.",
               "advice": advice}  # fmt: skip
    with speaking("de"):
        told = JobView.of(Job("id", "check", "refused", outcome))
    assert told.problem is not None
    assert told.advice is not None
    assert told.problem.title == "Das Foto von der Seite kann nicht verwendet werden."
    assert (
        told.advice[0].cue
        == "Sie stehen schief. Stehen Sie aufrecht, das Gewicht auf beiden Füßen."
    )
    assert told.advice[1].advice.startswith("Dieses Foto ist im Format HEIC gespeichert,")
    assert told.advice[1].cue == told.advice[1].advice


def test_a_problem_with_names_in_it_is_told_with_their_forms() -> None:
    outcome = {
        "title": "Your outline is not seen where the {level} would lie.", "status": 422,
        "detail": "Move its line by less, to where the outline has both of its ends.",
        "code": "level-outside-outline", "values": {"level": "waist"},
    }  # fmt: skip
    assert details_kept(outcome).title == "Your outline is not seen where the waist would lie."
    with speaking("de"):
        told = details_kept(outcome)
    assert told.title == (
        "Dort, wo der Taillenumfang gemessen würde, ist Ihr Umriss nicht zu sehen."
    )
    assert "values" not in told.model_dump()


def test_refused_files_are_told_in_the_language_of_who_asks_and_not_of_who_found_them() -> None:
    with speaking("de"):
        refused = PhotosRefused({"front": (of_file(damaged()),), "side": ()})
        told = details_of(refused)
    assert told.title == (
        "Das Foto von vorn kann nicht verwendet werden: Diese Fotodatei ist beschädigt oder nicht "
        "vollständig. Kopieren Sie sie noch einmal vom Handy, oder nehmen Sie das Foto noch "
        "einmal auf."
    )
    assert details_of(refused).title.startswith(
        "The front photo can't be used: this photo file is damaged or not complete. Copy it"
    )


def test_an_error_is_said_where_it_is_told() -> None:
    error = EntryProblem(
        "levels-out-of-order",
        "The {upper} would not lie over the {lower} any more.",
        "Move the line by less, or move the other one out of its way first.",
        upper=Noun("waist"),
        lower=Noun("high hip"),
    )
    with speaking("de"):
        assert error.sentence == (
            "Dann läge die Linie für den Taillenumfang nicht mehr über der für den hohen "
            "Hüftumfang."
        )
        assert "Verschieben Sie die Linie" in bytes(answer_to(error).body).decode()
    assert error.sentence == "The waist would not lie over the high hip any more."


def test_who_asks_too_often_is_told_how_many_seconds_to_wait() -> None:
    limiter = Limiter(Settings(tries_a_minute=1))
    limiter.attempt("192.0.2.1")
    with pytest.raises(ServiceProblem) as caught:
        limiter.attempt("192.0.2.1")
    seconds = caught.value.retry_after_s
    assert seconds is not None
    assert 50 < seconds <= 60
    assert caught.value.advice == f"Wait {seconds} seconds, then try again; nothing is lost."
    with speaking("de"):
        body = details_of(caught.value)
    assert body.title == "Danach wurde in kurzer Zeit zu oft gefragt."
    assert body.detail == (
        f"Warten Sie {seconds} Sekunden und versuchen Sie es dann noch einmal; "
        "es ist nichts verloren."
    )
