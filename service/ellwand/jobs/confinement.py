"""What a process gives up for good before it touches what strangers send.

Each function can be taken back by nobody, not even by code that a damaged photo smuggles in. Where
a kernel lacks one of them, the others still hold.

Source: Linux manual pages prctl(2), seccomp(2), bpf(4), landlock(7), setrlimit(2).
"""

import ctypes
import os
import platform
import signal
import struct
import sys
from collections.abc import Iterable
from pathlib import Path

_PR_SET_PDEATHSIG, _PR_SET_DUMPABLE, _PR_SET_SECCOMP, _PR_SET_NO_NEW_PRIVS = 1, 4, 22, 38
_FILTER_MODE = 2
_LOAD, _JUMP_IF_EQUAL, _JUMP_IF_AT_LEAST, _RETURN = 0x20, 0x15, 0x35, 0x06
_KILL_PROCESS, _ALLOW = 0x80000000, 0x7FFF0000
_AT_CALL, _AT_MACHINE = 0, 4
# By machine: its number, and that of the call `socket`; of `io_uring_setup`, which could open
# sockets as well; and where the calls of another mode of x86-64 begin.
_MACHINES = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}
_IO_URING_SETUP, _OTHER_MODE = 425, 0x40000000

_LANDLOCK_CREATE, _LANDLOCK_ADD, _LANDLOCK_RESTRICT = 444, 445, 446
_VERSION_FLAG, _PATH_BENEATH = 1, 1
# Rights over files: all that a version of Landlock knows, by the number of their bits.
_RIGHTS = {1: 13, 2: 14, 3: 15, 4: 15, 5: 16}
_WRITE_FILE, _READ_FILE, _READ_FOLDER = 1 << 1, 1 << 2, 1 << 3

# Half of what there is (judged).
_NICER = 10
# Pipes, libraries and what the pose library opens at once; measured: 17 (judged with room).
MOST_OPEN_FILES = 128


def kernel_can_filter() -> bool:
    """Whether calls of native code can be filtered on this machine."""
    return sys.platform == "linux" and platform.machine() in _MACHINES


def die_with_parent(parent: int) -> None:
    """End this process as soon as the thread that started it is gone; at once when it is already.

    Args:
        parent: process id of the parent.
    """
    if sys.platform == "linux":
        _prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
        if os.getppid() != parent:
            os._exit(1)


def stand_back() -> None:
    """Let other processes have the processor first: whoever asks for something is answered."""
    if sys.platform != "win32":
        os.nice(_NICER)


def forbid_inspection() -> None:
    """Keep other processes of the same user from reading this one's memory and environment."""
    if sys.platform == "linux":
        _prctl(_PR_SET_DUMPABLE, 0)


def limit_resources(memory_bytes: int) -> None:
    """Limit address space and open files; no file can be written, and no core is dumped.

    Args:
        memory_bytes: address space of this process.
    """
    import resource

    limits = (
        (resource.RLIMIT_AS, memory_bytes),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_NOFILE, MOST_OPEN_FILES),
    )
    for limit, value in limits:
        most = resource.getrlimit(limit)[1]
        allowed = value if most == resource.RLIM_INFINITY else min(value, most)
        resource.setrlimit(limit, (allowed, allowed))


def forbid_sockets() -> bool:
    """End this process as soon as it, or a thread that it starts later, asks for a socket.

    Returns:
        Whether the kernel sees to it.
    """
    if not kernel_can_filter():
        return False
    machine, socket_call = _MACHINES[platform.machine()]
    steps = [
        (_LOAD, 0, 0, _AT_MACHINE),
        (_JUMP_IF_EQUAL, 0, 5, machine),
        (_LOAD, 0, 0, _AT_CALL),
        (_JUMP_IF_AT_LEAST, 3, 0, _OTHER_MODE),
        (_JUMP_IF_EQUAL, 2, 0, socket_call),
        (_JUMP_IF_EQUAL, 1, 0, _IO_URING_SETUP),
        (_RETURN, 0, 0, _ALLOW),
        (_RETURN, 0, 0, _KILL_PROCESS),
    ]
    program = b"".join(struct.pack("=HBBI", *step) for step in steps)
    kept = ctypes.create_string_buffer(program)
    header = struct.pack("HxxxxxxP", len(steps), ctypes.addressof(kept))
    _prctl(_PR_SET_NO_NEW_PRIVS, 1)
    _prctl(_PR_SET_SECCOMP, _FILTER_MODE, header)
    return True


def see_only(folders: Iterable[Path], writable: Iterable[Path] = ()) -> bool:
    """Hide every file but these from this process and the threads that it starts later.

    Nor can it look into other processes of the same user any more.

    Args:
        folders: what can be read; a file counts as well. Those that are missing are left out.
        writable: files that can be written, too.

    Returns:
        Whether the kernel sees to it.
    """
    if sys.platform != "linux":
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    version = libc.syscall(_LANDLOCK_CREATE, None, 0, _VERSION_FLAG)
    if version < 1:
        return False
    handled = ctypes.c_uint64((1 << _RIGHTS[min(version, max(_RIGHTS))]) - 1)
    ruleset = libc.syscall(_LANDLOCK_CREATE, ctypes.byref(handled), ctypes.sizeof(handled), 0)
    if ruleset < 0:
        return False
    try:
        for path in folders:
            rights = _READ_FILE | _READ_FOLDER if path.is_dir() else _READ_FILE
            _allow(libc, ruleset, path, rights)
        for path in writable:
            _allow(libc, ruleset, path, _READ_FILE | _WRITE_FILE)
        _prctl(_PR_SET_NO_NEW_PRIVS, 1)
        return bool(libc.syscall(_LANDLOCK_RESTRICT, ruleset, 0) == 0)
    finally:
        os.close(ruleset)


def _allow(libc: ctypes.CDLL, ruleset: int, path: Path, rights: int) -> None:
    if not path.exists():
        return
    handle = os.open(path, os.O_PATH | os.O_CLOEXEC)
    try:
        rule = struct.pack("=Qi", rights, handle)
        if libc.syscall(_LANDLOCK_ADD, ruleset, _PATH_BENEATH, rule, 0):
            raise OSError(ctypes.get_errno(), "landlock")
    finally:
        os.close(handle)


def _prctl(option: int, *arguments: int | bytes) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    filled = (*arguments, 0, 0, 0, 0)[:4]
    # Numbers are passed in full width: the call takes unsigned long.
    wide = [ctypes.c_ulong(one) if isinstance(one, int) else one for one in filled]
    if libc.prctl(option, *wide):
        raise OSError(ctypes.get_errno(), "prctl")
