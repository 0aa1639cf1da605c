"""Who comes in, what other sites may not do, and what every page is served with."""

import html
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx2
import pytest
from starlette.datastructures import Headers

from api.keys import Keys
from api.page.entrance import inside, is_forged
from api.runs.tables import connect
from api.settings import Settings
from tests.page.test_form import WALL
from tests.service.conftest import served
from tests.service.test_plans import problem_of

OURS = {"Sec-Fetch-Site": "same-origin"}
FORM = {"Content-Type": "application/x-www-form-urlencoded", **OURS}
PAGE = {"Accept": "text/html"}


def begun(client: httpx2.Client, **more: Any) -> str:
    """Begin a job and return where it is."""
    answer = client.post("/new/hand", data={**WALL, **more, "do": "plan"}, headers=FORM)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def said(number: int, kind: dict[str, Any]) -> dict[str, Any]:
    return {"entries": [{"id": f"entry-{number:08}", "said": kind}]}


@pytest.mark.parametrize(
    ("headers", "forged"),
    [
        ({}, False),  # a program
        ({"origin": "http://saw:8080"}, False),
        ({"origin": "http://elsewhere"}, True),
        ({"origin": "null"}, True),
        ({"sec-fetch-site": "same-origin", "cookie": "cutopt_key=x"}, False),
        ({"sec-fetch-site": "same-site"}, True),
        ({"sec-fetch-site": "cross-site"}, True),
        ({"cookie": "cutopt_key=x"}, True),
        ({"authorization": "Bearer x", "origin": "http://elsewhere"}, False),
    ],
)
def test_what_another_site_may_have_sent_is_refused(headers: dict[str, str], forged: bool) -> None:
    assert is_forged("POST", Headers({"host": "saw:8080", **headers})) is forged
    assert not is_forged("GET", Headers({"host": "saw:8080", **headers}))


@pytest.mark.parametrize(
    ("where", "then"),
    [
        ("/jobs/1/saw?by=risk", "/jobs/1/saw?by=risk"),
        ("//elsewhere/", "/"),
        ("https://elsewhere/", "/"),
        ("/\\elsewhere", "/"),
        ("", "/"),
        ("/x\r\nSet-Cookie: a=b", "/"),
    ],
)
def test_the_entrance_leads_to_nowhere_else(where: str, then: str) -> None:
    assert inside(where) == then


def test_a_key_opens_the_page_and_its_cookie_is_out_of_reach(tmp_path: Path) -> None:
    database = str(tmp_path / "runs.sqlite")
    engine = connect(f"sqlite:///{database}")
    north, south = (Keys(engine).make(name, ("read", "plan")) for name in ("north", "south"))
    engine.dispose()
    with served(Settings(keys="on", database=database, searches=1)) as client:
        assert_only_keys_open(client, north, south)


def assert_only_keys_open(client: httpx2.Client, north: str, south: str) -> None:
    answer = client.get("/jobs/x?by=risk", headers=PAGE)
    assert answer.headers["location"] == "/enter?next=%2Fjobs%2Fx%3Fby%3Drisk"
    problem_of(client.get("/"), "no-key")
    assert client.get("/page/page.css").status_code == 200
    wrong = client.post("/enter", data={"key": "cutopt_0123456789abcdef_x"}, headers=FORM)
    assert wrong.status_code == 401
    answer = client.post("/enter", data={"key": north, "next": "/new/hand"}, headers=FORM)
    assert answer.headers["location"] == "/new/hand"
    assert "HttpOnly; SameSite=Strict" in answer.headers["set-cookie"]
    mine = {"Cookie": answer.headers["set-cookie"].partition(";")[0]}
    assert client.get("/", headers=PAGE | mine).status_code == 200
    job = begun_with(client, mine)
    problem_of(client.post("/new/hand", data=WALL, headers=mine), "not-allowed")
    other = {"Cookie": f"cutopt_key={south}"}
    assert client.get(job, headers=PAGE | other).status_code == 404
    problem_of(client.post(f"{job}/said", json=said(1, {}), headers=other | OURS), "unknown-path")
    gone = client.post("/leave", headers=mine | OURS)
    assert "Max-Age=0" in gone.headers["set-cookie"]


