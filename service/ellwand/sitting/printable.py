"""Words of hers that go on screen and paper."""

import unicodedata


def is_printable(line: str) -> bool:
    """Whether a line holds no control character, half of a pair, or character without a meaning."""
    return not any(unicodedata.category(char) in ("Cc", "Cs", "Cn") for char in line)
