"""A demo pair and the set-up that belongs to it, and processes to look for."""

from functools import cache

import psutil

from ellwand.sitting import FindingsEntry, Setup, Sitting, TypedSetup, estimated, with_typed_setup

from ..running import DEMO_IMAGES

_ADELA = DEMO_IMAGES / "sittings" / "adela"
FRONT, SIDE = (_ADELA / "front.jpg").read_bytes(), (_ADELA / "side.jpg").read_bytes()
TYPED = TypedSetup(
    stature="165 cm", reference="marker-sheets", standoff_front="20 cm", standoff_side="35 cm"
)


def setup() -> Setup:
    """How the demo pair was taken."""
    noted = with_typed_setup(Sitting(), TYPED).setup
    assert noted is not None
    return noted


@cache
def findings() -> FindingsEntry:
    """What the demo pair gives in this process."""
    found = estimated(Sitting(), TYPED, {"front": FRONT, "side": SIDE}, lambda _: None).findings
    assert found is not None
    return found


def detector_processes(parent: int | None = None) -> list[psutil.Process]:
    """Detector processes that this process, or another one, has started."""
    found = []
    for process in psutil.Process(parent).children():
        try:
            if any("spawn_main" in part for part in process.cmdline()):
                found.append(process)
        except (psutil.NoSuchProcess, psutil.ZombieProcess):
            continue
    return found
