"""What several tests need: estimates of the demo photos, made once."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from .running import DEMO_IMAGES, Outcome, ellwand

# How long an example takes is for benchmarks; on a busy machine it says nothing.
settings.register_profile("ellwand", deadline=None)
settings.load_profile("ellwand")


@dataclass(frozen=True)
class DemoEstimate:
    """An estimate of a demo sitting beside its truth.

    Args:
        outcome: of the command.
        printed: its JSON.
        written: bytes of the sitting's file.
        truth: of the invented woman.
    """

    outcome: Outcome
    printed: dict[str, Any]
    written: bytes
    truth: dict[str, Any]


def options_of(truth: dict[str, Any]) -> list[str]:
    """What the invented woman types, as options of `estimate`."""
    typed = {key: text for key, text in truth["typed"].items() if text is not None}
    return [f"--{key.replace('_', '-')}={text}" for key, text in typed.items()]


@pytest.fixture(scope="session")
def estimate_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], DemoEstimate]:
    """A function from the name of a demo sitting to its estimate."""

    @cache
    def estimate(name: str) -> DemoEstimate:
        folder = DEMO_IMAGES / "sittings" / name
        truth = json.loads((folder / "truth.json").read_text("utf-8"))
        sitting: Path = tmp_path_factory.mktemp(name) / "sitting.json"
        outcome = ellwand(
            "estimate", sitting, "--front", folder / "front.jpg", "--side", folder / "side.jpg",
            *options_of(truth), "--json",
        )  # fmt: skip
        return DemoEstimate(outcome, json.loads(outcome.out), sitting.read_bytes(), truth)

    return estimate
