"""Photos that wait for their job: sealed while they arrive, removed unread or when the job ends."""

import contextlib
import os
import secrets
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from ellwand.errors import ServiceProblem
from ellwand.store.sealing import NONCE_BYTES, Seal

TAG_BYTES = 16


class SealedSink:
    """A file that seals what is written to it, so that no part of a photo is ever on disk.

    Args:
        path: the new file, readable by its owner only.
        seal: of the sitting.
        purpose: what it is, bound to the content.
    """

    def __init__(self, path: Path, seal: Seal, purpose: str) -> None:
        self._path = path
        nonce = secrets.token_bytes(NONCE_BYTES)
        self._cipher = Cipher(algorithms.AES(seal.key), modes.GCM(nonce)).encryptor()
        self._cipher.authenticate_additional_data(seal.bound_to(purpose))
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        self._file = os.fdopen(handle, "wb")
        self._file.write(nonce)

    def write(self, chunk: bytes) -> None:
        """Seal a part of the photo."""
        self._file.write(self._cipher.update(chunk))

    def close(self) -> None:
        """Write the rest, and make it last."""
        self._file.write(self._cipher.finalize())
        self._file.write(self._cipher.tag)
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()

    def discard(self) -> None:
        """Remove the file."""
        self._file.close()
        self._path.unlink(missing_ok=True)


class Spool:
    """The folder of waiting photos.

    Args:
        folder: it is made, for its owner only; machines that share jobs share it.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)

    def sink(self, name: str, seal: Seal) -> SealedSink:
        """Where a photo goes while it arrives."""
        return SealedSink(self._folder / name, seal, name)

    def read(self, name: str, seal: Seal) -> bytes:
        """Open a photo in memory.

        Raises:
            ServiceProblem: it is not there any more, or was changed.
        """
        try:
            sealed = (self._folder / name).read_bytes()
            nonce, tag = sealed[:NONCE_BYTES], sealed[-TAG_BYTES:]
            cipher = Cipher(algorithms.AES(seal.key), modes.GCM(nonce, tag)).decryptor()
            cipher.authenticate_additional_data(seal.bound_to(name))
            return cipher.update(sealed[NONCE_BYTES:-TAG_BYTES]) + cipher.finalize()
        except (OSError, InvalidTag, ValueError):
            raise ServiceProblem(
                "photo-gone",
                "The photos are not there any more.",
                "Send both again.",
                410,
            ) from None

    def discard(self, name: str) -> None:
        """Remove a photo; that it is gone already is fine."""
        with contextlib.suppress(FileNotFoundError):
            (self._folder / name).unlink()

    def names_before(self, time: float) -> list[str]:
        """Photos that were last written to before a time (seconds since 1970)."""
        names = []
        for path in self._folder.iterdir():
            with contextlib.suppress(FileNotFoundError):
                if path.stat().st_mtime < time:
                    names.append(path.name)
        return names
