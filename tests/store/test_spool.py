"""A waiting photo is sealed on disk from its first byte, and opens unchanged or not at all."""

import os
import secrets
import stat
from pathlib import Path

import pytest

from ellwand.errors import ServiceProblem
from ellwand.store.sealing import Seal
from ellwand.store.spool import Spool

SEAL = Seal(bytes(32), "owner")
PHOTO = secrets.token_bytes(300_000)


def filled(folder: Path, name: str = "job.front") -> Spool:
    """A spool with one photo, which arrived in parts."""
    spool = Spool(folder / "spool")
    sink = spool.sink(name, SEAL)
    for start in range(0, len(PHOTO), 65_536):
        sink.write(PHOTO[start : start + 65_536])
    sink.close()
    return spool


def gone(spool: Spool, name: str, seal: Seal = SEAL) -> bool:
    """Whether a photo does not open, with the right error."""
    with pytest.raises(ServiceProblem) as caught:
        spool.read(name, seal)
    return caught.value.code == "photo-gone"


def test_a_photo_opens_as_it_came(tmp_path: Path) -> None:
    assert filled(tmp_path).read("job.front", SEAL) == PHOTO


def test_no_part_of_it_lies_open_even_while_it_arrives(tmp_path: Path) -> None:
    spool = Spool(tmp_path / "spool")
    sink = spool.sink("job.front", SEAL)
    sink.write(PHOTO)
    file = tmp_path / "spool" / "job.front"
    parts = [PHOTO[at : at + 16] for at in range(0, len(PHOTO) - 16, 4096)]
    assert file.stat().st_size > 100_000
    assert not any(part in file.read_bytes() for part in parts)
    sink.close()
    assert not any(part in file.read_bytes() for part in parts)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("at", [0, 11, 12, 5000, -17, -16, -1])
def test_a_changed_byte_is_refused(tmp_path: Path, at: int) -> None:
    spool = filled(tmp_path)
    file = tmp_path / "spool" / "job.front"
    sealed = bytearray(file.read_bytes())
    sealed[at] ^= 1
    file.write_bytes(sealed)
    assert gone(spool, "job.front")


@pytest.mark.parametrize("length", [0, 5, 12, 27, 28, 299_000])
def test_a_cut_file_is_refused(tmp_path: Path, length: int) -> None:
    spool = filled(tmp_path)
    os.truncate(tmp_path / "spool" / "job.front", length)
    assert gone(spool, "job.front")


def test_a_photo_is_bound_to_its_owner_and_its_name(tmp_path: Path) -> None:
    spool = filled(tmp_path)
    assert gone(spool, "job.front", Seal(SEAL.key, "another"))
    (tmp_path / "spool" / "job.front").rename(tmp_path / "spool" / "job.side")
    assert gone(spool, "job.side")


def test_a_photo_never_takes_the_place_of_another(tmp_path: Path) -> None:
    spool = filled(tmp_path)
    with pytest.raises(FileExistsError):
        spool.sink("job.front", SEAL)


def test_a_discarded_photo_is_gone_and_may_be_discarded_twice(tmp_path: Path) -> None:
    spool = filled(tmp_path)
    spool.discard("job.front")
    spool.discard("job.front")
    assert gone(spool, "job.front")
    sink = spool.sink("job.side", SEAL)
    sink.write(PHOTO)
    sink.discard()
    assert not list((tmp_path / "spool").iterdir())
