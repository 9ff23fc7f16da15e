"""`ellwand compare`: what has changed since the last card."""

import json
from datetime import date
from pathlib import Path

import pytest

from ellwand.card import (
    CardContent,
    CardRow,
    card_json,
    content_from_json,
    content_of,
    digest_of_json,
    side_of_card,
)
from ellwand.compare_screen import (
    cautions,
    comparison_json,
    comparison_lines,
    difference_words,
    numbers_words,
)
from ellwand.language import speaking
from ellwand.sitting import (
    Measurement,
    Sitting,
    read,
    save,
    side_of,
    sides_compared,
    sittings_compared,
    sized,
    with_findings,
)
from ellwand.sizing import demo_block

from .running import ellwand
from .sitting.invented import findings

SPRING, AUTUMN = date(2026, 3, 2), date(2026, 5, 4)
BEFORE = {
    "stature": ("168",),
    "high_bust": ("92", "92"),
    "full_bust": ("99", "99"),
    "waist": ("80", "80"),
    "full_hip": ("107", "107"),
}


def measured(on: date | None = SPRING, **others: tuple[str, ...]) -> Sitting:
    record = Sitting()
    for code, texts in (BEFORE | others).items():
        record = read(record, code, texts, on=on).record
    return record


# u of two equal readings: 5 mm in common, and 4/5 of 75 mm^2 over two, 7.42 mm; of the difference
# 10.49 mm. So 3 cm are 2.86 u, 1.5 cm are 1.43 u and 5 mm are 0.48 u; chances by a normal table.
OLD = sized(measured(hand=("20", "20")), demo_block())
NEW = sized(
    measured(AUTUMN, waist=("83", "83"), full_hip=("108.5", "108.5"), full_bust=("99.5", "99.5"),
             wrist=("16",)),
    demo_block(),
)  # fmt: skip


def parts(lines: list[str]) -> list[list[str]]:
    """Lines of each part that blank lines set off, folded lines joined."""
    found: list[list[str]] = []
    for part in "\n".join(lines).split("\n\n"):
        joined: list[str] = []
        for line in part.splitlines():
            # What goes on begins as far in as the line before, or farther; a sentence has ended.
            if joined and not joined[-1].endswith((".", ":")) and not line.startswith("  "):
                joined[-1] += f" {line}"
            else:
                joined.append(line.strip())
        found.append(joined)
    return found


def test_what_has_changed_stands_first_and_what_has_not_in_one_line_at_the_end() -> None:
    summary, rows, unchanged, *only = parts(comparison_lines(sittings_compared(OLD, NEW)))
    assert summary == ["1 measurement has clearly changed."]
    assert rows == [
        "Waist: 3.0 cm (1 1/8 in) more than 9 weeks before; that is more than the doubt of the "
        "tape.",
        "Before 80.0 cm (31 1/2 in), now 83.0 cm (32 5/8 in); over 99 % sure.",
        "Full hip: 1.5 cm (5/8 in) more than 9 weeks before; that may be only the doubt of the "
        "tape: measure again to be sure.",
        "Before 107.0 cm (42 1/8 in), now 108.5 cm (42 3/4 in); 84 % sure.",
    ]
    assert unchanged == ["No difference that the tape could show: height, high bust and full bust."]
    assert only[:2] == [
        ["Only in the earlier sitting: hand."],
        ["Only in the later sitting: wrist."],
    ]
    assert only[2][0].startswith("The percentage tells")


