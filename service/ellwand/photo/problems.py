"""What can speak against a photo, each case with one sentence of advice.

A refused photo gives no estimate; a warned one does, and the customer is told. Advice and cues are
kept in English, in sittings and in what came of jobs; `said` says them in the language spoken.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from ellwand.errors import PhotoProblem
from ellwand.language import WRITTEN_IN, gettext, gettext_noop, spoken_language
from ellwand.photo import files

Severity = Literal["refused", "warned"]
View = Literal["front", "side"]


@dataclass(frozen=True)
class Problem:
    """Something that speaks against a photo.

    Args:
        code: short name of the case.
        severity: "refused" (no estimate from it) or "warned" (trust it less).
        advice: what is wrong and what to do, in English.
        cue: the same in a few words, for who stands at the wall and hears it.
    """

    code: str
    severity: Severity
    advice: str
    cue: str = ""


class PhotosRefused(PhotoProblem):
    """One or both photos of a sitting cannot be used.

    Args:
        problems: all that was found, by view.
    """

    def __init__(self, problems: Mapping[View, tuple[Problem, ...]]) -> None:
        self.problems = dict(problems)
        self._refused = [
            (view, p) for view, found in problems.items() for p in found if p.severity == "refused"
        ]
        advice = _CHOOSE_AGAIN if self.of_choices else _TAKE_AGAIN
        super().__init__(self._refused[0][1].code, "", advice)

    @property
    def of_choices(self) -> bool:
        """Whether the photos are right and only something that was chosen beside them is not."""
        return all(one.code in OF_CHOICES for _, one in self._refused)

    @property
    def sentence(self) -> str:
        """All that is refused of the photos, in the language spoken where it is told."""
        return refusal((view, one.advice) for view, one in self._refused)


# What is wrong is not the photo but what was chosen beside it.
OF_CHOICES = {"paper-is-a4", "paper-is-letter", "sheets-are-printed", "sheets-are-blank"}
_CHOOSE_AGAIN = gettext_noop("Change what was chosen, and give both photos once more.")
_TAKE_AGAIN = gettext_noop("Take it again, and give both photos once more.")
_CANNOT_BE_USED: dict[View, str] = {
    "front": gettext_noop("The front photo can't be used: {advice}"),
    "side": gettext_noop("The side photo can't be used: {advice}"),
}

_ADVICE = {
    "nobody": gettext_noop(
        "nobody is seen in it. Stand in the middle of the picture, in good light, with your "
        "whole body in it."
    ),
    "dark": gettext_noop(
        "it is too dark. Switch on more light, or face a window, and take it again."
    ),
    "blurred": gettext_noop(
        "it is not sharp. Wipe the lens, prop the phone so that it can't move, use the timer, "
        "and stand still."
    ),
    "body-cropped": gettext_noop(
        "a part of your body is outside the picture. Step back, or set the phone farther away, "
        "until there is room above your head, below your feet and beside your hands."
    ),
    "too-small": gettext_noop(
        "you are too small in it. Bring the phone closer, to about 2.5 m, or use the photo as "
        "the camera made it."
    ),
    "several-people": gettext_noop(
        "there is another person in it. Only you may be in the picture; a mirror or a poster can "
        "also be taken for a person."
    ),
    "upside-down": gettext_noop(
        "it is not the right way up. Turn the photo upright in the phone and choose it again."
    ),
    "turned": gettext_noop(
        "you are not square to the camera. Feet over the mark on the floor, toes straight ahead, "
        "and turn your shoulders as well as your feet."
    ),
    "not-sideways": gettext_noop(
        "you are not sideways to the camera. Turn until one shoulder points straight at it, and "
        "your feet with it."
    ),
    "shows-side": gettext_noop(
        "it shows you from the side. Have you exchanged the two photos? If not, stand with your "
        "back to the wall, toes straight ahead to the camera."
    ),
    "shows-front": gettext_noop(
        "it shows you from the front. Have you exchanged the two photos? If not, make a quarter "
        "turn, so that one shoulder points straight at the camera."
    ),
    "leaning": gettext_noop("you are leaning. Stand upright with your weight on both feet."),
    "arms-against-torso": gettext_noop(
        "your arms are too close to your body. Lift both, straight, until they are a little more "
        "than half way up to your shoulders."
    ),
    "arms-low": gettext_noop(
        "your arms could be a little higher, a little more than half way up to your shoulders: "
        "the gap under the arm is narrow."
    ),
    "hand-outside-outline": gettext_noop(
        "a hand or forearm sticks out beyond your body. Let both arms hang straight down beside "
        "your legs."
    ),
    "views-exchanged": gettext_noop(
        "the front photo and the side photo seem to be exchanged. Give them the other way round."
    ),
    "reference-missing": gettext_noop(
        "the sheet or card of known size is not found in it. It must hang flat on the wall "
        "beside you, whole, in the light, and stand out from the wall."
    ),
    "reference-partly-hidden": gettext_noop(
        "something covers a part of the sheet or card of known size. Move it aside, or step away "
        "from it."
    ),
    "paper-is-a4": gettext_noop(
        "the sheets in it look like A4, but Letter is chosen as the paper. Choose A4 there; if "
        "that is right, the photo need not be taken again."
    ),
    "paper-is-letter": gettext_noop(
        "the sheets in it look like Letter, but A4 is chosen as the paper. Choose Letter there; if "
        "that is right, the photo need not be taken again."
    ),
    "sheets-are-printed": gettext_noop(
        "the printed marker sheets hang in it, but blank sheets are chosen. Choose the printed "
        "ones; the photo need not be taken again."
    ),
    "sheets-are-blank": gettext_noop(
        "what hangs in it looks like blank paper, but the printed marker sheets are chosen. Choose "
        "blank sheets, and their paper; if that is right, the photo need not be taken again."
    ),
    "one-sheet": gettext_noop(
        "only one of the two sheets is seen whole; the bounds are wider for it."
    ),
    "too-oblique": gettext_noop(
        "the phone looks at the wall too much from the side, from above or from below. Put it "
        "straight in front of you, at the height of your hips or chest, and upright."
    ),
    "focal-unknown": gettext_noop(
        "the focal length of the camera is not written into the photo; the bounds are wider for "
        "it. A phone's own camera app writes it; a page's camera or a messenger loses it."
    ),
    "scale-disagreement": gettext_noop(
        "your height and the object of known size do not agree. Check the height you typed, the "
        "paper size, and the distance to the wall; until then the bounds are wide."
    ),
    "unusual-body": gettext_noop(
        "your measures lie outside those of the bodies that the estimates were made from; the "
        "bounds are wider for it."
    ),
}

_CUES = {
    "nobody": gettext_noop("Nobody is seen. Stand in the middle of the picture, in good light."),
    "dark": gettext_noop("It is too dark. Switch on more light."),
    "blurred": gettext_noop("It is not sharp. Stand still, and see that the phone can't move."),
    "body-cropped": gettext_noop("Step back: a part of you is cut off."),
    "too-small": gettext_noop("You are too small. Bring the phone closer, to about 2.5 metres."),
    "several-people": gettext_noop(
        "Somebody or something else is taken for a person. Only you may be seen."
    ),
    "upside-down": gettext_noop("The picture is not the right way up. Turn the phone upright."),
    "turned": gettext_noop("Turn square to the phone: toes straight ahead, and shoulders as well."),
    "not-sideways": gettext_noop("Turn until one shoulder points straight at the phone."),
    "shows-side": gettext_noop("Turn to the phone: back to the wall, toes straight ahead."),
    "shows-front": gettext_noop("Make a quarter turn: one shoulder points straight at the phone."),
    "leaning": gettext_noop("You are leaning. Stand upright, weight on both feet."),
    "arms-against-torso": gettext_noop("Lift both arms, straight, a little more than half way up."),
    "arms-low": gettext_noop("Lift your arms a little higher, if you take it again."),
    "hand-outside-outline": gettext_noop("Let both arms hang straight down beside your legs."),
    "views-exchanged": gettext_noop("Front and side are exchanged."),
    "reference-missing": gettext_noop(
        "The sheet or card is not found. It must hang beside you, whole, in the light."
    ),
    "reference-partly-hidden": gettext_noop(
        "Step away from the sheet or card: a part of it is covered."
    ),
    "paper-is-a4": gettext_noop("The sheets look like A4, but Letter is chosen as the paper."),
    "paper-is-letter": gettext_noop("The sheets look like Letter, but A4 is chosen as the paper."),
    "sheets-are-printed": gettext_noop(
        "The printed marker sheets hang there, but blank sheets are chosen."
    ),
    "sheets-are-blank": gettext_noop(
        "The sheets look blank, but the printed marker sheets are chosen."
    ),
    "one-sheet": gettext_noop("Only one of the two sheets is seen whole."),
    "too-oblique": gettext_noop(
        "Put the phone straight in front of you, upright, as high as your hips."
    ),
    "focal-unknown": gettext_noop("The focal length is not known."),
    "scale-disagreement": gettext_noop("Your height and the sheet or card do not agree."),
    "unusual-body": gettext_noop(
        "Your measures lie outside those that the estimates were made from."
    ),
}


def problem(code: str, severity: Severity = "refused", cue: str | None = None) -> Problem:
    """The problem with this code.

    Args:
        code: short name of the case.
        severity: whether the photo can be used.
        cue: where more is known than the code says; None takes the usual words.

    Raises:
        ValueError: no such code.
    """
    if code not in _ADVICE:
        raise ValueError(f"no advice for {code}")
    return Problem(code, severity, _ADVICE[code], cue or _CUES[code])


def of_file(refused: PhotoProblem) -> Problem:
    """A problem of the file itself, told like those of the picture: "it is …"."""
    told = " ".join(refused.texts)
    return Problem(refused.code, "refused", told[0].lower() + told[1:], told)


_OF_FILES = {
    text: refused.texts
    for refused in (refusal_of() for refusal_of in files.REFUSALS)
    for text in (of_file(refused).advice, of_file(refused).cue)
}


def said(text: str) -> str:
    """An advice or a cue in the language spoken.

    Args:
        text: as it is kept; one that is not known is said as it is.
    """
    # Only English goes on in small letters after a colon, and kept is what is said in English.
    if spoken_language() == WRITTEN_IN:
        return text
    return " ".join(gettext(part) for part in _OF_FILES.get(text, (text,)))


def refusal(refused: Iterable[tuple[View, str]]) -> str:
    """That photos cannot be used, and why, in the language spoken.

    Args:
        refused: views and what speaks against them, as it is kept.
    """
    return " ".join(gettext(_CANNOT_BE_USED[view], advice=said(advice)) for view, advice in refused)
