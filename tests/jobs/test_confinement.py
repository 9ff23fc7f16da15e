"""What a detector process has given up it does not get back."""

import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from ellwand.jobs.confinement import kernel_can_filter

BEFORE = """\
import ctypes, os, pathlib, socket, sys
from ellwand.jobs import confinement
os.chdir({place!r})
"""


def run(code: str, place: Path) -> subprocess.CompletedProcess[str]:
    """Run code in a process of its own, in a folder with one file."""
    (place / "kept").write_text("private")
    text = BEFORE.format(place=str(place)) + textwrap.dedent(code)
    return subprocess.run([sys.executable, "-c", text], capture_output=True, text=True)


def test_no_file_can_be_written(tmp_path: Path) -> None:
    done = run(
        """
        confinement.limit_resources(10**10)
        import signal
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        try:
            pathlib.Path("new").write_text("x")
        except OSError:
            print("refused")
        """,
        tmp_path,
    )
    assert done.stdout == "refused\n"
    assert not (tmp_path / "new").exists() or (tmp_path / "new").stat().st_size == 0


def test_memory_is_limited(tmp_path: Path) -> None:
    done = run(
        """
        confinement.limit_resources(10**9)
        try:
            bytearray(2 * 10**9)
        except MemoryError:
            print("refused")
        """,
        tmp_path,
    )
    assert done.stdout == "refused\n"


@pytest.mark.skipif(not kernel_can_filter(), reason="no filter of system calls on this machine")
@pytest.mark.parametrize("family", ["AF_INET", "AF_INET6", "AF_UNIX", "AF_NETLINK"])
def test_no_socket_of_any_kind_can_be_opened(tmp_path: Path, family: str) -> None:
    done = run(
        f"""
        print(confinement.forbid_sockets(), flush=True)
        ctypes.CDLL(None).socket(socket.{family}, 3, 0)
        print("still here")
        """,
        tmp_path,
    )
    assert (done.stdout, done.returncode) == ("True\n", -31)


@pytest.mark.skipif(sys.platform != "linux", reason="the kernel has no such limit")
def test_only_files_that_are_named_are_seen_and_no_program_runs(tmp_path: Path) -> None:
    (tmp_path / "library").mkdir()
    (tmp_path / "library" / "part").write_text("open")
    done = run(
        """
        seen = confinement.see_only([pathlib.Path("library"), pathlib.Path("none")],
                                    [pathlib.Path(os.devnull)])
        print("landlock" if seen else "none")
        pathlib.Path(os.devnull).write_text("x")
        print(pathlib.Path("library/part").read_text())
        for act in (
            lambda: pathlib.Path("kept").read_text(),
            lambda: pathlib.Path("library/new").write_text("x"),
            lambda: pathlib.Path("library/part").unlink(),
            lambda: pathlib.Path(f"/proc/{os.getppid()}/environ").read_bytes(),
            lambda: os.execv(sys.executable, [sys.executable, "-c", "print('ran')"]),
        ):
            try:
                act()
                print("not refused")
            except PermissionError:
                print("refused")
        """,
        tmp_path,
    )
    if done.stdout.startswith("none"):
        pytest.skip("this kernel cannot hide files")
    assert done.stdout.split() == ["landlock", "open", *["refused"] * 5], done.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="told by the kernel")
def test_a_process_whose_parent_is_gone_already_ends_at_once(tmp_path: Path) -> None:
    done = run("confinement.die_with_parent(os.getpid())\nprint('still here')", tmp_path)
    assert (done.stdout, done.returncode) == ("", 1)
