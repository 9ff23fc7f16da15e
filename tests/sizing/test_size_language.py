"""The size in another language: all of it is said, and telling cases of it in German."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from ellwand.api.size_models import SizeView
from ellwand.block_screen import block_lines
from ellwand.errors import BlockProblem, EntryProblem
from ellwand.language import speaking
from ellwand.measurements import Estimate
from ellwand.sitting import Sitting
from ellwand.sizing import (
    Decision,
    block_from_toml,
    compare,
    decide,
    decision_from_json,
    demo_block,
    ease_chart,
    ease_strips,
    finding_named,
    finding_words,
    redecided,
)
from ellwand.sizing.tryon import all_findings
from ellwand.tape import Confirmed
from tests.pseudo_language import not_said, speak_it

from .customers import on_block, taped
from .test_block_file import SMALL, WRONG_LINES, replaced
from .test_size_decision import guessed

BLOCK = demo_block()
SHORT_AND_FULL = on_block("4", stature=1560, full_bust=982, underbust=800, full_hip=1060)
ESTIMATED = {code: one for code, one in SHORT_AND_FULL.items() if code != "full_hip"}


@pytest.fixture
def german() -> Iterator[None]:
    with speaking("de"):
        yield


def said(decision: Decision) -> dict[str, list[str]]:
    """Reasons and remarks by their titles."""
    found: dict[str, list[str]] = {}
    for step in (*decision.reasons, *decision.remarks):
        found.setdefault(step.title, []).append(f"{step.answer}: {step.reason}".removeprefix(": "))
    return found


@pytest.mark.usefixtures("german")
class TestGerman:
    def test_length_size_and_cup_are_told_with_their_reasons(self) -> None:
        told = said(decide(SHORT_AND_FULL, {}, BLOCK))
        assert told["Längenklasse"] == [
            "kurz: Mit 156,0 cm (61 3/8 Zoll) gilt die Länge „kurz“ des Grundschnitts, "
            "für Körpergrößen unter 162,0 cm (63 3/4 Zoll)."
        ]
        (size,) = told["Größe"]
        assert size.startswith(
            "4: Der Oberbrustumfang von 88,0 cm (34 5/8 Zoll) liegt am nächsten an Größe 4, "
        )
        (cup,) = told["Cup"]
        assert cup == (
            "D: Der Brustumfang liegt 10,2 cm (4 Zoll) über dem Oberbrustumfang; bei 2,5 cm "
            "(1 Zoll) je Cup ergibt das D (Schnitt-Cup, nicht BH-Cup)."
        )

    def test_what_lies_between_two_is_left_open(self) -> None:
        near = on_block("3", stature=1622, high_bust=858, full_bust=944)
        told = said(decide(near, {}, BLOCK))
        assert told["Längenklasse"][0].startswith("normal, vielleicht kurz: ")
        assert told["Größe"][0].startswith("3, vielleicht 4: ")
        assert told["Cup"][0].startswith("C, vielleicht D: ")

    def test_ease_is_told_with_a_decimal_comma(self) -> None:
        told = said(decide(SHORT_AND_FULL, {}, BLOCK))
        assert told["An der Taille"] == [
            "liegt im Rahmen: Größe 4 ergibt an der Taille 15,0 cm (5 7/8 Zoll) Zugabe; "
            "vorgesehen: 15,0 cm (5 7/8 Zoll) Zugabe; mindestens 5,0 cm (2 Zoll) sind nötig."
        ]
        strips = ease_strips(decide(SHORT_AND_FULL, {}, BLOCK))
        assert strips.alt.startswith("Zugabe von Größe 4 auf jeder Messhöhe: Brustumfang 3,8 cm")
        estimated = decide(ESTIMATED, guessed(full_hip=(960, 1060)), BLOCK)
        assert ease_strips(estimated).rows[-1].beside == "1,0 bis 11,0 cm"
        assert ease_strips(estimated).rows[-1].words == "1,0 cm (3/8 Zoll) bis 11,0 cm (4 3/8 Zoll)"
        assert said(estimated)["An der Hüfte"] == [
            "offen bis zur Messung: Nach den Fotos liegt der Hüftumfang zwischen 96,0 cm "
            "(37 3/4 Zoll) und 106,0 cm (41 3/4 Zoll): Am unteren Ende passt Größe 4; am oberen "
            "ist Größe 4 zu eng, nötig ist Größe 6. Darüber entscheidet das Maßband."
        ]

    def test_two_other_sizes_at_both_ends_of_a_bound_are_told_in_one(self) -> None:
        narrow = decide(ESTIMATED, guessed(full_hip=(870, 940)), BLOCK)
        wide = decide(ESTIMATED, guessed(full_hip=(1060, 1160)), BLOCK)
        for decision, fit in ((narrow, "weit"), (wide, "eng")):
            row = decision.ease[-1]
            (words,) = said(decision)["An der Hüfte"]
            assert row.size_at_low != row.size_at_high
            assert words.endswith(
                f": Größe 4 ist dort zu {fit}, nötig ist Größe {row.size_at_low} bis "
                f"{row.size_at_high}. Welche, entscheidet das Maßband."
            )

    def test_nobody_who_reads_it_is_spoken_to(self) -> None:
        """The customer reads it on her page, and the seamstress on the card."""
        near = on_block("3", stature=1622, high_bust=858, full_bust=944)
        for decision in (
            decide(SHORT_AND_FULL, {}, BLOCK),
            decide(near, {}, BLOCK),
            decide(ESTIMATED, guessed(full_hip=(960, 1060)), BLOCK),
        ):
            told = [words for rows in said(decision).values() for words in rows]
            assert not [one for one in told if re.search(r"\b(Sie|Ihr\w*)\b", one)]

    def test_changes_are_told_as_a_workroom_says_them(self) -> None:
        changes = said(decide(SHORT_AND_FULL, {}, BLOCK))["Änderung"]
        assert changes[0] == (
            "kürzen: Vorder- und Rückenteil über der Taille um 1,5 cm (5/8 Zoll) kürzen: So viel "
            "weicht die Länge „kurz“ dieses Grundschnitts von „normal“ ab. Ein Schnitt, der in "
            "„kurz“ gezeichnet ist, hat das schon."
        )
        assert "kürzen: Ebenso Ärmel um 2,5 cm (1 Zoll) kürzen." in changes
        assert any(
            one.startswith("Brustanpassung (mehr Weite): Vorderteil an der Brust um 5,2 cm")
            for one in changes
        )
        assert any("an der Hüfte Größe 6 zuschneiden" in one for one in changes)

    def test_cautions_warnings_and_the_standard_are_told(self) -> None:
        kept = {"waist": Confirmed("waist", 760, 8, "three times")}
        told = said(decide(SHORT_AND_FULL | kept, {}, BLOCK))
        assert any("hoch wie bei einem Hohlkreuz" in one for one in told["Zu beachten"])
        assert told["Nicht sicher"] == ["Mit Begründung behalten, nicht bestätigt: Taillenumfang."]
        assert told["Zum Vergleich"][0].startswith(
            "Auf Kleideretiketten (EN 13402): Brust 100 cm, L; Hüfte 108 cm; BH 80D."
        )

    def test_what_programs_compare_with_stays_as_it_is(self) -> None:
        decision = decide(SHORT_AND_FULL, {}, BLOCK)
        data = json.loads(json.dumps(decision.to_json()))
        assert data["length_class"]["name"] == "petite"
        assert (data["garment"], data["fabric"], data["block"]) == ("blouse", "woven", BLOCK.name)
        assert {one["code"] for one in data["changes"]} >= {"shorten", "full-bust-adjustment"}
        assert decision_from_json(data) == decision

    def test_the_headline_of_a_page_is_german(self) -> None:
        record = Sitting.model_construct(decision=decide(SHORT_AND_FULL, {}, BLOCK).to_json())
        view = SizeView.of(record)
        assert view is not None
        assert view.headline == "Größe 4; Schnitt-Cup D (BH-Cup: 80D); Länge: kurz"
        assert view.made_for == (
            "Kleidungsstück: Bluse; Grundschnitt: Blusen-Grundschnitt zum Probieren. Erfundene "
            "Zahlen, um das Programm auszuprobieren; nähen Sie nichts danach."
        )

    def test_what_is_different_in_two_decisions_is_told(self) -> None:
        old, new = decide(on_block("4"), {}, BLOCK), decide(SHORT_AND_FULL, {}, BLOCK)
        told = {row.title: (row.old, row.new) for row in redecided(old, new)}
        assert told["Längenklasse"] == ("normal", "kurz")
        assert told["Schnitt-Cup"] == ("B", "D")
        assert told["Übergang an der Hüfte"] == (None, "Größe 6")
        assert told["kürzen am Ärmel"] == (None, "2,5 cm (1 Zoll)")

    def test_a_block_is_told_in_words(self) -> None:
        lines = block_lines(demo_block("fuller"))
        assert "Länge kurz: für Körpergrößen unter 161,0 cm (63 3/8 Zoll)" in lines
        assert "  Maschenware, um 30 % dehnbar:" in lines
        assert lines[-1] == "Dieser Grundschnitt ist verwendbar."

    def test_what_a_size_waits_for_is_told(self) -> None:
        with pytest.raises(EntryProblem) as caught:
            decide(taped(stature=1680), {}, BLOCK, "camisole")
        assert caught.value.sentence == (
            "Die Größe lässt sich noch nicht bestimmen; noch zu bestätigen: Oberbrustumfang und "
            "Brustumfang; Taillenumfang (mit dem Maßband oder aus Fotos)."
        )


def test_a_problem_of_a_block_is_said_when_it_is_read() -> None:
    with pytest.raises(BlockProblem) as caught:
        block_from_toml(replaced("waist = 28.5\n", "").encode())
    in_english = caught.value.sentence
    with speaking("de"):
        assert caught.value.sentence == (
            "Die Grundschnittdatei ist so nicht verwendbar: Größe b, waist: diese Zeile fehlt."
        )
        assert caught.value.advice == (
            "Korrigieren Sie die Grundschnittdatei in Zeile 14 und versuchen Sie es noch einmal."
        )
    assert caught.value.sentence == in_english
    assert in_english.endswith("size b, waist: this line is missing.")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("size four", "Zeile 1, Spalte 6 (englisch gemeldet: "),
        ("name = ", "am Ende der Datei (englisch gemeldet: "),
        ("deep = " + "[" * 5000, "nichts, was einem Grundschnitt gleicht."),
    ],
)
def test_where_a_file_is_no_toml_is_told(text: str, place: str) -> None:
    with pytest.raises(BlockProblem) as caught, speaking("de"):
        block_from_toml(text.encode())
    with speaking("de"):
        assert f"wie TOML es verlangt: {place}" in caught.value.sentence


def test_the_name_of_a_workroom_is_never_translated() -> None:
    # "tall" and "hand" are words of the catalogue, but here the workroom's own.
    own = SMALL.replace("Small block", "hand").replace("garment.top", "garment.hand")
    block = block_from_toml(own.encode())
    customer = taped(stature=1680, high_bust=864, full_bust=915, waist=724)
    with speaking("de"):
        view = SizeView.of(Sitting.model_construct(decision=decide(customer, {}, block).to_json()))
    assert view is not None
    assert view.made_for == "Kleidungsstück: hand; Grundschnitt: hand."


@pytest.mark.usefixtures("german")
def test_findings_are_told_in_german_and_typed_in_the_words_of_the_command() -> None:
    told = [finding_words(one) for one in all_findings()]
    assert len(set(told)) == len(told)
    assert finding_words(finding_named("snug at the full hip")) == "zu eng an der Hüfte"
    with pytest.raises(EntryProblem):
        finding_named("zu eng an der Hüfte")


@pytest.fixture
def bracketed(monkeypatch: pytest.MonkeyPatch) -> None:
    speak_it(monkeypatch)


def estimates_of(customer: dict[str, Confirmed]) -> dict[str, Estimate]:
    girths = {code: customer[code].value_mm for code in ("waist", "full_hip")}
    return guessed(**{code: (mm - 90, mm + 90) for code, mm in girths.items()})


def many_decisions() -> Iterator[Decision]:
    """Decisions that take every way through the sentences."""
    girths: dict[str, Any] = {"underbust": 800, "hand": 262, "shoulder_width": 388}
    for name in ("misses", "fuller"):
        block = demo_block(name)
        for garment in block.garments:
            for high, full, waist, hip in (
                (700, 690, 600, 760), (858, 944, 740, 1050), (880, 1010, 900, 1500),
                (1060, 1161, 1010, 1205), (1300, 1440, 1000, 1220),
            ):  # fmt: skip
                for stature, back in ((1560, 440), (1622, 400), (1800, 380)):
                    customer = taped(stature=stature, high_bust=high, full_bust=full, waist=waist,
                                     high_hip=hip - 60, full_hip=hip)  # fmt: skip
                    yield decide(customer, {}, block, garment)
                    more = customer | taped(back_waist_length=back, **girths)
                    del more["full_hip"], more["high_hip"], more["waist"]
                    yield decide(more, estimates_of(customer), block, garment)
    kept = on_block("4") | {"waist": Confirmed("waist", 760, 8, "because")}
    yield decide(kept, {}, BLOCK, "blouse", "knit")
    yield decide(on_block("4", full_hip=1031, full_bust=965), {}, BLOCK)


@pytest.mark.usefixtures("bracketed")
def test_nothing_that_a_decision_says_is_left_out_of_the_catalogues() -> None:
    decisions = list(many_decisions())
    for decision in decisions:
        strips = ease_strips(decision)
        for text in (
            *(part for step in (*decision.reasons, *decision.remarks)
              for part in (step.title, step.answer, step.reason)),
            strips.heading, strips.alt, *(row.name for row in strips.rows),
            *re.findall(r">([^<]+)<", ease_chart(decision)),
        ):  # fmt: skip
            assert not_said(text) == [], text
    for old, new in pairwise(decisions):
        for row in redecided(old, new):
            assert not_said(f"{row.title} {row.old or ''} {row.new or ''}") == [], row
    codes = {change.code for one in decisions for change in one.changes}
    fits = {row.fit for one in decisions for row in one.ease}
    assert (len(codes), len(fits)) == (7, 4)


@pytest.mark.usefixtures("bracketed")
def test_nothing_that_a_comparison_or_a_headline_says_is_left_out() -> None:
    choices = [(demo_block(name), garment) for name in ("misses", "fuller")
               for garment in demo_block(name).garments]  # fmt: skip
    for high_bust in (700, 900, 1060, 1500):
        customer = on_block("9") | taped(high_bust=high_bust, full_bust=high_bust + 90)
        for some in (choices, choices[:1]):
            assert not_said(compare(customer, {}, some).reason) == []
    for decision in (decide(SHORT_AND_FULL, {}, BLOCK), decide(on_block("4"), {}, BLOCK)):
        view = SizeView.of(Sitting.model_construct(decision=decision.to_json()))
        assert view is not None
        assert not_said(f"{view.headline} {view.made_for}") == []


@pytest.mark.usefixtures("bracketed")
@pytest.mark.parametrize("name", ["misses", "fuller"])
def test_nothing_that_is_understood_of_a_block_is_left_out(name: Any) -> None:
    block = demo_block(name)
    # Garments are told by the names that stand in the file.
    numbered = {f"{n}": one for n, one in enumerate(block.garments.values())}
    garments = {number: replace(one, name=number) for number, one in numbered.items()}
    for line in block_lines(replace(block, garments=garments)):
        assert not_said(line) == [], line


@pytest.mark.usefixtures("bracketed")
def test_nothing_but_keys_and_values_of_a_block_problem_is_left_out() -> None:
    for key, content in WRONG_LINES:
        with pytest.raises(BlockProblem) as caught:
            block_from_toml(content.encode())
        told = caught.value.sentence
        rest = re.sub("⟦[^⟧]*⟧", " ", told)
        # Keys, the words that a line may have, and names of sizes.
        assert re.fullmatch(r"[\w\s.:,;\[\]()\-]*", rest), told
        assert key.split(" ")[-1] in rest
        assert f"{caught.value.advice}".startswith("⟦")