def test_the_same_is_told_in_german() -> None:
    found = sittings_compared(OLD, NEW)
    with speaking("de"):
        told, document = parts(comparison_lines(found)), json.loads(comparison_json(found))
    assert told[0] == ["1 Maß hat sich deutlich verändert."]
    assert told[1][:2] == [
        "Taillenumfang: 3,0 cm (1 1/8 Zoll) mehr als 9 Wochen zuvor; das ist mehr als die "
        "Unsicherheit des Maßbands.",
        "Vorher 80,0 cm (31 1/2 Zoll); jetzt 83,0 cm (32 5/8 Zoll); zu über 99 % sicher.",
    ]
    assert told[2] == [
        "Kein Unterschied, den das Maßband zeigen könnte: Körpergröße, Oberbrustumfang und "
        "Brustumfang."
    ]
    assert ["Nur beim früheren Mal: Handumfang."] in told
    # Codes, names and numbers are for programs.
    assert document == json.loads(comparison_json(found))
    with speaking("de"):
        (mind,) = parts(comparison_lines(sittings_compared(NEW, OLD)))[-1]
    assert mind == (
        "Bitte beachten: Messwerte der späteren Maßaufnahme sind älter als die der früheren; "
        "nennen Sie die frühere Datei zuerst."
    )


def test_a_line_begins_with_a_capital_in_either_language() -> None:
    for language in ("en", "de"):
        with speaking(language):
            high = comparison_lines(
                sittings_compared(measured(high_hip=("95", "95")), measured(high_hip=("99", "99")))
            )
            told = [line for part in parts([*high, "", *comparison_lines(
                sittings_compared(OLD, NEW))]) for line in part]  # fmt: skip
        assert [line for line in told if line[:1].islower()] == []
        assert any(line.startswith(("High hip: ", "Hoher Hüftumfang: ")) for line in told)


def test_one_unit_is_told_where_she_has_chosen_one() -> None:
    waist = next(row for row in sittings_compared(OLD, NEW).differences if row.code == "waist")
    assert difference_words(waist, "cm").startswith("Waist: 3.0 cm more than 9 weeks before")
    assert numbers_words(waist, "in") == "Before 31 1/2 in, now 32 5/8 in; over 99 % sure"


def test_the_size_decision_is_told_where_it_differs() -> None:
    told = parts(comparison_lines(sittings_compared(OLD, NEW)))[-1]
    assert told[:2] == ["Size decision:", "Sewing cup: before C, perhaps B; now C"]
    assert (
        "Full bust adjustment at the full bust: before 2.0 cm (3/4 in); now 2.5 cm (1 in)" in told
    )
    assert "Grading at the full hip: size 6; not needed before" in told
    back = next(
        part for part in parts(comparison_lines(sittings_compared(NEW, OLD)))
        if part[0] == "Size decision:"
    )  # fmt: skip
    assert "Grading at the full hip: no longer needed; before size 6" in back
    assert len(back) == len(told)


ALONE = "has a size decision; nothing to compare it with."


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (OLD, OLD, "The size decision is the same."),
        (measured(), measured(), "Neither sitting has a size decision."),
        (OLD, measured(), f"Only the earlier sitting {ALONE}"),
        (measured(), OLD, f"Only the later sitting {ALONE}"),
        (Sitting(), OLD, "The two sittings have no measurement in common."),
        (OLD, OLD, "No measurement has clearly changed."),
    ],
)
def test_what_there_is_nothing_to_say_of_is_said(old: Sitting, new: Sitting, line: str) -> None:
    assert line in comparison_lines(sittings_compared(old, new))


@pytest.mark.parametrize(
    ("later", "words"),
    [
        (SPRING, "earlier on the same day"),
        (date(2026, 3, 3), "1 day before"),
        (date(2026, 3, 8), "6 days before"),
        (date(2026, 3, 9), "1 week before"),
        (date(2026, 3, 22), "2 weeks before"),
        # In the wrong order, which is told besides.
        (date(2026, 2, 22), "before"),
    ],
)
def test_the_time_between_is_told_in_days_and_then_in_weeks(later: date, words: str) -> None:
    _, rows, *_ = parts(
        comparison_lines(sittings_compared(measured(), measured(later, waist=("90", "90"))))
    )
    assert f" more than {words}; that is" in rows[0]


