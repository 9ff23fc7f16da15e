"""Photos and a few words as they arrive: judged, counted and passed on, never held as a whole.

Names that files have on her device are not looked at.

Source: multipart/form-data is RFC 7578.
"""

from collections.abc import AsyncIterable, Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial
from typing import Protocol

from fastapi.concurrency import run_in_threadpool
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header

from ellwand.errors import PhotoProblem, ServiceProblem
from ellwand.photo.files import file_too_large
from ellwand.photo.headers import Header, Kind
from ellwand.photo.problems import PhotosRefused, View, of_file

VIEWS: tuple[View, ...] = ("front", "side")
TEXT_PARTS = frozenset(
    ("stature", "reference", "paper", "check_bars", "standoff_front", "standoff_side",
     "focal_35mm", "weight")
)  # fmt: skip
# Ways to write a part down that leave its bytes as they are; others are out of use (RFC 7578).
_PLAIN_ENCODINGS = frozenset((b"binary", b"8bit", b"7bit"))


class Sink(Protocol):
    """Where a photo goes while it arrives."""

    def write(self, chunk: bytes) -> None:
        """Take the next bytes."""

    def close(self) -> None:
        """The photo is whole, and it is wanted."""

    def discard(self) -> None:
        """Leave nothing of it; this can also come after `close`, or again."""


@dataclass(frozen=True)
class Limits:
    """What an upload may be at most.

    Args:
        photo_bytes: of each photo.
        photos: how many; it must have as many, too.
        texts: how many text parts.
        text_bytes: of each of them.
        part_header_bytes: of each line above a part; a file's name stands there.
        overhead_bytes: of all that is not photos.
    """

    photo_bytes: int
    photos: int = 2
    texts: int = 12
    text_bytes: int = 256
    part_header_bytes: int = 4096
    overhead_bytes: int = 65_536

    @property
    def body_bytes(self) -> int:
        """Of the whole body."""
        return self.photos * self.photo_bytes + self.overhead_bytes


@dataclass(frozen=True)
class Arrived:
    """A photo that went into its sink whole.

    Args:
        kind: its format.
        size_px: width and height as stored.
        length: in bytes.
    """

    kind: Kind
    size_px: tuple[int, int]
    length: int


@dataclass(frozen=True)
class Received:
    """What an upload held.

    Args:
        fields: text parts by name, in the order in which they came.
        parts: the photos, by view; as many as were asked for.
    """

    fields: dict[str, list[str]]
    parts: dict[View, Arrived]


async def receive(
    chunks: AsyncIterable[bytes],
    content_type: str,
    limits: Limits,
    sink_for: Callable[[View], Sink],
) -> Received:
    """Take in an upload chunk by chunk; all sinks are closed, or all are discarded.

    Args:
        chunks: the body as it comes.
        content_type: of the request.
        limits: where to stop.
        sink_for: opens the sink of a view; called at most once for each.

    Returns:
        The text parts and what the photos are.

    Raises:
        ServiceProblem: the body is not what it should be; 400, 413, 415 or 422.
        PhotosRefused: a photo cannot be used, told by view; 422, or 413 when a file is too large.
    """
    upload = Upload(content_type, limits, sink_for)
    try:
        # Sealing a photo and writing it takes time that others would have to wait for.
        async for chunk in chunks:
            await run_in_threadpool(upload.feed, chunk)
        return await run_in_threadpool(upload.finish)
    except BaseException:
        # She may also have gone away, or the service is being stopped.
        upload.discard()
        raise


@dataclass
class _Part:
    """A part while it arrives."""

    headers: dict[bytes, bytes] = field(default_factory=dict)
    header_name: bytes = b""
    header_value: bytes = b""
    # One of the two, from the end of the headers on.
    photo: "_Photo | None" = None
    text: bytearray | None = None
    name: str = ""


