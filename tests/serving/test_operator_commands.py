"""Taking a workroom in and inviting a customer from the command line."""

import io
import stat
import sys
from argparse import Namespace
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from ellwand.api.app import create_app
from ellwand.errors import ServiceProblem
from ellwand.operator_cli import _settings as settings_of
from ellwand.settings import Settings
from tests.running import Outcome, ellwand
from tests.service import BASE, ORIGIN

WORDS = "two words and a button"


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with one workroom."""
    folder = tmp_path / "data"
    assert take_in(folder, monkeypatch, WORDS).code == 0
    return folder


def take_in(data: Path, monkeypatch: pytest.MonkeyPatch, password: str) -> Outcome:
    """Take a workroom in; the password is piped in."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{password}\n"))
    return ellwand("workroom", "mara", "--name", "Loft room", "--data", data)


def served(data: Path) -> TestClient:
    """The service on what the commands have written."""
    app = create_app(Settings(data=data), announce=lambda _: None)
    return TestClient(app, base_url=ORIGIN)


def test_a_workroom_that_is_taken_in_can_log_in(data: Path) -> None:
    login = {"login": "mara", "password": WORDS}
    answer = served(data).post(f"{BASE}/workroom/login", json=login)
    assert answer.json()["name"] == "Loft room"


def test_logins_that_have_ended_are_told_of_only_where_there_were_some(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "data"
    assert take_in(folder, monkeypatch, WORDS).out == "The workroom can log in now.\n"
    assert take_in(folder, monkeypatch, "three words and a button").out == (
        "The workroom has a new password and name; its earlier logins and keys have ended.\n"
    )


def test_what_is_kept_is_readable_by_its_owner_only(data: Path) -> None:
    for path in (data, *data.iterdir()):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path.name


def test_the_link_of_an_invitation_opens_what_was_asked(data: Path) -> None:
    made = ellwand(
        "invite", "mara", "--data", data, "--ask", "waist", "--unit", "in",
        "--public-url", "https://measure.example/",
    )  # fmt: skip
    link, _, token = made.out.strip().partition("#")
    assert link == "https://measure.example/sitting"
    opened = served(data).post(f"{BASE}/entrance", json={"token": token}).json()
    assert (opened["asked"], opened["unit"], opened["workroom"]) == (["waist"], "in", "Loft room")


@pytest.mark.parametrize(
    ("options", "exit_code", "told"),
    [
        (["nobody"], 5, "There is no workroom with this login."),
        (["mara", "--ask", "neck"], 5, "A measurement that is asked for is not known."),
        (["mara", "--address", "at home"], 2, "This is not a single e-mail address."),
        (["mara", "--garment", "tent"], 2, "The block has no such garment."),
        (["mara", "--block", "none"], 5, "The workroom has no block of this name."),
        (["mara", "--label", "x" * 81], 2, "A word of the invitation is too long."),
    ],
)
def test_an_invitation_that_cannot_be_made_says_why(
    data: Path, options: list[str], exit_code: int, told: str
) -> None:
    outcome = ellwand("invite", *options, "--data", data)
    assert (outcome.code, outcome.out) == (exit_code, "")
    assert outcome.err.startswith(told)


@pytest.mark.parametrize(
    ("name", "value", "code"),
    [
        ("DATA", "/proc/none", "The data folder cannot be made or written."),
        ("SERVER_KEY", "too short", "The server's key is not 32 bytes in base64."),
        ("WORKERS", "many", "A setting cannot be used. Look at workers:"),
        ("DATABASE_URL", "postgresql://nobody@127.0.0.1:1/none", "The database does not answer"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, value: str, code: str
) -> None:
    monkeypatch.setenv("ELLWAND_DATA", str(tmp_path / "data"))
    monkeypatch.setenv(f"ELLWAND_{name}", value)
    outcome = ellwand("invite", "mara")
    assert outcome.code == 5
    assert outcome.err.startswith(code)


def test_programs_know_that_case_by_its_code(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ELLWAND_WORKERS", "many")
    with pytest.raises(ServiceProblem) as caught:
        settings_of(Namespace())
    assert caught.value.code == "settings-unusable"


def test_another_servers_key_opens_nothing(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ELLWAND_SERVER_KEY", "bm90IHRoZSBrZXkgb2YgdGhpcyBzZXJ2ZXIsIHNlZSE=")
    outcome = ellwand("invite", "mara", "--data", data)
    # Logins are found by a fingerprint that the key makes, so that not even those are known.
    assert outcome.err.startswith("There is no workroom with this login.")


@pytest.mark.parametrize("password", ["short", "", "x" * 300])
def test_a_password_has_a_length(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, password: str
) -> None:
    outcome = take_in(tmp_path / "data", monkeypatch, password)
    assert outcome.code == 5
    assert outcome.err.startswith("A password has 10 to 256 characters.")