def test_estimates_and_unsettled_readings_are_said_to_be_such() -> None:
    photos = with_findings(Sitting(), findings())
    once = read(Sitting(), "high_bust", ["92"]).record
    kept = Sitting(measurements={"waist": Measurement(value_mm=765, u_mm=7, standing="kept")})
    told = parts(comparison_lines(sittings_compared(photos, kept)))
    assert told[1] == ["No difference that the photos could show: waist."]
    far = Sitting(measurements={"waist": Measurement(value_mm=865, u_mm=7, standing="kept")})
    assert parts(comparison_lines(sittings_compared(photos, far)))[1] == [
        "Waist: 10.5 cm (4 1/8 in) more than before; that is more than the doubt of the photos.",
        "Before 76.0 cm (29 7/8 in) estimated from photos, now 86.5 cm (34 in) kept; over 99 % "
        "sure.",
    ]
    told = parts(comparison_lines(sittings_compared(once, photos)))
    assert told[1] == [
        "High bust: 2.0 cm (3/4 in) less than before; not judged, because not both are settled.",
        "Before 92.0 cm (36 1/4 in) read once, now 90.0 cm (35 3/8 in) estimated from photos.",
    ]
    # There is no percentage to be explained.
    assert not any("percentage" in line for part in told for line in part)


def test_a_limit_is_not_reached_by_rounding() -> None:
    def waist(value_mm: float) -> Sitting:
        held = Measurement(value_mm=value_mm, u_mm=10 / 2**0.5, standing="confirmed")
        return Sitting(measurements={"waist": held})

    # 1.959 u are 94.99 %, 1.96 u 95.00 %.
    for mm, told in ((19.59, "; 94 % sure"), (19.6, "; 95 % sure")):
        text = "\n".join(comparison_lines(sittings_compared(waist(800), waist(800 - mm))))
        assert told in text
        assert ("may be only the doubt" in text) == (told == "; 94 % sure")


def test_another_height_and_files_in_the_wrong_order_make_doubtful() -> None:
    assert cautions(sittings_compared(OLD, NEW)) == []
    (one,) = cautions(sittings_compared(NEW, OLD))
    assert "older" in one
    (one,) = cautions(sittings_compared(measured(), measured(stature=("175",))))
    assert "same customer" in one


def test_the_json_has_the_form_that_is_documented() -> None:
    told = json.loads(comparison_json(sittings_compared(OLD, NEW)))
    assert list(told) == [
        "format", "version", "measurements", "old_only", "new_only", "decision", "cautions",
    ]  # fmt: skip
    assert (told["format"], told["version"]) == ("ellwand-comparison", 1)
    for row in told["measurements"]:
        assert list(row) == [
            "code", "name", "old", "new", "difference_mm", "u_mm", "probability", "p_two_sided",
            "verdict", "estimated", "days_apart",
        ]  # fmt: skip
        assert list(row["old"]) == list(row["new"]) == ["value_mm", "u_mm", "standing"]
        for key in row:
            assert f"`{key}`" in (comparison_json.__doc__ or "")
    for key in told:
        assert f"`{key}`" in (comparison_json.__doc__ or "")
    waist = next(row for row in told["measurements"] if row["code"] == "waist")
    # 30 / 10.493 = 2.859, beyond which 0.42 % lie on both sides together.
    assert waist["difference_mm"] == 30.0
    assert waist["u_mm"] == pytest.approx(10.49, abs=0.01)
    assert waist["p_two_sided"] == pytest.approx(0.0042, abs=0.0001)
    assert waist["probability"] == pytest.approx(0.9979, abs=0.0001)
    assert (waist["verdict"], waist["estimated"], waist["days_apart"]) == ("changed", False, 63)
    assert (told["old_only"], told["new_only"]) == (["hand"], ["wrist"])
    assert told["decision"]["decided"] == "both"
    assert all(list(one) == ["title", "old", "new"] for one in told["decision"]["differences"])


