"""The code on the card: read from the printed page, it gives the numbers again."""

import re
from dataclasses import dataclass, replace
from urllib.parse import unquote

import cv2
import numpy as np
import pytest

from ellwand.card import CardContent, CardRow, digest_of
from ellwand.card.page import card_data
from ellwand.card.pdf import CARD_TEMPLATE
from ellwand.card.qr import QUIET_MODULES, SHORT, code_of, code_text
from ellwand.card.typeset import typeset_png
from ellwand.measurements import KINDS
from ellwand.sizing import Choice

from .test_measurement_card import (
    Make,
    Paper,
    decision,
    eight_queries,
    long_names,
    nothing,
    overfull,
    plain,
)


@dataclass(frozen=True)
class Told:
    """What a program reads in a code.

    Args:
        tenths: value in tenths of a millimetre and standing, by code of the measurement.
        choices: size, cup and length class, each with its alternative.
        digest: the digest of the card.
    """

    tenths: dict[str, tuple[int, str]]
    choices: tuple[list[str], ...]
    digest: str


def told_by(text: str) -> Told:
    """Read a code as its module tells it, with nothing of that module but the two letters."""
    name, version, measured, *choices, digest = text.split("/")
    assert (name, version) == ("ELLWAND", "1")
    codes = {short: code for code, short in SHORT.items()}
    found = re.findall(r"([A-Z]{2})(\d+)([CKRQE])", measured)
    assert "".join(map("".join, found)) == measured
    return Told(
        {codes[short]: (int(value), standing) for short, value, standing in found},
        tuple([unquote(one) for one in choice.split("+")] for choice in choices),
        digest.lower(),
    )


def page_of(content: CardContent, dpi: float = 150) -> cv2.typing.MatLike:
    page = typeset_png(CARD_TEMPLATE, card_data(content), dpi / 25.4)[0]
    return cv2.imdecode(np.frombuffer(page, np.uint8), cv2.IMREAD_GRAYSCALE)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [plain, overfull, eight_queries, nothing])
def test_the_printed_code_gives_the_numbers_of_the_card(make: Make, paper: Paper) -> None:
    content = replace(make(), paper=paper)
    text, corners, _ = cv2.QRCodeDetector().detectAndDecode(page_of(content))
    assert corners is not None
    told = told_by(text)
    assert told.digest == digest_of(content)
    assert told.tenths == {
        row.code: (round(10 * row.value_mm), row.standing[0].upper()) for row in content.rows
    }
    made = content.decision
    if made is None:
        assert told.choices == ([""], [""], [""])
    else:
        assert told.choices == ([made.size.name], [made.cup.name], [made.length_class.name.upper()])


def test_long_names_of_a_block_are_cut_and_the_code_can_still_be_read() -> None:
    content = long_names()
    told = told_by(cv2.QRCodeDetector().detectAndDecode(page_of(content))[0])
    assert (len(told.tenths), told.digest) == (len(KINDS), digest_of(content))
    assert told.choices == (
        ["long petite of…"] * 2, ["Wide Ample", "More"], ["REGULAR", "PETITE"]
    )  # fmt: skip


def test_it_is_read_on_a_grey_and_noisy_print_too() -> None:
    page = page_of(plain(), 200).astype(float)
    # A poor copy: washed out, uneven light, a little blur, noise.
    noise = np.random.default_rng(1).normal(0, 12, page.shape)
    light = np.linspace(0.75, 1, page.shape[1])
    worn = cv2.GaussianBlur((60 + 0.7 * page) * light + noise, (0, 0), 0.8)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(np.clip(worn, 0, 255).astype(np.uint8))
    assert told_by(text).digest == digest_of(plain())


def test_every_measurement_has_two_letters_of_its_own() -> None:
    assert SHORT.keys() == KINDS.keys()
    assert len(set(SHORT.values())) == len(KINDS)
    assert all(re.fullmatch("[A-Z]{2}", short) for short in SHORT.values())


@pytest.mark.parametrize(
    ("name", "other", "written"),
    [
        ("4", None, "4"),
        ("4", "5", "4+5"),
        ("m/l", "½+", "%6D%2F%6C+%C2%BD%2B"),
        ("Größe 4", None, "G%72%C3%B6%C3%9F%65%204"),
    ],
)
def test_names_of_a_block_come_through_whatever_they_are(
    name: str, other: str | None, written: str
) -> None:
    size = Choice(name, other, "", None)
    text = code_text(replace(plain(), decision=replace(decision(), size=size)), "0" * 16)
    assert text.split("/")[3] == written
    assert told_by(text).choices[0] == [one for one in (name, other) if one]


def test_the_drawing_is_the_code_with_white_around_it() -> None:
    code = code_of("ELLWAND/1//////")
    path = re.search(r'<path d="([^"]*)"', code.svg)
    assert path
    dark = np.zeros((code.modules, code.modules), bool)
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path[1]):
        dark[int(y), int(x) : int(x) + int(length)] = True
    ys, xs = np.nonzero(dark)
    assert (xs.min(), ys.min()) == (QUIET_MODULES, QUIET_MODULES)
    assert (xs.max(), ys.max()) == (code.modules - QUIET_MODULES - 1,) * 2
    # The first finder pattern: a ring of seven by seven about a square of three by three.
    finder = np.ones((7, 7), bool)
    finder[1:6, 1:6] = False
    finder[2:5, 2:5] = True
    assert (dark[4:11, 4:11] == finder).all()


def test_tenths_are_rounded_as_numbers_are() -> None:
    row = CardRow("waist", 968.375, None, None, "read", "tape, 1 reading")
    assert code_text(CardContent((row,)), "ab" * 8) == "ELLWAND/1/WA9684R////ABABABABABABABAB"
