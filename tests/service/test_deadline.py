"""A deadline ends a run whatever happens to it: searching, waiting, or taken up too late."""

from pathlib import Path

import httpx2
import pytest

from api.examples import REQUEST
from api.settings import Settings
from tests.service.conftest import Serve
from tests.service.test_plans import problem_of
from tests.service.test_runs import ASYNC, begun, ended, run_of, until, waiting


def test_a_search_ends_at_the_deadline_with_its_best_plan(
    client: httpx2.Client, tmp_path: Path
) -> None:
    answer = client.post("/v1/plans?deadline=1", json=waiting(tmp_path))
    assert answer.status_code == 200
    assert answer.json()["stopped"] == "time"
    run = run_of(client.get(answer.headers["content-location"].removesuffix("/plan")))
    assert run.deadline
    assert run.created < run.deadline


def test_a_run_that_nobody_takes_up_ends_at_the_deadline(
    serve: Serve, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.runs.keeper.BEAT_SECONDS", 0.1)
    client = serve(Settings(searches=1))
    first = client.post("/v1/plans", json=waiting(tmp_path, "first"), headers=ASYNC)
    until(lambda: begun(tmp_path, "first"))
    late = client.post("/v1/plans?deadline=1", json=waiting(tmp_path, "late"), headers=ASYNC)
    run = ended(client, late.headers["location"])
    assert run.state == "failed"
    assert run.problem
    assert run.problem.type == "urn:cutopt:problem:too-late"
    (tmp_path / "first").touch()
    assert ended(client, first.headers["location"]).state == "done"
    assert begun(tmp_path, "late") == 0


def test_a_deadline_has_bounds(serve: Serve) -> None:
    client = serve(Settings(deadline_seconds=100))
    for deadline in ("0.5", "101", "soon"):
        answer = client.post(f"/v1/plans?deadline={deadline}", json=REQUEST)
        [fault] = problem_of(answer, "invalid-input")["faults"]
        assert fault["place"] == "?deadline"
    assert client.post("/v1/plans?deadline=100", json=REQUEST).status_code == 200
