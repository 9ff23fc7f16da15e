import json
import os
import stat
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.errors import SittingProblem
from ellwand.sitting import (
    Editing,
    Sitting,
    dump,
    editing,
    load,
    load_or_new,
    parse,
    read,
    rejudged,
    save,
    with_findings,
)
from ellwand.sitting import file as sitting_file
from ellwand.sitting.record import VERSION

from .invented import findings

FILES = sorted((Path(__file__).parent / "files").glob("v*.json"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "sitting.json"


def code_of(path: Path) -> str:
    with pytest.raises(SittingProblem) as caught:
        load(path)
    assert str(path) not in str(caught.value)
    return caught.value.code


def test_what_is_saved_is_loaded(path: Path) -> None:
    record = read(with_findings(Sitting(unit="in"), findings()), "waist", ["30 1/8"]).record
    save(path, record)
    assert load(path) == record


def test_the_same_record_gives_the_same_bytes(path: Path) -> None:
    record = with_findings(Sitting(), findings())
    save(path, record)
    first = path.read_bytes()
    for _ in range(3):
        save(path, load(path))
        assert path.read_bytes() == first


@pytest.mark.skipif(sys.platform == "win32", reason="no such permissions there")
def test_only_the_owner_can_read_the_file(path: Path) -> None:
    path.touch(mode=0o644)
    save(path, Sitting())
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_file_is_json_with_two_spaces_and_letters_of_every_script(path: Path) -> None:
    record = Sitting.model_validate({"note": "Maße, размеры"})
    save(path, record)
    text = path.read_text("utf-8")
    assert text.startswith('{\n  "format": "ellwand-sitting",\n  "version": 4,\n')
    assert text.endswith('  "note": "Maße, размеры"\n}\n')


def test_nothing_is_left_beside_the_file(path: Path) -> None:
    with editing(path, begin_in="cm") as edit:
        edit.record = read(edit.record, "waist", ["76"]).record
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_a_link_stays_a_link(path: Path) -> None:
    link = path.with_name("link.json")
    link.symlink_to(path)
    with editing(link, begin_in="cm"):
        pass
    assert link.is_symlink()
    assert load(path) == Sitting()


def test_a_missing_file_is_a_problem_unless_a_sitting_may_begin(path: Path) -> None:
    assert code_of(path) == "sitting-missing"
    assert load_or_new(path, "in") == Sitting(unit="in")
    with pytest.raises(SittingProblem), editing(path):
        pass
    assert not path.exists()


def test_a_folder_is_no_sitting(tmp_path: Path) -> None:
    assert code_of(tmp_path) == "sitting-unreadable"
    with pytest.raises(SittingProblem):
        load_or_new(tmp_path)


NESTED = b'{"format": "ellwand-sitting", "version": 1, "deep": ' + b"[" * 99_999 + b"]" * 99_999
BROKEN: list[tuple[bytes, str]] = [
    (b"", "sitting-broken"),
    (b"{", "sitting-broken"),
    (b"\xff\xfe", "sitting-broken"),
    (b"[]", "sitting-foreign"),
    (b"{}", "sitting-foreign"),
    (b'{"format": "other", "version": 1}', "sitting-foreign"),
    (b'{"format": "ellwand-sitting", "version": 5}', "sitting-newer"),
    (b'{"format": "ellwand-sitting", "version": 99, "unit": "ell"}', "sitting-newer"),
    (b'{"format": "ellwand-sitting"}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 0}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": "1"}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 1, "unit": "mm"}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 1, "later": NaN}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 1, "later": 1e999}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 1, "a": 1, "a": 2}', "sitting-broken"),
    (b'{"format": "ellwand-sitting", "version": 1, "later": "\\ud800"}', "sitting-broken"),
    (NESTED + b"}", "sitting-broken"),
    (b" " * (sitting_file.LARGEST_FILE_BYTES + 1), "sitting-broken"),
]


@pytest.mark.parametrize(("data", "code"), BROKEN, ids=range(len(BROKEN)))
def test_a_file_that_is_no_sitting_is_told_and_left_untouched(
    path: Path, data: bytes, code: str
) -> None:
    path.write_bytes(data)
    assert code_of(path) == code
    with pytest.raises(SittingProblem, match="untouched"), editing(path, begin_in="cm"):
        pass
    assert path.read_bytes() == data


def test_a_text_in_place_of_a_number_is_named_by_its_part(path: Path) -> None:
    content = json.loads(dump(Sitting()))
    content["readings"] = {"waist": [{"raw": "76", "mm": "760", "unit": "cm"}]}
    path.write_text(json.dumps(content), "utf-8")
    with pytest.raises(SittingProblem, match="something in readings") as caught:
        load(path)
    assert "760" not in str(caught.value)


@given(st.binary() | st.text().map(str.encode))
def test_any_bytes_are_a_sitting_or_a_sitting_problem(data: bytes) -> None:
    try:
        parse(data)
    except SittingProblem as problem:
        assert problem.advice


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.text(st.characters(codec="utf-8"), max_size=12), inner, max_size=3),
    max_leaves=8,
)  # fmt: skip


