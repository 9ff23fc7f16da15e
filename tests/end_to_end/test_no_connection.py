"""An estimate opens no connection: neither from Python nor from a native library."""

import json
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from ..running import DEMO_IMAGES
from .no_internet import ENDED_BY_HOOK, kernel_can_filter

CHECKOUT = DEMO_IMAGES.parent


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run `ellwand` where reaching out ends the process."""
    command = [sys.executable, "-m", "tests.end_to_end.no_internet", *arguments]
    return subprocess.run(command, capture_output=True, text=True, cwd=CHECKOUT)


def test_the_proof_would_notice_python_reaching_out() -> None:
    assert run("--reach-out").returncode == ENDED_BY_HOOK


@pytest.mark.skipif(not kernel_can_filter(), reason="no filter of system calls on this machine")
def test_the_proof_would_notice_native_code_reaching_out() -> None:
    assert run("--reach-out-natively").returncode == -signal.SIGSYS


def test_an_estimate_opens_no_connection(tmp_path: Path) -> None:
    folder = DEMO_IMAGES / "sittings" / "adela"
    done = run(
        "estimate", str(tmp_path / "s.json"), "--front", str(folder / "front.jpg"), "--side",
        str(folder / "side.jpg"), "--stature", "165 cm", "--reference", "marker-sheets", "--json",
    )  # fmt: skip
    assert done.returncode == 0
    assert json.loads(done.stdout)["estimates"]["waist"]["value_mm"] > 0
