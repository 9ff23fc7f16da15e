"""Writing a PDF, picture or page where the customer says, and over none but its own kind."""

import contextlib
import os
import tempfile
from pathlib import Path

from ellwand.errors import EntryProblem
from ellwand.language import Noun, gettext_noop

# By what a file begins with.
_KINDS = {
    b"%PDF": gettext_noop("PDF"),
    b"<svg": gettext_noop("SVG picture"),
    b"<!DO": gettext_noop("HTML document"),
}
# What a new file gets where the system's mask takes nothing away.
_ORDINARY_MODE = 0o666


def write_output(path: Path, data: bytes) -> None:
    """Write a file whole, or leave what was there.

    Args:
        path: where; a file of the same kind that is there is replaced.
        data: a PDF, an SVG picture or an HTML document.

    Raises:
        EntryProblem: it cannot be written there, or another kind of file is in the way.
    """
    start = data[:4]
    kind = Noun(_KINDS[start])
    try:
        target = path.resolve()
        if target.exists() and not _begins(target, start):
            raise EntryProblem(
                "output-in-the-way",
                "There is a file of this name already, and it is no {kind}.",
                "Choose another name; nothing was written.",
                kind=kind,
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
            "The {kind} cannot be written there.",
            "Check that the folder exists, that you may write in it and that the disk is not full.",
            kind=kind,
        ) from None


def _begins(path: Path, start: bytes) -> bool:
    """Whether a file begins like that, or is empty."""
    with path.open("rb") as file:
        return file.read(len(start)) in (b"", start)


def _make_ordinary(path: Path) -> None:
    """Give a temporary file, made for its owner only, the mode of an ordinary new file."""
    mask = os.umask(0)
    os.umask(mask)
    with contextlib.suppress(OSError):
        path.chmod(_ORDINARY_MODE & ~mask)
