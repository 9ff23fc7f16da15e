"""The sitting's file: read with every doubt, written whole or not at all, one writer at a time."""

import contextlib
import json
import math
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from pydantic import JsonValue, ValidationError

from ellwand.errors import SittingProblem
from ellwand.language import gettext_noop
from ellwand.sitting.record import FORMAT, VERSION, Sitting, SittingUnit

# A sitting with two detailed outlines takes well under one megabyte.
LARGEST_FILE_BYTES = 16_000_000
PRIVATE_MODE = 0o600
MISSING = "sitting-missing"
LOCK_WAIT_S = 10.0
LOCK_POLL_S = 0.02


def load(path: Path) -> Sitting:
    """Read a sitting.

    Args:
        path: its file.

    Returns:
        The record, with every key that this version does not know.

    Raises:
        SittingProblem: there is no such file, or it is not a sitting that this version reads.
    """
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise SittingProblem(
            MISSING,
            "There is no sitting file of this name.",
            "Check the name, or begin a sitting with `ellwand estimate` or `ellwand read`.",
        ) from None
    except OSError:
        raise SittingProblem(
            "sitting-unreadable",
            "The sitting file cannot be opened.",
            "Check that it is a file and that you may read it.",
        ) from None
    return parse(data)


def load_or_new(path: Path, unit: SittingUnit = "cm") -> Sitting:
    """Read a sitting, or begin one when there is no such file.

    Args:
        path: its file.
        unit: unit of bare numbers in a new sitting.

    Raises:
        SittingProblem: the file is there but is not a sitting that this version reads.
    """
    try:
        return load(path)
    except SittingProblem as problem:
        if problem.code != MISSING:
            raise
        return Sitting(unit=unit)


def parse(data: bytes) -> Sitting:
    """Read a sitting from the bytes of its file.

    Raises:
        SittingProblem: they are not a sitting that this version reads.
    """
    if len(data) > LARGEST_FILE_BYTES:
        raise _broken(
            gettext_noop(
                "The sitting file cannot be understood: it is far larger than a sitting can be."
            )
        )
    try:
        content = json.loads(
            data.decode("utf-8"),
            parse_constant=_refuse,
            parse_float=_finite,
            object_pairs_hook=_without_doubles,
        )
    except (ValueError, RecursionError):
        raise _broken(
            gettext_noop("The sitting file cannot be understood: it is not whole JSON.")
        ) from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise SittingProblem(
            "sitting-foreign",
            "This file is not a sitting.",
            "Name the sitting's own file; this one was left untouched.",
        )
    version = content.get("version")
    if not isinstance(version, int):
        raise _broken(
            gettext_noop("The sitting file cannot be understood: its version is missing.")
        )
    if version > VERSION:
        raise SittingProblem(
            "sitting-newer",
            "This sitting was made by a newer ellwand.",
            "Update ellwand; the file was left untouched.",
        )
    try:
        record = Sitting.model_validate_json(data, strict=True)
    except ValidationError as error:
        where = error.errors(include_input=False, include_url=False)[0]["loc"]
        raise _spoilt(where[0] if where else None) from None
    # A record of an earlier version lacks some keys, which is all that the versions differ by.
    return record if version == VERSION else record.model_copy(update={"version": VERSION})


def dump(record: Sitting) -> bytes:
    """Write a sitting as the bytes of its file: the same record gives the same bytes."""
    content = record.model_dump(mode="json")
    return f"{json.dumps(content, ensure_ascii=False, indent=2, allow_nan=False)}\n".encode()


def save(path: Path, record: Sitting) -> None:
    """Write a sitting whole, readable by its owner only, or leave the old file as it was.

    Args:
        path: its file; a link is followed.
        record: the state to write.

    Raises:
        SittingProblem: the file cannot be written.
    """
    target = _target(path)
    try:
        # Readable and writable by its owner only, and so is the file that it becomes.
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        new = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(dump(record))
                file.flush()
                os.fsync(file.fileno())
            new.replace(target)
        finally:
            new.unlink(missing_ok=True)
    except OSError:
        raise _unwritable() from None
    _sync_folder(target.parent)


