"""Writing a PDF where the customer says, and over nothing but another PDF."""

import contextlib
import os
import tempfile
from pathlib import Path

from ellwand.errors import EntryProblem

_PDF_START = b"%PDF"
# What a new file gets where the system's mask takes nothing away.
_ORDINARY_MODE = 0o666


def write_pdf(path: Path, data: bytes) -> None:
    """Write a PDF whole, or leave what was there.

    Args:
        path: where; a PDF that is there is replaced.
        data: the PDF.

    Raises:
        EntryProblem: it cannot be written there, or another kind of file is in the way.
    """
    try:
        target = path.resolve()
        if target.exists() and not _is_pdf(target):
            raise EntryProblem(
                "output-in-the-way",
                "There is a file of this name already, and it is no PDF.",
                'Choose another name behind -o, like "card.pdf"; nothing was written.',
            )
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        new = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            _make_ordinary(new)
            new.replace(target)
        finally:
            new.unlink(missing_ok=True)
    except (OSError, RuntimeError):
        raise EntryProblem(
            "output-unwritable",
            "The PDF cannot be written there.",
            "Check that the folder exists, that you may write in it and that the disk is not full.",
        ) from None


def _is_pdf(path: Path) -> bool:
    """Whether a file is a PDF, or empty."""
    with path.open("rb") as file:
        start = file.read(len(_PDF_START))
    return start in (b"", _PDF_START)


def _make_ordinary(path: Path) -> None:
    """Give a temporary file, made for its owner only, the mode of an ordinary new file."""
    mask = os.umask(0)
    os.umask(mask)
    with contextlib.suppress(OSError):
        path.chmod(_ORDINARY_MODE & ~mask)
