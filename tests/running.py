"""Running the command in this process, and where the demo photos are."""

import contextlib
import io
from dataclasses import dataclass
from pathlib import Path

from ellwand.cli import main

DEMO_IMAGES = Path(__file__).resolve().parents[1] / "demo_images"


@dataclass(frozen=True)
class Outcome:
    """What a command did.

    Args:
        code: its exit code.
        out: what it printed.
        err: what it printed beside that.
    """

    code: int
    out: str
    err: str


def ellwand(*arguments: str | Path) -> Outcome:
    """Run the command in this process; wrong usage counts like any other exit code."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Outcome(code, out.getvalue(), err.getvalue())
