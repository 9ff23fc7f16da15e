"""What a sitting with photos puts on its card."""

import io
import json
import re
from dataclasses import replace
from datetime import date
from typing import Any

from pypdf import PdfReader

from ellwand.card import (
    as_eml,
    card_forms,
    card_json,
    card_message,
    card_pdf,
    content_of,
    digest_of,
    outside_words,
    photo_warnings,
)
from ellwand.card.content import CardRow
from ellwand.card.figures import in_words
from ellwand.card.passages import found_words, passages
from ellwand.photo.problems import problem
from ellwand.shown import showing_first
from ellwand.sitting import (
    Sitting,
    TypedSetup,
    entry_of,
    read,
    sized,
    with_findings,
    with_taking,
    with_typed_setup,
)
from ellwand.sizing import demo_block
from ellwand.tape import Taken

from ..sitting.invented import findings

PHOTOS = with_findings(Sitting(), findings(correlation=0.5))


def test_for_programs_it_is_the_same_whichever_unit_comes_first() -> None:
    record = with_taking(PHOTOS, "herself", "bra")
    for code, texts in {"stature": ["168"], "high_bust": ["90", "90.4"], "full_bust": ["96", "96"],
                        "hand": ["29"]}.items():  # fmt: skip
        record = read(record, code, texts).record
    record = sized(record, demo_block())
    usual = content_of(record)
    with showing_first("in"):
        other = content_of(record)
        assert card_json(other) == card_json(usual)
        assert digest_of(other) == digest_of(usual)
        text = card_forms(other).text
    assert re.search(r"Full bust: [\d/ ]+ ± [\d/ ]+ in \(96\.0 ± [\d.]+ cm\), confirmed", text)
    assert "Full bust: 96.0 ± " in card_forms(usual).text


def rows_of(record: Sitting) -> dict[str, CardRow]:
    return {row.code: row for row in content_of(record).rows}


def told_of(record: Sitting) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(card_json(content_of(record)))
    return told


def texts_under(record: Sitting, heading: str) -> list[str]:
    """Passages of one group of a card."""
    found, here = [], ""
    for part in passages(content_of(record)):
        here = part.heading or here
        if here == heading:
            found.append(part.text)
    return found


def test_an_estimate_says_when_it_uses_tape_readings() -> None:
    assert rows_of(PHOTOS)["waist"].how == "photos"
    record = read(PHOTOS, "full_hip", ["103", "103"]).record
    row, held = rows_of(record)["waist"], record.measurements["waist"]
    assert (row.standing, row.how) == ("estimated", "photos, using tape readings")
    assert row.low_mm == held.value_mm - 1.96 * held.u_mm
    before = rows_of(PHOTOS)["waist"]
    assert row.low_mm is not None
    assert row.high_mm is not None
    assert before.low_mm is not None
    assert before.high_mm is not None
    assert row.high_mm - row.low_mm < before.high_mm - before.low_mm
    # The length goes its own way.
    assert rows_of(record)["arm_length"] == rows_of(PHOTOS)["arm_length"]


def test_the_cup_from_photos_is_told_with_its_bound_until_both_girths_are_taped() -> None:
    heading = "Sewing cup from photos, rough"
    (words,) = texts_under(PHOTOS, heading)
    # 50 mm with a standard uncertainty of 20.
    assert in_words(50.0, 10.8, 89.2) == "5.0 ± 4.0 cm (2 ± 1 5/8 in)"
    assert words.replace("\N{NO-BREAK SPACE}", " ") == (
        "Full bust minus high bust: 5.0 ± 4.0 cm (2 ± 1 5/8 in). The cup itself waits for the tape."
    )
    assert told_of(PHOTOS)["bust_difference"] == {
        "value_mm": 50, "low_mm": 10.8, "high_mm": 89.2, "u_mm": 20
    }  # fmt: skip
    record = read(PHOTOS, "high_bust", ["90", "90"]).record
    (tighter,) = texts_under(record, heading)
    assert tighter != words
    record = read(record, "full_bust", ["95", "95"]).record
    assert texts_under(record, heading) == []
    assert told_of(record)["bust_difference"] is None


def test_how_far_repeats_scatter_stands_on_the_card_once_there_are_some() -> None:
    once = read(PHOTOS, "full_hip", ["103"]).record
    assert texts_under(once, "With the tape") == []
    (told,) = texts_under(read(once, "full_hip", ["103.4"]).record, "With the tape")
    assert told.startswith("Repeats of one measurement scatter by 0.3 cm")


