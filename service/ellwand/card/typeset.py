"""Data and a template of this package to a PDF: always the same bytes for the same data."""

import json
from importlib import resources
from typing import Literal

Standard = Literal["ua-1"]


def typeset_pdf(template: str, data: object, standard: Standard | None = None) -> bytes:
    """Set a template as PDF.

    Args:
        template: file name in this package.
        data: what the template shows, as JSON has it; its texts are shown as they are and never
            read as markup.
        standard: what the PDF has to hold to; "ua-1" is PDF/UA-1 (ISO 14289-1), for readers who
            hear it, as far as the typesetter can check that.

    Returns:
        The PDF, without a date. Where somebody's own words have signs that no font here has, it
        shows boxes in their place and does not claim to hold to the standard.
    """
    from typst import TypstError

    try:
        return _typeset(template, data, "pdf", None, standard)[0]
    except TypstError:
        # Another mistake than a missing sign comes up again.
        return _typeset(template, data, "pdf", None)[0]


def typeset_png(template: str, data: object, px_per_mm: float) -> tuple[bytes, ...]:
    """Set a template as pictures, for looking at it and for tests.

    Args:
        template: file name in this package.
        data: what the template shows, as JSON has it.
        px_per_mm: resolution.

    Returns:
        One PNG a page.
    """
    return _typeset(template, data, "png", px_per_mm * 25.4)


def _typeset(
    template: str,
    data: object,
    kind: Literal["pdf", "png"],
    ppi: float | None,
    standard: Standard | None = None,
) -> tuple[bytes, ...]:
    # The library is large; only those who print wait for it.
    import typst

    source = resources.files("ellwand.card").joinpath(template).read_bytes()
    made = typst.compile(
        source,
        format=kind,
        ppi=ppi,
        pdf_standards=[] if standard is None else [standard],
        # The fonts that come with the library: the same page on every machine.
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
    )
    return tuple(made) if isinstance(made, list) else (made,)