class Upload:
    """An upload that is fed chunk by chunk.

    Args:
        content_type: of the request; it tells how the parts are parted.
        limits: where to stop.
        sink_for: opens the sink of a view.

    Raises:
        ServiceProblem: the body is no multipart form; 415.
    """

    def __init__(self, content_type: str, limits: Limits, sink_for: Callable[[View], Sink]) -> None:
        self._limits = limits
        self._sink_for = sink_for
        self._photos: dict[View, _Photo] = {}
        self._fields: dict[str, list[str]] = {}
        self._texts = self._length = 0
        self._part = _Part()
        self._ended = False
        self._parser = MultipartParser(
            _boundary(content_type),
            {
                "on_part_begin": self._begin_part,
                "on_header_field": self._add_header_name,
                "on_header_value": self._add_header_value,
                "on_header_end": self._end_header,
                "on_headers_finished": self._end_headers,
                "on_part_data": self._add_data,
                "on_part_end": self._end_part,
                "on_end": self._end,
            },
            max_header_size=limits.part_header_bytes,
        )

    def feed(self, chunk: bytes) -> None:
        """Take the next bytes of the body.

        Raises:
            ServiceProblem: something other than a photo is wrong; photos are judged at the end.
        """
        self._length += len(chunk)
        if self._length > self._limits.body_bytes:
            raise ServiceProblem(
                "body-too-large",
                "This upload is far larger than photos are.",
                "Choose the photos themselves, as the phone's camera made them.",
                413,
            )
        try:
            self._parser.write(chunk)
        except FormParserError:
            raise _unreadable() from None

    def finish(self) -> Received:
        """Judge the upload as a whole and close the sinks.

        Raises:
            ServiceProblem: it is not complete.
            PhotosRefused: a photo cannot be used.
        """
        if not self._ended:
            raise _unreadable()
        problems = {view: photo.problem for view, photo in self._photos.items()}
        if any(problem is not None for problem in problems.values()):
            raise _refused(problems)
        if len(self._photos) < self._limits.photos:
            raise _too_few(self._limits.photos)
        return Received(
            self._fields, {view: photo.closed() for view, photo in self._photos.items()}
        )

    def discard(self) -> None:
        """Leave nothing of the photos."""
        with ExitStack() as stack:
            # Each is tried, whatever happens to the others.
            for photo in self._photos.values():
                stack.callback(photo.sink.discard)

    def _begin_part(self) -> None:
        self._part = _Part()

    def _add_header_name(self, data: bytes, start: int, end: int) -> None:
        self._part.header_name += data[start:end]

    def _add_header_value(self, data: bytes, start: int, end: int) -> None:
        self._part.header_value += data[start:end]

    def _end_header(self) -> None:
        part = self._part
        part.headers[part.header_name.lower()] = part.header_value
        part.header_name = part.header_value = b""

    def _end_headers(self) -> None:
        part = self._part
        encoding = part.headers.get(b"content-transfer-encoding", b"binary").strip().lower()
        kind, options = parse_options_header(part.headers.get(b"content-disposition"))
        if kind != b"form-data" or b"name" not in options or encoding not in _PLAIN_ENCODINGS:
            raise _unreadable()
        name = options[b"name"].decode("latin-1")
        view = next((view for view in VIEWS if view == name), None)
        if view is not None:
            part.photo = self._open(view)
        elif name in TEXT_PARTS:
            part.name, part.text = name, bytearray()
            self._texts += 1
        else:
            raise ServiceProblem(
                "part-unknown",
                "This upload holds something that was not asked for.",
                "Send only the photos and what belongs to them.",
                422,
            )
        if self._texts > self._limits.texts:
            raise ServiceProblem(
                "too-many-parts",
                "This upload has more parts than were asked for.",
                "Send each part once.",
                422,
            )

    def _open(self, view: View) -> "_Photo":
        if view in self._photos:
            raise ServiceProblem(
                "photo-sent-twice",
                "There are two front photos in this upload."
                if view == "front"
                else "There are two side photos in this upload.",
                "Choose one front photo and one side photo.",
                422,
            )
        if len(self._photos) == self._limits.photos:
            raise ServiceProblem(
                "one-photo-only",
                "Photos are checked one at a time.",
                "Send the front photo or the side photo alone.",
                422,
            )
        self._photos[view] = _Photo(self._sink_for(view), self._limits.photo_bytes)
        return self._photos[view]

    def _add_data(self, data: bytes, start: int, end: int) -> None:
        part = self._part
        if part.photo is not None:
            part.photo.write(data[start:end])
        elif part.text is not None:
            part.text += data[start:end]
            if len(part.text) > self._limits.text_bytes:
                raise ServiceProblem(
                    "text-too-long",
                    "What was typed beside the photos is too long.",
                    "Type it again, shorter.",
                    422,
                )

    def _end_part(self) -> None:
        part = self._part
        if part.photo is not None:
            part.photo.end()
        elif part.text is not None:
            try:
                text = part.text.decode("utf-8")
            except UnicodeDecodeError:
                raise ServiceProblem(
                    "text-unreadable",
                    "What was typed beside the photos is not stored as UTF-8 text.",
                    "Type it again.",
                    422,
                ) from None
            self._fields.setdefault(part.name, []).append(text)

    def _end(self) -> None:
        self._ended = True


