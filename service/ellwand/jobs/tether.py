"""A process that ends with the one that started it, however that one ends.

The parent keeps the other end of its standard input open and never writes; an end of file means
that the parent is gone, on every system.
"""

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence

from ellwand.jobs.confinement import die_with_parent, forbid_inspection
from ellwand.settings import Settings

# The parent's id, for a process that ends with it.
_PARENT = "ELLWAND_PARENT"
# After this time a process that was asked to end is ended.
GRACE_S = 15.0


def environment(settings: Settings) -> dict[str, str]:
    """The settings as the environment of a child process, together with what is not ours."""
    ours = {
        name: value.get_secret_value() if hasattr(value, "get_secret_value") else str(value)
        for name, value in settings
        if value is not None
    }
    others = {name: text for name, text in os.environ.items() if not name.startswith("ELLWAND_")}
    return others | {f"ELLWAND_{name.upper()}": text for name, text in ours.items()}


def start(
    module: str,
    arguments: Sequence[str],
    variables: Mapping[str, str],
    handles: Sequence[int] = (),
) -> subprocess.Popen[bytes]:
    """Start a module of ours in a new process, never a copy of this one.

    Args:
        module: its name.
        arguments: for it.
        variables: its environment.
        handles: open files that it takes over.
    """
    return subprocess.Popen(  # noqa: S603, our own module
        [sys.executable, "-m", module, *arguments],
        env={**variables, _PARENT: str(os.getpid())},
        stdin=subprocess.PIPE,
        pass_fds=handles,
        # Signals of a terminal reach the parent alone, which passes them on.
        start_new_session=True,
    )


def settle() -> Settings:
    """Begin a process of the service: read the settings, then leave nothing of them readable.

    Returns:
        The settings of the environment.
    """
    parent = os.environ.pop(_PARENT, None)
    settings = Settings()
    # Detectors are started with this environment; it holds keys and passwords.
    for name in [name for name in os.environ if name.startswith("ELLWAND_")]:
        del os.environ[name]
    forbid_inspection()
    if parent is not None:
        die_with_parent(int(parent))
        threading.Thread(target=_watch, daemon=True).start()
    return settings


def _watch() -> None:
    # Not sys.stdin: its lock would hold up the end of the process.
    while os.read(0, 1024):
        pass
    os.kill(os.getpid(), signal.SIGTERM)
    timer = threading.Timer(GRACE_S, os._exit, (1,))
    timer.daemon = True
    timer.start()
