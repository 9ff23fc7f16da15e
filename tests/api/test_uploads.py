"""Two photos and a few words as they arrive over HTTP."""

import asyncio
import logging
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.api.uploads import TEXT_PARTS, Arrived, Limits, Received, receive
from ellwand.errors import PhotoProblem, ServiceProblem
from ellwand.photo.problems import PhotosRefused, View

from ..hostile_photos import corpus

TYPE = "multipart/form-data; boundary=invented"
LIMITS = Limits(photo_bytes=1_000_000)
Part = tuple[str, bytes]


def line(name: str, extra: str = "") -> bytes:
    return f'Content-Disposition: form-data; name="{name}"{extra}\r\n\r\n'.encode()


def body(*parts: Part, named: bytes = b"", end: bytes = b"--") -> bytes:
    """A form as a browser sends it."""
    made = b"".join(
        b"--invented\r\n" + named + line(name, '; filename="Anna Muster.jpg"') + data + b"\r\n"
        for name, data in parts
    )
    return made + b"--invented" + end + b"\r\n"


@dataclass
class Kept:
    """A sink in memory that notes what was done to it."""

    data: bytearray = field(default_factory=bytearray)
    done: list[str] = field(default_factory=list)
    full_after: float = float("inf")

    def write(self, chunk: bytes) -> None:
        assert not self.done
        if len(self.data) + len(chunk) > self.full_after:
            raise OSError("no space left")
        self.data += chunk

    def close(self) -> None:
        self.done.append("closed")

    def discard(self) -> None:
        self.data.clear()
        self.done.append("discarded")


@dataclass
class Uploaded:
    """What came of an upload."""

    received: Received | None
    error: BaseException | None
    sinks: dict[View, Kept]


class Gone(Exception):
    """She went away."""


def sent(
    data: bytes,
    content_type: str = TYPE,
    limits: Limits = LIMITS,
    at_once: int = 65_536,
    full_after: float = float("inf"),
    gone: bool = False,
) -> Uploaded:
    sinks: dict[View, Kept] = {}

    def sink_for(view: View) -> Kept:
        assert view not in sinks
        sinks[view] = Kept(full_after=full_after)
        return sinks[view]

    async def chunks() -> AsyncIterator[bytes]:
        for at in range(0, len(data), at_once):
            yield data[at : at + at_once]
        if gone:
            raise Gone

    try:
        received = asyncio.run(receive(chunks(), content_type, limits, sink_for))
    except Exception as error:
        # Nothing of a refused upload stays, whatever the reason.
        assert all(sink.done[-1] == "discarded" for sink in sinks.values())
        return Uploaded(None, error, sinks)
    assert all(sink.done == ["closed"] for sink in sinks.values())
    return Uploaded(received, None, sinks)


def refused(data: bytes, **how: object) -> tuple[str, int]:
    """Code and status of an upload that is refused."""
    error = sent(data, **how).error  # type: ignore[arg-type]
    assert isinstance(error, (ServiceProblem, PhotoProblem))
    assert error.sentence.endswith(".")
    assert error.advice.endswith(".")
    assert "Anna" not in str(error)
    return error.code, error.http_status


def photo(name: str = "jpeg") -> bytes:
    return corpus()[name]


FRONT, SIDE = ("front", photo("jpeg")), ("side", photo("png"))
TEXTS = (("stature", b"168 cm"), ("check_bars", b"20"), ("check_bars", "20\u2007cm".encode()))


@pytest.mark.parametrize("at_once", [997, 65_536, 10_000_000])
def test_both_photos_arrive_unchanged_in_any_number_of_chunks(at_once: int) -> None:
    uploaded = sent(body(*TEXTS, FRONT, SIDE), at_once=at_once)
    assert uploaded.received == Received(
        {"stature": ["168 cm"], "check_bars": ["20", "20\u2007cm"]},
        {
            "front": Arrived("jpeg", (1200, 1000), len(photo("jpeg"))),
            "side": Arrived("png", (1200, 1000), len(photo("png"))),
        },
    )
    assert uploaded.sinks["front"].data == photo("jpeg")
    assert uploaded.sinks["side"].data == photo("png")


def test_one_byte_at_a_time_is_the_same() -> None:
    narrow = photo("narrow png")
    data = body(("side", narrow), *TEXTS, ("front", narrow))
    slow, fast = sent(data, at_once=1), sent(data)
    assert slow == fast
    assert slow.sinks["front"].data == narrow


