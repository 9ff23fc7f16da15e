"""Run a command in a process that the kernel ends as soon as it asks for a socket.

`python -m tests.end_to_end.no_internet ARGUMENTS` runs `ellwand` so. It is the filter of
system calls of the service's own detector processes, which sees native libraries as well as
Python. Beside it an audit hook ends the process at any use of Python's own socket module that
could look up or reach another machine, so that there is a proof where the kernel has no filter.
"""

import ctypes
import os
import sys
from typing import Any

from ellwand.jobs.confinement import forbid_sockets, kernel_can_filter

__all__ = ["ENDED_BY_HOOK", "kernel_can_filter"]

_AF_INET = 2
# Exit code of a process that the audit hook ended.
ENDED_BY_HOOK = 77
_REACHING_OUT = ("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg",
                 "socket.getaddrinfo", "socket.gethostby", "urllib.", "http.client.")  # fmt: skip


def forbid() -> None:
    """From here on, end this process when it reaches out."""
    sys.addaudithook(_end_when_reaching_out)
    forbid_sockets()


def _end_when_reaching_out(event: str, _: tuple[Any, ...]) -> None:
    if event.startswith(_REACHING_OUT):
        os._exit(ENDED_BY_HOOK)


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
