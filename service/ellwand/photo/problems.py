"""What can speak against a photo, each case with one sentence of advice.

A refused photo gives no estimate; a warned one does, and the customer is told.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ellwand.errors import PhotoProblem

Severity = Literal["refused", "warned"]
View = Literal["front", "side"]


@dataclass(frozen=True)
class Problem:
    """Something that speaks against a photo.

    Args:
        code: short name of the case.
        severity: "refused" (no estimate from it) or "warned" (trust it less).
        advice: what is wrong and what to do.
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
        refused = [
            (view, p) for view, found in problems.items() for p in found if p.severity == "refused"
        ]
        sentence = " ".join(f"The {view} photo can't be used: {p.advice}" for view, p in refused)
        super().__init__(
            refused[0][1].code, sentence, "Take it again, and give both photos once more."
        )


_ADVICE = {
    "nobody": "nobody is seen in it. Stand in the middle of the picture, in good light, with your "
    "whole body in it.",
    "dark": "it is too dark. Switch on more light, or face a window, and take it again.",
    "blurred": "it is not sharp. Wipe the lens, prop the phone so that it can't move, use the "
    "timer, and stand still.",
    "body-cropped": "a part of your body is outside the picture. Step back, or set the phone "
    "farther away, until there is room above your head, below your feet and beside your hands.",
    "too-small": "you are too small in it. Bring the phone closer, to about 2.5 m, or use the "
    "photo as the camera made it.",
    "several-people": "there is another person in it. Only you may be in the picture; a mirror or "
    "a poster can also be taken for a person.",
    "upside-down": "it is not the right way up. Turn the photo upright in the phone and choose it "
    "again.",
    "turned": "you are not square to the camera. Feet on the mark, toes straight ahead, and turn "
    "your shoulders as well as your feet.",
    "leaning": "you are leaning. Stand upright with your weight on both feet.",
    "arms-against-torso": "your arms are too close to your body. Lift both, straight, until they "
    "are a little more than half way up to your shoulders.",
    "arms-low": "your arms could be a little higher, a little more than half way up to your "
    "shoulders: the gap under the arm is narrow.",
    "hand-outside-outline": "a hand or forearm sticks out beyond your body. Let both arms hang "
    "straight down beside your legs.",
    "views-exchanged": "the front photo and the side photo seem to be exchanged. Give them the "
    "other way round.",
    "reference-missing": "the sheet or card of known size is not found in it. It must hang flat on "
    "the wall beside you, whole, in the light, and stand out from the wall.",
    "reference-partly-hidden": "something covers a part of the sheet or card of known size. Move "
    "it aside, or step away from it.",
    "one-sheet": "only one of the two sheets is seen whole; the bounds are wider for it.",
    "too-oblique": "the phone looks at the wall too much from the side, from above or from below. "
    "Put it straight in front of you, at the height of your hips or chest, and upright.",
    "focal-unknown": "the focal length of the camera is not written into the photo; the bounds are "
    "wider for it. A phone's own camera app writes it; a page's camera or a messenger loses it.",
    "scale-disagreement": "your height and the object of known size do not agree. Check the height "
    "you typed, the paper size, and the distance to the wall; until then the bounds are wide.",
    "unusual-body": "your measures lie outside those of the bodies that the estimates were made "
    "from; the bounds are wider for it.",
}

_CUES = {
    "nobody": "Nobody is seen. Stand in the middle of the picture, in good light.",
    "dark": "It is too dark. Switch on more light.",
    "blurred": "It is not sharp. Stand still, and see that the phone can't move.",
    "body-cropped": "Step back: a part of you is cut off.",
    "too-small": "You are too small. Bring the phone closer, to about 2.5 metres.",
    "several-people": "Somebody or something else is taken for a person. Only you may be seen.",
    "upside-down": "The picture is not the right way up. Turn the phone upright.",
    "turned": "Turn square to the phone: toes straight ahead, and shoulders as well.",
    "leaning": "You are leaning. Stand upright, weight on both feet.",
    "arms-against-torso": "Lift both arms, straight, a little more than half way up.",
    "arms-low": "Lift your arms a little higher, if you take it again.",
    "hand-outside-outline": "Let both arms hang straight down beside your legs.",
    "views-exchanged": "Front and side are exchanged.",
    "reference-missing": "The sheet or card is not found. It must hang beside you, whole, in the "
    "light.",
    "reference-partly-hidden": "Step away from the sheet or card: a part of it is covered.",
    "one-sheet": "Only one of the two sheets is seen whole.",
    "too-oblique": "Put the phone straight in front of you, upright, as high as your hips.",
    "focal-unknown": "The focal length is not known.",
    "scale-disagreement": "Your height and the sheet or card do not agree.",
    "unusual-body": "Your measures lie outside those that the estimates were made from.",
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
    sentence = refused.sentence[0].lower() + refused.sentence[1:]
    told = f"{refused.sentence} {refused.advice}"
    return Problem(refused.code, "refused", f"{sentence} {refused.advice}", told)
