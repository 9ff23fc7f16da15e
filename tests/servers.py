"""Real servers for tests, each started once, reachable from this machine alone.

Where a server's program is missing, its tests are skipped; the environment variable
ELLWAND_TESTS_NEED (names with commas: postgresql, redis) makes them fail instead.
"""

import atexit
import os
import pwd
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Callable
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import mkdtemp

import psycopg
import pytest
import redis

from ellwand.settings import Settings
from ellwand.store.engine import open_store

# A guard against waiting for ever, no claim of speed: machines may have other work.
DEADLINE_S = 90.0
_numbers = count(1)


def until(condition: Callable[[], bool], deadline_s: float = DEADLINE_S) -> None:
    """Wait for something that is about to happen; fails when it does not."""
    end = time.monotonic() + deadline_s
    while not condition():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.01)


def postgresql(empty: bool = False) -> str:
    """URL of a new database on a real PostgreSQL.

    Args:
        empty: whether it has no tables yet.
    """
    folder = _postgresql()
    if folder is None:
        missing("postgresql", "PostgreSQL is not installed")
    name = f"ellwand_{next(_numbers)}"
    template = "template0" if empty else _migrated(folder)
    _run_sql(folder, f"CREATE DATABASE {name} TEMPLATE {template}")
    return _url(folder, name)


def redis_url() -> str:
    """URL of an empty real Redis."""
    url = _redis()
    if url is None:
        missing("redis", "Redis is not installed")
    client = redis.Redis.from_url(url)
    client.flushall()
    client.close()
    return url


def missing(name: str, why: str) -> None:
    """Skip a test, or fail when its server must be there."""
    if name in os.environ.get("ELLWAND_TESTS_NEED", "").split(","):
        pytest.fail(why)
    pytest.skip(why)


@cache
def _postgresql() -> Path | None:
    """Folder of a running server; its socket lies in it."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    initdb = str(found[-1]) if found else shutil.which("initdb")
    if initdb is None:
        return None
    programs = Path(initdb).parent
    folder = Path(mkdtemp(prefix="pg-"))
    # PostgreSQL refuses to run as root.
    user = "nobody" if os.geteuid() == 0 else None
    if user:
        os.chown(folder, pwd.getpwnam(user).pw_uid, pwd.getpwnam(user).pw_gid)
    base = [programs / "initdb", "-D", folder / "data", "-U", "ellwand", "-A", "trust", "-N"]
    subprocess.run(base, user=user, cwd="/", check=True, capture_output=True)
    server = subprocess.Popen(
        [programs / "postgres", "-D", folder / "data", "-k", folder, "-c", "listen_addresses=",
         "-c", "fsync=off", "-c", "full_page_writes=off"],
        user=user, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    atexit.register(_end, server, folder, signal.SIGQUIT)
    until(lambda: _reachable(folder))
    return folder


@cache
def _migrated(folder: Path) -> str:
    """A database with tables, to be copied."""
    name = "migrated"
    _run_sql(folder, f"CREATE DATABASE {name}")
    data = Path(mkdtemp(prefix="ellwand-"))
    store = open_store(Settings(data=data, database_url=_url(folder, name)))
    store.migrate()
    store.engine.dispose()
    shutil.rmtree(data)
    return name


@cache
def _redis() -> str | None:
    program = shutil.which("redis-server")
    if program is None:
        return None
    folder = Path(mkdtemp(prefix="redis-"))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = ["--bind", "127.0.0.1", "--port", str(port), "--save", "", "--dir", str(folder)]
    server = subprocess.Popen([program, *options], stdout=subprocess.DEVNULL)
    atexit.register(_end, server, folder, signal.SIGTERM)
    url = f"redis://127.0.0.1:{port}/0"

    def answers() -> bool:
        try:
            with redis.Redis.from_url(url) as client:
                return bool(client.ping())
        except redis.ConnectionError:
            return False

    until(answers)
    return url


def _url(folder: Path, name: str) -> str:
    return f"postgresql://ellwand@/{name}?host={folder}"


def _run_sql(folder: Path, sql: str) -> None:
    with psycopg.connect(_url(folder, "postgres"), autocommit=True) as connection:
        connection.execute(sql)


def _reachable(folder: Path) -> bool:
    try:
        _run_sql(folder, "SELECT 1")
    except psycopg.OperationalError:
        return False
    return True


def _end(server: subprocess.Popen[bytes], folder: Path, number: int) -> None:
    server.send_signal(number)
    server.wait(DEADLINE_S)
    shutil.rmtree(folder, ignore_errors=True)
