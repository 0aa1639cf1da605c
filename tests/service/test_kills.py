"""Kill -9 in the middle of runs: nothing is lost, nothing ends twice, on both databases."""

import json
import os
import socket
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import httpx2
import pytest
import sqlalchemy as sa

from cutopt.documents.run import PlanRun
from tests.processes import ROOT
from tests.service.test_runs import ASYNC, begun, until, waiting

CUT_SESSIONS = sa.text(
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() "
    "AND backend_type = 'client backend'"
)
#: Not by `-m`: every child would import such a program again.
_START = "import sys; from tests.service.process import main; main(sys.argv[1])"


class Cluster:
    """A service and its workers, on one database."""

    def __init__(self, url: str, folder: Path) -> None:
        self.url = url.replace("+psycopg", "")
        self.log = folder / "log"
        self._stack = ExitStack()
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        self.client = self._stack.enter_context(
            httpx2.Client(base_url=f"http://127.0.0.1:{self.port}", timeout=30)
        )

    def start(self, what: str) -> subprocess.Popen[bytes]:
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "CUTOPT_DATABASE": self.url,
            "CUTOPT_LISTEN_PORT": str(self.port),
            "CUTOPT_SEARCHES": "1",
        }
        with self.log.open("ab") as log:
            process = subprocess.Popen(
                [sys.executable, "-c", _START, what], env=environment, stderr=log
            )
        self._stack.callback(process.wait)
        self._stack.callback(process.kill)
        return process

    def serve(self) -> subprocess.Popen[bytes]:
        process = self.start("serve")
        until(self.is_ready, 180)
        return process

    def is_ready(self) -> bool:
        try:
            return self.client.get("/readyz").status_code == 200
        except httpx2.TransportError:
            return False

    def run(self, where: str) -> PlanRun:
        return PlanRun.model_validate_json(self.client.get(where).content)

    def endings(self) -> Counter[str]:
        """Return how often each run ended, as the logs of all processes say."""
        lines = [json.loads(line) for line in self.log.read_text().splitlines() if line[:1] == "{"]
        return Counter(line["run"] for line in lines if line["message"] == "ended")

    def close(self) -> None:
        self._stack.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def cluster(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Cluster]:
    url = str(tmp_path / "runs.sqlite")
    if request.param == "postgresql":
        url = request.getfixturevalue("postgresql")
    made = Cluster(url, tmp_path)
    yield made
    made.close()


def test_worker_and_server_are_killed(cluster: Cluster, tmp_path: Path) -> None:
    """First the worker in the middle of a run, then the server in the middle of all."""
    server = cluster.serve()
    worker = cluster.start("work")
    runs = [
        cluster.client.post("/v1/plans", json=waiting(tmp_path, name), headers=ASYNC).headers[
            "location"
        ]
        for name in ("one", "two", "three")
    ]
    names = ("one", "two", "three")
    until(lambda: sum(begun(tmp_path, name) for name in names) == 2)
    first = {run for run in runs if cluster.run(run).state == "running"}
    worker.kill()
    server.kill()
    server.wait()
    cluster.serve()
    again = cluster.start("work")
    # How soon is measured by benchmarks/service_kills.py; here it is only that it happens.
    until(lambda: any(cluster.run(run).attempts == 2 for run in first), 60)
    for name in names:
        (tmp_path / name).touch()
    until(lambda: all(cluster.run(run).has_ended for run in runs))
    assert {cluster.run(run).state for run in runs} == {"done"}
    assert sum(begun(tmp_path, name) for name in names) == 5
    again.terminate()
    assert again.wait(20) == 0
    # A process that is killed may take its last line of the log with it; none may come twice.
    assert set(cluster.endings().values()) == {1}


def test_connections_are_cut(tmp_path: Path, postgresql: str) -> None:
    """PostgreSQL ends every session in the middle of a run; the run goes on and ends once."""
    cluster = Cluster(postgresql, tmp_path)
    engine = sa.create_engine(postgresql, poolclass=sa.NullPool)
    try:
        cluster.serve()
        where = cluster.client.post("/v1/plans", json=waiting(tmp_path), headers=ASYNC).headers[
            "location"
        ]
        until(lambda: begun(tmp_path))
        for _ in range(3):
            with engine.connect() as db:
                db.execute(CUT_SESSIONS)
            time.sleep(0.2)
        (tmp_path / "go").touch()
        until(lambda: cluster.run(where).has_ended)
        assert (cluster.run(where).state, cluster.run(where).attempts) == ("done", 1)
        assert set(cluster.endings().values()) == {1}
    finally:
        cluster.close()
        engine.dispose()
