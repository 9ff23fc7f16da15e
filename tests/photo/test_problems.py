"""How what speaks against photos is said."""

import pytest

from ellwand.language import speaking
from ellwand.photo import files, problems
from ellwand.photo.problems import PhotosRefused, of_file, problem, said


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


def test_advice_and_cue_are_kept_in_english_and_said_in_the_language_spoken():
    with speaking("de"):
        told = problem("dark")
        assert said(told.advice) == (
            "Es ist zu dunkel. Machen Sie mehr Licht, oder wenden Sie sich einem Fenster zu, und "
            "nehmen Sie es noch einmal auf."
        )
        assert said(told.cue) == "Es ist zu dunkel. Machen Sie mehr Licht."
    assert told == problem("dark")
    assert (said(told.advice), said(told.cue)) == (told.advice, told.cue)


def test_a_problem_of_a_file_is_kept_in_english_and_said_in_whole_sentences():
    with speaking("de"):
        told = of_file(files.too_large())
        assert (
            said(told.advice)
            == said(told.cue)
            == (
                "Dieses Foto hat mehr als 50 Millionen Bildpunkte. Stellen Sie die Kamera auf eine "
                "übliche Größe, 8 bis 12 Megapixel, und nehmen Sie es noch einmal auf."
            )
        )
    assert said(told.advice) == (
        "this photo has more than 50 million pixels. Set the camera to an ordinary size, 8 to 12 "
        "megapixels, and take it again."
    )
    assert said(told.cue) == f"T{told.advice[1:]}"


def test_what_was_kept_before_a_text_was_changed_is_said_as_it_is():
    with speaking("de"):
        assert said("an advice of long ago.") == "an advice of long ago."


def test_a_refused_pair_is_told_in_the_language_spoken_then():
    refused = PhotosRefused({"front": (problem("dark"),), "side": (problem("blurred"),)})
    with speaking("de"):
        assert refused.sentence.startswith("Das Foto von vorn kann nicht verwendet werden: Es ist")
        assert " Das Foto von der Seite kann nicht verwendet werden: Es ist nicht" in str(refused)
        assert refused.advice.endswith("geben Sie dann wieder beide Fotos an.")
    assert str(refused).startswith("The front photo can't be used: it is too dark")
