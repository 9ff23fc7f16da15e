"""What runs inside a detector process: it confines itself, then measures photos, and no more.

It has no key, no database and no settings; what comes out is one JSON text.
"""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from ellwand.errors import EllwandError
from ellwand.jobs import confinement
from ellwand.language import gettext_noop
from ellwand.sitting.record import FindingsEntry, ProblemEntry, Setup

# Exit codes of a detector that ends itself: out of memory, and not able to confine itself.
OUT_OF_MEMORY, NOT_CONFINED = 71, 72
_OF_SYSTEM = ("/usr/lib", "/lib", "/lib64", "/etc/ld.so.cache", "/sys/devices/system/cpu",
              "/proc/cpuinfo", "/dev/urandom")  # fmt: skip
_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


class _Answer(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class Found(_Answer):
    """The photos can be measured."""

    kind: Literal["found"] = "found"
    findings: FindingsEntry
    """What was found."""


class Refused(_Answer):
    """The photos cannot be used; the customer can put it right."""

    kind: Literal["refused"] = "refused"
    code: str = Field(max_length=64)
    """Short name of the case."""
    sentence: str = Field(max_length=8000)
    """What is wrong, in English."""
    advice: str = Field(max_length=2000)
    """What to do next, in English."""
    values: dict[str, str | int] = {}
    """What is put into both, where they have names in braces."""
    status: int = 422
    """HTTP status that it is answered with."""
    problems: dict[Literal["front", "side"], tuple[ProblemEntry, ...]]
    """What speaks against either photo."""

    @property
    def texts(self) -> tuple[str, str]:
        """Both, as an error has them."""
        return self.sentence, self.advice


class CueEntry(ProblemEntry):
    """Something that speaks against a photo, told to who still stands at the wall."""

    cue: str = Field(max_length=400)
    """What to do at once, in a few words."""


class Checked(_Answer):
    """What speaks against one photo, or nothing."""

    kind: Literal["checked"] = "checked"
    problems: tuple[CueEntry, ...]
    """All that was found."""

    @property
    def refused(self) -> bool:
        """Whether no estimate can be made from it."""
        return any(one.severity == "refused" for one in self.problems)


class Failed(_Answer):
    """A mistake of our own."""

    kind: Literal["failed"] = "failed"
    error: str = Field(max_length=100)
    """Type of what was raised; its message may hold what is private."""


Answer = TypeAdapter[Found | Checked | Refused | Failed](
    Annotated[Found | Checked | Refused | Failed, Field(discriminator="kind")]
)


def begin(parent: int, memory_bytes: int) -> None:
    """Confine this process for good, then load what it needs.

    Args:
        parent: id of the process that it dies with.
        memory_bytes: its address space.
    """
    # Before the numeric libraries come in: each detector has one core to itself.
    for name in _ONE_THREAD:
        os.environ[name] = "1"
    try:
        confinement.stand_back()
        _silence()
        confinement.die_with_parent(parent)
        confinement.limit_resources(memory_bytes)
        confinement.forbid_sockets()
        _load()
        confinement.see_only(_libraries(), [Path(os.devnull)])
        _warm_up()
    except MemoryError:
        os._exit(OUT_OF_MEMORY)
    except OSError:
        os._exit(NOT_CONFINED)


def look(front: bytes, side: bytes, setup: str) -> bytes:
    """Measure two photos.

    Args:
        front: the front photo's file.
        side: the side photo's file.
        setup: how they were taken, JSON of `Setup`.

    Returns:
        JSON of `Answer`.
    """
    return _answered(lambda: _look(front, side, setup))


def look_alone(view: Literal["front", "side"], photo: bytes, setup: str) -> bytes:
    """Check one photo.

    Args:
        view: which photo it is meant to be.
        photo: its file.
        setup: how it was taken, JSON of `Setup`.

    Returns:
        JSON of `Answer`.
    """
    return _answered(lambda: _look_alone(view, photo, setup))


def correct(findings: str, setup: str, asked: str) -> bytes:
    """Work findings out anew with lines put right by hand; no photo is needed.

    Args:
        findings: as they are, JSON of `FindingsEntry`.
        setup: how their photos were taken, JSON of `Setup`.
        asked: what is to be put right, JSON of `Asked`.

    Returns:
        JSON of `Answer`.
    """
    return _answered(lambda: _correct(findings, setup, asked))


def _answered(work: Callable[[], "Found | Checked | Refused | Failed"]) -> bytes:
    """What comes of some work; whatever goes wrong stays here."""
    answer: Found | Checked | Refused | Failed
    try:
        answer = work()
    except MemoryError:
        # A process that ran out of memory is not to be trusted with the next photos.
        os._exit(OUT_OF_MEMORY)
    except Exception as error:  # whatever it is, its message stays here
        if _is_out_of_memory(error):
            os._exit(OUT_OF_MEMORY)
        answer = Failed(error=type(error).__name__)
    return Answer.dump_json(answer)


def _look(front: bytes, side: bytes, setup: str) -> Found | Refused | Failed:
    from ellwand.photo.problems import PhotosRefused
    from ellwand.sitting import entry_of, estimate_photos, set_up_of

    problems: dict[Literal["front", "side"], tuple[ProblemEntry, ...]] = {}
    try:
        told = Setup.model_validate_json(setup)
        findings = estimate_photos(front, side, set_up_of(told), lambda _: None)
        return Found(findings=entry_of(findings, told))
    except PhotosRefused as refusal:
        for view, found in refusal.problems.items():
            problems[view] = tuple(
                ProblemEntry(code=one.code, severity=one.severity, advice=one.advice)
                for one in found
            )
        advice = (
            gettext_noop("Change what was chosen, and send both photos once more.")
            if refusal.of_choices
            else gettext_noop("Take both photos again, or choose others, and send them.")
        )
        return Refused(
            code=refusal.code, sentence=refusal.sentence, advice=advice, problems=problems
        )
    except EllwandError as error:
        return _refused(error)


def _correct(findings: str, setup: str, asked: str) -> Found | Refused | Failed:
    from ellwand.sitting import Asked, corrected_findings

    try:
        return Found(
            findings=corrected_findings(
                FindingsEntry.model_validate_json(findings),
                Setup.model_validate_json(setup),
                TypeAdapter(Asked).validate_json(asked),
            )
        )
    except EllwandError as error:
        return _refused(error)


def _refused(error: EllwandError) -> Refused:
    sentence, advice = error.texts
    return Refused(
        code=error.code,
        sentence=sentence,
        advice=advice,
        # A name of a measurement stays the plain English one.
        values={
            name: value if isinstance(value, int) else str(value)
            for name, value in error.values.items()
        },
        status=error.http_status,
        problems={},
    )


def _look_alone(view: Literal["front", "side"], photo: bytes, setup: str) -> Checked:
    from ellwand.sitting import check_photo, set_up_of

    found = check_photo(view, photo, set_up_of(Setup.model_validate_json(setup)))
    return Checked(
        problems=tuple(
            CueEntry(code=one.code, severity=one.severity, advice=one.advice, cue=one.cue)
            for one in found
        )
    )


def _silence() -> None:
    """Native libraries print paths and pictures' sizes; none of it belongs into a log."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for handle in (0, 1, 2):
        os.dup2(nowhere, handle)
    os.close(nowhere)


def _load() -> None:
    """Import all that a job uses, as long as files can be found."""
    import cv2

    import ellwand.girth.again
    import ellwand.photo.intake
    import ellwand.photo.look  # noqa: F401
    from ellwand.photo.body import load_pose_library

    cv2.setNumThreads(1)
    load_pose_library()


def _libraries() -> list[Path]:
    """Where the parts of libraries lie that are loaded late."""
    import cv2

    # Libraries of one user alone lie elsewhere than Python.
    of_libraries = Path(cv2.__file__).parents[1]
    of_python = (Path(sys.prefix), Path(sys.base_prefix), Path(__file__).parents[1])
    return [*of_python, of_libraries, *(Path(place) for place in _OF_SYSTEM)]


def _warm_up() -> None:
    """Load the models of the pose library, by looking at a picture of nobody."""
    import numpy as np

    from ellwand.photo.body import find_body

    find_body(np.full((256, 192, 3), 127, np.uint8))


def _is_out_of_memory(error: Exception) -> bool:
    """OpenCV has its own error for it."""
    import cv2

    return isinstance(error, cv2.error) and error.code == cv2.Error.StsNoMem
