"""What is seen at a try-on, in the trade's words, and the usual causes of each.

Source: common practice, no source, for the table; hip before sway back (tight hips make a top ride
up and look like a sway back) as in `cautions.py`.
"""

from dataclasses import dataclass
from typing import Literal

from ellwand.errors import EntryProblem
from ellwand.language import WRITTEN_IN, Noun, gettext, gettext_noop, speaking
from ellwand.measurements import KINDS
from ellwand.sizing.naming import at_words

FindingCode = Literal[
    "snug",
    "loose",
    "fits",
    "rides-up-at-the-back",
    "rides-up-at-the-front",
    "folds-at-the-back-waist",
    "waist-sits-too-high",
    "gapes-at-the-neckline",
    "gapes-between-the-buttons",
    "gapes-at-the-armhole",
    "drag-lines-from-the-bust",
    "shoulder-falls-off",
    "shoulder-seam-ends-short",
    "pulls-across-the-back",
    "sleeve-cap-pulls",
]
TryOnLevel = Literal["high_bust", "full_bust", "waist", "high_hip", "full_hip", "upper_arm"]
TRY_ON_LEVELS: tuple[TryOnLevel, ...] = (
    "high_bust",
    "full_bust",
    "waist",
    "high_hip",
    "full_hip",
    "upper_arm",
)

CauseCode = Literal[
    "tight",
    "loose",
    "cup-fuller",
    "cup-smaller",
    "shoulders-too-wide",
    "shoulders-too-narrow",
    "shoulders-slope",
    "bust-point-elsewhere",
    "neck-edge-stretched",
    "cap-too-low",
    "back-too-short",
    "back-too-long",
]

# More than a hand's length of girth is no fault of a blouse but another size (judged).
LARGEST_AMOUNT_MM = 200.0


@dataclass(frozen=True)
class Cause:
    """One possible cause of a finding.

    Args:
        code: kind of cause.
        level: where, for the kinds that have a level; else None.
    """

    code: CauseCode
    level: TryOnLevel | None = None


@dataclass(frozen=True)
class FindingKind:
    """One thing that can be seen at a try-on.

    Args:
        code: kind of finding.
        words: what the trade calls it; with a level, "at the LEVEL" follows.
        see: a question that tells whether it is there.
        causes: as the trade looks for them, first to last; those of a level are in `causes_of`.
        at_level: whether it is said of a level.
    """

    code: FindingCode
    words: str
    see: str
    causes: tuple[Cause, ...] = ()
    at_level: bool = False


@dataclass(frozen=True)
class Finding:
    """What was seen at a try-on.

    Args:
        code: kind of finding.
        level: where, for the kinds that have a level; else None.
        by_mm: girth that was pinched (loose) or is lacking (snug), where it was measured.
    """

    code: FindingCode
    level: TryOnLevel | None = None
    by_mm: float | None = None


_HIPS = (Cause("tight", "full_hip"), Cause("tight", "high_hip"), Cause("tight", "waist"))
_BACK = (*_HIPS, Cause("back-too-long"))
_FRAME_LARGE, _FRAME_SMALL = Cause("loose", "high_bust"), Cause("tight", "high_bust")
_CUP, _BUST = Cause("cup-fuller"), Cause("tight", "full_bust")

_KINDS = (
    FindingKind("snug", gettext_noop("snug"),
                "Do folds run crosswise there, and can nothing be pinched?", at_level=True),
    FindingKind("loose", gettext_noop("loose"),
                "Does cloth hang free there, and how much can be pinched?", at_level=True),
    FindingKind("fits", gettext_noop("fits"),
                "Does it lie smooth there, standing and sitting?", at_level=True),
    FindingKind("rides-up-at-the-back", gettext_noop("rides up at the back"),
                "Does the hem creep up at the back when she walks, and stay there?", _BACK),
    FindingKind("folds-at-the-back-waist", gettext_noop("folds at the back waist"),
                "Does cloth lie in crosswise folds above the waist at the back?", _BACK),
    FindingKind("rides-up-at-the-front", gettext_noop("rides up at the front"),
                "Does the hem hang higher at the front than at the side?",
                (_CUP, _BUST, Cause("tight", "full_hip"))),
    FindingKind("waist-sits-too-high", gettext_noop("waist sits too high"),
                "Does the narrowest part of the garment lie above a tied elastic?",
                (*_HIPS, Cause("back-too-short"))),
    FindingKind("gapes-at-the-neckline", gettext_noop("gapes at the neckline"),
                "Does the neck edge stand off the body when she stands straight?",
                (_CUP, _FRAME_LARGE, Cause("neck-edge-stretched"))),
    FindingKind("gapes-between-the-buttons", gettext_noop("gapes between the buttons"),
                "Does the front open between two buttons at the bust?", (_BUST, _CUP)),
    FindingKind("gapes-at-the-armhole", gettext_noop("gapes at the armhole"),
                "Does the armhole stand off towards the bust?", (_CUP, _FRAME_LARGE)),
    FindingKind("drag-lines-from-the-bust", gettext_noop("drag lines from the bust"),
                "Do folds run from the bust point to the side seam, waist or shoulder?",
                (_CUP, _BUST, Cause("bust-point-elsewhere"))),
    FindingKind("shoulder-falls-off", gettext_noop("shoulder falls off"),
                "Does the sleeve seam lie below the end of her shoulder?",
                (Cause("shoulders-too-wide"), _FRAME_LARGE, Cause("shoulders-slope"))),
    FindingKind("shoulder-seam-ends-short", gettext_noop("shoulder seam ends short"),
                "Does the sleeve seam lie on top of her shoulder, not at its end?",
                (Cause("shoulders-too-narrow"), _FRAME_SMALL)),
    FindingKind("pulls-across-the-back", gettext_noop("pulls across the back"),
                "Does it strain between the armholes when she reaches forward?",
                (_FRAME_SMALL, Cause("shoulders-too-narrow"))),
    FindingKind("sleeve-cap-pulls", gettext_noop("sleeve cap pulls"),
                "Do folds run from the top of the sleeve to the armhole?",
                (Cause("tight", "upper_arm"), Cause("cap-too-low"), _FRAME_SMALL)),
)  # fmt: skip
FINDINGS: dict[FindingCode, FindingKind] = {kind.code: kind for kind in _KINDS}