def test_a_boundary_may_be_quoted_and_the_name_of_the_type_in_capitals() -> None:
    kind = 'Multipart/Form-Data; charset=utf-8; boundary="invented"'
    assert sent(body(FRONT, SIDE), kind).received is not None


@pytest.mark.parametrize(
    ("data", "code", "status"),
    [
        (b"", "form-unreadable", 400),
        (b"no form at all", "form-unreadable", 400),
        (body(FRONT, SIDE)[:-6], "form-unreadable", 400),
        (body(FRONT, SIDE)[:5000], "form-unreadable", 400),
        (body(FRONT, SIDE, end=b""), "form-unreadable", 400),
        (body(FRONT, SIDE, named=b"Content-Transfer-Encoding: base64\r\n"), "form-unreadable", 400),
        (body(FRONT, SIDE, named=b"X: " + b"x" * 5000 + b"\r\n"), "form-unreadable", 400),
        (body(FRONT, SIDE, named=b"X: x\r\n" * 20), "form-unreadable", 400),
        (body(FRONT, SIDE, named=b"no colon\r\n"), "form-unreadable", 400),
        (b"--invented\r\n\r\nx\r\n--invented--", "form-unreadable", 400),
        (b"--invented\r\nContent-Disposition: attachment; name=front\r\n\r\nx", "form-unreadable",
         400),
        (body(), "photo-not-sent", 422),
        (body(FRONT), "photo-not-sent", 422),
        (body(*TEXTS, SIDE), "photo-not-sent", 422),
        (body(FRONT, FRONT, SIDE), "photo-sent-twice", 422),
        (body(FRONT, SIDE, SIDE), "photo-sent-twice", 422),
        (body(FRONT, SIDE, ("back", b"")), "part-unknown", 422),
        (body(("Front", b""), SIDE), "part-unknown", 422),
        (body(("fr\u00f6nt", b""), SIDE), "part-unknown", 422),
        (body(*[("stature", b"")] * 13, FRONT, SIDE), "too-many-parts", 422),
        (body(("stature", b"1" * 257), FRONT, SIDE), "text-too-long", 422),
        (body(("stature", b"\xff168"), FRONT, SIDE), "text-unreadable", 422),
    ],
)  # fmt: skip
def test_what_is_no_form_of_two_photos_is_refused(data: bytes, code: str, status: int) -> None:
    assert refused(data) == (code, status)
    assert refused(data, at_once=1009) == (code, status)


def test_as_many_words_as_are_allowed_are_taken() -> None:
    texts = [(name, b"x" * 256) for name in sorted(TEXT_PARTS)] + [("check_bars", b"")] * 4
    received = sent(body(*texts, FRONT, SIDE)).received
    assert received is not None
    assert received.fields["check_bars"] == ["x" * 256, *[""] * 4]
    assert set(received.fields) == TEXT_PARTS


@pytest.mark.parametrize(
    "content_type",
    [
        "",
        "image/jpeg",
        "application/x-www-form-urlencoded",
        "multipart/form-data",
        "multipart/form-data; boundary=",
        "multipart/mixed; boundary=invented",
        f"multipart/form-data; boundary={'b' * 71}",
    ],
)
def test_another_type_of_body_is_refused_before_it_is_read(content_type: str) -> None:
    assert refused(body(FRONT, SIDE), content_type=content_type) == ("not-a-form", 415)


def test_a_photo_file_that_is_too_large_is_told_by_view() -> None:
    limits = Limits(photo_bytes=len(photo("jpeg")))
    assert sent(body(FRONT, ("side", photo("jpeg"))), limits=limits).received is not None
    uploaded = sent(body(FRONT, ("side", photo("jpeg") + b"x")), limits=limits)
    assert isinstance(uploaded.error, PhotosRefused)
    assert uploaded.error.http_status == 413
    assert not uploaded.error.problems["front"]
    assert [one.code for one in uploaded.error.problems["side"]] == ["file-too-large"]


