"""Files that nobody should send as a photo: made in code, the same ones each time.

Those that open all the same show nobody, so that the chain as a whole refuses every one of them.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from functools import cache, partial

import numpy as np
from numpy.typing import NDArray
from PIL import Image

_SIZE = 1200, 1000
_MEGABYTE = 1_000_000
_SCRIPT = b"<html><script>alert(1)</script></html>"

Build = Callable[[], bytes]


@cache
def corpus() -> dict[str, bytes]:
    """All files by name."""
    return {name: build() for name, build in {**_refused(), **_tolerated()}.items()}


# Pictures


@cache
def scene(width: int = _SIZE[0], height: int = _SIZE[1]) -> NDArray[np.uint8]:
    """A wall in uneven light with nobody in front of it, (height, width), grey."""
    down, across = np.mgrid[:height, :width]
    light = 90 + 60 * down / height + 40 * np.sin(across / 90)
    noise = np.random.default_rng(7).normal(0, 4, light.shape)
    return (light + noise).clip(0, 255).astype(np.uint8)


def _picture(mode: str = "RGB") -> Image.Image:
    return Image.fromarray(scene()).convert(mode)


def _file(picture: Image.Image, kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **options)  # type: ignore[arg-type]
    return out.getvalue()


@cache
def _jpeg() -> bytes:
    return _file(_picture(), "JPEG", quality=60)


@cache
def _png() -> bytes:
    return _file(_picture("L"), "PNG", compress_level=1)


# JPEG


def _segment(marker: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def _with_segments(*segments: bytes, jpeg: bytes | None = None) -> bytes:
    whole = jpeg or _jpeg()
    return whole[:2] + b"".join(segments) + whole[2:]


def _at(jpeg: bytes, marker: int) -> int:
    """Where a segment begins; right for files without previews."""
    return jpeg.index(bytes((0xFF, marker)))


def _sized(width: int, height: int, jpeg: bytes | None = None) -> bytes:
    """A JPEG that claims another size."""
    whole = bytearray(jpeg or _jpeg())
    frame = _at(whole, 0xC0)
    whole[frame + 5 : frame + 9] = struct.pack(">HH", height, width)
    return bytes(whole)


def _second_frame(after_pixels: bool) -> bytes:
    whole = _jpeg()
    start = _at(whole, 0xC0)
    frame = bytearray(whole[start : start + 19])
    frame[5:9] = struct.pack(">HH", 65000, 65000)
    at = len(whole) - 2 if after_pixels else start + 19
    return whole[:at] + bytes(frame) + whole[at:]


def _frame_of_kind(marker: int) -> bytes:
    whole = bytearray(_jpeg())
    whole[_at(whole, 0xC0) + 1] = marker
    return bytes(whole)


def _scans(count: int, picture: Image.Image) -> bytes:
    """A progressive JPEG whose last, nearly empty pass over the picture comes again and again."""
    whole = _file(picture, "JPEG", progressive=True, quality=30)
    last = whole.rindex(b"\xff\xda")
    passes = whole.count(b"\xff\xda")
    return whole[:-2] + whole[last:-2] * (count - passes) + whole[-2:]


def _flat(side: int, mode: str = "L") -> Image.Image:
    return Image.new(mode, (side, side), "grey")


def _noise(side: int) -> bytes:
    noise = np.random.default_rng(3).integers(0, 256, (side, side), np.uint8)
    return _file(Image.fromarray(noise), "JPEG", quality=5)


def _ycck() -> bytes:
    whole = bytearray(_file(_picture("CMYK"), "JPEG"))
    whole[whole.index(b"Adobe") + 11] = 2
    return bytes(whole)


# Exif


def _tag(tag: int, kind: int, count: int, value: int) -> bytes:
    return struct.pack("<HHII", tag, kind, count, value)


def _exif(*tags: bytes, tail: bytes = bytes(4), count: int | None = None) -> bytes:
    entries = len(tags) if count is None else count
    return b"II*\0\x08\0\0\0" + struct.pack("<H", entries) + b"".join(tags) + tail


def _exif_jpeg(*tags: bytes, **options: bytes | int) -> bytes:
    return _with_segments(_segment(0xE1, b"Exif\0\0" + _exif(*tags, **options)))  # type: ignore[arg-type]


def _huge_tags() -> bytes:
    """60,000 tags, each of which says that the whole block is its value."""
    return _exif(*(_tag(n, 7, 1_400_000, 0) for n in range(2000, 62_000)), tail=bytes(700_000))


def _many_exif_tags() -> bytes:
    block = _huge_tags()
    pieces = (block[at : at + 65_000] for at in range(0, len(block), 65_000))
    return _with_segments(*(_segment(0xE1, b"Exif\0\0" + piece) for piece in pieces))


def _turned(orientation: int) -> bytes:
    return _exif_jpeg(_tag(0x0112, 3, 1, orientation))


# PNG


def _chunk(name: bytes, body: bytes) -> bytes:
    checksum = zlib.crc32(name + body)
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", checksum)


def _ihdr(width: int, height: int, bits: int = 8, colour: int = 0, interlaced: int = 0) -> bytes:
    return b"\x89PNG\r\n\x1a\n" + _chunk(
        b"IHDR", struct.pack(">IIBBBBB", width, height, bits, colour, 0, 0, interlaced)
    )


def _zeros(count: int) -> bytes:
    squeeze = zlib.compressobj(1)
    whole, rest = divmod(count, _MEGABYTE)
    parts = [squeeze.compress(bytes(_MEGABYTE)) for _ in range(whole)]
    return b"".join((*parts, squeeze.compress(bytes(rest)), squeeze.flush()))


def _grid(width: int, height: int, bits: int = 8, colour: int = 0) -> bytes:
    """A black PNG of any size and kind; a small file."""
    samples = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    pixels = _zeros(height * (1 + (width * samples * bits + 7) // 8))
    return _ihdr(width, height, bits, colour) + _chunk(b"IDAT", pixels) + _chunk(b"IEND", b"")


def _interlaced(side: int) -> bytes:
    """Seven passes, each over every so many rows and columns (PNG, Adam7)."""
    passes = ((0, 8, 0, 8), (0, 8, 4, 8), (4, 8, 0, 4), (0, 4, 2, 4), (2, 4, 0, 2), (0, 2, 1, 2),
              (1, 2, 0, 1))  # fmt: skip
    rows = b"".join(
        b"\0" + scene(side, side)[row, left::across].tobytes()
        for top, down, left, across in passes
        for row in range(top, side, down)
    )
    header = _ihdr(side, side, interlaced=1)
    return header + _chunk(b"IDAT", zlib.compress(rows, 1)) + _chunk(b"IEND", b"")


def _with_chunks(*chunks: bytes, png: bytes | None = None, at_end: bool = False) -> bytes:
    whole = png or _png()
    at = len(whole) - 12 if at_end else 33
    return whole[:at] + b"".join(chunks) + whole[at:]


def _text_bomb(name: bytes, start: bytes, count: int) -> bytes:
    return _chunk(name, start + _zeros(900_000)) * count


def _wrong_checksum(at: int) -> bytes:
    whole = bytearray(_png())
    whole[at] ^= 1
    return bytes(whole)


def _pixels_of(data: bytes, width: int = 1000, height: int = 1000) -> bytes:
    return _ihdr(width, height) + _chunk(b"IDAT", data) + _chunk(b"IEND", b"")


def _animated(kind: str) -> bytes:
    other = Image.fromarray(np.ascontiguousarray(scene()[::-1]))
    return _file(_picture("L"), kind, save_all=True, append_images=[other])


# Others


def _ftyp(brand: bytes) -> bytes:
    return b"\0\0\0\x18ftyp" + brand + b"\0\0\0\0mif1miaf" + b"\0\0\1\0meta" + bytes(4000)


def _zip() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("zeros"), bytes(_MEGABYTE))
    return out.getvalue()


def _gif_and_jpeg() -> bytes:
    """A picture file of one kind with one of the other in its comment."""
    return b"GIF89a\xff\xd8\x10\x00\x00\x00\x00!\xfe\xff" + _jpeg() + b";"


def _cut(whole: Build, length: int) -> bytes:
    return whole()[:length]


def _constant(data: bytes) -> Build:
    return lambda: data


def _no_photos() -> dict[str, Build]:
    letter = b"A letter, and not a picture of one.\n" * 400
    small = Image.new("RGB", (1000, 1000), "grey")
    constants = {
        "zero bytes": b"",
        "one byte": b"\xff",
        "null bytes": bytes(5000),
        "text": letter,
        "html": b"<!doctype html>" + _SCRIPT,
        "svg": b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="a()"/>',
        "entity bomb": b'<!DOCTYPE a [<!ENTITY b "cc"><!ENTITY c "&b;&b;">]><svg>&c;</svg>',
        "pdf": b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n",
        "program": b"\x7fELF\x02\x01\x01" + bytes(2000),
        "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\nshowpage\n",
        "fits": b"SIMPLE  =                    T" + bytes(2850),
        "photoshop": b"8BPS\0\1" + bytes(2000),
        "heic": _ftyp(b"heic"),
        "heif": _ftyp(b"mif1"),
        "avif": _ftyp(b"avif"),
        "film": _ftyp(b"isom"),
        "random bytes": np.random.default_rng(11).bytes(200_000),
    }
    built = {
        "gif": partial(_file, small, "GIF"),
        "webp": partial(_file, small, "WEBP"),
        "tiff": partial(_file, small, "TIFF"),
        "bmp": partial(_file, small, "BMP"),
        "ico": partial(_file, small, "ICO"),
        "zip": _zip,
        "gif with a jpeg inside": _gif_and_jpeg,
        "pdf with a jpeg inside": lambda: b"%PDF-1.7\nstream\n" + _jpeg() + b"\nendstream\n%%EOF",
        "line before a jpeg": lambda: b"\r\n" + _jpeg(),
    }
    return {**{name: _constant(data) for name, data in constants.items()}, **built}


def _broken_jpegs() -> dict[str, Build]:
    filled = b"\xff\xd8" + b"\xff" * (9 * _MEGABYTE)
    cuts = (2, 3, 20, 160, 300, 5000, 30_000)
    return {
        **{f"jpeg cut after {length}": partial(_cut, _jpeg, length) for length in cuts},
        "jpeg without a frame": _constant(b"\xff\xd8" + _segment(0xFE, b"x") + b"\xff\xd9"),
        "jpeg of nothing": _constant(b"\xff\xd8\xff\xd9"),
        "jpeg that claims 65535 x 65535": partial(_sized, 65535, 65535),
        "jpeg that claims 65535 x 700": partial(_sized, 65535, 700),
        "jpeg without height": partial(_sized, 1200, 0),
        "jpeg with two frames": partial(_second_frame, after_pixels=False),
        "jpeg with a frame after its pixels": partial(_second_frame, after_pixels=True),
        "jpeg that begins twice": lambda: _jpeg()[:2] + _jpeg(),
        "jpeg with arithmetic coding": partial(_frame_of_kind, 0xC9),
        "jpeg without loss": partial(_frame_of_kind, 0xC3),
        "jpeg of a kind that does not exist": partial(_frame_of_kind, 0xC8),
        "jpeg with 10 MB before its frame": lambda: _with_segments(
            _segment(0xE5, bytes(60_000)) * 170
        ),
        "jpeg with 100,000 segments": lambda: _with_segments(_segment(0xFE, b"") * 100_000),
        "jpeg of endless fill bytes": _constant(filled),
        "jpeg of endless junk": _constant(b"\xff\xd8\xff\xfe\x00\x02" + bytes(9 * _MEGABYTE)),
        "jpeg with a segment of length 0": _constant(b"\xff\xd8\xff\xe1\x00\x00" + bytes(3000)),
        "jpeg with 5000 scans": lambda: _scans(5000, _flat(1200)),
        "jpeg with 5000 scans of 49 Mpx": lambda: _scans(5000, _flat(7000)),
        "jpeg with 100,000 unused marks": lambda: _jpeg()[:-2] + b"\xff\x05" * 100_000,
        "tiny jpeg": partial(_file, Image.new("RGB", (1, 1)), "JPEG"),
        "jpeg without tables": lambda: _jpeg()[:2] + _jpeg()[_at(_jpeg(), 0xC0) :],
        "narrow jpeg": lambda: _sized(50, 65535),
    }


def _broken_pngs() -> dict[str, Build]:
    cuts = (7, 8, 20, 33, 41, 50_000)
    sides = (7100, 10_000, 14_000, 30_000)
    return {
        **{f"png cut after {length}": partial(_cut, _png, length) for length in cuts},
        **{f"png bomb {side}": partial(_grid, side, side, 1) for side in sides},
        "png that claims 2^31": _constant(_ihdr(1 << 31, 1 << 31) + _chunk(b"IDAT", b"")),
        "png that claims 7000 x 7000": lambda: _pixels_of(_zeros(1000), 7000, 7000),
        "png without width": lambda: _pixels_of(_zeros(1000), 0, 1000),
        "png without pixels": _constant(_ihdr(1000, 1000) + _chunk(b"IEND", b"")),
        "png with broken pixels": lambda: _pixels_of(b"\x78\x9c" + bytes(range(256)) * 8),
        "png with empty pixels": lambda: _pixels_of(b""),
        "png with a wrong checksum": partial(_wrong_checksum, 32),
        "png with an unknown colour": partial(_grid_of_colour, 5),
        "png with 3 bits": lambda: _ihdr(1000, 1000, 3) + _chunk(b"IDAT", b"x"),
        "png with two heads": lambda: _with_chunks(_ihdr(9000, 9000)[8:]),
        "png without its head": lambda: _png()[:8] + _png()[33:],
        "png with a part of 2 GB": lambda: _with_chunks(b"\x7f\xff\xff\xfftEXt"),
        "png with a part of 4 GB": lambda: _with_chunks(b"\xff\xff\xff\xffIDAT"),
        "png with an unknown needed part": lambda: _with_chunks(_chunk(b"ABCD", b"x")),
        "png with a part without a name": lambda: _with_chunks(_chunk(b"\0\1\2\3", b"x")),
        "png with 100,000 parts": lambda: _with_chunks(_chunk(b"tIME", bytes(7)) * 100_000),
        "png with 100,000 parts at its end": lambda: _with_chunks(
            _chunk(b"tEXt", b"a\0b") * 100_000, at_end=True
        ),
        "png with 100,000 empty pixel parts": lambda: _with_chunks(_chunk(b"IDAT", b"") * 100_000),
        "png with 10 MB before its pixels": lambda: _with_chunks(
            _chunk(b"tEXt", bytes(_MEGABYTE)) * 10
        ),
        "png with 2000 text bombs": lambda: _with_chunks(_text_bomb(b"zTXt", b"a\0\0", 2000)),
        "animated png": partial(_animated, "PNG"),
        "tiny png": partial(_grid, 1, 1),
        "png of 999": partial(_grid, 999, 999),
        "huge exif in a cut png": lambda: _ihdr(1000, 1000) + _chunk(b"eXIf", _huge_tags()),
    }  # fmt: skip


def _grid_of_colour(colour: int) -> bytes:
    return _ihdr(1000, 1000, 8, colour) + _chunk(b"IDAT", _zeros(10_000)) + _chunk(b"IEND", b"")


def _refused() -> dict[str, Build]:
    """Files that are refused before or while they are decoded."""
    return {**_no_photos(), **_broken_jpegs(), **_broken_pngs()}


def _odd_jpegs() -> dict[str, Build]:
    orientations = {f"jpeg turned {n}": partial(_turned, n) for n in range(1, 9)}
    icc = _segment(0xE2, b"ICC_PROFILE\0\x01\x09" + bytes(range(256)))
    return {
        **orientations,
        "jpeg": _jpeg,
        "cmyk jpeg": lambda: _file(_picture("CMYK"), "JPEG"),
        "ycck jpeg": _ycck,
        "grey jpeg": lambda: _file(_picture("L"), "JPEG"),
        "progressive jpeg": lambda: _file(_picture(), "JPEG", progressive=True),
        "jpeg with 40 scans": lambda: _scans(40, _flat(1200)),
        "jpeg with 40 scans of 49 Mpx": lambda: _scans(40, _flat(7000, "RGB")),
        "jpeg of noise of 49 Mpx": partial(_noise, 7000),
        "jpeg of 49 Mpx turned 5": lambda: _with_segments(
            _segment(0xE1, b"Exif\0\0" + _exif(_tag(0x0112, 3, 1, 5))),
            jpeg=_file(_flat(7000, "RGB"), "JPEG", quality=30),
        ),
        "jpeg without its end": lambda: _jpeg()[:-2],
        "jpeg with pixels for half of it": partial(_sized, 1200, 2000),
        "jpeg followed by a zip": lambda: _jpeg() + _zip(),
        "jpeg followed by html": lambda: _jpeg() + _SCRIPT,
        "jpeg with html in its comment": lambda: _with_segments(_segment(0xFE, _SCRIPT)),
        "jpeg with a gif in its comment": lambda: _with_segments(
            _segment(0xFE, _gif_and_jpeg()[:99])
        ),
        "two-picture jpeg": partial(_animated, "MPO"),
        "jpeg with half a list of pictures": lambda: _with_segments(
            _segment(0xE2, b"MPF\0II*\0\xff")
        ),
        "jpeg with a broken profile": lambda: _with_segments(icc),
        "jpeg with 200 profiles": lambda: _with_segments(icc * 200),
        "jpeg with 7 MB before its frame": lambda: _with_segments(
            _segment(0xE1, bytes(65_000)) * 107
        ),
        "jpeg with fill bytes": lambda: _with_segments(b"\xff" * 5 * _MEGABYTE),
        "jpeg with exif that bites its tail": lambda: _exif_jpeg(
            _tag(0x8769, 4, 1, 8), _tag(0x0112, 3, 1, 6), tail=b"\x08\0\0\0"
        ),
        "jpeg with exif of 65,535 tags": lambda: _exif_jpeg(count=65_535),
        "jpeg with exif far away": lambda: _exif_jpeg(_tag(0x8769, 4, 1, 0xFFFFFFF0)),
        "jpeg with exif of 4 GB": lambda: _exif_jpeg(_tag(0x0112, 3, 0xFFFFFFFF, 6)),
        "jpeg with exif of text": lambda: _exif_jpeg(_tag(0x0112, 2, 4, 0x41414141)),
        "jpeg with orientation 99": lambda: _turned(99),
        "jpeg with exif of 2 bytes": lambda: _with_segments(_segment(0xE1, b"Exif\0\0II")),
        "jpeg with 60,000 huge tags": _many_exif_tags,
        "jpeg with broken photoshop parts": lambda: _with_segments(
            _segment(0xED, b"Photoshop 3.0\0" + b"8BIM\x03\xed\xff" + bytes(9))
        ),
    }  # fmt: skip


def _odd_pngs() -> dict[str, Build]:
    sixteen = Image.fromarray(scene().astype(np.uint16) * 257)
    return {
        "png": _png,
        "png of 16 bits": partial(_file, sixteen, "PNG", compress_level=1),
        "png of 16 bits and 49 Mpx": partial(_grid, 7000, 7000, 16),
        "png of 16 bits, alpha and 49 Mpx": partial(_grid, 7000, 7000, 16, 6),
        "png of 16 bits a colour": partial(_grid, 1000, 1000, 16, 2),
        "png of 1 bit": partial(_grid, 7000, 7000, 1),
        "png with a palette": lambda: _file(_picture("P"), "PNG", compress_level=1),
        "png with alpha": lambda: _file(_picture("RGBA"), "PNG", compress_level=1),
        "png of grey with alpha": lambda: _file(_picture("LA"), "PNG", compress_level=1),
        "interlaced png": partial(_interlaced, 1000),
        "narrow png": partial(_grid, 50, 60_000),
        "flat png": partial(_grid, 60_000, 50),
        "png with more pixels than it says": lambda: _pixels_of(_zeros(40 * _MEGABYTE)),
        # The library below does not compare this one.
        "png with a wrong checksum of its pixels": partial(_wrong_checksum, -13),
        "png followed by a script": lambda: _png() + _SCRIPT,
        "png without its end": lambda: _png()[:-12],
        "png with text bombs": lambda: _with_chunks(_text_bomb(b"zTXt", b"a\0\0", 100)),
        "png with unicode bombs": lambda: _with_chunks(_text_bomb(b"iTXt", b"a\0\1\0\0\0", 100)),
        "png with profile bombs": lambda: _with_chunks(_text_bomb(b"iCCP", b"a\0\0", 500)),
        "png with bombs at its end": lambda: _with_chunks(
            _text_bomb(b"zTXt", b"a\0\0", 500), at_end=True
        ),
        "png with a huge text": lambda: _with_chunks(
            _chunk(b"zTXt", b"a\0\0" + _zeros(400 * _MEGABYTE))
        ),
        "png with 60,000 huge tags": lambda: _with_chunks(_chunk(b"eXIf", _huge_tags())),
        "png that moves after its pixels": lambda: _with_chunks(
            _chunk(b"acTL", struct.pack(">II", 1000, 0)), at_end=True
        ),
    }  # fmt: skip


def _tolerated() -> dict[str, Build]:
    """Files that open, and show nobody."""
    return {**_odd_jpegs(), **_odd_pngs()}


tolerated: frozenset[str] = frozenset(_tolerated())
