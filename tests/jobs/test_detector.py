"""A detector process gives what this process would give, and its end is no end of the service."""

import contextlib
import io
import os
import pickle
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Literal

import psutil
import pytest
from PIL import Image

from ellwand.jobs.detecting import Answer, Failed, Found, Refused
from ellwand.jobs.detector import (
    DetectorFailed,
    DetectorLost,
    Detectors,
    DetectorStopped,
    TookTooLong,
    _Listening,
)

from ..servers import until
from .photos import FRONT, SIDE, detector_processes, findings, setup

SETUP = setup().model_dump_json()
PATIENT_S = 60.0


def found(detectors: Detectors) -> Found | Refused:
    """What the demo pair gives."""
    return detectors.estimate(FRONT, SIDE, SETUP, PATIENT_S)


def busy(detectors: Detectors) -> psutil.Process:
    """The one detector process, as soon as it measures."""
    seen: list[psutil.Process] = []

    def works() -> bool:
        for process in detector_processes():
            with contextlib.suppress(psutil.NoSuchProcess):
                if process.cpu_percent(0.02) > 20 and process.num_threads() > 3:
                    seen.append(process)
        return bool(seen)

    until(works)
    return seen[0]


def vast() -> bytes:
    """A photo of 49 megapixels in which nobody is seen."""
    data = io.BytesIO()
    Image.new("RGB", (7000, 7000), "white").save(data, "JPEG")
    return data.getvalue()


def test_findings_are_those_of_this_process(detectors: Detectors) -> None:
    answer = found(detectors)
    assert isinstance(answer, Found)
    assert answer.findings == findings()


def test_photos_that_cannot_be_used_are_refused_by_view(detectors: Detectors) -> None:
    answer = detectors.estimate(b"no photo", SIDE, SETUP, PATIENT_S)
    assert isinstance(answer, Refused)
    assert (answer.code, answer.status) == ("not-a-photo", 422)
    assert [one.severity for one in answer.problems["front"]] == ["refused"]
    assert "command" not in answer.advice


@pytest.mark.parametrize(
    ("view", "photo", "codes"),
    [("front", FRONT, []), ("side", SIDE, []), ("side", FRONT, ["shows-front"]),
     ("front", b"no photo", ["not-a-photo"])],
)  # fmt: skip
def test_one_photo_is_checked_alone(
    detectors: Detectors, view: Literal["front", "side"], photo: bytes, codes: list[str]
) -> None:
    answer = detectors.check(view, photo, SETUP, PATIENT_S)
    assert [one.code for one in answer.problems] == codes
    assert answer.refused == bool(codes)
    assert all(one.cue for one in answer.problems)


def test_what_was_typed_wrongly_is_refused_too(detectors: Detectors) -> None:
    answer = detectors.estimate(
        FRONT, SIDE, setup().model_copy(update={"stature": None}).model_dump_json(), PATIENT_S
    )
    assert isinstance(answer, Refused)
    assert (answer.code, answer.problems) == ("no-stature", {})


def test_of_a_mistake_of_ours_only_its_type_comes_out(detectors: Detectors) -> None:
    with pytest.raises(DetectorFailed) as caught:
        detectors.estimate(FRONT, SIDE, '{"stature": "165 cm"}', PATIENT_S)
    assert str(caught.value) == "ValidationError"
    assert caught.value.__cause__ is None


def test_it_has_no_files_sockets_or_secrets_open(detectors: Detectors) -> None:
    found(detectors)
    (process,) = detector_processes()
    status = Path(f"/proc/{process.pid}/status").read_text()
    assert "NoNewPrivs:\t1" in status
    assert "Seccomp:\t2" in status
    assert process.net_connections() == []
    opened = {str(one.readlink()) for one in Path(f"/proc/{process.pid}/fd").iterdir()}
    assert all(one == os.devnull or one.startswith(("pipe:", "anon_inode:")) for one in opened)
    limits = Path(f"/proc/{process.pid}/limits").read_text()
    for name in ("core file size", "file size"):
        assert f"Max {name}".ljust(26) + "0".ljust(21) + "0" in limits


@pytest.mark.parametrize("is_folder", [True, False])
def test_it_needs_no_home_and_leaves_nothing_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_folder: bool
) -> None:
    home = tmp_path / "home"
    home.mkdir() if is_folder else home.touch()
    monkeypatch.setenv("HOME", str(home))
    for name in ("MPLCONFIGDIR", "XDG_CACHE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    homeless = Detectors(1, 4_000)
    try:
        assert found(homeless).kind == "found"
    finally:
        homeless.close()
    assert [one.name for one in tmp_path.rglob("*")] == ["home"]


def test_a_detector_that_is_killed_is_replaced(detectors: Detectors) -> None:
    with ThreadPoolExecutor(1) as other:
        job = other.submit(found, detectors)
        busy(detectors).kill()
        with pytest.raises(DetectorLost):
            job.result(PATIENT_S)
    assert found(detectors).kind == "found"
    # Killed while it waits, it is held against no job.
    (process,) = detector_processes()
    process.kill()
    until(lambda: not psutil.pid_exists(process.pid))
    assert found(detectors).kind == "found"


def test_a_job_that_takes_too_long_is_ended_and_the_next_one_is_done(detectors: Detectors) -> None:
    with pytest.raises(TookTooLong):
        detectors.estimate(FRONT, SIDE, SETUP, 0.05)
    assert found(detectors).kind == "found"


def test_a_detector_that_runs_out_of_memory_is_lost() -> None:
    # Enough to start with (0.9 GB measured), not enough for a photo of 49 megapixels.
    small = Detectors(1, 1_150)
    try:
        with pytest.raises(DetectorLost):
            small.estimate(vast(), vast(), SETUP, PATIENT_S)
    finally:
        small.close()


def test_who_waits_is_told_when_detectors_are_closed() -> None:
    mine = Detectors(1, 4_000)
    with ThreadPoolExecutor(1) as other:
        job = other.submit(found, mine)
        until(lambda: mine._all[0]._under_way is not None)
        mine.close()
        with pytest.raises(DetectorStopped):
            job.result(PATIENT_S)


class Attack:
    """Something that runs code when it is unpickled."""

    def __reduce__(self) -> tuple[Any, ...]:
        return os.system, ("true",)


def test_what_a_detector_says_is_read_as_plain_data() -> None:
    from multiprocessing import Pipe

    reader, writer = Pipe(duplex=False)
    careful = _Listening(os.dup(reader.fileno()), writable=False)
    ran: list[int] = []
    for said in (pickle.dumps(Attack()), pickle.dumps(os.getcwd), b"no pickle"):
        writer.send_bytes(said)
        with pytest.raises(pickle.PicklingError):
            ran.append(careful.recv())
    writer.send({"plain": [1, 2.5, b"x"]})
    assert careful.recv() == {"plain": [1, 2.5, b"x"]}
    thread = threading.Thread(target=send_much, args=(writer,), daemon=True)
    thread.start()
    with pytest.raises(OSError):
        careful.recv()
    assert ran == []
    reader.close()
    careful.close()
    thread.join(10)
    writer.close()


def send_much(writer: Any) -> None:
    """More than any findings."""
    with contextlib.suppress(OSError):
        writer.send_bytes(bytes(5 << 20))


def test_an_answer_is_one_of_three() -> None:
    for one in (Failed(error="KeyError"), Found(findings=findings())):
        assert Answer.validate_json(Answer.dump_json(one)) == one
