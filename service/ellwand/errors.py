"""The one hierarchy of errors: each has a code, a sentence, an advice, an exit code and a status.

A message is written for the customer: what is wrong, then what to do next. It never holds a
measurement, a person's name or a path, because messages end up in logs; of the workroom's block
file it holds the file's own name without the folder.
"""

from typing import Any, ClassVar

from ellwand.language import gettext


class EllwandError(Exception):
    """Something the person in front of ellwand can put right.

    Args:
        code: short name of the case in lower case with hyphens, stable across versions.
        sentence: what is wrong, one sentence ending with a full stop; a text of the catalogues.
        advice: what to do next, one or two sentences; another one.
        values: what is put into both.
    """

    exit_code: ClassVar[int] = 1
    # What the service answers with (RFC 9110).
    http_status: int = 500

    def __init__(self, code: str, sentence: str, advice: str, **values: Any) -> None:
        super().__init__(code)
        self.code = code
        # As the catalogues have them, to be kept and said again by who asks later.
        self.texts = sentence, advice
        self.values = values

    @property
    def sentence(self) -> str:
        """What is wrong, in the language spoken where it is told."""
        return gettext(self.texts[0], **self.values)

    @property
    def advice(self) -> str:
        """What to do next, in the language spoken where it is told."""
        return gettext(self.texts[1], **self.values)

    def __str__(self) -> str:
        """Both."""
        return f"{self.sentence} {self.advice}"


class EntryProblem(EllwandError):
    """An entry that cannot be read, or a step asked for before what it needs is there."""

    exit_code = 2
    http_status = 422


class PhotoProblem(EllwandError):
    """A photo that cannot be used."""

    exit_code = 3
    http_status = 422


class SittingProblem(EllwandError):
    """A sitting file that cannot be read or written."""

    exit_code = 4
    http_status = 409


class BlockProblem(EllwandError):
    """A block file that cannot be read.

    Args:
        code: short name of the case.
        sentence: what is wrong.
        advice: what to do next.
        at_line: the line that it is about, counted from 1; None where it is about none.
        values: what is put into sentence and advice.
    """

    exit_code = 4
    http_status = 422

    def __init__(
        self, code: str, sentence: str, advice: str, at_line: int | None = None, **values: Any
    ) -> None:
        super().__init__(code, sentence, advice, **values)
        self.at_line = at_line


class ServiceProblem(EllwandError):
    """Something the service cannot or will not do.

    Args:
        code: short name of the case.
        sentence: what is wrong.
        advice: what to do next.
        http_status: status of the answer (RFC 9110).
        retry_after_s: after how many seconds it may be tried again, when waiting helps.
        values: what is put into sentence and advice.
    """

    exit_code = 5

    def __init__(
        self,
        code: str,
        sentence: str,
        advice: str,
        http_status: int,
        retry_after_s: int | None = None,
        **values: Any,
    ) -> None:
        super().__init__(code, sentence, advice, **values)
        self.http_status = http_status
        self.retry_after_s = retry_after_s
