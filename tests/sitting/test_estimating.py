"""The chain from photo files to findings: what it asks of its parts, and in which order."""

import io
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from PIL import Image

from ellwand.errors import PhotoProblem
from ellwand.girth.setup import SetUp
from ellwand.photo.problems import PhotosRefused, problem
from ellwand.sitting import check_photo, estimate_photos, load, read_photo_files

from ..running import ellwand
from .invented import findings

SET_UP = SetUp(1680.0, "marker-sheets")
FACING = {"front": 0.0, "side": 90.0}


def photo(width: int = 900) -> bytes:
    """A photo of nothing."""
    data = io.BytesIO()
    Image.new("RGB", (width, 1200)).save(data, "JPEG")
    return data.getvalue()


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What is seen in either photo, to be changed by a test."""
    looks: dict[str, Any] = {
        view: SimpleNamespace(
            problems=(),
            body=SimpleNamespace(turned_deg=turned),
            width_px=900,
            height_px=1200,
            focal_35mm=None,
            references=(),
        )
        for view, turned in FACING.items()
    }
    monkeypatch.setattr("ellwand.photo.traced.as_kept", lambda look: look)
    monkeypatch.setattr("ellwand.photo.look.look_at", lambda _photo, view, *_: looks[view])
    monkeypatch.setattr("ellwand.girth.posterior.estimate", lambda *_: findings())
    return looks


def refused(front: bytes, side: bytes) -> dict[str, list[str]]:
    """Codes that either photo is refused for."""
    with pytest.raises(PhotosRefused) as caught:
        estimate_photos(front, side, SET_UP, lambda _: None)
    return {
        view: [one.code for one in problems if one.severity == "refused"]
        for view, problems in caught.value.problems.items()
    }


def test_two_good_photos_give_findings(seen: dict[str, Any]) -> None:
    told: list[str] = []
    assert estimate_photos(photo(), photo(), SET_UP, told.append) == findings()
    assert told == ["front photo: opening it", "side photo: opening it"]


def test_problems_of_both_photos_are_gathered_before_either_is_refused(
    seen: dict[str, Any],
) -> None:
    seen["front"].problems = (problem("blurred"), problem("arms-low", "warned"))
    assert refused(photo(), b"no photo") == {"front": ["blurred"], "side": ["not-a-photo"]}
    seen["side"] = (problem("nobody"),)
    assert refused(photo(600), photo()) == {"front": ["blurred"], "side": ["nobody"]}
    assert refused(photo(100)[:200], photo()) == {"front": ["damaged"], "side": ["nobody"]}


def test_a_warning_alone_refuses_nothing(seen: dict[str, Any]) -> None:
    seen["front"].problems = (problem("arms-low", "warned"),)
    estimate_photos(photo(), photo(), SET_UP, lambda _: None)


def test_exchanged_photos_are_refused_for_that_alone(seen: dict[str, Any]) -> None:
    for view, turned in (("front", 85.0), ("side", 3.0)):
        seen[view].body.turned_deg = turned
        seen[view].problems = (problem("turned"),)
    both = {"front": ["views-exchanged"], "side": ["views-exchanged"]}
    assert refused(photo(), photo()) == both


def test_a_file_s_own_problem_goes_on_from_the_photo_s_name() -> None:
    with pytest.raises(PhotosRefused, match="The side photo can't be used: this file is not"):
        estimate_photos(photo(), b"", SET_UP, lambda _: None)


def test_files_that_cannot_be_opened_are_all_named(tmp_path: Path) -> None:
    (tmp_path / "side.jpg").write_bytes(photo())
    with pytest.raises(PhotosRefused) as caught:
        read_photo_files({"front": tmp_path / "no.jpg", "side": tmp_path / "side.jpg"})
    assert [one.code for one in caught.value.problems["front"]] == ["photo-missing"]
    assert caught.value.problems["side"] == ()
    assert str(tmp_path) not in str(caught.value)


def test_what_speaks_against_both_photos_together_is_told_of_both(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seen: dict[str, Any]
) -> None:
    def fail(*_: object) -> None:
        raise PhotoProblem("outline-not-seen", "It is not seen.", "Take both again.")

    monkeypatch.setattr("ellwand.girth.posterior.estimate", fail)
    for view in seen:
        (tmp_path / view).write_bytes(photo())
    told = ellwand(
        "estimate", tmp_path / "s.json", "--front", tmp_path / "front", "--side", tmp_path / "side",
        "--stature", "168", "--reference", "marker-sheets", "--json",
    )  # fmt: skip
    assert told.code == 3
    assert told.err.endswith("It is not seen. Take both again.\n")
    for view in seen:
        assert json.loads(told.out)["photos"][view]["problems"] == [
            {"code": "outline-not-seen", "severity": "refused",
             "advice": "It is not seen. Take both again."}
        ]  # fmt: skip
    assert load(tmp_path / "s.json").findings is None


@pytest.mark.parametrize("view", ["front", "side"])
def test_one_photo_is_judged_alone_as_both_are_together(
    seen: dict[str, Any], view: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert check_photo(view, photo(), SET_UP) == ()
    seen[view].problems = (problem("turned"), problem("leaning"))
    assert [one.code for one in check_photo(view, photo(), SET_UP)] == ["turned", "leaning"]
    monkeypatch.setattr("ellwand.girth.posterior.looks_oblique", lambda *_: True)
    assert [one.code for one in check_photo(view, photo(), SET_UP)] == ["too-oblique", "leaning"]
    assert [one.code for one in check_photo(view, b"no photo", SET_UP)] == ["not-a-photo"]
