"""A message taken apart by hand, by bytes alone: a second reading beside the library that wrote it.

Source: RFC 5322, 2.2 (header lines and their folding), RFC 2046, 5.1.1 (boundaries), RFC 2045,
6.7 (quoted-printable) and 6.8 (base64).
"""

import base64
import re
from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Part:
    """One part of a message.

    Args:
        headers: name in small letters and unfolded value, in their order.
        body: what it holds, decoded; of a part with parts, the bytes between its boundaries.
    """

    headers: tuple[tuple[str, str], ...]
    body: bytes

    def header(self, name: str) -> str:
        """The value of a header that stands exactly once."""
        (value,) = [value for key, value in self.headers if key == name]
        return value

    @property
    def kind(self) -> str:
        """Its media type."""
        return self.header("content-type").split(";")[0]


def walk(message: bytes) -> Iterator[Part]:
    """A message and all its parts, outer before inner."""
    head, _, body = message.partition(b"\r\n\r\n")
    lines = re.sub(rb"\r\n(?=[ \t])", b"", head).decode("ascii").split("\r\n")
    headers = []
    for line in lines:
        name, colon, value = line.partition(":")
        assert colon
        assert re.fullmatch(r"[!-9;-~]+", name)
        headers.append((name.lower(), value.strip()))
    boundary = re.search(r'boundary="([^"]+)"', dict(headers).get("content-type", ""))
    part = Part(tuple(headers), body if boundary else _decoded(body, dict(headers)))
    yield part
    if boundary:
        inner = _between(body, b"--" + boundary[1].encode())
        for one in inner:
            yield from walk(one)


def _between(body: bytes, delimiter: bytes) -> list[bytes]:
    """What stands between the delimiter lines; the last one ends with two hyphens."""
    _, *parts = (b"\r\n" + body).split(b"\r\n" + delimiter)
    assert parts[-1] in (b"--", b"--\r\n")
    assert all(part.startswith(b"\r\n") for part in parts[:-1])
    return [part.removeprefix(b"\r\n") for part in parts[:-1]]


def _decoded(body: bytes, headers: dict[str, str]) -> bytes:
    match headers["content-transfer-encoding"]:
        case "base64":
            return base64.b64decode(b"".join(body.split()), validate=True)
        case "quoted-printable":
            joined = re.sub(rb"=[ \t]*\r\n", b"", body)
            return re.sub(rb"=([0-9A-F]{2})", lambda one: bytes([int(one[1], 16)]), joined)
        case other:
            raise AssertionError(other)
