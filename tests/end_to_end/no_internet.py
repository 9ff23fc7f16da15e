"""Run a command in a process that the kernel ends as soon as it asks for an internet socket.

`python -m tests.end_to_end.no_internet ARGUMENTS` runs `ellwand` so. A filter of system calls
(seccomp) sees native libraries as well as Python, and holds for every thread that is started
later. Beside it an audit hook ends the process at any use of Python's own socket module that
could look up or reach another machine, so that there is a proof where the kernel has no filter.
"""

import ctypes
import os
import platform
import struct
import sys
from typing import Any

# Numbers of Linux: prctl(2), seccomp(2), bpf(4); of the call `socket`, by machine.
_PR_SET_NO_NEW_PRIVS, _PR_SET_SECCOMP, _FILTER_MODE = 38, 22, 2
_LOAD, _JUMP_IF_EQUAL, _RETURN = 0x20, 0x15, 0x06
_KILL_PROCESS, _ALLOW = 0x80000000, 0x7FFF0000
_AT_CALL, _AT_MACHINE, _AT_FIRST_ARGUMENT = 0, 4, 16
_MACHINES = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}
_AF_INET, _AF_INET6 = 2, 10

# Exit code of a process that the audit hook ended.
ENDED_BY_HOOK = 77
_REACHING_OUT = ("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg",
                 "socket.getaddrinfo", "socket.gethostby", "urllib.", "http.client.")  # fmt: skip


def kernel_can_filter() -> bool:
    """Whether the proof covers native code on this machine."""
    return sys.platform == "linux" and platform.machine() in _MACHINES


def forbid() -> None:
    """From here on, end this process when it reaches out."""
    sys.addaudithook(_end_when_reaching_out)
    if kernel_can_filter():
        _install_filter()


def _end_when_reaching_out(event: str, _: tuple[Any, ...]) -> None:
    if event.startswith(_REACHING_OUT):
        os._exit(ENDED_BY_HOOK)


def _install_filter() -> None:
    machine, socket_call = _MACHINES[platform.machine()]
    steps = [
        (_LOAD, 0, 0, _AT_MACHINE),
        (_JUMP_IF_EQUAL, 0, 6, machine),
        (_LOAD, 0, 0, _AT_CALL),
        (_JUMP_IF_EQUAL, 0, 3, socket_call),
        (_LOAD, 0, 0, _AT_FIRST_ARGUMENT),
        (_JUMP_IF_EQUAL, 2, 0, _AF_INET),
        (_JUMP_IF_EQUAL, 1, 0, _AF_INET6),
        (_RETURN, 0, 0, _ALLOW),
        (_RETURN, 0, 0, _KILL_PROCESS),
    ]
    program = b"".join(struct.pack("=HBBI", *step) for step in steps)
    kept = ctypes.create_string_buffer(program)
    header = struct.pack("HxxxxxxP", len(steps), ctypes.addressof(kept))
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0):
        raise OSError(ctypes.get_errno(), "no_new_privs")
    if libc.prctl(_PR_SET_SECCOMP, _FILTER_MODE, header, 0, 0):
        raise OSError(ctypes.get_errno(), "seccomp")


if __name__ == "__main__":
    forbid()
    if sys.argv[1:2] == ["--reach-out-natively"]:
        # The C library's own call, which no hook of Python sees.
        ctypes.CDLL(None).socket(_AF_INET, 1, 0)
        sys.exit(0)
    if sys.argv[1:2] == ["--reach-out"]:
        import socket

        socket.create_connection(("127.0.0.1", 9))
    from ellwand.cli import main

    sys.exit(main(sys.argv[1:]))
