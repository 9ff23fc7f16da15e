"""What levels, lengths, cloths and garments are called in a sentence; programs go by their codes.

What a workroom has named itself is said as it stands; the demo blocks' names are ours to translate.
"""

from ellwand.language import gettext, gettext_noop
from ellwand.sizing.block import Fabric

_AT = {
    "high_bust": gettext_noop("at the high bust"),
    "full_bust": gettext_noop("at the full bust"),
    "waist": gettext_noop("at the waist"),
    "high_hip": gettext_noop("at the high hip"),
    "full_hip": gettext_noop("at the full hip"),
    "upper_arm": gettext_noop("at the upper arm"),
    "hem": gettext_noop("at the hem"),
    "sleeve": gettext_noop("at the sleeve"),
}
_LENGTHS = {
    "petite": gettext_noop("petite"),
    "regular": gettext_noop("regular"),
    "tall": gettext_noop("tall"),
}
_FABRICS: dict[Fabric, str] = {
    "woven": gettext_noop("woven"),
    "drapey-woven": gettext_noop("drapey woven"),
    "knit": gettext_noop("knit"),
}
_OURS = {
    "Demo blouse block": gettext_noop("Demo blouse block"),
    "Demo fuller blouse block": gettext_noop("Demo fuller blouse block"),
    "blouse": gettext_noop("blouse"),
    "sheer-blouse": gettext_noop("sheer blouse"),
    "camisole": gettext_noop("camisole"),
    "tunic": gettext_noop("tunic"),
}
_OUR_NOTES = (
    gettext_noop("Invented numbers to try the program with; sew nothing from them."),
    gettext_noop(
        "Invented numbers of a fuller range to try the program with; sew nothing from them."
    ),
)


def at_words(level: str) -> str:
    """A place of a garment in words.

    Args:
        level: code of a level, "hem" or "sleeve".

    Returns:
        For instance "at the full hip".
    """
    return gettext(_AT[level])


def length_words(name: str) -> str:
    """A length class in words; what is none of them stays as it is."""
    return gettext(_LENGTHS[name]) if name in _LENGTHS else name


def fabric_words(fabric: Fabric) -> str:
    """A cloth in words, such as "drapey woven"."""
    return gettext(_FABRICS[fabric])


def garment_words(name: str) -> str:
    """A garment of a block in words, such as "sheer blouse"."""
    return gettext(_OURS[name]) if name in _OURS else name.replace("-", " ")


def block_words(name: str) -> str:
    """The name of a block."""
    return gettext(_OURS[name]) if name in _OURS else name


def note_words(note: str) -> str:
    """What a block says of its numbers, may be nothing."""
    return gettext(note) if note in _OUR_NOTES else note