# Besides the level itself, what makes a garment snug or loose there.
_ALSO: dict[tuple[FindingCode, TryOnLevel], tuple[Cause, ...]] = {
    ("snug", "full_bust"): (_CUP,),
    ("loose", "full_bust"): (Cause("cup-smaller"), _FRAME_LARGE),
    ("snug", "high_bust"): (Cause("shoulders-too-narrow"),),
    ("loose", "high_bust"): (Cause("shoulders-too-wide"),),
}


def causes_of(finding: Finding) -> tuple[Cause, ...]:
    """The usual causes of a finding, as the trade looks for them.

    Args:
        finding: what was seen.

    Returns:
        First to last; none for what fits.
    """
    if finding.level is None:
        return FINDINGS[finding.code].causes
    if finding.code == "fits":
        return ()
    own = Cause("tight" if finding.code == "snug" else "loose", finding.level)
    return (own, *_ALSO.get((finding.code, finding.level), ()))


def finding_words(finding: Finding) -> str:
    """A finding as the trade says it.

    Returns:
        For instance "rides up at the back" or "snug at the full hip".
    """
    words = gettext(FINDINGS[finding.code].words)
    if finding.level is None:
        return words
    return gettext("{finding} {there}", finding=words, there=at_words(finding.level))


def finding_named(text: str, by_mm: float | None = None) -> Finding:
    """Find out which finding is meant.

    Args:
        text: as someone types it, with or without "the", "snug at full hip".
        by_mm: how much was pinched or is lacking, None where it was not measured.

    Returns:
        The finding.

    Raises:
        EntryProblem: there is no such finding, or the amount does not go with it.
    """
    plain = _plain(text)
    # Typed in the words of the command, which speaks English whatever language is spoken here.
    with speaking(WRITTEN_IN):
        found = next((one for one in all_findings() if _plain(finding_words(one)) == plain), None)
    if found is None:
        raise EntryProblem(
            "unknown-finding",
            "There is no such finding.",
            "Run `ellwand tryon` with the sitting alone: it lists the words that can be used.",
        )
    if by_mm is None:
        return found
    if found.code not in ("snug", "loose"):
        raise EntryProblem(
            "amount-without-level",
            "An amount goes only with what is snug or loose at a level.",
            'Give it after such a finding, like "snug at full hip" by "3/4 in".',
        )
    if by_mm > LARGEST_AMOUNT_MM:
        raise EntryProblem(
            "amount-implausible",
            "So much is no matter of a seam.",
            "Check the amount and its unit; pinch or pin it once more.",
        )
    return Finding(found.code, found.level, by_mm)


def all_findings() -> tuple[Finding, ...]:
    """Every finding that can be recorded, those of a level at each level."""
    return tuple(
        Finding(kind.code, level)
        for kind in _KINDS
        for level in (TRY_ON_LEVELS if kind.at_level else (None,))
    )


def refuse_contradictions(findings: tuple[Finding, ...]) -> None:
    """One level is snug, loose or fits, and is so once.

    Raises:
        EntryProblem: two findings say different things of one level.
    """
    said: dict[TryOnLevel, Finding] = {}
    for one in findings:
        if one.level is not None and said.setdefault(one.level, one) != one:
            raise EntryProblem(
                "findings-contradict",
                "Two findings say different things of the {level}.",
                "Say of each level once how it sits.",
                level=Noun(KINDS[one.level].name),
            )


def _plain(text: str) -> str:
    words = text.lower().replace("-", " ").replace("_", " ").split()
    return " ".join(word for word in words if word != "the")
