"""What a photo file says of itself, read while it arrives and without an image library.

The reader walks over the parts of a file, never twice, and keeps nothing of them but numbers. It
refuses what a decoder should not be given, and notes which parts a decoder needs: the others
(preview, profile, comments, texts, further pictures) can then be left out before decoding.
"""

import re
from collections.abc import Generator
from dataclasses import dataclass, field
from typing import Literal

from ellwand.errors import PhotoProblem
from ellwand.photo import files

Kind = Literal["jpeg", "png"]
# A step ends when it needs the next chunk.
Steps = Generator[None, None, None]
Bytes = Generator[None, None, bytes]
Number = Generator[None, None, int]

# What may stand before the pixels: preview, profile, and the depth map that some phones write
# (judged).
MOST_HEADER_BYTES = 8_000_000
# Parts of a file, without the large ones that hold PNG pixels; phones write 10 to 50 (judged).
MOST_SEGMENTS = 1000
LARGE_CHUNK_BYTES = 1024
# Encoders write 1 to about 15; each costs a walk over the whole picture (judged).
MOST_SCANS = 40

_PNG_START = b"\x89PNG\r\n\x1a\n"
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"heim", b"heis", b"avif")

# Markers of JPEG. Source: ITU-T T.81, table B.1; APP0 and APP14 tell the colours.
_BEGIN, _END, _SCAN = 0xD8, 0xD9, 0xDA
_FRAMES = frozenset((0xC0, 0xC1, 0xC2))
_OTHER_FRAMES = frozenset((0xC3, *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0)))
_EXIF = 0xE1
_UNUSED = frozenset((*range(0x02, 0xC0), 0xC8, 0xDE, 0xDF, *range(0xF0, 0xFE)))
_NEEDED = frozenset((*_FRAMES, 0xC4, 0xCC, 0xDB, 0xDD, 0xE0, 0xEE))
# Zero after 0xFF is data, 0x01 and the restarts 0xD0 to 0xD7 stand alone and say nothing.
_MARKER = re.compile(rb"\xff([^\x00\x01\xd0-\xd7\xff])")
_EXIF_START = b"Exif\0\0"


@dataclass
class _Source:
    """The chunk at hand and where the reader is in it."""

    chunk: bytes = b""
    at: int = 0
    # Length of all earlier chunks.
    before: int = 0

    @property
    def offset(self) -> int:
        """Where the reader is in the file."""
        return self.before + self.at

    def give(self, chunk: bytes) -> None:
        """Take the next chunk; the one before must be used up."""
        self.before += len(self.chunk)
        self.chunk, self.at = chunk, 0

    def take(self, count: int) -> Bytes:
        """The next bytes, however many chunks they lie in."""
        taken = b""
        while len(taken) < count:
            if self.at == len(self.chunk):
                yield
            piece = self.chunk[self.at : self.at + count - len(taken)]
            self.at += len(piece)
            taken += piece
        return taken

    def skip_to(self, offset: int) -> Steps:
        """Pass over bytes unread."""
        while self.before + len(self.chunk) < offset:
            self.at = len(self.chunk)
            yield
        self.at = offset - self.before


