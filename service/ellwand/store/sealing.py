"""Encryption at rest: every sitting and workroom has a key of its own, wrapped by the server's.

To erase is to delete the wrapped key: what backups still hold cannot be opened any more, as long as
the server's key is not kept beside them.

Source: AES-256-GCM, NIST SP 800-38D; key wrap, RFC 3394; HMAC-SHA256, RFC 2104.
"""

import base64
import binascii
import contextlib
import hashlib
import hmac
import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.keywrap import InvalidUnwrap, aes_key_unwrap, aes_key_wrap

from ellwand.errors import ServiceProblem

KEY_BYTES, NONCE_BYTES = 32, 12
# 256 random bits in a link or cookie; 128 would do (OWASP session management).
TOKEN_BYTES = 32


@dataclass(frozen=True)
class Seal:
    """Seals and opens what belongs to one sitting or workroom.

    Args:
        key: its own key, 32 bytes.
        owner: its id, bound to everything sealed.
    """

    key: bytes = field(repr=False)
    owner: str

    def close(self, plain: bytes, purpose: str) -> bytes:
        """Seal bytes for a purpose; they open for the same owner and purpose only."""
        nonce = secrets.token_bytes(NONCE_BYTES)
        return nonce + AESGCM(self.key).encrypt(nonce, plain, self.bound_to(purpose))

    def open(self, sealed: bytes, purpose: str) -> bytes:
        """Open what was sealed.

        Raises:
            ServiceProblem: it was sealed otherwise, or changed since.
        """
        nonce, rest = sealed[:NONCE_BYTES], sealed[NONCE_BYTES:]
        try:
            return AESGCM(self.key).decrypt(nonce, rest, self.bound_to(purpose))
        except (InvalidTag, ValueError):
            raise _not_opened() from None

    def bound_to(self, purpose: str) -> bytes:
        """What is authenticated beside the content."""
        return f"{self.owner}/{purpose}".encode()


@dataclass(frozen=True)
class ServerKey:
    """The key that wraps all others.

    Args:
        raw: 32 bytes.
    """

    raw: bytes

    def __repr__(self) -> str:
        """Nothing of the key."""
        return "ServerKey()"

    def new(self, owner: str) -> tuple[Seal, bytes]:
        """A seal for a new owner, and its wrapped key to be kept."""
        key = secrets.token_bytes(KEY_BYTES)
        return Seal(key, owner), aes_key_wrap(self.raw, key)

    def seal(self, wrapped: bytes, owner: str) -> Seal:
        """The seal of an owner.

        Raises:
            ServiceProblem: it was wrapped by another server's key.
        """
        try:
            return Seal(aes_key_unwrap(self.raw, wrapped), owner)
        except (InvalidUnwrap, ValueError):
            raise _not_opened() from None

    def fingerprint(self, text: str) -> bytes:
        """By which a name or login is found again without being kept."""
        return hmac.digest(self.raw, text.encode(), "sha256")


def new_token() -> str:
    """A secret for a link, a cookie or a program."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def token_hash(token: str) -> bytes:
    """What is kept of a token; it is too random to be guessed back, so no salt is needed."""
    return hashlib.sha256(token.encode()).digest()


def server_key(text: str | None, file: Path) -> ServerKey:
    """The server's key from the setting, or from its file, which is made when it is not there.

    Args:
        text: 32 bytes in base64, or None.
        file: where it is kept otherwise.

    Raises:
        ServiceProblem: the text or the file is no such key.
    """
    if text is None:
        _make(file)
        text = file.read_text("ascii", errors="replace")
    try:
        raw = base64.b64decode(text.strip(), validate=True)
    except (binascii.Error, ValueError):
        raw = b""
    if len(raw) != KEY_BYTES:
        raise ServiceProblem(
            "server-key-unusable",
            "The server's key is not 32 bytes in base64.",
            "Give the key that this data folder was begun with; without it nothing can be opened.",
            500,
        )
    return ServerKey(raw)


def _make(file: Path) -> None:
    """Write a new key whole, unless there is one."""
    if file.exists():
        return
    new = file.with_name(f".{file.name}.{secrets.token_hex(8)}")
    handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w") as out:
        out.write(base64.b64encode(secrets.token_bytes(KEY_BYTES)).decode() + "\n")
        out.flush()
        os.fsync(out.fileno())
    # A link, not a rename: of two processes that start at once, the first one's key stays.
    with contextlib.suppress(FileExistsError):
        os.link(new, file)
    new.unlink()


def _not_opened() -> ServiceProblem:
    return ServiceProblem(
        "not-opened",
        "What was kept cannot be opened with the server's key.",
        "Start the service with the key that this data was begun with.",
        500,
    )
