"""README and DEVELOPERS say what the command does, and what they say can be typed."""

import argparse
import json
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from ellwand import errors, sizing
from ellwand.cli import parser
from ellwand.measurements import KINDS
from ellwand.settings import Settings

from .running import DEMO_IMAGES

CHECKOUT = DEMO_IMAGES.parent
README = (CHECKOUT / "README.md").read_text("utf-8")
DEVELOPERS = (CHECKOUT / "DEVELOPERS.md").read_text("utf-8")
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "requirements.lock", "LICENSE", "service",
       "web", "tests", "calibration", "demo_images"}  # fmt: skip


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command's own parser, by name."""
    return below(parser())


def below(above: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The commands of a parser, by name; none where it has none."""
    found = [action.choices for action in above._actions if isinstance(action.choices, dict)]
    return found[0] if found else {}


def all_commands() -> dict[str, argparse.ArgumentParser]:
    """Every command, and every command of a command, by what is typed."""
    found = dict(commands())
    for name, command in commands().items():
        found |= {f"{name} {inner}": one for inner, one in below(command).items()}
    return found


def options() -> Iterator[tuple[str, str]]:
    """Command and option, for every option but help."""
    for name, command in all_commands().items():
        for action in command._actions:
            for option in action.option_strings:
                if option not in ("-h", "--help"):
                    yield name, option


def code_lines(text: str) -> list[str]:
    """Lines of a document that are set as code, without their comment."""
    return [
        line.strip().split("   # ")[0].strip()
        for line in text.splitlines()
        if re.match(r" {4,}\S", line)
    ]


TYPED = [line for line in code_lines(README) if line.startswith("ellwand ")]


@pytest.mark.parametrize("command", all_commands())
def test_every_command_is_told(command: str) -> None:
    assert f"ellwand {command}" in README


@pytest.mark.parametrize(("command", "option"), list(options()))
def test_every_option_is_told(command: str, option: str) -> None:
    # The demo's own options are for developers.
    text = README + DEVELOPERS
    assert re.search(rf"(?<![\w-]){re.escape(option)}(?![\w-])", text), f"{command} {option}"


@pytest.mark.parametrize("line", TYPED)
def test_every_line_of_the_readme_can_be_typed(line: str) -> None:
    arguments = parser().parse_args(shlex.split(line)[1:])
    assert callable(arguments.run)


def test_the_readme_shows_a_line_for_each_command_of_a_customer() -> None:
    shown = {shlex.split(line)[1] for line in TYPED}
    assert shown == set(commands()) - {"demo"}


def test_two_lines_start_the_demo_and_the_tests() -> None:
    starts = [line for line in code_lines(README) if line.startswith("python3 ")]
    assert starts == [
        "python3 .ci/prepare.py && .venv/bin/ellwand demo",
        "python3 .ci/prepare.py && .venv/bin/pytest",
    ]


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_link_leads_somewhere(text: str) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (CHECKOUT / target).exists(), target


def test_developers_are_told_of_every_package_and_dependency() -> None:
    for package in (CHECKOUT / "service" / "ellwand").iterdir():
        if package.suffix in ("", ".py") and not package.stem.startswith("__"):
            assert package.stem in DEVELOPERS, package.stem
    project = (CHECKOUT / "pyproject.toml").read_text("utf-8")
    listed = project.split("\ndependencies")[1].split("[tool.uv]")[0]
    for name in re.findall(r'"([a-z-]+)[=>"]', listed):
        assert name in DEVELOPERS, name


@pytest.mark.parametrize("name", Settings.model_fields)
def test_every_setting_is_told_with_its_default(name: str) -> None:
    variable = f"`ELLWAND_{name.upper()}`"
    (row,) = [line for line in README.splitlines() if line.startswith("|") and variable in line]
    default = Settings.model_fields[name].default
    if isinstance(default, int | float) and not isinstance(default, bool):
        assert f"{default:.0f}" in row


def test_exit_codes_stand_in_the_developers_words() -> None:
    codes = {one.exit_code for one in errors.EllwandError.__subclasses__()}
    words = " ".join(DEVELOPERS.split())
    told = re.search(r"exits with (\d) .*?, (\d) .*?, (\d) .*?, (\d) ", words)
    assert told is not None
    assert {int(code) for code in told.groups()} == codes


def test_the_demo_blocks_that_the_readme_points_to_load() -> None:
    targets = re.findall(r"\(([^)]*demo_block\w*\.toml)\)", README)
    assert len(targets) == 2
    for target in targets:
        assert sizing.load_block(CHECKOUT / target).garments


def test_the_top_of_the_checkout_holds_what_it_should() -> None:
    made = {"build", "dist", "demo_result", "test_result", "node_modules"}
    seen = {path.name for path in CHECKOUT.iterdir() if not path.name.startswith(".")}
    assert seen - made == TOP


def test_pictures_are_small() -> None:
    for path in (CHECKOUT / "web" / "pictures").iterdir():
        assert path.stat().st_size < 200_000, path.name


@pytest.mark.parametrize("suffix", ["py", "md", "toml", "typ", "json", "lock"])
def test_no_file_names_a_registry_or_a_place_on_a_machine(suffix: str) -> None:
    # Written so that this file does not hold what it looks for.
    forbidden = re.compile(r"https?://[^\s)\"']*(?:pypi|npm|debian)|" + "/ro" + "ot/|/wo" + "rk/")
    for path in tracked(suffix):
        assert forbidden.search(path.read_text("utf-8")) is None, path.name


def tracked(suffix: str) -> Iterator[Path]:
    """Files of ours with a suffix."""
    for name in sorted(TOP):
        path = CHECKOUT / name
        yield from [path] if path.is_file() and path.suffix == f".{suffix}" else []
        yield from (one for one in path.rglob(f"*.{suffix}") if ".egg-info" not in str(one))


RESULTS = json.loads((CHECKOUT / "calibration" / "results.json").read_text("utf-8"))


def told_girths() -> Iterator[str]:
    """The rows of the README's table of girths, from the report's figures."""
    shown = RESULTS["simulated_living"]["girths"]
    for code, one in RESULTS["rendered"]["girths"].items():
        name = KINDS[code].name if code in KINDS else "full bust minus high bust"
        yield (
            f"| {name} | {one['bias_mm']:+.0f} mm | {one['mae_mm']:.0f} mm "
            f"| {one['within_95']:.0%} | ± {shown[code]['median_bound_mm']:.0f} mm |"
        )


@pytest.mark.parametrize("row", list(told_girths()))
def test_the_readme_tells_how_exact_it_is_as_the_report_does(row: str) -> None:
    assert row in README.splitlines()


def test_the_readme_names_what_the_report_found_besides() -> None:
    rendered, caliper = RESULTS["rendered"], RESULTS["caliper"]
    widths = rendered["widths"]["three_levels"]
    low, high = (pick(one["bias_mm"] for one in caliper.values()) for pick in (min, max))
    told = " ".join(README.split())
    for figure in (
        f"On {rendered['count']} rendered women that no fit has seen",
        f"{rendered['pooled_within_95']:.0%} of all girths",
        f"off by {widths['bias_mm']:+.1f} mm on average, with a standard deviation of "
        f"{widths['sd_mm']:.1f} mm",
        f"{low / 10:.0f} to {high / 10:.0f} cm too small",
        f"about ± {1.96 * RESULTS['survey']['girths']['full_bust']['sd_mm']:.0f} mm",
    ):
        assert figure in told
