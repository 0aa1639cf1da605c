"""Several requests at once: benches, waiting, hanging up and stopping."""

import json
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

import httpx2
import pytest

from api.examples import REQUEST
from api.settings import Settings
from cutopt import pipeline
from cutopt.documents import Plan, Request
from cutopt.stop import Progress, Stop
from tests.service.conftest import Serve, served
from tests.service.test_plans import problem_of


class SlowSearch:
    """A search that goes on until it is cancelled or let go, and notes what happened."""

    def __init__(self, real: Any) -> None:
        self._real = real
        self.begun = threading.Semaphore(0)
        self.let_go = threading.Event()
        self.reasons: list[str | None] = []

    def __call__(self, request: Request, stop: Stop, seed: int = 0) -> Plan:
        self.begun.release()
        reason = None
        while reason is None and not self.let_go.wait(0.01):
            reason = stop.reason(Progress("field", "choosing patterns"))
        self.reasons.append(reason)
        plan: Plan = self._real(request, stop, seed)
        return plan

    def wait_for(self, count: int) -> None:
        for _ in range(count):
            assert self.begun.acquire(timeout=20)


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> Iterator[SlowSearch]:
    """Return the search, not yet put in place: a service must first get ready."""
    search = SlowSearch(pipeline.plan)
    yield search
    search.let_go.set()


def post(client: httpx2.Client, query: str = "") -> httpx2.Response:
    return client.post(f"/v1/plans{query}", json=REQUEST)


def test_the_service_answers_while_it_searches(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(searches=2))
    monkeypatch.setattr(pipeline, "plan", slow)
    with ThreadPoolExecutor() as threads:
        running: list[Future[httpx2.Response]] = [threads.submit(post, client) for _ in "12"]
        slow.wait_for(2)
        since = time.monotonic()
        assert client.get("/healthz").status_code == 200
        assert time.monotonic() - since < 1
        assert "cutopt_searches_running 2\n" in client.get("/metrics").text
        slow.let_go.set()
        assert [answer.result(20).status_code for answer in running] == [200, 200]


def test_busy_when_no_bench_becomes_free_in_time(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(searches=1, wait_seconds=0.2))
    monkeypatch.setattr(pipeline, "plan", slow)
    with ThreadPoolExecutor() as threads:
        running = threads.submit(post, client)
        slow.wait_for(1)
        answer = post(client)
        problem_of(answer, "busy")
        assert int(answer.headers["retry-after"]) > 0
        slow.let_go.set()
        assert running.result(20).status_code == 200
    assert post(client).status_code == 200


def test_busy_at_once_when_too_many_wait(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(searches=1, wait_seconds=60, waiting=0))
    monkeypatch.setattr(pipeline, "plan", slow)
    with ThreadPoolExecutor() as threads:
        running = threads.submit(post, client)
        slow.wait_for(1)
        problem_of(post(client), "busy")
        slow.let_go.set()
        assert running.result(20).status_code == 200


def test_a_request_waits_for_its_bench(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(searches=1, wait_seconds=20, waiting=1))
    monkeypatch.setattr(pipeline, "plan", slow)
    with ThreadPoolExecutor() as threads:
        running = [threads.submit(post, client) for _ in "12"]
        slow.wait_for(1)
        time.sleep(0.1)
        assert len(slow.reasons) == 0
        slow.let_go.set()
        assert [answer.result(20).status_code for answer in running] == [200, 200]


def test_hanging_up_cancels_the_search(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(searches=1))
    monkeypatch.setattr(pipeline, "plan", slow)
    impatient = httpx2.Client(base_url=client.base_url, timeout=0.3)
    with impatient, pytest.raises(httpx2.ReadTimeout):
        post(impatient)
    slow.wait_for(1)
    until = time.monotonic() + 10
    while not slow.reasons and time.monotonic() < until:
        time.sleep(0.02)
    assert slow.reasons == ["cancelled"]
    slow.let_go.set()
    assert post(client).status_code == 200


def test_time_ends_the_search(
    serve: Serve, slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = serve(Settings(seconds=0.3))
    monkeypatch.setattr(pipeline, "plan", slow)
    assert post(client).status_code == 200
    assert post(client, "?seconds=0.2").status_code == 200
    assert slow.reasons == ["time", "time"]


def test_stopping_the_service_hands_over_the_best_plan(
    slow: SlowSearch, monkeypatch: pytest.MonkeyPatch
) -> None:
    with ThreadPoolExecutor() as threads:
        with served(Settings()) as client:
            monkeypatch.setattr(pipeline, "plan", slow)
            body = json.dumps(REQUEST)
            running = threads.submit(
                httpx2.post,
                f"{client.base_url}/v1/plans",
                content=body,
                headers={"Content-Type": "application/json"},
                timeout=20,
            )
            slow.wait_for(1)
        assert running.result(20).status_code == 200
    assert slow.reasons == ["cancelled"]
