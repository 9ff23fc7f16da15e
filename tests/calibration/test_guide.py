"""The guide names every step, and only what is there."""

import ast
import re
from pathlib import Path

import pytest

from calibration.report import HERE

GUIDE = (HERE / "README.md").read_text("utf-8")
MODULES = sorted(path.stem for path in HERE.glob("*.py") if path.stem != "__init__")
COMMANDS = re.findall(r"-m (calibration[.\w]*)((?: --?[\w-]+| [\w./]+)*)", GUIDE)


@pytest.mark.parametrize("name", MODULES)
def test_every_step_is_told(name):
    assert f"`{name}`" in GUIDE


@pytest.mark.parametrize(("module", "words"), COMMANDS)
def test_every_command_has_the_arguments_that_are_told(module, words):
    path = HERE.parent.joinpath(*module.split(".")).with_suffix(".py")
    calls = [node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if is_argument(node)]
    known = {call.args[0].value for call in calls}
    needed = {
        call.args[0].value
        for call in calls
        if any(k.arg == "required" and k.value.value for k in call.keywords)
    }
    given = {word for word in words.split() if word.startswith("--")}

    assert given <= known
    assert needed <= given


def is_argument(node):
    return isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "add_argument"


def test_groups_are_those_of_the_project():
    project = Path(HERE.parent / "pyproject.toml").read_text("utf-8")

    for group in re.findall(r"--group (\w+)", GUIDE):
        assert f"\n{group} = [" in project


def test_no_figure_of_accuracy_stands_in_the_guide():
    assert not re.findall(r"\d[\d.]* (?:% of|mm of error)|MAE|bias", GUIDE)
    # The only lengths are those of definitions.
    assert re.findall(r"(\d[\d.]*) mm", GUIDE) == ["90"]
