"""What the tape says in German, and that nothing of it is left out of the catalogues."""

import re

import pytest

from ellwand.errors import EntryProblem
from ellwand.language import speaking
from ellwand.measurements import KINDS, LEVELS
from ellwand.quantity import parse_length, parse_mass
from ellwand.tape import (
    HOW_TOS,
    HowTo,
    Query,
    Section,
    Taken,
    TechnicalError,
    crooked_words,
    enter,
    scatter,
    taken_words,
    worn_words,
)
from ellwand.tape.crooked import USUAL
from tests.pseudo_language import not_said, speak_it

from .figures import PHOTOS, judged
from .test_sentences import SLIPPED, the_query


def in_german(code: str, texts: str, photos: bool = True) -> Query:
    with speaking("de"):
        return the_query(code, texts, photos)


def test_a_wrong_unit_is_told_in_german() -> None:
    query = in_german("full_bust", "36,4")
    assert query.sentence == (
        "Sie haben 36,4 cm eingegeben; nach den Fotos wären etwa 95 cm zu erwarten, am ehesten "
        "91 cm bis 99 cm."
    )
    assert query.cause == "Vielleicht meinten Sie 36,4 Zoll; das wären 92,5 cm."
    assert query.advice == (
        "Wenn ja, korrigieren Sie Ihre Eingabe: 36,4 Zoll. Wenn nicht, messen Sie noch einmal, und "
        "geben Sie die Zahl mit ihrer Einheit ein."
    )


@pytest.mark.parametrize("typed", ["95 in", "95 Zoll", "95in"])
def test_inches_as_typed_are_no_german_word(typed: str) -> None:
    said = in_german("full_bust", typed).told
    assert " in " not in said.partition(";")[0]
    assert "eingegeben" in said
    assert "Zoll eingegeben;" in said


def test_a_stop_behind_a_number_is_not_repeated() -> None:
    assert in_german("full_bust", "36,4.").sentence.startswith("Sie haben 36,4 cm eingegeben;")


def test_how_to_keep_a_number_is_told_in_german() -> None:
    assert in_german("full_bust", "105").advice == (
        "Messen Sie noch einmal vom äußersten Ende des Maßbands an, nicht von einer Marke auf dem "
        "Band. Zeigt das Maßband wieder dasselbe, behalten Sie den Wert, und sagen Sie, wie Sie "
        "gemessen haben."
    )


def test_swapped_digits_are_told_in_german_without_a_nought_that_no_tape_shows() -> None:
    query = in_german("full_bust", "59")
    assert query.cause == (
        "Vielleicht haben zwei Ziffern die Plätze getauscht; es wären dann 95 cm."
    )
    assert "Ziffer für Ziffer" in query.advice


def test_repeats_apart_are_told_in_german() -> None:
    query = in_german("waist", "76|67 cm")
    assert query.sentence == (
        "Sie haben 76 cm und 67 cm eingegeben; das liegt 9,0 cm auseinander. Bei mehr als 1,0 cm "
        "muss eine weitere Zahl entscheiden."
    )
    assert query.cause == (
        "Zu 67 cm: Vielleicht haben zwei Ziffern die Plätze "
        "getauscht; es wären dann 76 cm. Oder vielleicht haben Sie 10 cm weniger abgelesen, als "
        "das Maßband zeigt; es wären dann 77 cm."
    )


def test_a_number_typed_before_is_told_in_german() -> None:
    with speaking("de"):
        (query,) = judged({"full_bust": "98,6", "waist": "98,6"}, PHOTOS)["waist"].queries
    assert query.cause.endswith(
        "98,6 cm haben Sie auch für den Brustumfang eingegeben; vielleicht ist die Zahl aus "
        "Versehen hierher geraten."
    )


def test_exchanged_numbers_stand_in_the_form_that_german_asks_for() -> None:
    with speaking("de"):
        found = judged({"high_hip": "80.5", "underbust": "92"}, PHOTOS)
    (query,) = found["high_hip"].queries
    assert query.sentence.startswith("Sie haben 80.5 cm eingegeben;")
    assert query.cause == (
        "Vielleicht wurden die Zahlen für den hohen Hüftumfang und den Unterbrustumfang "
        "vertauscht; der hohe Hüftumfang wäre dann 92 cm."
    )
    assert query.advice.startswith(
        "Messen Sie den hohen Hüftumfang und den Unterbrustumfang noch einmal, und geben Sie jede"
    )


def test_girths_out_of_order_are_told_in_german() -> None:
    with speaking("de"):
        (remark,) = judged({"high_bust": "95.5", "full_bust": "94.5"}, {})["full_bust"].queries
    assert remark.sentence == (
        "Oberbrustumfang (95.5 cm): 1,0 cm mehr als der Brustumfang (94.5 cm); das ist selten."
    )


