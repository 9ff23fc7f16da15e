"""What a sitting says in German, and that nothing of it is left out of the catalogues."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from ellwand.errors import EllwandError
from ellwand.girth.move import Move
from ellwand.language import speaking
from ellwand.measurements import KINDS
from ellwand.quantity import LONGEST_ENTRY, parse_length
from ellwand.sitting import (
    Asked,
    Sitting,
    TypedSetup,
    by_hand,
    check_correction,
    corrected,
    keep,
    parse,
    read,
    rejudged,
    sized,
    stale_words,
    with_findings,
    with_typed_setup,
)
from ellwand.sizing import demo_block
from ellwand.tape import check_code
from tests.pseudo_language import not_said, speak_it

from ..conftest import DemoEstimate
from .invented import findings

PHOTOS = with_findings(Sitting(), findings())
DAY = date(2031, 5, 4)
Act = Callable[[], object]


def set_up(**typed: object) -> Act:
    texts: dict[str, object] = {"stature": "168 cm", "reference": "marker-sheets"}
    return lambda: with_typed_setup(Sitting(), TypedSetup(**(texts | typed)))  # type: ignore[arg-type]


def doubtful(code: str, *texts: str) -> Sitting:
    return read(PHOTOS, code, texts).record


REFUSED: dict[str, Act] = {
    "code": lambda: check_code("neck"),
    "too long": lambda: parse_length("9" * (LONGEST_ENTRY + 1), "cm"),
    "thousands": lambda: parse_length("1,234", "in"),
    "no entry": lambda: read(PHOTOS, "waist", []),
    "no reading": lambda: keep(PHOTOS, "high_hip", "so"),
    "confirmed": lambda: keep(doubtful("waist", "76", "76"), "waist", "so"),
    "apart": lambda: keep(doubtful("waist", "76", "67"), "waist", "so"),
    "range": lambda: keep(doubtful("waist", "300"), "waist", "so"),
    "no reason": lambda: keep(doubtful("waist", "90"), "waist", " "),
    "long reason": lambda: keep(doubtful("waist", "90"), "waist", "so" * 200),
    "odd reason": lambda: keep(doubtful("waist", "90"), "waist", "\0"),
    "bar off": set_up(check_bars=("160 mm",)),
    "bar across twice": set_up(check_bars=("150 mm", "149 mm")),
    "bar up twice": set_up(check_bars=("240 mm", "240 mm")),
    "bar without sheet": set_up(check_bars=("150 mm",), reference="id-card"),
    "standoff": set_up(standoff_front="2.5 m"),
    "standoff bound": set_up(standoff_side="30 cm ± 60 cm"),
    "focal": set_up(focal_35mm="2.6"),
    "weight": set_up(weight="20 kg"),
    "weight without unit": set_up(weight="70"),
    "stature": set_up(stature="68 cm"),
    "no photos": lambda: corrected(Sitting(), Asked(undo=True)),
    "old photos": lambda: corrected(PHOTOS, Asked(undo=True)),
    "no JSON": lambda: parse(b"{"),
    "foreign": lambda: parse(b"{}"),
    "no version": lambda: parse(b'{"format": "ellwand-sitting"}'),
    "spoilt part": lambda: parse(b'{"format": "ellwand-sitting", "version": 1, "unit": "mm"}'),
    "newer": lambda: parse(b'{"format": "ellwand-sitting", "version": 99}'),
}


def refusal(act: Act) -> EllwandError:
    with pytest.raises(EllwandError) as caught:
        act()
    return caught.value


@pytest.mark.parametrize("act", REFUSED.values(), ids=REFUSED)
def test_no_refusal_says_what_no_catalogue_has(act: Act, monkeypatch: pytest.MonkeyPatch) -> None:
    problem = refusal(act)
    plain = str(problem)
    speak_it(monkeypatch)
    # Codes of measurements and of parts of the file are the same in every language.
    assert not_said(str(problem), *KINDS, "unit") == []
    assert str(problem).replace("⟦", "").replace("⟧", "") == plain


@pytest.mark.parametrize("act", REFUSED.values(), ids=REFUSED)
def test_every_refusal_is_told_in_the_language_of_who_shows_it(act: Act) -> None:
    with speaking("de"):
        problem = refusal(act)
    english = problem.sentence, problem.advice
    with speaking("de"):
        assert problem.sentence != english[0]
        assert problem.advice != english[1]
        assert "{" not in str(problem)
    assert (problem.sentence, problem.advice) == english


def test_a_value_that_cannot_be_kept_is_told_in_german() -> None:
    problem = refusal(REFUSED["apart"])
    with speaking("de"):
        assert problem.sentence == (
            "Die Messwerte für den Taillenumfang liegen zu weit auseinander, um einen davon "
            "zu behalten."
        )


def test_a_reading_is_said_back_in_german() -> None:
    with speaking("de"):
        assert read(PHOTOS, "full_bust", ["95", "95,3"]).echo == [
            "Messwert 1 für den Brustumfang: 95,0 cm (37 3/8 Zoll)",
            "Messwert 2 für den Brustumfang: 95,3 cm (37 1/2 Zoll)",
            "Durch 2 Messwerte bestätigt: 95,2 cm (37 1/2 Zoll).",
        ]


def test_nothing_that_is_said_back_is_missing_in_the_catalogues(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    speak_it(monkeypatch)
    once = read(PHOTOS, "waist", ["76"], on=DAY)
    twice = read(once.record, "waist", ["90"], instead=True, on=DAY)
    height = read(PHOTOS, "stature", ["168"])
    old = stale_words(twice.record, ["waist"], DAY + timedelta(weeks=20))
    lines = [*once.echo, *twice.echo, *height.echo, *old]
    assert len(lines) == 8
    for line in lines:
        assert not_said(line) == [], line


@pytest.mark.parametrize(
    ("weeks", "german"),
    [(1, "Vor 1 Woche gemessen: Taillenumfang."), (10, "Vor 10 Wochen gemessen: Taillenumfang.")],
)
def test_old_readings_are_told_in_german(weeks: int, german: str) -> None:
    record = read(Sitting(), "waist", ["76", "76"], on=DAY).record
    with speaking("de"):
        (told,) = stale_words(record, ["waist"], DAY + timedelta(weeks=weeks), 1)
    assert told.startswith(german)


def test_a_decision_outlives_a_change_of_language_and_its_queries_follow_it() -> None:
    record = read(Sitting(), "stature", ["168"]).record
    for code, text in {
        "high_bust": "92",
        "full_bust": "91.5",
        "waist": "76",
        "full_hip": "99",
    }.items():
        record = read(record, code, [text, text]).record
    decided = sized(record, demo_block())
    (english,) = decided.measurements["full_bust"].queries
    with speaking("de"):
        again = rejudged(decided)
    (german,) = again.measurements["full_bust"].queries
    assert english.sentence.startswith("High bust (")
    assert german.sentence.startswith("Oberbrustumfang (")
    assert again.decision is not None
    assert again.decision == decided.decision
    assert rejudged(again) == decided
    changed = read(again, "waist", ["80"], instead=True).record
    assert changed.decision is None


def test_what_is_said_of_lines_on_photos_is_in_the_catalogues(
    estimate_of: Callable[[str], DemoEstimate], monkeypatch: pytest.MonkeyPatch
) -> None:
    record = parse(estimate_of("adela").written)
    moves = [
        Move("front", "waist", "height", 900.0, 3.0),
        Move("side", "waist", "left", 900.0, 3.0),
        Move("front", "waist", "height", 5.0, 900.0),
    ]
    problems = [refusal(lambda one=one: check_correction(record, Asked((one,)))) for one in moves]  # type: ignore[misc]
    problems.append(refusal(lambda: check_correction(record, Asked())))
    moved = corrected(
        record,
        Asked((Move("front", "waist", "height", 5.0, 3.0),
               Move("front", "full_hip", "right", 5.0, 3.0))),
    )  # fmt: skip
    with speaking("de"):
        assert by_hand(moved.findings) == {"waist": "Messhöhe", "full_hip": "Umriss"}
        assert problems[0].sentence == (
            "Die Linie für den Taillenumfang würde weiter verschoben, als Fotos danebenliegen "
            "können."
        )
    speak_it(monkeypatch)
    for text in [*map(str, problems), *by_hand(moved.findings).values()]:
        assert not_said(text) == [], text
