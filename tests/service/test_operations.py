"""Health, readiness, counters, schemas and the OpenAPI document."""

import time
from typing import Any

import httpx2
import jsonschema
import pytest

from api.examples import REQUEST
from api.settings import Settings
from cutopt.formats import DOCUMENTS, schema_of
from tests.service import planners
from tests.service.conftest import Serve
from tests.service.test_plans import problem_of


def test_alive_and_ready(client: httpx2.Client) -> None:
    assert (client.get("/healthz").text, client.get("/readyz").text) == ("alive\n", "ready\n")
    for path in ("/healthz", "/readyz", "/openapi.json"):  # as some balancers ask
        answer = client.head(path)
        assert (answer.status_code, answer.content) == (200, b"")


def wait_for(client: httpx2.Client, detail: str) -> None:
    """Wait until `/readyz` says so, not ready."""
    until = time.monotonic() + 20
    while problem_of(client.get("/readyz"), "not-ready")["detail"] != detail:
        assert time.monotonic() < until
        time.sleep(0.02)


def test_not_ready_until_the_trial_has_run(serve: Serve) -> None:
    client = serve(Settings(), ready=False)
    answer = client.get("/readyz")
    assert problem_of(answer, "not-ready")["detail"] == "the trial is still running"
    assert int(answer.headers["retry-after"]) > 0
    until = time.monotonic() + 20
    while client.get("/readyz").status_code != 200:
        assert time.monotonic() < until
        time.sleep(0.02)


def test_not_ready_when_the_trial_fails(serve: Serve) -> None:
    client = serve(Settings(), planners.broken, ready=False)
    wait_for(client, "the trial failed")
    assert client.get("/healthz").status_code == 200


def test_not_ready_when_the_trial_comes_out_wrong(serve: Serve) -> None:
    wait_for(serve(Settings(), planners.wrong, ready=False), "the trial came out wrong")


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_schemas(client: httpx2.Client, name: str) -> None:
    answer = client.get(f"/v1/schemas/{name}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/schema+json"
    assert answer.json() == schema_of(name)


def test_a_schema_that_there_is_not(client: httpx2.Client) -> None:
    problem = problem_of(client.get("/v1/schemas/wall"), "unknown-path")
    assert "request" in problem["detail"]


def test_counters(serve: Serve) -> None:
    client = serve(Settings())
    assert client.post("/v1/plans", json=REQUEST).status_code == 200
    assert client.post("/v1/plans", json={}).status_code == 422
    assert client.get("/nowhere").status_code == 404
    answer = client.get("/metrics")
    assert answer.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    values = dict(
        line.rsplit(" ", 1) for line in answer.text.splitlines() if not line.startswith("#")
    )
    assert values['cutopt_plans_total{proven="true"}'] == "1"
    assert values['cutopt_plans_total{proven="false"}'] == "0"
    assert values['cutopt_requests_total{status="422"}'] == "1"
    assert values['cutopt_requests_total{status="404"}'] == "1"
    assert values["cutopt_run_seconds_count"] == "1"
    assert float(values["cutopt_run_seconds_sum"]) > 0
    assert values['cutopt_run_seconds_bucket{le="+Inf"}'] == "1"
    assert values['cutopt_plan_gap_bucket{le="0"}'] == "1"
    assert values['cutopt_ended_total{state="done"}'] == "1"
    assert values['cutopt_runs{state="done"}'] == "1"
    assert values['cutopt_runs{state="queued"}'] == "0"


@pytest.fixture
def described(client: httpx2.Client) -> dict[str, Any]:
    document: dict[str, Any] = client.get("/openapi.json").json()
    return document


def test_openapi_names_every_path(described: dict[str, Any]) -> None:
    assert described["openapi"].startswith("3.1")
    assert set(described["paths"]) == {
        "/v1/plans",
        "/v1/plans/{run}",
        "/v1/plans/{run}/events",
        "/v1/plans/{run}/plan",
        "/v1/set-outs",
        "/v1/schemas/{name}",
        "/healthz",
        "/readyz",
        "/metrics",
    }


def test_every_reference_in_openapi_leads_somewhere(described: dict[str, Any]) -> None:
    def references(node: object) -> set[str]:
        if isinstance(node, dict):
            own = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
            return own.union(*map(references, node.values()))
        return set().union(*map(references, node)) if isinstance(node, list) else set()

    found = references(described)
    assert "#/components/schemas/Request" in found
    for reference in found:
        node: Any = described
        for part in reference.removeprefix("#/").split("/"):
            node = node[part]


def test_schemas_in_openapi_are_schemas(described: dict[str, Any]) -> None:
    for schema in described["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)


def test_examples_in_openapi_meet_their_schemas(described: dict[str, Any]) -> None:
    operation = described["paths"]["/v1/plans"]["post"]
    bodies = [operation["requestBody"], *operation["responses"].values()]
    checked = 0
    for body in bodies:
        for content in body["content"].values():
            examples = [example["value"] for example in content.get("examples", {}).values()]
            examples += [content["example"]] if "example" in content else []
            for example in examples:
                schema = {**content["schema"], "components": described["components"]}
                jsonschema.validate(example, schema)
                checked += 1
    assert checked == 4 + 8
