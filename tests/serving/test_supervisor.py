"""`ellwand serve` starts what is needed, starts again what dies, and leaves nothing behind."""

import contextlib
import http.client
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import psutil
import pytest
import uvicorn

from ellwand.errors import ServiceProblem
from ellwand.jobs.tether import environment
from ellwand.serving import web
from ellwand.serving.supervisor import Child, serve, work
from ellwand.settings import Settings
from ellwand.store.engine import open_store

from ..servers import until
from ..store.kept import sitting

CODE = """\
import sys
from ellwand.errors import ServiceProblem
from ellwand.serving.supervisor import serve, work
from ellwand.settings import Settings
try:
    sys.exit(work(Settings()) if sys.argv[1] == "work" else serve(Settings(), "127.0.0.1", 0))
except ServiceProblem as problem:
    print(problem, file=sys.stderr)
    sys.exit(problem.exit_code)
"""


@contextmanager
def service(settings: Settings, what: str = "serve") -> Iterator[tuple[psutil.Popen, str]]:
    """A running service and the line that it says when it is ready."""
    with (settings.data.parent / "log").open("ab") as log:
        made = psutil.Popen(
            [sys.executable, "-c", CODE, what],
            env=environment(settings),
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
        )
    try:
        yield made, made.stdout.readline().strip()
    finally:
        with contextlib.suppress(psutil.NoSuchProcess):
            made.kill()
        made.wait(10)
        made.stdout.close()


def alive(processes: list[psutil.Process]) -> list[psutil.Process]:
    """Those that still run."""
    running = []
    for one in processes:
        with contextlib.suppress(psutil.NoSuchProcess):
            if one.is_running() and one.status() != psutil.STATUS_ZOMBIE:
                running.append(one)
    return running


def child(of: psutil.Popen, module: str) -> psutil.Process | None:
    """A process that the service has started."""
    for one in of.children():
        with contextlib.suppress(psutil.NoSuchProcess):
            if module in one.cmdline():
                return one
    return None


def answer(line: str) -> http.client.HTTPResponse:
    """What the service says of its health."""
    connection = http.client.HTTPConnection(line.partition("http://")[2], timeout=30)
    connection.request("GET", "/health")
    response = connection.getresponse()
    response.read()
    connection.close()
    return response


@pytest.fixture(scope="module")
def settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """Settings of one data folder for several runs."""
    return Settings(data=tmp_path_factory.mktemp("service") / "data", workers=1)


def test_it_serves_restarts_what_dies_and_ends_with_all_it_started(settings: Settings) -> None:
    with service(settings) as (made, line):
        assert line.startswith("ellwand is ready: http://127.0.0.1:")
        response = answer(line)
        assert response.status == 200
        assert response.headers.get("Server") is None
        for module in ("ellwand.serving.web", "ellwand.jobs"):
            until(lambda module=module: child(made, module) is not None)
            first = child(made, module)
            assert first is not None
            first.kill()
            until(lambda module=module, first=first: child(made, module) not in (None, first))
        assert answer(line).status == 200
        begun = made.children(recursive=True)
        made.send_signal(signal.SIGTERM)
        assert made.wait(20) == 0
        assert alive(begun) == []
    log = (settings.data.parent / "log").read_text()
    assert "web process ended (-9), again in 0.5 s" in log
    assert "Traceback" not in log


def test_nothing_goes_on_when_the_service_itself_is_killed(settings: Settings) -> None:
    with service(settings, "work") as (made, line):
        assert line == "ellwand does jobs"
        until(lambda: len(made.children(recursive=True)) >= 2)
        begun = made.children(recursive=True)
        made.kill()
        made.wait(10)
        until(lambda: alive(begun) == [])


def test_a_client_that_says_nothing_is_hung_up_on(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(web, "HEADERS_S", 0.3)
    open_store(settings).migrate()
    server = uvicorn.Server(web.config(settings))
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        until(lambda: server.started)
        with socket.create_connection(listener.getsockname(), 20) as silent:
            silent.sendall(b"GET /health HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ")
            began = time.monotonic()
            assert silent.recv(100) == b""
            assert time.monotonic() - began < 10
        server.should_exit = True
        thread.join(20)


def test_a_child_that_dies_at_once_waits_longer_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    begun: list[float] = []

    class Dead:
        """A process that has ended."""

        returncode = 1
        stdin = None

        def poll(self) -> int:
            return 1

    def begin() -> Dead:
        begun.append(now[0])
        return Dead()

    one = Child("test", begin)  # type: ignore[arg-type]
    for _ in range(2000):
        one.tend()
        now[0] += 0.1
    waits = [round(after - before) for before, after in pairwise(begun)]
    assert waits[:7] == [1, 1, 2, 4, 8, 16, 30]
    assert set(waits[7:]) == {30}


def test_a_port_that_is_taken_is_told(settings: Settings) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        for host, port in (("127.0.0.1", other.getsockname()[1]), ("192.0.2.1", 80)):
            with pytest.raises(ServiceProblem) as caught:
                serve(settings, host, port)
            assert (caught.value.code, caught.value.exit_code) == ("port-unusable", 5)


def test_a_folder_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file")
    with pytest.raises(ServiceProblem) as caught:
        serve(Settings(data=tmp_path / "data"), "127.0.0.1", 0)
    assert caught.value.code == "data-folder-unusable"


def test_a_key_that_is_not_the_one_of_the_data_is_told(tmp_path: Path) -> None:
    made = Settings(data=tmp_path / "data")
    store = open_store(made)
    store.migrate()
    sitting(store)
    store.engine.dispose()
    (made.data / "server.key").unlink()
    with pytest.raises(ServiceProblem) as caught:
        serve(made, "127.0.0.1", 0)
    assert caught.value.code == "not-opened"


def test_a_web_process_that_cannot_start_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ellwand.jobs.tether.sys.executable", "/bin/false")
    with pytest.raises(ServiceProblem) as caught:
        serve(Settings(data=tmp_path / "data", workers=0), "127.0.0.1", 0)
    assert caught.value.code == "web-not-started"


def test_a_machine_without_workers_does_no_jobs(tmp_path: Path) -> None:
    with pytest.raises(ServiceProblem) as caught:
        work(Settings(data=tmp_path / "data", workers=0))
    assert caught.value.code == "no-workers"