def test_the_command_compares_two_files_and_changes_neither(tmp_path: Path) -> None:
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    save(old, OLD)
    save(new, NEW)
    before = old.read_bytes(), new.read_bytes()
    told = ellwand("compare", old, new)
    assert (told.code, told.err) == (0, "")
    assert told.out.splitlines() == comparison_lines(sittings_compared(OLD, NEW))
    assert max(map(len, told.out.splitlines())) <= 100
    printed = ellwand("compare", old, new, "--json")
    assert printed.code == 0
    assert printed.out == f"{comparison_json(sittings_compared(OLD, NEW))}\n"
    assert (old.read_bytes(), new.read_bytes()) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["new.json", "old.json"]


def test_a_file_that_is_no_sitting_is_refused_whichever_it_is(tmp_path: Path) -> None:
    good, card = tmp_path / "good.json", tmp_path / "card.json"
    save(good, OLD)
    card.write_text('{"format": "ellwand-card"}')
    for pair in ((good, card), (card, good)):
        told = ellwand("compare", *pair)
        assert (told.code, told.out) == (4, "")
        assert "This file is not a sitting." in told.err
    assert "no sitting file of this name" in ellwand("compare", good, tmp_path / "none").err
    assert ellwand("compare", good).code == 2


def card_of(record: Sitting, path: Path) -> str:
    """Write the card of a sitting as JSON; its figures."""
    data = card_json(content_of(record))
    path.write_bytes(data)
    return digest_of_json(data)


def test_a_card_does_for_the_earlier_sitting(tmp_path: Path) -> None:
    save(tmp_path / "old.json", OLD)
    save(tmp_path / "new.json", NEW)
    card_of(OLD, tmp_path / "card.json")
    by_sitting = ellwand("compare", tmp_path / "old.json", tmp_path / "new.json")
    by_card = ellwand("compare", tmp_path / "card.json", tmp_path / "new.json")
    assert by_card.code == 0
    assert by_card.out == by_sitting.out
    # Two cards do, too.
    card_of(NEW, tmp_path / "now.json")
    both = ellwand("compare", tmp_path / "card.json", tmp_path / "now.json")
    assert both.out == by_sitting.out


def test_a_card_that_was_changed_is_refused_by_its_figures(tmp_path: Path) -> None:
    old, new = tmp_path / "card.json", tmp_path / "new.json"
    figures = card_of(OLD, old)
    save(new, NEW)
    assert ellwand("compare", old, new, "--check", figures).code == 0
    old.write_text(old.read_text("utf-8").replace("800.0", "801.0"), encoding="utf-8")
    refused = ellwand("compare", old, new, "--check", figures)
    assert (refused.code, refused.out) == (2, "")
    assert "does not say what the printed card says" in refused.err


def test_what_is_neither_is_told_of_as_a_sitting(tmp_path: Path) -> None:
    save(tmp_path / "new.json", NEW)
    (tmp_path / "odd.json").write_text('{"format": "ellwand-card"}', encoding="utf-8")
    told = ellwand("compare", tmp_path / "odd.json", tmp_path / "new.json")
    assert told.code == 4
    assert "not a sitting" in told.err


@pytest.mark.parametrize("path", sorted((Path(__file__).parent / "card" / "files").iterdir()),
                         ids=lambda path: path.name)  # fmt: skip
def test_cards_of_past_versions_can_be_compared(path: Path) -> None:
    content = content_from_json(path.read_bytes())
    side = side_of_card(content)
    assert set(side.measurements) == {row.code for row in content.rows if row.low_mm is not None}
    found = sides_compared(side, side_of(NEW))
    assert {row.code for row in found.differences} == set(side.measurements) & set(NEW.measurements)


def test_a_measurement_without_an_interval_is_compared_with_nothing() -> None:
    rows = (
        CardRow("waist", 800.0, None, None, "confirmed", "tape"),
        CardRow("full_hip", 1070.0, 1050.4, 1089.6, "confirmed", "tape", on=SPRING),
    )
    side = side_of_card(CardContent(rows))
    assert list(side.measurements) == ["full_hip"]
    # 39.2 mm from end to end are twice 1.96 u.
    assert side.measurements["full_hip"].u_mm == pytest.approx(10.0)
    assert side.days == {"full_hip": SPRING}
