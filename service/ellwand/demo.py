"""The whole run on demo photos: each step is the command that a customer types, and its outcome."""

import json
import os
import shlex
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS, LEVELS
from ellwand.shown import in_both_units
from ellwand.sitting import Sitting, findings_of, load

Run = Callable[[Sequence[str]], int]
Say = Callable[[str], None]

# The checkout that an editable install points to.
_CHECKOUT_IMAGES = Path(__file__).resolve().parents[2] / "demo_images"
_ABOUT_FILE = "about.txt"
_ABOUT = """\
Made by `ellwand demo` from photos of an invented woman; the next run into this folder replaces it.
sitting.json: the sitting; front.jpg, side.jpg: what was found, drawn over the photos; card.pdf.
"""


@dataclass(frozen=True)
class Scene:
    """What the demo plays.

    Args:
        front: the front photo.
        side: the side photo.
        truth: what is true of the invented woman, by keys of its file.
        script: who reads what, by keys of its file.
    """

    front: Path
    side: Path
    truth: dict[str, Any]
    script: dict[str, Any]


def play(out: Path, images: Path | None, run: Run, say: Say) -> int:
    """Play the whole run.

    Args:
        out: folder for its files.
        images: folder of the demo photos; None for the checkout's own.
        run: runs `ellwand` with arguments and gives the exit code.
        say: prints a line.

    Returns:
        0, or the exit code of the step that failed.

    Raises:
        EntryProblem: the demo photos are not there, or the folder cannot be used.
    """
    scene = _scene(images or _near(_CHECKOUT_IMAGES))
    _begin(out)
    sitting = out / "sitting.json"
    for told, arguments in _steps(scene, sitting, out / "card.pdf"):
        say(f"\n# {told}")
        say(f"$ {shlex.join(['ellwand', *arguments])}")
        code = run(arguments)
        if code:
            return code
        if arguments[0] == "estimate":
            for line in beside_truth(load(sitting), scene.truth):
                say(line)
    _write_annotated(scene, load(sitting), out)
    say(f"\nIn {out}: the sitting, the card, and both photos with what was found drawn in.")
    return 0


def beside_truth(record: Sitting, truth: dict[str, Any]) -> list[str]:
    """Estimated girths beside the truth of the invented woman.

    Args:
        record: a sitting with findings.
        truth: her truth file.
    """
    lines = ["", "Only a demo can: the same girths on the invented woman's body, cm:",
             f"{'':10}  {'photos':>8}  {'truth':>6}  truth in the bound"]  # fmt: skip
    estimates = record.estimates()
    for code in LEVELS:
        one, true_mm = estimates[code], float(truth["levels"][code]["girth_mm"])
        inside = "yes" if one.low_mm <= true_mm <= one.high_mm else "NO"
        lines.append(
            f"{KINDS[code].name:10}  {one.value_mm / 10:8.1f}  {true_mm / 10:6.1f}  {inside}"
        )
    stature = in_both_units(float(truth["stature_mm"]))
    return [*lines, f"Her true height is {stature}; what she typed is rounded."]


def _steps(scene: Scene, sitting: Path, card: Path) -> Iterator[tuple[str, list[str]]]:
    """What is done, in words, and the arguments of `ellwand`."""
    state, typed = str(sitting), scene.truth["typed"]
    yield (
        "Two photos, her height, what hangs on the wall, and how far in front of it she stood.",
        ["estimate", state, "--front", str(scene.front), "--side", str(scene.side),
         *_options(typed)],
    )  # fmt: skip
    for row in scene.script["readings"]:
        taken = [part for key in ("by", "worn") if key in row for part in (f"--{key}", row[key])]
        yield row["told"], ["read", state, row["code"], *row["entries"], *taken]
    yield "Everything that the size needs is confirmed now.", ["size", state]
    yield "One page for the seamstress.", ["card", state, "-o", str(card)]


def _options(typed: dict[str, str | None]) -> list[str]:
    """What the invented woman types, as options."""
    options = []
    for key in ("stature", "reference", "paper", "standoff_front", "standoff_side"):
        text = typed.get(key)
        if text is not None:
            options += [f"--{key.replace('_', '-')}", text]
    return options


def _scene(images: Path) -> Scene:
    try:
        script = json.loads((images / "scenario.json").read_text("utf-8"))
        folder = images / "sittings" / script["sitting"]
        truth = json.loads((folder / "truth.json").read_text("utf-8"))
    except OSError:
        raise EntryProblem(
            "demo-images-missing",
            "The demo photos are not there.",
            "Run `ellwand demo` from the checkout, or say where its folder demo_images is with "
            "--images.",
        ) from None
    return Scene(folder / "front.jpg", folder / "side.jpg", truth, script)


def _begin(out: Path) -> None:
    """Make the folder ready; another folder's files are never replaced."""
    about = out / _ABOUT_FILE
    try:
        out.mkdir(parents=True, exist_ok=True)
        ours = about.exists() and about.read_text("utf-8") == _ABOUT
        if not ours and any(out.iterdir()):
            raise EntryProblem(
                "demo-folder-taken",
                "The folder for the demo's files has other files in it.",
                "Name a new folder behind --out; nothing was written.",
            )
        about.write_text(_ABOUT, encoding="utf-8")
        (out / "sitting.json").unlink(missing_ok=True)
    except (OSError, UnicodeDecodeError):
        raise EntryProblem(
            "demo-folder-unwritable",
            "The folder for the demo's files cannot be made or written.",
            "Name another one behind --out.",
        ) from None


def _write_annotated(scene: Scene, record: Sitting, out: Path) -> None:
    # Imported here because they bring the image libraries along.
    from ellwand.card.annotate import annotated
    from ellwand.photo.intake import read_photo

    if record.findings is None:
        raise ValueError("a demo without findings")
    found = findings_of(record.findings)
    for photo, view in ((scene.front, found.front), (scene.side, found.side)):
        (out / photo.name).write_bytes(annotated(read_photo(photo.read_bytes()).rgb, view))


def _near(path: Path) -> Path:
    """A path below the current folder, told from there."""
    here = Path(os.path.realpath(Path.cwd()))
    return path.relative_to(here) if path.is_relative_to(here) else path
