"""The web process of `ellwand serve`, with a watch on how long its event loop is held up."""

import asyncio
import os
import sys
import time
from pathlib import Path
from typing import Any

from ellwand.serving import web

# The watch asks for this long a rest again and again; what it gets beyond it is a hold-up.
REST_S = 0.01
RESULT = "BENCHMARK_HOLD_UP"


class Watched:
    """An application whose event loop is watched.

    Args:
        app: the application.
        result: file for the longest hold-up, in milliseconds.
    """

    def __init__(self, app: Any, result: Path) -> None:
        self._app, self._result = app, result
        self._watch: asyncio.Task[None] | None = None

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Serve, and watch from the first request on."""
        if self._watch is None:
            self._watch = asyncio.create_task(self._watching())
        await self._app(scope, receive, send)

    async def _watching(self) -> None:
        longest = -1.0
        while True:
            began = time.perf_counter()
            await asyncio.sleep(REST_S)
            held_up = time.perf_counter() - began - REST_S
            # The file is emptied to begin anew.
            if held_up > longest or not self._result.stat().st_size:
                longest = held_up
                self._result.write_text(f"{longest * 1000:.1f}")


def main() -> int:
    """Serve as `ellwand.serving.web` does."""
    real = web.create_app

    def watched(*arguments: Any) -> Any:
        return Watched(real(*arguments), Path(os.environ[RESULT]))

    web.create_app = watched
    return web.main(sys.argv[1:])


if __name__ == "__main__":
    os._exit(main())
