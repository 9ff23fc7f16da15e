"""What a file says of itself, however it is cut into chunks."""

import io
import struct
import time
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from ellwand.errors import PhotoProblem
from ellwand.photo.exif import Exif, read_exif
from ellwand.photo.headers import MOST_HEADER_BYTES, MOST_SCANS, MOST_SEGMENTS, Header

from ..hostile_photos import corpus


def answer(chunks: list[bytes]) -> tuple[object, ...]:
    """All that a reader says of a file."""
    header, code = Header(), None
    try:
        for chunk in chunks:
            header.feed(chunk)
        header.end()
    except PhotoProblem as problem:
        code = problem.code
    return code, header.kind, header.size_px, header.exif, header.needed


def code_of(data: bytes) -> object:
    return answer([data])[0]


def segment(marker: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def frame(width: int = 1200, height: int = 1000, layers: int = 3, bits: int = 8) -> bytes:
    sizes = struct.pack(">BHHB", bits, height, width, layers)
    return segment(0xC0, sizes + b"\x01\x11\x00" * layers)


SCAN = segment(0xDA, b"\x01\x01\x00\x00\x3f\x00") + b"\x12\x34\xff\x00\x56\xff\xd0\x78"


def jpeg(*parts: bytes) -> bytes:
    return b"\xff\xd8" + b"".join(parts) + b"\xff\xd9"


def test_kind_and_size_are_known_as_soon_as_they_have_come() -> None:
    header = Header()
    header.feed(b"\xff\xd8\xff")
    assert (header.kind, header.size_px) == ("jpeg", None)
    header.feed(segment(0xE0, b"JFIF\0")[1:] + frame()[:11])
    assert header.size_px == (1200, 1000)
    header = Header()
    header.feed(corpus()["png"][:24])
    assert (header.kind, header.size_px) == ("png", (1200, 1000))


@pytest.mark.parametrize(
    ("name", "length", "code"),
    [
        ("png bomb 30000", 24, "too-large"),
        ("tiny png", 24, "too-small"),
        ("heic", 12, "heic"),
        ("gif", 8, "not-a-photo"),
    ],
)
def test_a_file_is_refused_by_its_first_bytes(name: str, length: int, code: str) -> None:
    header = Header()
    header.feed(corpus()[name][: length - 1])
    with pytest.raises(PhotoProblem) as caught:
        header.feed(corpus()[name][length - 1 : length])
    assert caught.value.code == code
    for step in (header.end, lambda: header.feed(corpus()["jpeg"])):
        with pytest.raises(PhotoProblem) as again:
            step()
        assert again.value.code == code


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (jpeg(frame(), SCAN), None),
        (jpeg(frame(layers=1), SCAN), None),
        (jpeg(frame(layers=2), SCAN), "not-from-a-camera"),
        (jpeg(frame(bits=12), SCAN), "not-from-a-camera"),
        (jpeg(frame()), "damaged"),
        (jpeg(SCAN, frame()), "damaged"),
        (jpeg(frame(), frame(), SCAN), "damaged"),
        (jpeg(frame(), SCAN, frame()), "damaged"),
        (jpeg(frame()[:3] + b"\x0c" + frame()[4:], SCAN), "damaged"),
        (jpeg(frame(), *[SCAN] * MOST_SCANS), None),
        (jpeg(frame(), *[SCAN] * (MOST_SCANS + 1)), "not-from-a-camera"),
        (jpeg(*[segment(0xFE, b"")] * (MOST_SEGMENTS - 2), frame(), SCAN), None),
        (jpeg(*[segment(0xFE, b"")] * (MOST_SEGMENTS - 1), frame(), SCAN), "not-from-a-camera"),
        # What a decoder passes over, too.
        (jpeg(segment(0xFE, b""), b"junk", frame(), b"\xff\x00\xff\x01", SCAN), None),
        (jpeg(frame(), SCAN, b"\xff\x05", SCAN), None),
        (jpeg(b"\xff\x05", frame(), SCAN), "damaged"),
    ],
)
def test_parts_of_a_jpeg_have_their_order(data: bytes, code: str | None) -> None:
    assert code_of(data) == code


def test_what_phones_write_before_the_picture_passes() -> None:
    """Preview, profile, list of pictures, and a depth map in pieces (from memory)."""
    before = (
        segment(0xE1, b"Exif\0\0II*\0" + bytes(60_000)),
        segment(0xE2, b"ICC_PROFILE\0\1\1" + bytes(3000)),
        segment(0xE2, b"MPF\0II*\0" + bytes(80)),
        *[segment(0xE1, b"http://ns.adobe.com/xmp/extension/\0" + bytes(65_000))] * 60,
    )
    assert code_of(jpeg(*before, frame(), SCAN)) is None


