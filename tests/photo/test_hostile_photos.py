"""Every file of the hostile corpus ends as a problem with an advice, or opens and shows nobody."""

import subprocess
import sys

import pytest

from ellwand.errors import PhotoProblem
from ellwand.photo.files import MOST_PIXELS
from ellwand.photo.headers import Header
from ellwand.photo.intake import Photo, read_photo
from ellwand.photo.look import look_at

from ..hostile_photos import corpus, scene, tolerated

CODES = {"damaged", "heic", "not-a-photo", "not-from-a-camera", "too-large", "too-small"}
# Told by the whole file: what stands before its pixels is in order.
SEEN_BY_THE_DECODER_ONLY = {
    "jpeg that claims 65535 x 700",
    "jpeg without tables",
    "narrow jpeg",
    "png cut after 41",
    "png cut after 50000",
    "png that claims 7000 x 7000",
    "png with 3 bits",
    "png with a wrong checksum",
    "png with an unknown colour",
    "png with broken pixels",
    "png with empty pixels",
    "jpeg cut after 5000",
    "jpeg cut after 30000",
}
# Pillow holds a pixel in 4 bytes; a turned copy takes 4, the array and its making 3 each.
MOST_BYTES = 14 * MOST_PIXELS

# The kernel's own count begins with the process; that of `getrusage` holds the parent's, too.
MEASURE = """
import pathlib, re, sys
from ellwand.errors import PhotoProblem
from ellwand.photo.intake import read_photo

def most_kb():
    return int(re.search("VmHWM:\\s+(\\d+) kB", pathlib.Path("/proc/self/status").read_text())[1])

data = sys.stdin.buffer.read()
before = most_kb()
try:
    read_photo(data)
except PhotoProblem:
    pass
print(most_kb() - before)
"""


def told(problem: PhotoProblem) -> str:
    assert problem.sentence.endswith(".")
    assert problem.advice.endswith(".")
    assert problem.code in CODES
    return problem.code


def code_by_header(data: bytes) -> str | None:
    header = Header()
    try:
        header.feed(data)
        header.end()
    except PhotoProblem as problem:
        return told(problem)
    return None


def test_the_corpus_is_large_and_no_file_is_in_it_twice() -> None:
    assert len(set(corpus().values())) == len(corpus()) >= 140
    assert tolerated < set(corpus())


@pytest.mark.parametrize("name", sorted(set(corpus()) - tolerated))
def test_what_is_no_photo_is_refused_with_an_advice(name: str) -> None:
    data = corpus()[name]
    with pytest.raises(PhotoProblem) as caught:
        read_photo(data)
    by_header = None if name in SEEN_BY_THE_DECODER_ONLY else told(caught.value)
    assert code_by_header(data) == by_header


@pytest.mark.parametrize("name", sorted(tolerated))
def test_what_opens_all_the_same_shows_nobody(name: str) -> None:
    data = corpus()[name]
    assert code_by_header(data) is None
    found = look_at(read_photo(data), "front", "marker-sheets", "a4", 1680.0)
    assert isinstance(found, tuple)
    assert [one.code for one in found] in (["nobody"], ["dark"])
    assert all(one.severity == "refused" and one.advice.endswith(".") for one in found)


def opened(name: str) -> Photo:
    return read_photo(corpus()[name])


@pytest.mark.parametrize(
    "name",
    [
        "png of 16 bits",
        "png with alpha",
        "png followed by a script",
        "png with text bombs",
        "png without its end",
    ],
)
def test_what_comes_with_a_picture_changes_nothing_of_it(name: str) -> None:
    assert (opened(name).rgb == scene()[:, :, None]).all()


def test_an_interlaced_picture_is_that_picture() -> None:
    assert (opened("interlaced png").rgb == scene(1000, 1000)[:, :, None]).all()


@pytest.mark.skipif(sys.platform != "linux", reason="the count is Linux's")
@pytest.mark.parametrize(
    "name",
    [
        "jpeg with 40 scans of 49 Mpx",
        "jpeg of 49 Mpx turned 5",
        "jpeg of noise of 49 Mpx",
        "png of 16 bits and 49 Mpx",
        "png of 16 bits, alpha and 49 Mpx",
        "png with a huge text",
        "jpeg with 60,000 huge tags",
    ],
)
def test_the_memory_for_a_file_is_bounded_by_the_number_of_pixels(name: str) -> None:
    outcome = subprocess.run(
        [sys.executable, "-c", MEASURE], input=corpus()[name], capture_output=True, check=True
    )
    assert int(outcome.stdout) * 1024 < MOST_BYTES
