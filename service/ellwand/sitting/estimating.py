"""From two photo files to estimates in the sitting: look, compare, refuse or estimate.

Everything that needs the image libraries is imported where it is used, so that the other acts
answer at once.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ellwand.errors import PhotoProblem
from ellwand.language import gettext
from ellwand.sitting.actions import with_findings
from ellwand.sitting.photo_setup import TypedSetup, set_up_of, with_typed_setup
from ellwand.sitting.record import Sitting

if TYPE_CHECKING:
    from ellwand.geometry.sighting import View
    from ellwand.girth.result import Findings
    from ellwand.girth.setup import SetUp
    from ellwand.photo.look import Look
    from ellwand.photo.problems import Problem

Progress = Callable[[str], None]


def read_photo_files(paths: "Mapping[View, Path]") -> "dict[View, bytes]":
    """Read the files of both photos.

    Args:
        paths: by view.

    Returns:
        Their bytes, by view.

    Raises:
        PhotosRefused: a file cannot be opened or is far too large; all of them are named.
    """
    from ellwand.photo.problems import PhotosRefused, of_file

    data: dict[View, bytes] = {}
    problems: dict[View, tuple[Problem, ...]] = {}
    for view, path in paths.items():
        problems[view] = ()
        try:
            data[view] = _read(path)
        except PhotoProblem as problem:
            problems[view] = (of_file(problem),)
    if len(data) < len(paths):
        raise PhotosRefused(problems)
    return data


def estimated(
    record: Sitting, typed: TypedSetup, photos: "Mapping[View, bytes]", progress: Progress
) -> Sitting:
    """Estimate from two photos and note the set-up and what was found.

    Args:
        record: the sitting.
        typed: what the customer typed beside the photos.
        photos: the files' bytes, by view.
        progress: is told each step, in words.

    Raises:
        EntryProblem: something typed cannot be read.
        PhotoProblem: a photo cannot be used.
    """
    noted = with_typed_setup(record, typed)
    if noted.setup is None:
        raise ValueError("the set-up was not noted")
    setup = set_up_of(noted.setup)
    return with_findings(noted, estimate_photos(photos["front"], photos["side"], setup, progress))


def estimate_photos(front: bytes, side: bytes, setup: "SetUp", progress: Progress) -> "Findings":
    """The whole chain from two photo files to girths with bounds.

    Args:
        front: the front photo's file.
        side: the side photo's file.
        setup: how they were taken.
        progress: is told each step, in words.

    Returns:
        Estimates with bounds and budgets, what each photo holds, and the sources of scale.

    Raises:
        PhotosRefused: a photo cannot be used; the problems of both are gathered first, so that
            both can be taken again at once.
        PhotoProblem: an outline is not seen at a level.
    """
    from ellwand.girth.posterior import estimate
    from ellwand.photo.problems import PhotosRefused, problem
    from ellwand.photo.quality import exchanged
    from ellwand.photo.traced import as_kept

    looks: dict[View, Look] = {}
    problems: dict[View, tuple[Problem, ...]] = {}
    photos: dict[View, bytes] = {"front": front, "side": side}
    for view, data in photos.items():
        found, problems[view] = _judged(view, data, setup, progress)
        if found is not None:
            looks[view] = found
    if len(looks) == len(photos) and exchanged(looks["front"].body, looks["side"].body):
        # What else speaks against them follows from the exchange.
        problems = {view: (problem("views-exchanged"),) for view in photos}
    if any(one.severity == "refused" for found in problems.values() for one in found):
        raise PhotosRefused(problems)
    # From what is kept, so that measuring again after a correction starts from the same numbers.
    return estimate({view: as_kept(look) for view, look in looks.items()}, setup, progress)


def check_photo(view: "View", photo: bytes, setup: "SetUp") -> "tuple[Problem, ...]":
    """What speaks against one photo alone, judged as the estimate judges it.

    Args:
        view: which photo it is meant to be.
        photo: its file.
        setup: how it was taken.

    Returns:
        All that was found; what only both photos together show is not among it.
    """
    return _judged(view, photo, setup, lambda _: None)[1]


def _judged(
    view: "View", data: bytes, setup: "SetUp", progress: Progress
) -> "tuple[Look | None, tuple[Problem, ...]]":
    """A photo as far as anything is seen in it, and all that speaks against it on its own."""
    from ellwand.girth.posterior import looks_oblique
    from ellwand.photo.problems import problem
    from ellwand.photo.quality import TURNED_CODES

    found = _look(view, data, setup, progress)
    if isinstance(found, tuple):
        return None, found
    if not looks_oblique(found, setup):
        return found, found.problems
    # Seen from aside she looks turned, too; that follows from it.
    others = (one for one in found.problems if one.code not in TURNED_CODES)
    return found, (problem("too-oblique"), *others)


def _look(
    view: "View", data: bytes, setup: "SetUp", progress: Progress
) -> "Look | tuple[Problem, ...]":
    from ellwand.photo.intake import read_photo
    from ellwand.photo.look import look_at
    from ellwand.photo.problems import of_file

    progress(
        gettext("front photo: opening it") if view == "front" else gettext("side photo: opening it")
    )
    try:
        photo = read_photo(data)
    except PhotoProblem as problem:
        return (of_file(problem),)
    return look_at(photo, view, setup.reference, setup.paper, setup.stature_mm, progress)


def _read(path: Path) -> bytes:
    from ellwand.photo.files import LARGEST_PHOTO_BYTES, file_too_large

    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_PHOTO_BYTES + 1)
    except OSError:
        raise PhotoProblem(
            "photo-missing",
            "This photo cannot be opened.",
            "Check its name and that it is a file that you may read.",
        ) from None
    if len(data) > LARGEST_PHOTO_BYTES:
        raise file_too_large()
    return data