def begun_with(client: httpx2.Client, cookie: dict[str, str]) -> str:
    data = {**WALL, "do": "plan"}
    return str(client.post("/new/hand", data=data, headers=FORM | cookie).headers["location"])


def test_every_page_loads_nothing_from_elsewhere(site: httpx2.Client) -> None:
    job = begun(site, title="<script>alert(1)</script>")
    for path in ("/", "/new/hand", "/new/list", job, *(f"{job}/{p}" for p in ("saw", "pieces"))):
        answer = site.get(path, headers=PAGE)
        assert answer.status_code == 200, path
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
        assert "unsafe" not in policy
        assert "<script>alert" not in answer.text
        assert "http://" not in answer.text.replace("http://www.w3.org/2000/svg", "")
    assert html.escape("<script>alert(1)</script>") in site.get(job, headers=PAGE).text


def test_marks_of_two_phones_at_once_are_all_kept(site: httpx2.Client) -> None:
    job = begun(site)
    steps = site.get(f"{job}/standing").json()["standing"]["steps"]
    first = [step for step in steps if step["part"] == 0][:6]

    def say(number: int) -> httpx2.Response:
        return site.post(f"{job}/said", json=said(number, first[number]["said"]), headers=OURS)

    with ThreadPoolExecutor(6) as phones:
        answers = list(phones.map(say, range(6)))
    assert [answer.json()["refused"] for answer in answers] == [{}] * 6
    assert say(0).json()["refused"] == {}  # sent again: taken once
    history = site.get(f"{job}/standing").json()["standing"]["history"]
    assert len(history) == 6


def test_what_is_no_mark_is_refused(site: httpx2.Client) -> None:
    job = begun(site)
    for body in (b"", b"{}", b'{"entries": [{"id": "x"}]}', b"\xff"):
        problem_of(site.post(f"{job}/said", content=body, headers=OURS), "invalid-input")
    plan = said(1, {"kind": "plan", "request": None, "plan": None})
    problem_of(site.post(f"{job}/said", json=plan, headers=OURS), "invalid-input")
    problem_of(site.post(f"{job}/said", content=b"x" * 1_000_001, headers=OURS), "too-large")
    problem_of(site.get("/page/none.js"), "unknown-path")
    problem_of(site.get("/page/..%2Fsite.py"), "unknown-path")
    problem_of(site.get(f"{job}/secret.json"), "unknown-path")
    assert site.get(f"{job}/pieces/none", headers=PAGE).status_code == 404
    assert site.get("/jobs/none", headers=PAGE).status_code == 404


def test_a_job_is_put_away_and_its_documents_are_those_of_the_command(site: httpx2.Client) -> None:
    job = begun(site, title="put me away")
    assert site.get(f"{job}/document.json").json()["format"] == "cutopt.job/1"
    assert site.get(f"{job}/plan.json").json()["format"] == "cutopt.plan/1"
    assert site.get(f"{job}/progress.json").json()["format"] == "cutopt.progress/1"
    assert "put me away" in site.get("/").text
    assert site.post(f"{job}/away", headers=OURS).status_code == 303
    assert "put me away" not in site.get("/").text


def test_measures_can_be_changed_for_a_new_job(site: httpx2.Client) -> None:
    job = begun(site)
    text = site.get(f"/new/hand?from={job.rpartition('/')[2]}").text
    assert 'value="2480"' in text


def test_a_job_that_cannot_be_met_says_why(site: httpx2.Client) -> None:
    table = "piece,width,height\nlong,601,300\n"
    data = {"tile_width": "600", "tile_height": "300", "list": table, "do": "plan"}
    job = site.post("/new/list", data=data, headers=FORM).headers["location"]
    text = site.get(job, headers=PAGE).text
    assert "cannot be met" in text
    assert "601" in text