class _Photo:
    """A photo while it arrives; once it is refused, the rest of it is passed over."""

    def __init__(self, sink: Sink, most_bytes: int) -> None:
        self.sink = sink
        self.problem: PhotoProblem | None = None
        self._header = Header()
        self._most_bytes = most_bytes
        self._length = 0

    def write(self, chunk: bytes) -> None:
        """Judge the next bytes, and pass them on."""
        self._length += len(chunk)
        if self.problem is None:
            self._judge(partial(self._header.feed, chunk))
        if self.problem is None:
            self.sink.write(chunk)

    def end(self) -> None:
        """Judge the photo as a whole."""
        if self.problem is None:
            self._judge(self._header.end)

    def closed(self) -> Arrived:
        """Close the sink of a photo that is not refused."""
        if self._header.kind is None or self._header.size_px is None:
            raise ValueError("a photo without a size was not refused")
        self.sink.close()
        return Arrived(self._header.kind, self._header.size_px, self._length)

    def _judge(self, judge: Callable[[], None]) -> None:
        try:
            if self._length > self._most_bytes:
                raise file_too_large()
            judge()
        except PhotoProblem as problem:
            self.problem = problem
            self.sink.discard()


def _boundary(content_type: str) -> bytes:
    kind, options = parse_options_header(content_type)
    boundary = options.get(b"boundary", b"")
    # RFC 2046: at most 70 characters.
    if kind != b"multipart/form-data" or not 1 <= len(boundary) <= 70:
        raise ServiceProblem(
            "not-a-form",
            "The photos did not arrive as a form.",
            "Send multipart/form-data with the parts front and side.",
            415,
        )
    return boundary


def _unreadable() -> ServiceProblem:
    return ServiceProblem(
        "form-unreadable",
        "The upload is not complete, or its parts cannot be told apart.",
        "Send both photos again.",
        400,
    )


def _too_few(wanted: int) -> ServiceProblem:
    alone = wanted == 1
    return ServiceProblem(
        "photo-not-sent",
        "The photo is not there." if alone else "The front photo or the side photo is not there.",
        "Choose the photo and send it." if alone else "Choose both photos and send them together.",
        422,
    )


def _refused(problems: dict[View, PhotoProblem | None]) -> PhotosRefused:
    refused = PhotosRefused(
        {view: (of_file(one),) if one else () for view, one in problems.items()}
    )
    if any(one and one.code == "file-too-large" for one in problems.values()):
        refused.http_status = 413
    return refused
