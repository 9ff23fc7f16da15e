"""Words in a row, as one writes them."""

from collections.abc import Sequence


def listed(words: Sequence[str]) -> str:
    """Words in a row, as one writes them.

    Returns:
        For instance "waist, high hip and full hip"; nothing for no words.

    >>> listed(["waist", "high hip", "full hip"])
    'waist, high hip and full hip'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
