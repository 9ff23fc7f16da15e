"""How what speaks against photos is said."""

import pytest

from ellwand.photo import problems
from ellwand.photo.problems import PhotosRefused, problem


@pytest.mark.parametrize("code", problems._ADVICE)
def test_every_case_says_what_is_wrong_and_what_to_do(code):
    told = problem(code)
    assert told.severity == "refused"
    assert told.advice.endswith(".")
    assert 2 <= told.advice.count(". ") + 1 <= 3 or ";" in told.advice or ":" in told.advice


@pytest.mark.parametrize("code", problems._ADVICE)
def test_every_case_has_a_cue_that_is_heard_in_one_breath(code):
    cue = problem(code).cue
    assert cue[0].isupper()
    assert cue.endswith(".")
    assert len(cue.split()) <= 18


def test_a_cue_may_know_more_than_the_code():
    told = problem("body-cropped", cue="Step back: your feet are cut off.")
    assert (told.cue, told.advice) == (
        "Step back: your feet are cut off.", problem("body-cropped").advice,
    )  # fmt: skip


def test_no_advice_no_problem():
    with pytest.raises(ValueError, match="no advice for moon"):
        problem("moon")


def test_a_refusal_speaks_of_both_photos_at_once():
    refused = PhotosRefused(
        {
            "front": (problem("arms-low", "warned"), problem("dark")),
            "side": (problem("blurred"),),
        }
    )
    assert (refused.code, refused.exit_code) == ("dark", 3)
    assert "The front photo can't be used: it is too dark" in str(refused)
    assert "The side photo can't be used: it is not sharp" in str(refused)
    assert "arms could be" not in str(refused)
