"""Words of the card that stay the same, and what is done to words of others."""

from ellwand.language import WRITTEN_IN, gettext, gettext_noop, spoken_language
from ellwand.measurements import KINDS
from ellwand.sitting import Standing

# A customer's own words are shown whole up to this length; the sitting file keeps the rest.
LONGEST_WORDS = 300

TITLE = gettext_noop("Measurement card")
STANDING_NAMES: dict[Standing, str] = {
    "confirmed": gettext_noop("confirmed"),
    "kept": gettext_noop("kept"),
    "read": gettext_noop("read"),
    "queried": gettext_noop("queried"),
    "estimated": gettext_noop("estimated"),
}
STANDING_WORDS: dict[Standing, str] = {
    "confirmed": gettext_noop("taped or told, and nothing speaks against it"),
    "kept": gettext_noop("taped, and kept for the reason given"),
    "read": gettext_noop("taped, not yet settled"),
    "queried": gettext_noop("taped, in doubt"),
    "estimated": gettext_noop("from photos, no fact until taped"),
}

CODE_WORDS = gettext_noop(
    "QR code with the measurements, the size and the figures of this card, for a program."
)
FINE_PRINT = gettext_noop(
    "± is the 95 % error bound, rounded outward. Girths estimated from photos are a rough guide, "
    "no measured fact: cut nothing before the tape has confirmed them. For making clothes only; "
    "this is no medical device and tells nothing about health. The sewing cup is not the bra cup."
)

OUTLINE_WORDS = gettext_noop(
    "This is her own outline out of the photos, smoothed and without a head. It is here because "
    "she wants it; hand it on to nobody who does not sew with it."
)


# Always the same in a language, so that nothing of the sitting is in it; ASCII for every mail.
_FILE_NAMES = {WRITTEN_IN: "measurement-card", "de": "masskarte"}


def file_name(ending: str) -> str:
    """What a card is called as a file, in the language spoken.

    Args:
        ending: such as "pdf".
    """
    return f"{_FILE_NAMES.get(spoken_language(), _FILE_NAMES[WRITTEN_IN])}.{ending}"


def name_of(code: str) -> str:
    """What a measurement is called.

    Args:
        code: key of `measurements.KINDS`.
    """
    return gettext(KINDS[code].name)


def for_workroom(name: str) -> str:
    """Which workroom a card goes to; empty where none is named."""
    return gettext("Workroom: {workroom}", workroom=shortened(name, 60)) if name else ""


def in_capitals(text: str) -> str:
    """A text in capital letters, for a heading: "Maße" is no "MASSE".

    Source: the capital ẞ is one since 2017 (Rat für deutsche Rechtschreibung, § 25 E3).
    """
    return text.replace("ß", "ẞ").upper()


def shortened(words: str, longest: int = LONGEST_WORDS) -> str:
    """Somebody's own words on one line, cut with a mark where they are very long.

    Args:
        words: any text.
        longest: most characters to keep.

    Returns:
        The text without line breaks and control characters.
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in words).split())
    if len(plain) <= longest:
        return plain
    return f"{plain[: longest - 1].rstrip()}…"