def test_a_measurement_is_as_old_as_its_oldest_entry_that_counts() -> None:
    first, second = date(2026, 11, 3), date(2026, 11, 5)
    record = read(PHOTOS, "full_hip", ["103"], on=first).record
    record = read(record, "full_hip", ["103.4"], on=second).record
    row = rows_of(record)["full_hip"]
    assert (row.on, row.until) == (first, second)
    assert told_of(record)["repeats"]["measurements"] == 1
    corrected = read(record, "full_hip", ["104", "104"], instead=True, on=second).record
    assert rows_of(corrected)["full_hip"].on == second
    # A file from before entries had a day tells none, and so does one that is old only in part.
    assert rows_of(read(PHOTOS, "full_hip", ["103"]).record)["full_hip"].on is None
    partly = read(read(PHOTOS, "full_hip", ["103"]).record, "full_hip", ["103"], on=second).record
    assert rows_of(partly)["full_hip"].on is None
    assert rows_of(PHOTOS)["waist"].on is None


def test_each_measurement_says_who_held_the_tape_what_was_worn_and_when() -> None:
    first, second = date(2026, 11, 3), date(2026, 11, 5)
    record = read(with_taking(PHOTOS, "herself", "close-top"), "full_hip", ["103"], on=first).record
    record = read(record, "wrist", ["16", "16"], on=first).record
    record = read(with_taking(record, "somebody"), "full_hip", ["103"], on=second).record
    assert rows_of(record)["full_hip"].taken == (
        Taken("herself", "close-top"), Taken("somebody", "close-top")
    )  # fmt: skip
    # No clothes lie under the tape at a wrist, and no tape was held for photos.
    assert rows_of(record)["wrist"].taken == (Taken("herself"),)
    assert rows_of(record)["waist"].taken == ()
    assert {
        code: found_words(rows_of(record)[code]) for code in ("full_hip", "wrist", "waist")
    } == {
        "full_hip": "tape, 2 readings, measured partly by herself, in a close top, partly by "
        "somebody with her, in a close top, from 3 to 5 November 2026",
        "wrist": "tape, 2 readings, measured by herself, on 3 November 2026",
        "waist": "photos, using tape readings",
    }
    told = {row["code"]: row for row in told_of(record)["rows"]}
    assert told["full_hip"]["taken"] == [
        {"measured_by": "herself", "worn": "close-top"},
        {"measured_by": "somebody", "worn": "close-top"},
    ]
    assert (told["full_hip"]["taken_on"], told["full_hip"]["taken_until"]) == (
        "2026-11-03", "2026-11-05"
    )  # fmt: skip


def test_a_cup_from_two_layers_is_not_certain_with_a_decision_and_without() -> None:
    record = PHOTOS
    for code, worn in (("high_bust", "bra"), ("full_bust", "close-top"), ("stature", "bra")):
        mm = {"high_bust": "90", "full_bust": "95", "stature": "168"}[code]
        record = read(with_taking(record, worn=worn), code, [mm, mm]).record  # type: ignore[arg-type]
    for one in (record, sized(record, demo_block())):
        told = [text for text in texts_under(one, "Not certain") if "over the same" in text]
        assert len(told) == 1
        assert told[0].startswith("High bust and full bust were not measured over the same")
    assert not any("over the same" in text for text in texts_under(PHOTOS, "Not certain"))


def test_a_body_outside_what_the_estimates_stand_for_is_told_plainly_and_once() -> None:
    found = findings(outside=("height", "full hip"))
    unusual = problem("unusual-body", "warned")
    found = replace(
        found,
        front=replace(found.front, problems=(unusual,)),
        side=replace(found.side, problems=(unusual,)),
    )
    record = with_findings(Sitting(), found)
    words = outside_words(found.outside)
    assert "height and full hip" in words
    assert texts_under(record, "Not certain") == [words]
    assert told_of(record)["outside"] == ["height", "full hip"]
    assert told_of(record)["warnings"] == [words]
    assert told_of(PHOTOS)["outside"] == []


def test_an_older_sitting_that_has_only_the_remark_still_tells_it() -> None:
    unusual = problem("unusual-body", "warned")
    found = findings()
    both = replace(
        found,
        front=replace(found.front, problems=(unusual,)),
        side=replace(found.side, problems=(unusual,)),
    )
    entry = entry_of(both)
    assert photo_warnings(entry) == (f"Photos: {unusual.advice}",)


def test_a_weight_is_on_no_card_and_in_no_mail() -> None:
    typed = TypedSetup(stature="168 cm", reference="marker-sheets")
    silent = with_typed_setup(PHOTOS, typed)
    told = with_typed_setup(PHOTOS, replace(typed, weight="71.37 kg"))
    assert told != silent
    pdf, for_programs = card_pdf(content_of(told)), card_json(content_of(told))
    assert (pdf, for_programs) == (card_pdf(content_of(silent)), card_json(content_of(silent)))
    forms = card_forms(content_of(told))
    assert forms == card_forms(content_of(silent))
    mail = as_eml(card_message(forms, "cards@loft.example"))
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    # Only words: a file that is written out in base64 may have any letters.
    texts = (page.extract_text(), for_programs.decode(), forms.text, forms.html)
    assert b"71.37" not in mail
    for text in texts:
        assert "71.37" not in text
        assert "weight" not in text.lower()
