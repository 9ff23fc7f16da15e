"""Words in a row and at the start of a line, as one writes them."""

from collections.abc import Sequence

from ellwand.language import gettext


def listed(words: Sequence[str]) -> str:
    """Words in a row, as one writes them.

    Returns:
        For instance "waist, high hip and full hip"; nothing for no words.

    >>> listed(["waist", "high hip", "full hip"])
    'waist, high hip and full hip'
    """
    if len(words) < 2:
        return "".join(words)
    return gettext("{all_but_last} and {last}", all_but_last=", ".join(words[:-1]), last=words[-1])


def capital(text: str) -> str:
    """A text as it begins a line; the rest stays, because German has capitals inside, too.

    >>> capital("high hip"), capital("hoher Hüftumfang")
    ('High hip', 'Hoher Hüftumfang')
    """
    return text[:1].upper() + text[1:]