@given(st.sampled_from(FILES), st.data())
def test_a_file_with_any_part_exchanged_is_read_or_refused(file: Path, data: st.DataObject) -> None:
    content = json.loads(file.read_text("utf-8"))
    at: Any = content
    key = data.draw(st.sampled_from(sorted(at)))
    while isinstance(at[key], dict) and at[key] and data.draw(st.booleans()):
        at = at[key]
        key = data.draw(st.sampled_from(sorted(at)))
    at[key] = data.draw(JSON)
    try:
        record = parse(json.dumps(content).encode())
    except SittingProblem:
        return
    assert parse(dump(record)) == record


KEYS = st.text(st.characters(codec="utf-8"), max_size=12).map(lambda key: f"x{key}")


@given(st.dictionaries(KEYS | st.sampled_from(["model_config", "__class__", "copy"]), JSON))
def test_unknown_keys_of_any_kind_survive(extra: dict[str, Any]) -> None:
    content = json.loads(dump(Sitting())) | extra
    record = rejudged(parse(json.dumps(content).encode()))
    again = json.loads(dump(record))
    assert {key: again[key] for key in extra} == extra
    assert list(again)[-len(extra) :] == list(extra) or not extra


def test_a_crash_before_the_rename_leaves_the_old_file_whole(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(path, Sitting(unit="in"))
    before = path.read_bytes()

    def crash(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(os, "replace", crash)
        save(path, Sitting())
    assert path.read_bytes() == before
    assert [one.name for one in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize("step", ["replace", "fsync"])
def test_a_failing_disk_is_told_and_leaves_the_old_file_whole(
    path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    save(path, Sitting(unit="in"))
    before = path.read_bytes()

    def fail(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch, pytest.raises(SittingProblem) as caught:
        patch.setattr(os, step, fail)
        save(path, Sitting())
    assert caught.value.code == "sitting-unwritable"
    assert path.read_bytes() == before
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(SittingProblem) as caught, editing(tmp_path / "no" / "a.json", "cm"):
        pass
    assert caught.value.code == "sitting-unwritable"


def test_the_file_is_written_and_synced_before_the_rename(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []

    def note(name: str, real: Callable[..., None]) -> Callable[..., None]:
        def noted(*args: object) -> None:
            steps.append(name)
            real(*args)

        return noted

    for name in ("fsync", "replace"):
        monkeypatch.setattr(os, name, note(name, getattr(os, name)))
    save(path, Sitting())
    assert steps == (["fsync", "replace"] if sys.platform == "win32" else
                     ["fsync", "replace", "fsync"])  # fmt: skip


def test_nothing_is_written_when_an_edit_fails(path: Path) -> None:
    save(path, Sitting())
    before = path.read_bytes()
    with pytest.raises(ZeroDivisionError), editing(path) as edit:
        edit.record = read(edit.record, "waist", ["76"]).record
        raise ZeroDivisionError
    assert path.read_bytes() == before


def test_commands_at_the_same_time_lose_no_reading(path: Path) -> None:
    def one(number: int) -> None:
        with editing(path, begin_in="cm") as edit:
            edit.record = read(edit.record, "waist", [f"{70 + number}"]).record

    threads = [threading.Thread(target=one, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(row.mm for row in load(path).readings["waist"]) == [
        700.0 + 10 * number for number in range(12)
    ]


def test_a_sitting_under_edit_elsewhere_is_told(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sitting_file, "LOCK_WAIT_S", 0.1)
    with editing(path, begin_in="cm") as outer:
        assert isinstance(outer, Editing)
        with pytest.raises(SittingProblem) as caught, editing(path, begin_in="cm"):
            pass
        assert caught.value.code == "sitting-busy"
    assert load(path) == Sitting()


def test_a_lock_on_a_file_that_was_removed_meanwhile_does_not_count(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock = path.with_name(f".{path.name}.lock")
    real, tries = sitting_file._try_lock, []

    def lock_late(handle: int) -> bool:
        tries.append(handle)
        if len(tries) == 1:
            lock.unlink()
        return real(handle)

    monkeypatch.setattr(sitting_file, "_try_lock", lock_late)
    with editing(path, begin_in="cm"):
        assert len(tries) == 2
        assert lock.exists()


def held(new: Any, old: Any) -> bool:
    """Whether a part of a file has all that an older one had."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(held(new.get(key), old[key]) for key in old)
    if isinstance(old, list):
        return len(new) == len(old) and all(map(held, new, old))
    return bool(new == old)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_files_of_past_versions_are_loaded_and_written_back_whole(file: Path) -> None:
    old, new = json.loads(file.read_text("utf-8")), json.loads(dump(load(file)))
    assert held(new, old | {"version": VERSION})
    assert dump(parse(dump(load(file)))) == dump(load(file))
    assert load(file).readings == rejudged(load(file)).readings


@pytest.mark.parametrize("file", [file for file in FILES if file.name.startswith(f"v{VERSION}")])
def test_files_of_this_version_are_written_back_as_they_are(file: Path) -> None:
    assert dump(load(file)) == file.read_bytes()


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_what_was_entered_stays_though_it_may_be_judged_otherwise_than_it_was(file: Path) -> None:
    old, new = load(file), rejudged(load(file))
    assert (new.readings, new.keeps, new.findings) == (old.readings, old.keeps, old.findings)
    assert rejudged(new) == new


def test_girths_of_a_file_of_version_1_tell_nothing_of_one_another() -> None:
    record = load(next(f for f in FILES if f.name == "v1-full-with-later-keys.json"))
    assert record.findings is not None
    assert record.findings.joint is None
    before = {code: one.value_mm for code, one in record.estimates().items()}
    after = read(record, "high_hip", ["94", "94.2"]).record
    assert after.measurements["high_hip"].standing == "confirmed"
    for code, held_now in after.measurements.items():
        if held_now.standing == "estimated":
            assert (held_now.value_mm, held_now.tightened_by) == (before[code], ())


@pytest.mark.parametrize(
    "joint",
    [
        {"codes": ["waist"], "mean_mm": [760.0, 1.0], "covariance_mm2": [[400.0]]},
        {"codes": ["waist"], "mean_mm": [1e300], "covariance_mm2": [[400.0]]},
        {"codes": ["waist"], "mean_mm": [760.0], "covariance_mm2": [[-1.0]]},
        {"codes": ["waist"], "mean_mm": [760.0], "covariance_mm2": [[1e300]]},
        {
            "codes": ["waist", "high_hip"],
            "mean_mm": [760.0, 920.0],
            "covariance_mm2": [[400.0, 401.0], [401.0, 400.0]],
        },
        {
            "codes": ["waist", "high_hip"],
            "mean_mm": [760.0, 920.0],
            "covariance_mm2": [[400.0, 100.0], [90.0, 400.0]],
        },
    ],
)
def test_what_is_no_joint_distribution_is_refused(path: Path, joint: dict[str, Any]) -> None:
    content = json.loads(dump(with_findings(Sitting(), findings())))
    content["findings"]["joint"] = joint
    path.write_text(json.dumps(content), "utf-8")
    assert code_of(path) == "sitting-broken"
