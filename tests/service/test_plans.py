"""`POST /v1/plans` through real HTTP: plans in every form, and every way of refusing."""

import csv
import json
import re
from typing import Any
from xml.etree import ElementTree

import httpx2
import jsonschema
import pytest

from api.examples import JOB, PLAN, REQUEST
from api.problems import KINDS
from api.settings import Settings
from cutopt.check import check_plan
from cutopt.documents import Plan, Request
from cutopt.formats import request_of, schema_of
from tests.service.conftest import Serve
from tests.wrong_requests import NO_JSON, NO_OBJECT, WRONG, Wrong

JSON = {"Content-Type": "application/json"}


def problem_of(answer: httpx2.Response, kind: str) -> dict[str, Any]:
    """Return the problem document of an answer, once it is sure that it is one."""
    problem: dict[str, Any] = answer.json()
    status, title = KINDS[kind]
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.status_code == problem["status"] == status
    assert problem["type"] == f"urn:cutopt:problem:{kind}"
    assert problem["title"] == title
    assert problem["detail"]
    assert "Traceback" not in answer.text
    return problem


def test_a_plan(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans", json=REQUEST)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    jsonschema.validate(answer.json(), schema_of("plan"))
    plan = Plan.read(answer.content)
    assert [total.tiles_needed for total in plan.totals] == [3]
    assert check_plan(Request.of(REQUEST), plan) == ()


def test_a_job_is_taken_off_and_planned(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans", json=JOB)
    assert answer.status_code == 200
    plan = Plan.read(answer.content)
    assert [(total.full_tiles, total.cut_pieces) for total in plan.totals] == [(6, 3)]
    assert check_plan(request_of(JOB), plan) == ()


def test_a_wrong_job(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans", json={**JOB, "rooms": []})
    assert problem_of(answer, "invalid-input")["faults"][0]["place"] == "/rooms"


def test_the_published_example_is_a_right_plan() -> None:
    plan = Plan.of(PLAN)
    assert check_plan(Request.of(REQUEST), plan) == ()
    assert plan.totals[0].proven_minimal


def test_the_same_request_and_seed_give_the_same_plan(client: httpx2.Client) -> None:
    first, second = (client.post("/v1/plans?seed=3&seconds=20", json=REQUEST) for _ in "12")
    assert first.status_code == 200
    assert first.content == second.content


def test_lengths_are_read_exactly(client: httpx2.Client) -> None:
    """Four pieces and three kerfs fill the tile; one 64th of an inch more, and they do not."""
    request: dict[str, Any] = {
        "units": "in",
        "tiles": [{"id": "field", "width": "15 15/16 in", "height": 12}],
        "saw": {"kerf": "1/16 in"},
        "pieces": [{"id": "strip", "width": 3.9375, "height": 12, "quantity": 4}],
    }
    assert client.post("/v1/plans", json=request).json()["totals"][0]["tiles_needed"] == 1
    request["pieces"][0]["width"] = 3.953125
    assert client.post("/v1/plans", json=request).json()["totals"][0]["tiles_needed"] == 2


@pytest.mark.parametrize(
    ("accept", "form"),
    [
        ("*/*", "application/json"),
        ("application/*", "application/json"),
        ("image/svg+xml", "image/svg+xml"),
        ("text/csv", "text/csv"),
        ("text/plain", "text/plain"),
        ("text/plain;q=0.5, text/csv;q=0.6", "text/csv"),
        ("text/html, image/svg+xml;q=0.9, */*;q=0.1", "image/svg+xml"),
        ("application/json;q=0, */*", "image/svg+xml"),
    ],
)
def test_forms_of_a_plan(client: httpx2.Client, accept: str, form: str) -> None:
    answer = client.post("/v1/plans", json=REQUEST, headers={"Accept": accept})
    assert answer.status_code == 200
    assert answer.headers["content-type"].split(";")[0] == form
    assert answer.headers["vary"] == "Accept"
    if form == "application/json":
        Plan.read(answer.content)
    elif form == "image/svg+xml":
        assert ElementTree.fromstring(answer.content).tag == "{http://www.w3.org/2000/svg}svg"
    elif form == "text/csv":
        assert "back-left" in {cell for row in csv.reader(answer.text.splitlines()) for cell in row}
    else:
        assert "field" in answer.text


@pytest.mark.parametrize("accept", ["text/html", "image/*;q=0", "*/*;q=0", "application/json;q=x"])
def test_a_form_that_there_is_not(client: httpx2.Client, accept: str) -> None:
    answer = client.post("/v1/plans", json=REQUEST, headers={"Accept": accept})
    assert "image/svg+xml" in problem_of(answer, "not-acceptable")["detail"]


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_every_field_wrong_in_turn(
    client: httpx2.Client, wrong: Wrong, problem_schema: jsonschema.Draft202012Validator
) -> None:
    answer = client.post("/v1/plans", content=wrong.text(), headers=JSON)
    problem = problem_of(answer, "invalid-input")
    assert any(
        fault["place"] == wrong.expected_place
        and wrong.value in fault["value"]
        and wrong.rule in fault["rule"]
        for fault in problem["faults"]
    ), problem
    problem_schema.validate(problem)


@pytest.fixture(scope="session")
def problem_schema(client: httpx2.Client) -> jsonschema.Draft202012Validator:
    components = client.get("/openapi.json").json()["components"]
    schema = {"$ref": "#/components/schemas/Problem", "components": components}
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize(("text", "rule"), NO_JSON)
def test_no_json(client: httpx2.Client, text: bytes, rule: str) -> None:
    answer = client.post("/v1/plans", content=text, headers=JSON)
    problem = problem_of(answer, "no-json")
    assert re.search(rule, problem["detail"])


@pytest.mark.parametrize("text", NO_OBJECT)
def test_no_object(client: httpx2.Client, text: bytes) -> None:
    answer = client.post("/v1/plans", content=text, headers=JSON)
    assert problem_of(answer, "invalid-input")["faults"][0]["place"] == ""


def test_a_key_that_is_no_unicode(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans", content=rb'{"\ud800": 1}', headers=JSON)
    assert problem_of(answer, "invalid-input")["faults"]


def test_a_piece_that_fits_no_tile(client: httpx2.Client) -> None:
    wide = {"id": "wide", "width": 601, "height": 100}
    request = {"tiles": REQUEST["tiles"], "pieces": [wide]}
    problem = problem_of(client.post("/v1/plans", json=request), "cannot-be-met")
    assert problem["faults"][0]["place"].startswith("/pieces/0")
    wide["width"] = 600
    assert client.post("/v1/plans", json=request).status_code == 200


@pytest.mark.parametrize(
    ("query", "place"),
    [
        *[(f"seconds={text}", "?seconds") for text in ("0", "-1", "3600.5", "nan", "inf", "x")],
        *[(f"seed={text}", "?seed") for text in ("-1", "2147483648", "1.5", "x", "")],
        ("second=5", "?second"),
    ],
)
def test_a_wrong_query(client: httpx2.Client, query: str, place: str) -> None:
    problem = problem_of(client.post(f"/v1/plans?{query}", json=REQUEST), "invalid-input")
    [fault] = problem["faults"]
    assert fault["place"] == place
    assert fault["value"] != ""
    assert fault["rule"]


@pytest.mark.parametrize("query", ["seconds=3600", "seed=2147483647", "seconds=0.5&seed=0"])
def test_a_query_at_its_bounds(client: httpx2.Client, query: str) -> None:
    assert client.post(f"/v1/plans?{query}", json=REQUEST).status_code == 200


def test_a_service_may_allow_less_time(serve: Serve) -> None:
    client = serve(Settings(most_seconds=5))
    assert client.post("/v1/plans?seconds=5", json=REQUEST).status_code == 200
    answer = client.post("/v1/plans?seconds=5.5", json=REQUEST)
    assert "5 seconds" in problem_of(answer, "invalid-input")["faults"][0]["rule"]


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {"Content-Type": "application/json; charset=latin-1"},
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
    ],
)
def test_a_body_that_is_not_sent_as_json(client: httpx2.Client, headers: dict[str, str]) -> None:
    answer = client.post("/v1/plans", content=json.dumps(REQUEST), headers=headers)
    assert "application/json" in problem_of(answer, "wrong-type")["detail"]


@pytest.mark.parametrize(
    "sent", ["application/json; charset=UTF-8", "APPLICATION/JSON", "application/vnd.x+json"]
)
def test_ways_of_saying_json(client: httpx2.Client, sent: str) -> None:
    answer = client.post("/v1/plans", content=json.dumps(REQUEST), headers={"Content-Type": sent})
    assert answer.status_code == 200


@pytest.mark.parametrize("chunked", [False, True])
def test_a_body_that_is_too_large(serve: Serve, chunked: bool) -> None:
    text = json.dumps(REQUEST).encode()
    client = serve(Settings(most_body_bytes=len(text)))

    def send(body: bytes) -> httpx2.Response:
        content = iter([body[:100], body[100:]]) if chunked else body
        return client.post("/v1/plans", content=content, headers=JSON)

    assert send(text).status_code == 200
    assert str(len(text)) in problem_of(send(text + b" "), "too-large")["detail"]


def test_unknown_paths_and_wrong_methods(client: httpx2.Client) -> None:
    for path in ("/v1", "/v1/plans/", "/v1/schemas/wall", "/docs"):
        problem_of(client.get(path), "unknown-path")
    problem_of(client.get("/v1/plans/none"), "unknown-run")
    answer = client.delete("/v1/plans")
    problem_of(answer, "wrong-method")
    assert answer.headers["allow"] == "POST"


def test_our_own_fault(client: httpx2.Client) -> None:
    answer = client.post("/v1/plans", json={**REQUEST, "title": "break it"})
    assert "faults" not in problem_of(answer, "own-fault")
    assert "secret" not in answer.text
    assert "secret" not in client.get(answer.headers["location"]).text
    assert client.post("/v1/plans", json=REQUEST).status_code == 200


def test_headers_on_every_answer(client: httpx2.Client) -> None:
    answers = [
        client.get("/healthz"),
        client.get("/nowhere"),
        client.post("/v1/plans", json={}),
        client.post("/v1/plans", json=REQUEST),
    ]
    for answer in answers:
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        assert answer.headers["cache-control"] == "no-store"
        assert "server" not in answer.headers