@dataclass
class Header:
    """Reads a JPEG or PNG file that is fed to it in chunks.

    Args:
        kind: format by the first bytes, or None while it is not known.
        size_px: width and height as stored, or None while they are not known.
        needed: (start, end) of the parts that a decoder needs, in order; complete after `end`.
        exif: (start, end) of the first Exif block (a TIFF file in itself), or None.
    """

    kind: Kind | None = None
    size_px: tuple[int, int] | None = None
    needed: list[tuple[int, int]] = field(default_factory=list)
    exif: tuple[int, int] | None = None
    _source: _Source = field(default_factory=_Source)
    _problem: PhotoProblem | None = None
    _ended: bool = False
    _has_pixels: bool = False
    _segments: int = 0

    def __post_init__(self) -> None:
        self._steps = self._walk()
        next(self._steps)

    def feed(self, chunk: bytes) -> None:
        """Walk over the next bytes of the file.

        Args:
            chunk: any number of bytes.

        Raises:
            PhotoProblem: the file is refused, now or by an earlier chunk.
        """
        if self._problem is None and not self._ended:
            self._source.give(chunk)
            try:
                next(self._steps)
            except StopIteration:
                self._ended = True
            except PhotoProblem as problem:
                self._problem = problem
        if self._problem is not None:
            raise self._problem

    def end(self) -> None:
        """Judge the file as a whole, after its last byte.

        Raises:
            PhotoProblem: there is no picture in it.
        """
        if self._problem is not None:
            raise self._problem
        if self.kind is None:
            raise files.not_a_photo()
        if not self._has_pixels:
            raise files.damaged()
        if not self._ended and self.kind == "jpeg":
            # It was cut short within its pixels; the decoder finds out what that costs.
            self._keep(self._source.offset)

    def _walk(self) -> Steps:
        yield
        start = yield from self._source.take(3)
        if start == b"\xff\xd8\xff":
            self.kind = "jpeg"
            self._source.at -= 1
            self._add_needed(0, 2)
            yield from self._walk_jpeg()
            return
        start += yield from self._source.take(5)
        if start == _PNG_START:
            self.kind = "png"
            yield from self._walk_png()
            return
        if start[4:] == b"ftyp" and (yield from self._source.take(4)) in _HEIC_BRANDS:
            raise files.heic()
        raise files.not_a_photo()

    def _count_segment(self) -> None:
        self._segments += 1
        if self._segments > MOST_SEGMENTS:
            raise files.not_from_a_camera()
        self._check_length(self._source.offset)

    def _check_length(self, offset: int) -> None:
        if not self._has_pixels and offset > MOST_HEADER_BYTES:
            raise files.not_from_a_camera()

    def _add_needed(self, start: int, end: int) -> None:
        if self.needed and self.needed[-1][1] == start:
            start = self.needed.pop()[0]
        self.needed.append((start, end))

    def _keep(self, end: int) -> None:
        """All from the first scan on is needed, up to here."""
        self.needed[-1] = (self.needed[-1][0], end)

    # JPEG

    def _walk_jpeg(self) -> Steps:
        scans = 0
        while True:
            marker = yield from self._marker()
            if marker == _END:
                if not self._has_pixels:
                    raise files.damaged()
                self._keep(self._source.offset)
                return
            if marker == _BEGIN or (marker in _UNUSED and not scans):
                raise files.damaged()
            self._count_segment()
            if marker in _UNUSED:
                # Pixels gone wrong; a decoder, too, looks for the next marker.
                continue
            start = self._source.offset - 2
            length = int.from_bytes((yield from self._source.take(2)), "big")
            if length < 2:
                raise files.damaged()
            end = start + 2 + length
            self._check_length(end)
            yield from self._look_into(marker, length, end)
            if marker == _SCAN:
                scans += 1
                if scans > MOST_SCANS:
                    raise files.not_from_a_camera()
            if not self._has_pixels and (marker in _NEEDED or marker == _SCAN):
                self._add_needed(start, end)
            self._has_pixels = scans > 0
            yield from self._source.skip_to(end)

    def _look_into(self, marker: int, length: int, end: int) -> Steps:
        if marker in _OTHER_FRAMES:
            raise files.not_from_a_camera()
        if marker in _FRAMES:
            yield from self._frame(length)
        elif marker == _SCAN and self.size_px is None:
            raise files.damaged()
        elif marker == _EXIF and self.exif is None and length >= 2 + len(_EXIF_START):
            start = yield from self._source.take(len(_EXIF_START))
            if start == _EXIF_START and not self._has_pixels:
                self.exif = (self._source.offset, end)

    def _marker(self) -> Number:
        """Pass over pixels, fill bytes and whatever lies between segments, up to a marker."""
        source = self._source
        half = False
        while True:
            if source.at == len(source.chunk):
                self._check_length(source.offset)
                yield
                continue
            if half and (found := _MARKER.fullmatch(b"\xff" + source.chunk[:1])):
                source.at = 1
                return found[1][0]
            if found := _MARKER.search(source.chunk, source.at):
                source.at = found.end()
                self._check_length(source.offset)
                return found[1][0]
            half = source.chunk[-1] == 0xFF
            source.at = len(source.chunk)

    def _frame(self, length: int) -> Steps:
        if self.size_px is not None or length < 8:
            raise files.damaged()
        start = yield from self._source.take(6)
        bits, layers = start[0], start[5]
        height, width = (int.from_bytes(start[at : at + 2], "big") for at in (1, 3))
        self._sized(width, height)
        if bits != 8 or layers not in (1, 3, 4):
            raise files.not_from_a_camera()
        if length != 8 + 3 * layers:
            raise files.damaged()

    def _sized(self, width: int, height: int) -> None:
        files.check_size(width, height)
        self.size_px = width, height

    # PNG

    def _walk_png(self) -> Steps:
        start = yield from self._source.take(16)
        if start[:8] != b"\x00\x00\x00\x0dIHDR":
            raise files.damaged()
        width, height = (int.from_bytes(start[at : at + 4], "big") for at in (8, 12))
        self._sized(width, height)
        # Signature, and the first chunk with its checksum.
        end = 33
        self._add_needed(0, end)
        while True:
            yield from self._source.skip_to(end)
            start, begin = (yield from self._source.take(8)), end
            length, name = int.from_bytes(start[:4], "big"), start[4:]
            end = begin + 12 + length
            if name != b"IDAT" or length < LARGE_CHUNK_BYTES:
                self._count_segment()
            self._judge_chunk(name, length, end)
            if name == b"eXIf" and self.exif is None and not self._has_pixels:
                self.exif = (begin + 8, end - 4)
            if name in (b"PLTE", b"IDAT", b"IEND"):
                self._add_needed(begin, end)
            if name == b"IEND":
                return

    def _judge_chunk(self, name: bytes, length: int, end: int) -> None:
        if length >= 1 << 31 or not (name.isascii() and name.isalpha()):
            raise files.damaged()
        if name == b"IDAT":
            self._has_pixels = True
        elif name == b"IEND":
            if not self._has_pixels:
                raise files.damaged()
        elif name == b"acTL" and not self._has_pixels:
            raise files.not_from_a_camera()
        elif name[:1].isupper() and name != b"PLTE":
            # A chunk that a decoder must know, and that the standard does not.
            raise files.damaged()
        self._check_length(end)