def test_a_how_to_is_said_in_the_language_of_who_asks() -> None:
    how = HOW_TOS["waist"]
    assert how.tight.endswith("Let the belly be as it is.")
    with speaking("de"):
        assert how.where.startswith("Über das umgebundene Gummiband, wo es zwischen der untersten")
        assert how.tight.endswith("wenn Sie es hinten loslassen. Lassen Sie den Bauch, wie er ist.")
        assert [heading for heading, _ in how.parts()] == [
            "Wo das Maßband liegt", "Was Sie dabei tragen", "Liegt es richtig?", "Wie fest",
        ]  # fmt: skip
    assert how.tight.endswith("Let the belly be as it is.")


@pytest.mark.parametrize("how", HOW_TOS.values(), ids=HOW_TOS)
def test_each_german_how_to_is_whole_and_polite(how: HowTo) -> None:
    with speaking("de"):
        texts = [*(words for _, words in how.parts()), *how.wrong]
    for words in texts:
        assert re.fullmatch(r"[A-ZÄÖÜ].*[.]", words)
        assert not re.search(r"\b(?:du|dein\w*|dir|dich|Du|Dein\w*)\b|!|\d\.\d", words), words
        assert all(len(one.split()) <= 45 for one in re.split(r"[.:;] ", words)), words


@pytest.mark.parametrize("code", LEVELS)
def test_in_german_too_a_girth_of_the_trunk_is_checked_at_the_back(code: str) -> None:
    with speaking("de"):
        how = HOW_TOS[code]
        assert "Spiegel" in how.level
        assert "Selbstauslöser" in how.level
        assert "ein Finger" in how.tight
        assert any("hinten hinuntergerutscht" in words for words in how.wrong)


def test_a_mistake_is_told_in_the_language_of_who_shows_it() -> None:
    with speaking("de"), pytest.raises(EntryProblem) as caught:
        parse_length("1,234", "cm")
    assert caught.value.sentence == "A comma before three digits can be read in two ways."
    assert caught.value.advice.endswith('like "92.5" or "36 3/8 in".')
    with speaking("de"):
        assert caught.value.sentence.startswith("Ein Komma vor genau drei Ziffern")
        assert caught.value.advice == (
            "Schreiben Sie Tausender ohne Trennzeichen, und hinter dem Komma eine oder zwei "
            "Ziffern. Geben Sie eine Zahl mit oder ohne Einheit ein, zum Beispiel „92,5“ oder "
            "„36 3/8 Zoll“."
        )


def test_what_the_german_examples_show_can_be_typed() -> None:
    for also in ((), ("m",), ("m", "ft")):
        with pytest.raises(EntryProblem) as caught:
            parse_length("", "cm", also)  # type: ignore[arg-type]
        with speaking("de"):
            examples = re.findall("„(.+?)“", caught.value.advice)
        assert len(examples) >= 2
        for one in examples:
            assert parse_length(one, "cm", also).mm > 0  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("typed", "plain"),
    [("92,5 Zentimeter", "92.5 cm"), ("36 3/8 Zoll", "36 3/8 in"), ("925 Millimeter", "925 mm")],
)
def test_german_words_of_units_are_read(typed: str, plain: str) -> None:
    assert parse_length(typed, "in").mm == parse_length(plain, "in").mm
    assert enter("stature", "1,68 Meter", "cm").mm == 1680
    assert parse_mass("70,5 Kilogramm").kg == parse_mass("70,5 Kilo").kg == 70.5


@pytest.mark.parametrize(("code", "text", "photos"), [row[:3] for row in SLIPPED])
def test_no_query_says_what_no_catalogue_has(
    code: str, text: str, photos: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    speak_it(monkeypatch)
    query = the_query(code, text, photos)
    assert "⟦" in query.sentence
    assert not_said(query.told) == []
    assert not_said(query.advice) == []


@pytest.mark.parametrize(
    "entries",
    [{"waist": "76|67"}, {"waist": "76.1|72.5"}, {"waist": "101", "full_hip": "76"},
     {"full_hip": "50.3"}, {"high_bust": "95.5", "full_bust": "94.5"}],
)  # fmt: skip
@pytest.mark.parametrize("photos", [True, False])
def test_no_query_about_several_numbers_does_either(
    entries: dict[str, str], photos: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    speak_it(monkeypatch)
    found = judged(entries, PHOTOS if photos else {})
    queries = [query for one in found.values() for query in one.queries]
    assert queries
    for query in queries:
        assert not_said(query.told) == not_said(query.advice) == []


def test_nor_does_anything_else_that_the_tape_says(monkeypatch: pytest.MonkeyPatch) -> None:
    speak_it(monkeypatch)
    texts = [scatter(TechnicalError(3.81, 0.0043, count)) for count in (1, 4)]
    sections = [*USUAL.values(), Section(300.0, 200.0, -1.0, own=True)]
    texts += [crooked_words(section) for section in sections]
    texts += [taken_words(Taken(by, "bra"), "you") for by in ("herself", "somebody")]  # type: ignore[arg-type]
    texts += worn_words({code: {"thick", "padded-bra"} for code in KINDS})
    for how in HOW_TOS.values():
        texts += [part for both in how.parts() for part in both] + list(how.wrong)
    assert len(texts) > 100
    for text in texts:
        assert "⟦" in text
        assert not_said(text) == [], text
