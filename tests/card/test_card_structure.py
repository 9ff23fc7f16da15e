"""The card as a tagged PDF: what a reader who hears it is given, and what no file may carry."""

import io
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pikepdf
import pytest
from pypdf import PdfReader

from ellwand.card import CardContent, CardRow, card_pdf
from ellwand.measurements import KINDS

from .test_measurement_card import nothing, overfull, plain

CONTENTS = pytest.mark.parametrize("make", [plain, overfull, nothing])
Make = Callable[[], CardContent]


@cache
def opened(make: Make) -> pikepdf.Pdf:
    """The card of one of the contents; it is only read, and so serves all tests."""
    return pikepdf.open(io.BytesIO(card_pdf(make())))


def elements(node: Any) -> Iterator[pikepdf.Dictionary]:
    """Every element of the structure, in the order in which it is read."""
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from elements(kid)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield node
        yield from elements(node.get("/K"))


def structure(pdf: pikepdf.Pdf) -> list[pikepdf.Dictionary]:
    return list(elements(pdf.Root.StructTreeRoot.K))


def kinds(pdf: pikepdf.Pdf) -> list[str]:
    return [str(one.S) for one in structure(pdf)]


def keys(pdf: pikepdf.Pdf) -> set[str]:
    """Every key of every dictionary of a file."""
    found: set[str] = set()

    def visit(value: Any) -> None:
        if isinstance(value, pikepdf.Dictionary | pikepdf.Stream):
            for key, inner in value.items():
                found.add(str(key))
                if not getattr(inner, "is_indirect", False):
                    visit(inner)
        elif isinstance(value, pikepdf.Array):
            for inner in value:
                if not getattr(inner, "is_indirect", False):
                    visit(inner)

    for one in pdf.objects:
        visit(one)
    return found


@CONTENTS
def test_it_is_tagged_and_tells_its_language_and_title(make: Make) -> None:
    pdf = opened(make)
    root = pdf.Root
    assert root.MarkInfo.Marked
    assert str(root.Lang).startswith("en")
    assert root.ViewerPreferences.DisplayDocTitle
    metadata = root.Metadata.read_bytes().decode()
    assert "Measurement card" in metadata
    # What the file says of itself: PDF/UA, part 1.
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata


@CONTENTS
def test_headings_go_down_step_by_step(make: Make) -> None:
    found = [int(kind[2:]) for kind in kinds(opened(make)) if kind[1:2] == "H" and kind[2:]]
    assert found[0] == 1
    assert found.count(1) == 1
    levels = [1, *found]
    assert all(after <= before + 1 for before, after in zip(levels, found, strict=False))


def test_the_girths_are_a_table_with_a_heading_row() -> None:
    found = kinds(opened(plain))
    assert found.count("/Table") == 1
    assert found.count("/THead") == 1
    # A heading row, and one for each measurement.
    assert found.count("/TR") == 1 + len(KINDS)
    assert found.count("/TH") >= 5


@CONTENTS
def test_every_picture_is_told_in_words(make: Make) -> None:
    for one in structure(opened(make)):
        if one.S == "/Figure":
            assert str(one.get("/Alt", "")).strip()


@CONTENTS
def test_every_font_comes_with_the_file(make: Make) -> None:
    pdf = opened(make)
    fonts = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary)
             and one.get("/Type") == "/FontDescriptor"]  # fmt: skip
    assert fonts
    for font in fonts:
        assert any(f"/FontFile{kind}" in font for kind in ("", "2", "3"))
    # No font without a descriptor, such as one of the fourteen that every reader has.
    for one in pdf.objects:
        if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/Font":
            assert one.Subtype == "/Type0" or "/FontDescriptor" in one


@CONTENTS
def test_nothing_runs_leads_out_or_lies_hidden(make: Make) -> None:
    pdf = opened(make)
    found = keys(pdf)
    assert "/MarkInfo" in found
    for key in ("/JS", "/JavaScript", "/AA", "/OpenAction", "/URI", "/Launch", "/EmbeddedFiles",
                "/AF", "/AcroForm", "/RichMedia"):  # fmt: skip
        assert key not in found
    # Not one picture made of pixels: a photo cannot be in it.
    pictures = [one for one in pdf.objects if isinstance(one, pikepdf.Stream)
                and one.get("/Subtype") == "/Image"]  # fmt: skip
    assert pictures == []


@pytest.mark.parametrize("words", ["测量三次", "\U0001f600"])
def test_signs_that_no_font_has_are_boxes_and_the_card_claims_less(words: str) -> None:
    row = CardRow("waist", 800, None, None, "kept", "tape, 1 reading", words)
    pdf = pikepdf.open(io.BytesIO(card_pdf(CardContent((row,)))))
    assert b"pdfuaid" not in pdf.Root.Metadata.read_bytes()
    assert pdf.Root.MarkInfo.Marked


@pytest.mark.parametrize("words", ["Größe, três, ½ Zoll", "мерили трижды", "μετρήθηκε"])
def test_words_in_other_letters_are_shown_as_they_are(words: str) -> None:
    row = CardRow("waist", 800, None, None, "kept", "tape, 1 reading", words)
    data = card_pdf(CardContent((row,)))
    assert b"pdfuaid" in pikepdf.open(io.BytesIO(data)).Root.Metadata.read_bytes()
    assert words in " ".join(PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
