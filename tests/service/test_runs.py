"""Runs over HTTP: waiting or not, looking, cancelling, limits, keys, the cache, events."""

import json
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx2
import pytest

from api.examples import REQUEST
from api.runs.records import Records
from api.settings import Settings
from cutopt.documents import Plan
from cutopt.documents.run import PlanRun as Run
from tests.service.conftest import Serve, served
from tests.service.test_plans import problem_of

ASYNC = {"Prefer": "respond-async"}


def titled(title: str) -> dict[str, Any]:
    return {**REQUEST, "title": title}


def waiting(tmp_path: Path, name: str = "go") -> dict[str, Any]:
    """Return a request whose search waits for a file of this name."""
    return titled(f"wait {tmp_path / name}")


def begun(tmp_path: Path, name: str = "go") -> int:
    file = (tmp_path / name).with_suffix(".begun")
    return len(file.read_text().splitlines()) if file.exists() else 0


def until(true: Any, seconds: float = 40) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def run_of(answer: httpx2.Response) -> Run:
    assert answer.status_code in (200, 202), answer.text
    return Run.model_validate_json(answer.content)


def ended(client: httpx2.Client, where: str) -> Run:
    until(lambda: run_of(client.get(where)).has_ended)
    return run_of(client.get(where))


def test_a_run_that_is_not_waited_for(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans?seed=11", json=REQUEST, headers=ASYNC)
    assert answer.status_code == 202
    where = answer.headers["location"]
    assert where == f"/v1/plans/{run_of(answer).id}"
    run = ended(client, where)
    assert (run.state, run.attempts, run.seed, run.proven_minimal) == ("done", 1, 11, True)
    assert run.created <= (run.started or "") <= (run.ended or "") < (run.expires or "")
    plan = client.get(f"{where}/plan").content
    assert Plan.read(plan).totals[0].tiles_needed == 3
    assert client.get(where).json()["plan"] == json.loads(plan)
    assert client.get(f"{where}/plan", headers={"Accept": "text/csv"}).text.count("back-left")


def test_an_answer_within_the_wait(client: httpx2.Client, tmp_path: Path) -> None:
    answer = client.post("/v1/plans", json=waiting(tmp_path), headers={"Prefer": "wait=1"})
    assert answer.status_code == 202
    where = answer.headers["location"]
    assert run_of(client.get(where)).state == "running"
    problem_of(client.get(f"{where}/plan"), "no-plan")
    (tmp_path / "go").touch()
    assert ended(client, where).state == "done"
    assert begun(tmp_path) == 1


def test_progress_is_seen(client: httpx2.Client, tmp_path: Path) -> None:
    answer = client.post("/v1/plans", json=waiting(tmp_path), headers=ASYNC)
    where = answer.headers["location"]
    until(lambda: run_of(client.get(where)).progress)
    progress = run_of(client.get(where)).progress
    assert progress
    assert progress.tiles
    assert progress.bound == 3
    assert progress.gap == pytest.approx((progress.tiles - 3) / progress.tiles)
    (tmp_path / "go").touch()
    ended(client, where)


def test_cancelling_keeps_the_best_plan(client: httpx2.Client, tmp_path: Path) -> None:
    where = client.post("/v1/plans", json=waiting(tmp_path), headers=ASYNC).headers["location"]
    until(lambda: run_of(client.get(where)).state == "running")
    assert client.delete(where).status_code == 200
    assert ended(client, where).state == "cancelled"
    assert Plan.of(client.get(where).json()["plan"]).totals
    assert client.delete(where).json()["state"] == "cancelled"


def test_cancelled_before_it_began(serve: Serve, tmp_path: Path) -> None:
    client = serve(Settings(searches=1))
    first, second = (
        client.post("/v1/plans", json=waiting(tmp_path, name), headers=ASYNC).headers["location"]
        for name in ("first", "second")
    )
    until(lambda: begun(tmp_path, "first"))
    assert client.delete(second).json()["state"] == "cancelled"
    (tmp_path / "first").touch()
    ended(client, first)
    time.sleep(0.2)
    assert begun(tmp_path, "second") == 0
    problem_of(client.get(f"{second}/plan"), "no-plan")


def test_a_search_that_hears_nothing_is_killed(
    serve: Serve, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.runs.bench.STOP_SECONDS", 0.2)
    client = serve(Settings())
    where = client.post("/v1/plans", json=titled("deaf"), headers=ASYNC).headers["location"]
    until(lambda: run_of(client.get(where)).state == "running")
    client.delete(where)
    assert ended(client, where).state == "cancelled"
    answer = client.post("/v1/plans?seconds=0.1", json=titled("deaf"))
    problem_of(answer, "too-much-work")
    assert client.post("/v1/plans", json=REQUEST).status_code == 200


def test_a_child_that_dies_takes_nobody_along(client: httpx2.Client, tmp_path: Path) -> None:
    with ThreadPoolExecutor() as threads:
        neighbour = threads.submit(client.post, "/v1/plans", json=waiting(tmp_path))
        until(lambda: begun(tmp_path))
        answer = client.post("/v1/plans", json=titled(f"die {tmp_path / 'once'}"))
        assert answer.status_code == 200
        run = run_of(client.get(answer.headers["content-location"].removesuffix("/plan")))
        assert (run.state, run.attempts) == ("done", 2)
        (tmp_path / "go").touch()
        assert neighbour.result(20).status_code == 200


def test_a_run_that_kills_every_child_is_given_up(client: httpx2.Client) -> None:
    problem_of(client.post("/v1/plans", json=titled("die /nowhere/at/all")), "own-fault")


def test_memory_is_bounded(serve: Serve) -> None:
    client = serve(Settings(memory_mb=300))
    problem_of(client.post("/v1/plans", json=titled("eat")), "too-much-work")
    assert client.post("/v1/plans", json=REQUEST).status_code == 200


def test_a_search_that_outlasts_the_quick_ones_goes_on_in_the_queue(
    serve: Serve, tmp_path: Path
) -> None:
    client = serve(Settings(quick_seconds=0.2))
    with ThreadPoolExecutor() as threads:
        answer = threads.submit(client.post, "/v1/plans", json=waiting(tmp_path))
        until(lambda: begun(tmp_path) == 2)
        (tmp_path / "go").touch()
        assert answer.result(20).json()["stopped"] == "done"


def test_an_idempotency_key(client: httpx2.Client) -> None:
    headers = {"Idempotency-Key": "wall 7"}
    first = client.post("/v1/plans?seed=5", json=REQUEST, headers=headers)
    again = client.post("/v1/plans?seed=5", json=REQUEST, headers=headers)
    assert first.content == again.content
    assert first.headers["content-location"] == again.headers["content-location"]
    for query, body in (("?seed=6", REQUEST), ("?seed=5", titled("another"))):
        answer = client.post(f"/v1/plans{query}", json=body, headers=headers)
        problem_of(answer, "key-reused")
    bad = client.post("/v1/plans", json=REQUEST, headers={"Idempotency-Key": "x" * 256})
    problem_of(bad, "bad-header")


def test_a_key_sent_twice_at_the_same_time_is_one_run(
    client: httpx2.Client, tmp_path: Path
) -> None:
    def post(_: int) -> httpx2.Response:
        headers = {"Idempotency-Key": str(tmp_path)}
        return client.post("/v1/plans", json=waiting(tmp_path), headers=headers)

    with ThreadPoolExecutor() as threads:
        answers = threads.map(post, range(4))
        until(lambda: begun(tmp_path))
        time.sleep(0.2)
        (tmp_path / "go").touch()
        assert len({answer.headers["content-location"] for answer in answers}) == 1
    assert begun(tmp_path) == 1


def test_the_same_job_again_is_answered_from_the_cache(
    client: httpx2.Client, tmp_path: Path
) -> None:
    (tmp_path / "go").touch()
    first = client.post("/v1/plans", json=waiting(tmp_path))
    other_text = json.dumps(waiting(tmp_path), indent=3)
    headers = {"Content-Type": "application/json"}
    second = client.post("/v1/plans", content=other_text, headers=headers)
    assert first.content == second.content
    assert first.headers["content-location"] != second.headers["content-location"]
    assert begun(tmp_path) == 1
    client.post("/v1/plans?seed=1", json=waiting(tmp_path))
    assert begun(tmp_path) == 2


def events_of(client: httpx2.Client, where: str, last: str | None = None) -> list[dict[str, str]]:
    headers = {} if last is None else {"Last-Event-ID": last}
    answer = client.get(f"{where}/events", headers=headers)
    assert answer.headers["content-type"].startswith("text/event-stream")
    blocks = answer.text.replace("\r\n", "\n").strip().split("\n\n")
    lines = [[line.split(": ", 1) for line in block.splitlines()] for block in blocks]
    return [{name: text for name, text in block if name} for block in lines]


def test_events_and_resuming_them(client: httpx2.Client, tmp_path: Path) -> None:
    where = client.post("/v1/plans", json=waiting(tmp_path), headers=ASYNC).headers["location"]
    with ThreadPoolExecutor() as threads:
        listening = threads.submit(events_of, client, where)
        until(lambda: run_of(client.get(where)).revision > 3)
        (tmp_path / "go").touch()
        events = [event for event in listening.result(20) if "data" in event]
    runs = [Run.model_validate_json(event["data"]) for event in events]
    assert [str(run.revision) for run in runs] == [event["id"] for event in events]
    assert [run.revision for run in runs] == sorted({run.revision for run in runs})
    assert len(runs) > 2
    assert any(run.progress for run in runs)
    assert [run.state for run in runs][-1] == "done"
    assert [event["id"] for event in events_of(client, where, events[-2]["id"])] == [
        events[-1]["id"]
    ]
    last = {"Last-Event-ID": events[-1]["id"]}
    assert client.get(f"{where}/events", headers=last).status_code == 204
    problem_of(client.get("/v1/plans/none/events"), "unknown-run")


def test_hanging_up_cancels_unless_there_is_a_key(client: httpx2.Client, tmp_path: Path) -> None:
    def hang_up(name: str, **headers: str) -> None:
        with httpx2.Client(base_url=client.base_url, timeout=0.3) as impatient:
            with pytest.raises(httpx2.ReadTimeout):
                impatient.post("/v1/plans", json=waiting(tmp_path, name), headers=headers)
            until(lambda: begun(tmp_path, name))

    def counted(state: str) -> int:
        lines = client.get("/metrics").text.splitlines()
        [line] = [line for line in lines if line.startswith(f'cutopt_ended_total{{state="{state}"')]
        return int(line.split()[1])

    cancelled = counted("cancelled")
    hang_up("without")
    until(lambda: counted("cancelled") == cancelled + 1)
    hang_up("with", **{"Idempotency-Key": "patient"})
    (tmp_path / "with").touch()
    answer = client.post(
        "/v1/plans", json=waiting(tmp_path, "with"), headers={"Idempotency-Key": "patient"}
    )
    assert answer.json()["stopped"] == "done"
    assert begun(tmp_path, "with") == 1


def test_results_are_kept_for_a_stated_time(serve: Serve, tmp_path: Path) -> None:
    settings = Settings(database=str(tmp_path / "runs.sqlite"), keep_hours=0.0001)
    client = serve(settings)
    answer = client.post("/v1/plans", json=REQUEST)
    where = answer.headers["content-location"].removesuffix("/plan")
    assert client.get(where).status_code == 200
    time.sleep(0.4)
    with closing(Records(settings.database_url, 1)) as records:
        assert [record.id for record in records.drop_expired()] == [where.rsplit("/")[-1]]
    problem_of(client.get(where), "unknown-run")


def test_busy_when_too_many_wait(serve: Serve, tmp_path: Path) -> None:
    client = serve(Settings(searches=1, queued=1))
    for name in ("first", "second"):
        where = client.post("/v1/plans", json=waiting(tmp_path, name), headers=ASYNC)
        assert where.status_code == 202
        until(lambda: begun(tmp_path, "first"))
    answer = client.post("/v1/plans", json=REQUEST, headers=ASYNC)
    problem_of(answer, "busy")
    assert int(answer.headers["retry-after"]) > 0
    (tmp_path / "first").touch()
    (tmp_path / "second").touch()


def test_stopping_hands_over_the_best_plan_to_those_who_wait(tmp_path: Path) -> None:
    with ThreadPoolExecutor() as threads:
        with served(Settings()) as client:
            running = threads.submit(
                httpx2.post, f"{client.base_url}/v1/plans", json=waiting(tmp_path), timeout=20
            )
            until(lambda: begun(tmp_path))
        answer = running.result(20)
    assert answer.status_code == 200
    assert answer.json()["stopped"] == "cancelled"


def test_time_ends_the_search(serve: Serve, tmp_path: Path) -> None:
    client = serve(Settings(seconds=0.3))
    for query in ("", "?seconds=0.2"):
        answer = client.post(f"/v1/plans{query}", json=waiting(tmp_path))
        assert answer.status_code == 200
    assert begun(tmp_path) == 2


def test_health_is_answered_while_it_searches(client: httpx2.Client, tmp_path: Path) -> None:
    with ThreadPoolExecutor() as threads:
        running = [
            threads.submit(client.post, "/v1/plans", json=waiting(tmp_path, name))
            for name in ("one", "two")
        ]
        until(lambda: begun(tmp_path, "one") and begun(tmp_path, "two"))
        assert client.get("/healthz").status_code == 200
        assert not any(answer.done() for answer in running), "health did not wait for them"
        assert 'cutopt_runs{state="running"} 2\n' in client.get("/metrics").text
        (tmp_path / "one").touch()
        (tmp_path / "two").touch()
        assert [answer.result(20).status_code for answer in running] == [200, 200]
