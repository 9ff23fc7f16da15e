"""Log lines of the service: one line each, and of an error only its type.

A message of an error may hold what is private, and a traceback may hold it, too.
"""

import logging
import sys
from types import TracebackType

_FORMAT = "%(asctime)s %(levelname)s %(name)s: %(message)s"
_ExcInfo = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class _Plain(logging.Formatter):
    """One line for each record, whatever it holds."""

    def format(self, record: logging.LogRecord) -> str:
        # A traceback that another formatter has kept would come along.
        record.exc_text = None
        record.stack_info = None
        return super().format(record).replace("\r", " ").replace("\n", " ")

    def formatException(self, ei: _ExcInfo) -> str:  # noqa: N802, the library's name
        return ei[0].__name__ if ei[0] else ""


def to_stderr() -> None:
    """Log to stderr, ours from `info` on and that of libraries from `warning` on."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(_Plain(_FORMAT))
    logging.basicConfig(level=logging.WARNING, handlers=[handler], force=True)
    logging.getLogger("ellwand").setLevel(logging.INFO)
