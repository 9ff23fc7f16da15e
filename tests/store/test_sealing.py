"""What is sealed opens for the same key, owner and purpose, unchanged; for nothing else."""

import base64
import secrets
import stat
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ellwand.errors import ServiceProblem
from ellwand.store.sealing import Seal, ServerKey, server_key

KEY = ServerKey(bytes(range(32)))
SEAL = Seal(bytes(32), "owner")


def refused(seal: Seal, sealed: bytes, purpose: str) -> bool:
    """Whether something does not open, with the right error."""
    with pytest.raises(ServiceProblem) as caught:
        seal.open(sealed, purpose)
    return caught.value.code == "not-opened"


@given(st.binary(max_size=2000), st.text(max_size=40), st.text(max_size=40))
def test_what_is_sealed_opens_again(plain: bytes, owner: str, purpose: str) -> None:
    seal, wrapped = KEY.new(owner)
    try:
        sealed = seal.close(plain, purpose)
    except UnicodeEncodeError:
        return
    assert KEY.seal(wrapped, owner).open(sealed, purpose) == plain
    assert len(plain) < 4 or plain not in sealed


@given(st.binary(min_size=1, max_size=200), st.data())
def test_a_changed_byte_is_refused(plain: bytes, data: st.DataObject) -> None:
    sealed = bytearray(SEAL.close(plain, "record"))
    sealed[data.draw(st.integers(0, len(sealed) - 1))] ^= data.draw(st.integers(1, 255))
    assert refused(SEAL, bytes(sealed), "record")


@given(st.binary(max_size=27))
def test_what_is_too_short_is_refused(sealed: bytes) -> None:
    assert refused(SEAL, sealed, "record")


def test_another_purpose_owner_or_key_is_refused() -> None:
    sealed = SEAL.close(b"plain", "record")
    assert refused(SEAL, sealed, "terms")
    assert refused(Seal(SEAL.key, "another"), sealed, "record")
    assert refused(Seal(secrets.token_bytes(32), SEAL.owner), sealed, "record")


def test_a_key_wrapped_by_another_server_is_refused() -> None:
    _, wrapped = KEY.new("owner")
    with pytest.raises(ServiceProblem) as caught:
        ServerKey(bytes(32)).seal(wrapped, "owner")
    assert caught.value.code == "not-opened"


def test_the_same_text_is_sealed_differently_each_time() -> None:
    assert len({SEAL.close(b"plain", "record") for _ in range(20)}) == 20


def test_a_key_does_not_show_itself() -> None:
    assert repr(KEY) == "ServerKey()"


def test_the_file_of_the_key_is_made_once_for_its_owner_only(tmp_path: Path) -> None:
    file = tmp_path / "server.key"
    made: list[bytes] = []
    threads = [
        threading.Thread(target=lambda: made.append(server_key(None, file).raw)) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(made) == 8
    assert len(set(made)) == 1
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["server.key"]


def test_a_key_may_come_from_the_environment(tmp_path: Path) -> None:
    text = base64.b64encode(KEY.raw).decode()
    assert server_key(f" {text}\n", tmp_path / "none").raw == KEY.raw
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("text", ["", "short", base64.b64encode(bytes(31)).decode(), "ä" * 44])
def test_what_is_no_key_is_refused(text: str, tmp_path: Path) -> None:
    with pytest.raises(ServiceProblem) as caught:
        server_key(text, tmp_path / "none")
    assert caught.value.code == "server-key-unusable"
