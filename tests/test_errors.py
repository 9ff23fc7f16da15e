"""Every error has a code, a sentence, an advice and an exit code, and reaches her as such."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any, NamedTuple

import numpy as np
import pytest
from PIL import Image

import ellwand
from ellwand.errors import (
    BlockProblem,
    EllwandError,
    EntryProblem,
    PhotoProblem,
    ServiceProblem,
    SittingProblem,
)
from ellwand.photo.problems import _ADVICE, OF_CHOICES, PhotosRefused, Problem, problem
from ellwand.sitting import EntriesRefused
from ellwand.sizing import demo_block_toml

from .running import ellwand as run

PACKAGE = Path(ellwand.__file__).parent
EXIT_CODES = {
    EllwandError: 1,
    EntryProblem: 2,
    EntriesRefused: 2,
    PhotoProblem: 3,
    PhotosRefused: 3,
    SittingProblem: 4,
    BlockProblem: 4,
    ServiceProblem: 5,
}
SENTENCE = re.compile(r"[A-Z].*[.]", re.DOTALL)


def classes(top: type[EllwandError] = EllwandError) -> Iterator[type[EllwandError]]:
    """The hierarchy, once every module is imported."""
    yield top
    for below in top.__subclasses__():
        yield from classes(below)


def test_there_is_one_hierarchy_and_each_class_has_its_exit_code() -> None:
    for module in walk_packages(ellwand.__path__, "ellwand."):
        if ".migrations." not in module.name:  # Alembic runs those
            import_module(module.name)
    assert {one: one.exit_code for one in classes()} == EXIT_CODES


class Raised(NamedTuple):
    """A place in the code that makes an error."""

    place: str
    name: str
    arguments: list[ast.expr]


def raised() -> list[Raised]:
    """Every place that makes an error of the hierarchy with a code of its own."""
    names = {one.__name__ for one in EXIT_CODES} - {
        "PhotosRefused",
        "EntriesRefused",
        "EllwandError",
    }
    return [
        Raised(f"{path.stem}:{node.lineno}", node.func.id, node.args)
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names
    ]


def code_of(one: Raised) -> str:
    """The code that a place gives its error; names of constants are told in capitals."""
    value = ast.unparse(one.arguments[0])
    return str(ast.literal_eval(value)) if value[0] in "'\"" else value


def text_of(node: ast.expr) -> str | None:
    """A text that is written out, with X for what is filled in; None for one that is worked out."""
    return re.sub(r"{\w+(:\w*)?}", "X", str(node.value)) if isinstance(node, ast.Constant) else None


@pytest.mark.parametrize("one", raised(), ids=lambda one: one.place)
def test_each_error_says_what_is_wrong_and_what_to_do(one: Raised) -> None:
    # The service adds a status, and how long to wait.
    assert len(one.arguments) == 3 or one.name == "ServiceProblem"
    for node in one.arguments[1:3]:
        text = text_of(node)
        # An advice may end with examples or names that are filled in.
        assert text is None or SENTENCE.fullmatch(text) or text.endswith(". X")


def test_a_code_belongs_to_one_class() -> None:
    kinds: dict[str, set[str]] = {}
    for one in raised():
        kinds.setdefault(code_of(one), set()).add(one.name)
    assert {code: names for code, names in kinds.items() if len(names) > 1} == {}
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*|MISSING", code) for code in kinds)


@pytest.mark.parametrize("code", _ADVICE)
def test_each_problem_of_a_photo_goes_on_from_its_name(code: str) -> None:
    told = str(PhotosRefused({"front": (problem(code),), "side": (problem("dark", "warned"),)}))
    assert told.startswith("The front photo can't be used: ")
    what = "Change what was chosen" if code in OF_CHOICES else "Take it again"
    assert told.endswith(f"{what}, and give both photos once more.")
    assert "side" not in told.split(":")[0]
    assert re.fullmatch(r"[a-z].*[.]", _ADVICE[code])


def test_a_problem_without_advice_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="no advice"):
        problem("ugly")


def test_all_that_is_refused_of_both_photos_is_told_at_once() -> None:
    error = PhotosRefused(
        {
            "front": (problem("turned"), problem("blurred")),
            "side": (Problem("dark", "refused", "x"),),
        }
    )
    assert error.code == "turned"
    assert error.sentence.count("can't be used") == 3


@dataclass(frozen=True)
class Case:
    """A command that fails for one reason.

    Args:
        code: of the error.
        exit_code: of the command.
        arguments: of `ellwand`, in the folder of `place`.
    """

    code: str
    exit_code: int
    arguments: str


ESTIMATE = "estimate s --front {} --side {} --stature 168 --reference marker-sheets"
TYPED = ESTIMATE.format("none", "none").replace("--stature 168", "")
CASES = (
    Case("entry-empty", 2, "read s|waist| "),
    Case("entry-too-long", 2, f"read s waist {'1' * 21}"),
    Case("entry-thousands", 2, "read s waist 1,000"),
    Case("entry-unreadable", 2, "read s waist eighty"),
    Case("unknown-measurement", 2, "read s neck 30"),
    Case("no-reading", 2, "keep full waist --reason known"),
    Case("already-confirmed", 2, "keep full stature --reason known"),
    Case("readings-differ", 2, "keep full hand --reason known"),
    Case("out-of-range", 2, "keep full inside_leg --reason known"),
    Case("no-reason", 2, "keep full|high_bust|--reason| "),
    Case("reason-too-long", 2, f"keep full high_bust --reason {'a' * 201}"),
    Case("reason-unprintable", 2, "keep full high_bust --reason \x07"),
    Case("which-line", 2, "correct full --view front --up 1"),
    Case("nothing-to-correct", 2, "correct full --view front --level waist --up 1"),
    Case("not-confirmed", 2, "size full"),
    Case("unknown-garment", 2, "size full --garment tent"),
    Case("not-sized", 2, "tryon full|--finding|rides up at the back"),
    Case("unknown-finding", 2, "tryon sized --finding itches"),
    Case("amount-without-level", 2, "tryon sized|--finding|gapes at the neckline|--by|1 in"),
    Case("amount-implausible", 2, "tryon sized|--finding|snug at waist|--by|30 cm"),
    Case("findings-contradict", 2, "tryon sized|--finding|snug at waist|--finding|fits at waist"),
    Case("finding-below-hem", 2, "tryon sized|--finding|snug at high hip"),
    Case("sized-for-another-garment", 2,
         "tryon sized|--finding|sleeve cap pulls|--garment|blouse"),
    Case("decided-on-another-block", 2, "tryon sized|--finding|sleeve cap pulls|--block|other"),
    Case("not-tried-on-before", 2, "tryon sized|--finding|sleeve cap pulls|--made|altered"),
    Case("over-unprintable", 2, "tryon sized|--finding|sleeve cap pulls|--over|\x07"),
    Case("output-in-the-way", 2, "card full -o full"),
    Case("output-unwritable", 2, "card full -o none/card.pdf"),
    Case("card-unreadable", 2, "card full --check 0000000000000000"),
    Case("digest-unreadable", 2, "card full --check 0000"),
    Case("block-in-the-way", 2, "block new text"),
    Case("block-unwritable", 2, "block new none/block.toml"),
    Case("demo-images-missing", 2, "demo --images none"),
    Case("demo-folder-taken", 2, "demo --out ."),
    Case("demo-folder-unwritable", 2, "demo --out full"),
    Case("stature-implausible", 2, f"{TYPED} --stature 68"),
    Case("stature-without-unit", 2, f"{TYPED} --stature 56".replace(" s ", " inches ")),
    Case("check-bar-without-unit", 2, f"{TYPED} --stature 168 --check-bar 149.6"),
    Case("standoff-too-near", 2, f"{TYPED} --stature 168 --standoff 2"),
    Case("check-bar-off", 2, f"{TYPED} --stature 168 --check-bar 16"),
    Case("check-bar-twice", 2, f"{TYPED} --stature 168 --check-bar 15 --check-bar 14.9"),
    Case("check-bar-without-sheet", 2,
         f"{TYPED} --stature 168 --check-bar 15".replace("marker-sheets", "id-card")),
    Case("standoff-implausible", 2, f"{TYPED} --stature 168 --standoff 300"),
    Case("standoff-in-feet", 2, f"{TYPED} --stature 168 --standoff 1ft"),
    Case("standoff-bound-unreadable", 2, f"{TYPED} --stature 168 --standoff 30+-60"),
    Case("focal-implausible", 2, f"{TYPED} --stature 168 --focal-35mm 2"),
    Case("weight-implausible", 2, f"{TYPED}|--stature|168|--weight|7 kg"),
    Case("weight-in-pfund", 2, f"{TYPED}|--stature|168|--weight|136 Pfund"),
    Case("weight-without-unit", 2, f"{TYPED} --stature 168 --weight 70"),
    Case("photo-missing", 3, ESTIMATE.format("none", ".")),
    Case("file-too-large", 3, ESTIMATE.format("vast", "vast")),
    Case("heic", 3, ESTIMATE.format("heic", "heic")),
    Case("not-a-photo", 3, ESTIMATE.format("text", "text")),
    Case("not-from-a-camera", 3, ESTIMATE.format("moving", "moving")),
    Case("damaged", 3, ESTIMATE.format("cut", "cut")),
    Case("too-small", 3, ESTIMATE.format("small", "small")),
    Case("too-large", 3, ESTIMATE.format("large", "large")),
    Case("MISSING", 4, "card none -o card.pdf"),
    Case("sitting-unreadable", 4, "card . -o card.pdf"),
    Case("sitting-broken", 4, "card text -o card.pdf"),
    Case("sitting-foreign", 4, "card foreign -o card.pdf"),
    Case("sitting-newer", 4, "card newer -o card.pdf"),
    Case("sitting-unwritable", 4, "read none/s waist 80"),
    Case("decision-unreadable", 4, "card decided -o card.pdf"),
    Case("block-missing", 4, "size full --block none"),
    Case("block-too-large", 4, "block check vast"),
    Case("block-not-text", 4, "block check heic"),
    Case("block-not-toml", 4, "size full --block text"),
    Case("block-line", 4, "size full --block empty"),
)  # fmt: skip
_LINES = "tests/sitting/test_correcting.py, with photos that were measured"
ELSEWHERE = {
    **dict.fromkeys(
        (
            "too-little-kept",
            "nothing-to-undo",
            "nothing-moved",
            "moved-and-undone",
            "hand-unsure",
            "too-many-corrections",
            "level-not-in-view",
            "moved-too-far",
            "moved-to-no-girth",
            "levels-out-of-order",
            "level-outside-outline",
        ),
        _LINES,
    ),
    "invitation-too-long": "tests/serving/test_operator_commands.py",
    "garment-not-in-block": "tests/api/test_workroom.py",
    "not-a-choice": "tests/api/test_photos.py",
    "field-twice": "tests/api/test_photos.py",
    "no-finding": "tests/sitting/test_trying_on.py; the command lists the words then",
    "no-entry": "the parser asks for an entry",
    "no-stature": "the parser asks for a height",
    "unknown-fabric": "no command has a choice of fabric yet",
    "sitting-busy": "tests/sitting/test_file.py; it takes ten seconds",
    "outline-not-seen": "tests/sitting/test_estimating.py; no demo photo is bad in this way",
    "card-differs": "tests/test_cli.py, with a copy of a card",
    "address-too-long": "tests/card/test_mail.py; no command takes an address",
    "address-foreign-letters": "tests/card/test_mail.py",
    "address-unreadable": "tests/card/test_mail.py",
}


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with files that are not what they should be."""
    monkeypatch.chdir(tmp_path)
    for code, entry in (("stature", "168"), ("high_bust", "90")):
        run("read", "full", code, entry)
    run("read", "full", "hand", "18", "24")
    run("read", "inches", "waist", "30", "--unit", "in")
    run("read", "full", "inside_leg", "7.5")
    for code, entry in (("stature", "168"), ("high_bust", "92"), ("full_bust", "97"),
                        ("waist", "80")):  # fmt: skip
        run("read", "sized", code, *[entry] * (1 if code == "stature" else 2))
    run("size", "sized", "--garment", "camisole")
    (tmp_path / "other").write_text(
        demo_block_toml().decode().replace("Demo blouse block", "Other")
    )
    (tmp_path / "decided").write_text('{"format": "ellwand-sitting", "version": 1, "decision": {}}')
    (tmp_path / "foreign").write_text('{"format": "diary"}')
    (tmp_path / "newer").write_text('{"format": "ellwand-sitting", "version": 99}')
    (tmp_path / "text").write_text("no photo, no block, no sitting")
    (tmp_path / "empty").write_text("")
    (tmp_path / "heic").write_bytes(b"\x00\x00\x00\x18ftypheic\xff\xfe" + bytes(40))
    with (tmp_path / "vast").open("wb") as file:
        file.truncate(200_000_000)
    Image.new("RGB", (600, 800)).save(tmp_path / "small", "PNG")
    Image.new("1", (7100, 7100)).save(tmp_path / "large", "PNG")
    still = Image.new("1", (1000, 1000))
    still.save(
        tmp_path / "moving", "PNG", save_all=True, append_images=[Image.new("1", still.size, 1)]
    )
    noise = np.random.default_rng(1).integers(0, 255, (1200, 900, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "cut", "JPEG")
    (tmp_path / "cut").write_bytes((tmp_path / "cut").read_bytes()[:50_000])
    return tmp_path


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_each_mistake_ends_with_its_exit_code_and_an_advice(
    case: Case, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[EllwandError] = []
    make = EllwandError.__init__

    def noting(self: EllwandError, *arguments: str, **values: Any) -> None:
        make(self, *arguments, **values)
        told.append(self)

    monkeypatch.setattr(EllwandError, "__init__", noting)
    before = {file.name: file.stat().st_mtime_ns for file in place.iterdir()}
    # A bar parts arguments that hold spaces of their own.
    parts = case.arguments.split("|")
    outcome = run(*parts[0].split(), *parts[1:])
    assert outcome.code == case.exit_code
    assert told[-1].code == {"MISSING": "sitting-missing"}.get(case.code, case.code)
    message = outcome.err.splitlines()[-1]
    assert message == str(told[-1])
    assert "Traceback" not in outcome.err
    assert str(place) not in message
    after = {file.name: file.stat().st_mtime_ns for file in place.iterdir()}
    assert {name: after.get(name) for name in before} == before


def test_every_error_of_the_code_is_tried_here_or_elsewhere() -> None:
    codes = {code_of(one) for one in raised() if one.name != "ServiceProblem"}
    assert {case.code for case in CASES} | set(ELSEWHERE) == codes


def test_every_problem_of_the_service_is_tried_by_a_test_that_names_it() -> None:
    here = Path(__file__).parent
    tests = "".join(path.read_text("utf-8") for path in here.rglob("test_*.py"))
    codes = {code_of(one) for one in raised() if one.name == "ServiceProblem"}
    assert [code for code in codes if f'"{code}"' not in tests] == []


def test_every_class_of_errors_has_an_answer_over_http() -> None:
    assert all(isinstance(one.http_status, int) for one in classes() if one is not ServiceProblem)