def test_there_is_an_end_to_what_may_stand_before_the_picture() -> None:
    many = [segment(0xE5, bytes(40_000))] * (MOST_HEADER_BYTES // 40_000)
    assert code_of(jpeg(*many, frame(), SCAN)) == "not-from-a-camera"
    # Long before its last byte.
    header = Header()
    with pytest.raises(PhotoProblem):
        header.feed(b"\xff\xd8" + b"\xff" * (MOST_HEADER_BYTES + 100))


def test_all_but_the_picture_is_left_out() -> None:
    first, tables = segment(0xE0, b"JFIF\0"), segment(0xDB, bytes(65))
    private = segment(0xE1, b"Exif\0\0II*\0") + segment(0xFE, b"invented") + b"\xff\xff\xff"
    data = jpeg(first, private, tables, frame(), SCAN) + b"further pictures"
    _, _, _, exif, needed = answer([data])
    kept = b"".join(data[start:end] for start, end in needed)  # type: ignore[attr-defined]
    assert kept == jpeg(first, tables, frame(), SCAN)
    assert data[slice(*exif)] == b"II*\0"  # type: ignore[misc]


@cache
def small_files() -> tuple[bytes, ...]:
    out = io.BytesIO()
    Image.new("RGB", (1000, 20), "grey").save(out, "JPEG", progressive=True, comment=b"invented")
    made = (jpeg(segment(0xE1, b"Exif\0\0II*\0"), b"\xff", frame(), b"\xff\x00", SCAN, SCAN),)
    return (*made, out.getvalue(), *(data for data in corpus().values() if len(data) < 4500))


@given(st.data())
@settings(max_examples=150)
def test_chunks_of_any_size_give_the_same_answer(data: st.DataObject) -> None:
    whole = bytearray(data.draw(st.sampled_from(small_files())))
    # Also what a file becomes by bytes written over it, markers above all.
    for _ in range(data.draw(st.integers(0, 3)) if whole else 0):
        at = data.draw(st.integers(0, len(whole) - 1))
        whole[at] = data.draw(st.sampled_from((0x00, 0x02, 0xC0, 0xD9, 0xDA, 0xE1, 0xFF)))
    cuts = sorted(data.draw(st.lists(st.integers(0, len(whole)), max_size=30)))
    edges = [0, *cuts, len(whole)]
    chunks = [bytes(whole[start:end]) for start, end in pairwise(edges)]
    assert answer(chunks) == answer([bytes(whole)])
    assert answer([bytes([one]) for one in whole]) == answer([bytes(whole)])


@given(st.binary(max_size=3000))
def test_any_bytes_are_no_photo_or_damaged(data: bytes) -> None:
    for start in (b"", b"\xff\xd8\xff", corpus()["png"][:33]):
        assert code_of(start + data) in ("not-a-photo", "damaged", "not-from-a-camera", "heic",
                                         "too-small", "too-large", None)  # fmt: skip


@pytest.mark.parametrize(
    "name",
    ["jpeg of endless fill bytes", "jpeg with fill bytes", "jpeg of noise of 49 Mpx",
     "jpeg with 5000 scans of 49 Mpx", "png with 100,000 empty pixel parts"],
)  # fmt: skip
def test_twice_the_bytes_take_about_twice_the_time(name: str) -> None:
    """A walk that went back would take four times as long, and 64 kB at a time far longer."""
    data = corpus()[name]

    def seconds(length: int) -> float:
        taken = []
        for _ in range(5):
            start = time.process_time()
            answer([data[at : at + 65_536] for at in range(0, length, 65_536)])
            taken.append(time.process_time() - start)
        return min(taken)

    assert seconds(len(data)) < 3 * seconds(len(data) // 2) + 0.02


def tag(number: int, kind: int, count: int, value: int, order: str = "<") -> bytes:
    return struct.pack(order + "HHI", number, kind, count) + (
        struct.pack(order + "HH", value, 0) if kind == 3 else struct.pack(order + "I", value)
    )


def block(order: str = "<", orientation: int = 6, focal: int = 26, kind: int = 3) -> bytes:
    start = {"<": b"II*\0", ">": b"MM\0*"}[order] + struct.pack(order + "IH", 8, 2)
    first = tag(0x0112, 3, 1, orientation, order) + tag(0x8769, 4, 1, 40, order) + bytes(6)
    return start + first + struct.pack(order + "H", 1) + tag(0xA405, kind, 1, focal, order)


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", [3, 4])
def test_both_numbers_of_the_camera_are_read_in_either_order_of_bytes(
    order: str, kind: int
) -> None:
    assert read_exif(block(order, kind=kind)) == Exif(6, 26.0)


@given(st.binary(max_size=200), st.sampled_from((b"", b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08")))
def test_any_exif_block_is_read_or_ignored(data: bytes, start: bytes) -> None:
    read = read_exif(start + data)
    assert 1 <= read.orientation <= 8
    assert read.focal_35mm is None or 10 <= read.focal_35mm <= 200


@pytest.mark.parametrize("cut", range(0, len(block()), 3))
def test_a_cut_exif_block_is_ignored(cut: int) -> None:
    read = read_exif(block()[:cut])
    assert read.focal_35mm is None
    assert read.orientation in (1, 6)
