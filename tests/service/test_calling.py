"""The examples of docs/calling.md, run as they stand there, and the client."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import httpx2
import pytest

from api.examples import JOB, REQUEST
from cutopt.client import Client, Refused
from cutopt.documents import Job, Request
from tests.processes import ROOT
from tests.service.test_runs import begun, until, waiting

EXAMPLES = dict(
    re.findall(
        r"<!-- example: \w+ -->\n```(\w+)\n(.*?)```",
        (ROOT / "docs" / "calling.md").read_text(encoding="utf-8"),
        re.DOTALL,
    )
)
COMMANDS = {
    "python": [sys.executable, "-W", "error", "-c"],
    "sh": ["bash", "-euo", "pipefail", "-c"],
    "js": ["node", "--input-type=module", "-e"],
}


@pytest.mark.parametrize("language", COMMANDS)
def test_examples(client: httpx2.Client, tmp_path: Path, language: str) -> None:
    command = COMMANDS[language]
    if shutil.which(command[0]) is None:
        pytest.skip(f"there is no {command[0]} here")
    ended = subprocess.run(
        [*command, EXAMPLES[language]],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "CUTOPT_ADDRESS": str(client.base_url)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    said = {"python": "8 tiles\n", "sh": '"tiles_needed": 8', "js": "8 tiles\n"}[language]
    assert said in ended.stdout
    if language == "python":
        assert "409 /pieces/0" in ended.stdout
        assert "done" in ended.stdout


@pytest.fixture
def caller(client: httpx2.Client) -> Client:
    return Client(str(client.base_url))


def test_the_client_waits_and_follows(caller: Client, tmp_path: Path) -> None:
    assert caller.plan(Request.of(REQUEST)).totals[0].tiles_needed == 3
    assert caller.plan(Job.of(JOB)).totals[0].tiles_needed > 6
    run = caller.start(Request.of(waiting(tmp_path)))
    until(lambda: begun(tmp_path))
    assert caller.run(run).state == "running"
    caller.cancel(run)
    assert [news.state for news in caller.follow(run)][-1] == "cancelled"
    assert caller.plan_of(run).stopped == "cancelled"
    assert caller.start(Request.of(REQUEST))  # from the cache


def test_the_client_says_why_not(caller: Client) -> None:
    with pytest.raises(Refused, match="There is no such run"):
        caller.run("none")
    with pytest.raises(Refused) as refused:
        caller.plan(Request.of({**REQUEST, "title": "break it"}))
    assert refused.value.problem.status == 500
    with pytest.raises(ValueError, match="http://"):
        Client("file:///etc")