@pytest.mark.parametrize("name", ["front", "stature"])
def test_nothing_is_read_once_the_body_is_over_its_limit(name: str) -> None:
    limits, read = Limits(photo_bytes=10_000, overhead_bytes=5000), 0

    async def endless() -> AsyncIterator[bytes]:
        nonlocal read
        yield b"--invented\r\n" + line(name)
        while True:
            read += 1000
            yield bytes(1000)

    async def run() -> None:
        await receive(endless(), TYPE, limits, lambda view: Kept())

    with pytest.raises(ServiceProblem) as caught:
        asyncio.run(run())
    assert caught.value.http_status in (413, 422)
    assert caught.value.code == {"front": "body-too-large", "stature": "text-too-long"}[name]
    assert read <= limits.body_bytes + 1000


def test_what_speaks_against_both_photos_is_told_at_once() -> None:
    heic, text = ("front", photo("heic")), ("side", photo("text"))
    error = sent(body(heic, text)).error
    assert isinstance(error, PhotosRefused)
    assert error.http_status == 422
    assert {view: [one.code for one in found] for view, found in error.problems.items()} == {
        "front": ["heic"],
        "side": ["not-a-photo"],
    }


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("zero bytes", "not-a-photo"),
        ("png bomb 10000", "too-large"),
        ("tiny jpeg", "too-small"),
        ("animated png", "not-from-a-camera"),
        ("jpeg cut after 160", "damaged"),
    ],
)
def test_a_refused_photo_is_passed_over_and_leaves_nothing(name: str, code: str) -> None:
    uploaded = sent(body(("front", photo(name)), SIDE), limits=Limits(photo_bytes=3_000_000))
    assert isinstance(uploaded.error, PhotosRefused)
    assert [one.code for one in uploaded.error.problems["front"]] == [code]
    assert uploaded.error.problems["side"] == ()
    assert all(not sink.data for sink in uploaded.sinks.values())


@pytest.mark.parametrize("length", [0, 40, 3000, 60_000, 900_000])
def test_nothing_stays_when_she_goes_away(length: int) -> None:
    uploaded = sent(body(*TEXTS, FRONT, SIDE)[:length], gone=True)
    assert isinstance(uploaded.error, Gone)


def test_nothing_stays_when_it_takes_too_long() -> None:
    sinks: list[Kept] = []

    def sink_for(view: View) -> Kept:
        sinks.append(Kept())
        return sinks[-1]

    async def slow() -> AsyncIterator[bytes]:
        yield body(FRONT, SIDE)[:30_000]
        await asyncio.sleep(60)

    async def run() -> None:
        async with asyncio.timeout(0.2):
            await receive(slow(), TYPE, LIMITS, sink_for)

    with pytest.raises(TimeoutError):
        asyncio.run(run())
    assert [sink.done for sink in sinks] == [["discarded"]]


def test_nothing_stays_when_the_disk_is_full() -> None:
    uploaded = sent(body(FRONT, SIDE), full_after=100_000)
    assert isinstance(uploaded.error, OSError)
    assert set(uploaded.sinks) == {"front", "side"}


def test_one_sink_that_cannot_be_removed_does_not_keep_the_other() -> None:
    class Stuck(Kept):
        def discard(self) -> None:
            super().discard()
            raise OSError("stuck")

    sinks = {"front": Stuck(), "side": Stuck()}

    async def chunks() -> AsyncIterator[bytes]:
        yield body(FRONT, SIDE)[:-6]

    with pytest.raises(OSError, match="stuck"):
        asyncio.run(receive(chunks(), TYPE, LIMITS, lambda view: sinks[view]))
    assert [sink.done for sink in sinks.values()] == [["discarded"]] * 2


def test_names_of_files_are_in_no_log(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        for data in (body(FRONT, SIDE), body(FRONT, SIDE)[:-6], body(("front", b"x"), SIDE),
                     body(FRONT).replace(b"Content-D", b"Content D")):  # fmt: skip
            sent(data)
    assert "Anna" not in caplog.text
    assert "168" not in caplog.text


@given(st.data())
@settings(max_examples=60)
def test_whatever_is_written_over_a_body_it_is_taken_or_a_problem(data: st.DataObject) -> None:
    narrow = photo("narrow png")
    whole = bytearray(body(*TEXTS, ("front", narrow), ("side", narrow)))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, 700) | st.integers(0, len(whole) - 1))
        whole[at : at + 1] = data.draw(st.binary(max_size=3) | st.sampled_from((b"\r\n", b"--")))
    at_once = data.draw(st.sampled_from((7, 1000, 100_000)))
    error = sent(bytes(whole), at_once=at_once).error
    assert error is None or isinstance(error, (ServiceProblem, PhotosRefused))
