"""Which language a request asks to be answered in.

Sources: RFC 9110, 12.5.4 (Accept-Language); RFC 4647, 3.4 (a language for "de-AT" is "de").
"""

from ellwand.language import LANGUAGES, WRITTEN_IN, Language


def preferred(header: str) -> Language:
    """The language that a browser or program likes best of those that are spoken here.

    Args:
        header: what it sent as Accept-Language; nothing, or what cannot be read, asks for none.

    >>> preferred("fr, de-AT;q=0.8, en;q=0.5"), preferred("*"), preferred("")
    ('de', 'en', 'en')
    """
    best, weight = WRITTEN_IN, 0.0
    for part in header.split(","):
        tag, _, parameter = part.partition(";")
        language = tag.strip().lower().split("-")[0]
        for one in LANGUAGES:
            if one == language and _weight(parameter) > weight:
                best, weight = one, _weight(parameter)
    return best


def _weight(parameter: str) -> float:
    name, _, value = parameter.strip().partition("=")
    try:
        return float(value) if name == "q" else 1.0
    except ValueError:
        return 0.0
