"""Nothing that is said of photos and by the service is left out of the catalogues.

Every text of a catalogue comes out in brackets here; words outside of them were never looked up.
"""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

from ellwand.api import public
from ellwand.api.models import JobView
from ellwand.api.problems import details_kept, details_of
from ellwand.api.told import findings_told
from ellwand.api.uploads import Limits
from ellwand.errors import EntryProblem
from ellwand.geometry.levels import Level
from ellwand.girth.hand import BY_HAND, placed
from ellwand.girth.move import Move
from ellwand.jobs import detecting, run
from ellwand.language import speaking
from ellwand.measurements import LEVELS
from ellwand.photo import files, problems, quality
from ellwand.photo.problems import PhotosRefused, of_file, problem, said
from ellwand.sitting import parse
from ellwand.sizing import demo_block
from ellwand.store.jobs import Job
from tests.pseudo_language import not_said, speak_it
from tests.service import BASE, Service, begin

from ..conftest import DemoEstimate
from .test_uploads import body, photo, sent


@pytest.fixture(autouse=True)
def pseudo(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Whatever language is spoken, it is the one in brackets."""
    speak_it(monkeypatch)
    # They are kept for as long as the process lives, and would be in brackets for other tests.
    monkeypatch.setattr(public, "sheets_pdf", lambda paper, language: b"")
    with speaking("de"):
        yield


def check(*texts: str, own: Iterable[str] = ()) -> None:
    assert [text for text in texts if "⟦" not in text or not_said(text, *own)] == []


def all_of(found: Any) -> list[str]:
    """All that one is told of a problem."""
    told = [found.title, found.detail]
    return told + [one.advice for some in (found.problems or {}).values() for one in some]


def test_advice_and_cues() -> None:
    check(*(said(text) for code in problems._ADVICE
            for text in (problem(code).advice, problem(code).cue)))  # fmt: skip
    cut_off = (("head",), ("feet",), ("head", "feet"), ("side",), ("head", "side"))
    check(*(said(quality._step_back(parts)) for parts in cut_off))


@pytest.mark.parametrize("refused", [refusal() for refusal in files.REFUSALS],
                         ids=lambda one: one.code)  # fmt: skip
def test_files_that_are_refused(refused: Any) -> None:
    told = of_file(refused)
    check(said(told.advice), said(told.cue))
    pair = PhotosRefused({"front": (told,), "side": (problem("dark"), problem("one-sheet"))})
    check(pair.sentence, pair.advice, *all_of(details_of(pair)))


def test_every_file_that_a_reader_refuses_is_among_them() -> None:
    made = Path(files.__file__).read_text("utf-8").count("return PhotoProblem(")
    assert len({refusal().code for refusal in files.REFUSALS}) == made


@pytest.mark.parametrize("name", ["heic", "zero bytes", "tiny jpeg", "animated png"])
def test_uploads_with_a_file_that_is_refused(name: str) -> None:
    both = body(("front", photo(name)), ("side", photo("png")))
    refused = sent(both, limits=Limits(photo_bytes=3_000_000)).error
    assert isinstance(refused, PhotosRefused)
    check(*all_of(details_of(refused)))


@pytest.mark.parametrize(
    "parts", [(), (("front", b""), ("front", b"")), (("stature", b"1" * 999),), (("x", b""),)]
)
def test_uploads_that_are_refused(parts: Any) -> None:
    error: Any = sent(body(*parts)).error
    check(error.sentence, error.advice)


def test_what_becomes_of_jobs() -> None:
    ends = (
        run._not_measured(), run._photos_changed(), run._too_long(), run._mail_refused(),
        run._mail_lost(), run._cannot_be_used("front"), run._cannot_be_used("side"),
    )  # fmt: skip
    for end in ends:
        kept = run._details(end, end.http_status)
        assert not_said(str(kept["title"]))
        problem_told = JobView.of(Job("id", "estimate", "failed", kept)).problem
        assert problem_told is not None
        check(*all_of(problem_told))


def test_a_line_that_cannot_be_moved_so() -> None:
    levels = {code: Level(1000.0 - 50 * at, True) for at, code in enumerate(LEVELS)}
    with pytest.raises(EntryProblem) as caught:
        placed(levels, [Move("front", "waist", "height", 300.0, 3.0)])
    refused = detecting._refused(caught.value)
    kept = run._details(refused, refused.status)
    assert kept["title"] == "The {upper} would not lie over the {lower} any more."
    assert kept["values"] == {"upper": "underbust", "lower": "waist"}
    told = details_kept(kept)
    assert told.title == "⟦The ⟧⟦underbust⟧⟦ would not lie over the ⟧⟦waist⟧⟦ any more.⟧"
    check(*all_of(told))


def test_where_bounds_come_from_and_what_is_outside(
    estimate_of: Callable[[str], DemoEstimate],
) -> None:
    found = parse(estimate_of("adela").written).findings
    assert found is not None
    told = findings_told(found.model_copy(update={"outside": ("height", "shape of the outline")}))
    check(*told.outside, said(BY_HAND))
    check(*(part.source for one in told.estimates.values() for part in one.budget))
    check(*(one.advice for view in (told.front, told.side) for one in view.problems))


@pytest.fixture
def narrow(tmp_path: Path) -> Iterator[Service]:
    """A service that lets nobody try often."""
    made = begin(tmp_path / "data", tries_a_minute=1)
    yield made
    made.close()


def test_errors_over_http(service: Service) -> None:
    mara = service.workroom()
    hers = service.customer(mara, consent=False)
    form = {"content": b"x", "headers": {"Content-Type": "text/plain"}}
    answers = [
        service.client().get(f"{BASE}/sitting"),
        service.client().get(f"{BASE}/workroom"),
        hers.get(f"{BASE}/nothing"),
        hers.get("/page/nothing.js"),
        hers.patch(f"{BASE}/sitting"),
        hers.put(f"{BASE}/sitting/unit", content=b"{"),
        hers.put(f"{BASE}/sitting/unit", content=b"1" * 400_000),
        hers.get(f"{BASE}/sitting", headers={"Sec-Fetch-Site": "cross-site"}),
        hers.get(f"{BASE}/sitting", headers={"Host": "elsewhere.example"}),
        hers.get(f"{BASE}/sitting/findings"),
        hers.get(f"{BASE}/sitting/decision"),
        hers.post(f"{BASE}/sitting/photos", **form),  # type: ignore[arg-type]
        service.customer(mara).post(f"{BASE}/sitting/photos", **form),  # type: ignore[arg-type]
        mara.post(f"{BASE}/workroom/invitations", json={"asked": ["nothing"]}),
        mara.post(f"{BASE}/workroom/invitations", json={"block": "none"}),
        mara.post(f"{BASE}/workroom/invitations", json={"garment": "tent"}),
        mara.delete(f"{BASE}/workroom/blocks/none"),
        service.client().post(f"{BASE}/workroom/login", json={"login": "a", "password": "b"}),
        service.client().post(f"{BASE}/entrance", json={"token": "t" * 30}),
    ]
    for answer in answers:
        assert answer.status_code >= 400
        check(answer.json()["title"], answer.json()["detail"], own=demo_block().garments)


def test_too_many_tries_over_http(narrow: Service) -> None:
    tries = [narrow.client().post(f"{BASE}/entrance", json={"token": "t" * 30}) for _ in range(2)]
    late = tries[-1].json()
    assert late["code"] == "too-many-requests"
    check(late["title"], late["detail"])


def test_what_can_be_measured(service: Service) -> None:
    kinds = service.client().get(f"{BASE}/measurements").json()
    check(*(kind[name] for kind in kinds for name in ("name", "taken")))


def test_a_mistake_of_ours(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: Any) -> None:
        raise KeyError("waist 92.5 cm")

    opened = service.customer(service.workroom())
    monkeypatch.setattr("ellwand.api.customer._overview", fail)
    answer = opened.get(f"{BASE}/sitting")
    assert answer.json()["code"] == "our-mistake"
    check(answer.json()["title"], answer.json()["detail"])
