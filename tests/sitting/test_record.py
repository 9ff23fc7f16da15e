import subprocess
import sys

import pytest
from pydantic import ValidationError

from ellwand.sitting import Measurement, Sitting, entry_of, findings_of
from ellwand.sitting.part import carried
from ellwand.sitting.record import QueryEntry
from ellwand.tape import Query

from .invented import findings


def test_a_new_sitting_says_what_it_is() -> None:
    content = Sitting().model_dump(mode="json")
    assert list(content)[:3] == ["format", "version", "unit"]
    assert (content["format"], content["version"], content["unit"]) == ("ellwand-sitting", 4, "cm")


def test_a_record_cannot_be_changed_in_place() -> None:
    with pytest.raises(ValidationError):
        Sitting().unit = "in"


def test_no_number_beyond_all_bounds_enters_a_record() -> None:
    with pytest.raises(ValidationError):
        Measurement(value_mm=float("inf"), u_mm=1.0, standing="read")


def test_findings_come_back_as_they_went_in_but_for_rounding() -> None:
    entry = entry_of(findings())
    back = findings_of(entry)
    assert entry_of(back) == entry
    assert back.estimates["waist"] == findings().estimates["waist"]
    assert back.estimates["arm_length"].value_mm == 561.23
    assert back.front.outline_px == ((1.0, 2.0), (3.0, 4.0), (5.56, 6.0))
    assert back.front.levels_px["waist"] == ((300.12, 900.0), (600.0, 900.0))
    assert back.front.landmarks_px["nose"] == (1500.5, 400.25, 1.0)
    assert back.front.references_px == findings().front.references_px
    assert back.side.problems == findings().side.problems
    assert back.scale.sources[0].mm_per_px == 0.987654
    assert back.scale.disagreement_z == 0.57
    assert back.joint == findings().joint


def test_what_lies_outside_and_the_joint_come_back_as_they_went_in() -> None:
    found = findings(correlation=0.5, outside=("height", "full hip"))
    back = findings_of(entry_of(found))
    assert back.outside == ("height", "full hip")
    assert back.joint == found.joint
    assert back.bust_difference == found.bust_difference


def test_full_bust_minus_high_bust_stands_in_the_record_with_its_own_bound() -> None:
    entry = entry_of(findings(correlation=0.5)).bust_difference
    assert entry is not None
    # 20 mm each, half of it shared: 400 + 400 - 2 * 200 = 20 * 20.
    assert (entry.value_mm, entry.u_mm, entry.low_mm, entry.high_mm) == (50.0, 20.0, 10.8, 89.2)


def test_a_query_comes_back_as_it_went_in() -> None:
    query = Query(
        "waist", "estimate", "Why.", "Do.", "A slip.", 3.25, 0.0012, "wrong unit", 760.5, None
    )
    assert QueryEntry.of(query).query("waist") == query
    bare = Query("waist", "order", "Why.", "Do.", against="high_hip", blocks=False)
    assert QueryEntry.of(bare).query("waist") == bare


def test_a_tiny_probability_keeps_its_order_of_magnitude() -> None:
    query = Query("waist", "estimate", "Why.", "Do.", z=-35.0, probability=1.2345e-200)
    assert QueryEntry.of(query).probability == 1.23e-200


def test_unknown_keys_are_carried_into_a_renewed_part_at_every_level() -> None:
    old = Sitting.model_validate(
        {
            "later": 1,
            "measurements": {
                "waist": {
                    "value_mm": 1,
                    "u_mm": 1,
                    "standing": "queried",
                    "later": {"a": [1]},
                    "queries": [
                        {"rule": "range", "sentence": "A.", "advice": "B.", "later": 2},
                        {"rule": "order", "sentence": "A.", "advice": "B.", "later": 3},
                    ],
                }
            },
        }
    )
    order = QueryEntry(rule="order", sentence="C.", advice="D.")
    waist = Measurement(value_mm=2, u_mm=2, standing="queried", queries=(order,))
    new = carried(Sitting(measurements={"waist": waist}), old)
    assert new.model_extra == {"later": 1}
    assert new.measurements["waist"].value_mm == 2
    assert new.measurements["waist"].model_extra == {"later": {"a": [1]}}
    assert new.measurements["waist"].queries[0].sentence == "C."
    assert new.measurements["waist"].queries[0].model_extra == {"later": 3}


def test_a_sitting_is_opened_without_the_image_libraries() -> None:
    code = "import sys, ellwand.sitting; print({'cv2', 'numpy', 'mediapipe'} & sys.modules.keys())"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