class Editing:
    """A sitting under edit: what `record` holds at the end is written.

    Args:
        record: the state as read.
    """

    def __init__(self, record: Sitting) -> None:
        self.record = record


@contextlib.contextmanager
def editing(path: Path, begin_in: SittingUnit | None = None) -> Iterator[Editing]:
    """Read a sitting, let it be changed, and write it, while no other command does the same.

    Nothing is written when the body raises.

    Args:
        path: its file.
        begin_in: unit of a sitting to begin when there is no file yet; None to insist on one.

    Yields:
        The sitting under edit.

    Raises:
        SittingProblem: the file cannot be read, written or locked.
    """
    with _locked(_target(path)):
        edit = Editing(load(path) if begin_in is None else load_or_new(path, begin_in))
        yield edit
        save(path, edit.record)


def _target(path: Path) -> Path:
    """The file behind links, so that a link stays one."""
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        raise _unwritable() from None


@contextlib.contextmanager
def _locked(target: Path) -> Iterator[None]:
    """Hold the lock beside a file; its own small file goes away with it."""
    lock = target.with_name(f".{target.name}.lock")
    handle = _acquire(lock)
    try:
        yield
    finally:
        if sys.platform != "win32":
            # While locked: whoever waits for the removed file notices and starts afresh.
            lock.unlink(missing_ok=True)
        os.close(handle)


def _acquire(lock: Path) -> int:
    """Open and lock the lock file; another command's lock is waited for."""
    end = time.monotonic() + LOCK_WAIT_S
    while time.monotonic() < end:
        try:
            handle = os.open(lock, os.O_RDWR | os.O_CREAT, PRIVATE_MODE)
        except OSError:
            raise _unwritable() from None
        if _try_lock(handle) and _still_there(lock, handle):
            return handle
        os.close(handle)
        time.sleep(LOCK_POLL_S)
    raise SittingProblem(
        "sitting-busy",
        "Another command is working on this sitting.",
        "Wait until it has ended, then try again; nothing was changed.",
    )


def _still_there(lock: Path, handle: int) -> bool:
    """Whether the locked file is still the one that others would open."""
    try:
        return os.path.samestat(lock.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _try_lock(handle: int) -> bool:
        """Lock an open file if nobody else has."""
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _sync_folder(folder: Path) -> None:
        """Nothing to do: a folder cannot be opened there."""

else:
    import fcntl

    def _try_lock(handle: int) -> bool:
        """Lock an open file if nobody else has."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True

    def _sync_folder(folder: Path) -> None:
        """Make a rename last; some file systems refuse that for folders, and need it less."""
        with contextlib.suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def _spoilt(part: str | int | None) -> SittingProblem:
    """One part of the file does not fit the record; a name of her own choice is not repeated."""
    if part in Sitting.model_fields:
        return _broken(
            gettext_noop(
                "The sitting file cannot be understood: something in {part} is not as it should be."
            ),
            part=part,
        )
    return _broken(
        gettext_noop(
            "The sitting file cannot be understood: something in its outermost part is not as it "
            "should be."
        )
    )


def _broken(sentence: str, **values: object) -> SittingProblem:
    return SittingProblem(
        "sitting-broken",
        sentence,
        "Take an earlier copy of it or begin a new sitting; the file was left untouched.",
        **values,
    )


def _unwritable() -> SittingProblem:
    return SittingProblem(
        "sitting-unwritable",
        "The sitting file cannot be written.",
        "Check that its folder exists, that you may write there and that the disk is not full.",
    )


def _refuse(constant: str) -> None:
    raise ValueError(f"{constant} is no number")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError("a number beyond all bounds")
    return number


def _without_doubles(pairs: list[tuple[str, JsonValue]]) -> dict[str, JsonValue]:
    """Refuse a key that stands twice, because one of its values would be lost."""
    content = dict(pairs)
    if len(content) < len(pairs):
        raise ValueError("a key stands twice")
    return content
