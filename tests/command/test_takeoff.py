"""`cutopt takeoff`, and jobs where a request is wanted."""

import json
from pathlib import Path

import pytest

from cutopt import formats, pipeline
from cutopt.documents import Plan, Request
from cutopt.errors import CannotBeMet, Fault
from tests.command.conftest import WALL, Run


def test_takeoff_prints_the_request_and_nothing_else(run: Run, wall: Path) -> None:
    ended = run("takeoff", wall, "--quiet")
    assert (ended.status, ended.err) == (0, "")
    assert sum(piece.quantity for piece in Request.read(ended.out).pieces) == 9


def test_takeoff_writes_the_request_and_prints_a_summary(
    run: Run, wall: Path, tmp_path: Path
) -> None:
    out = tmp_path / "request.json"
    ended = run("takeoff", wall, "--out", out)
    assert ended.status == 0
    assert ended.out == "A: 6 full tiles, 3 cut pieces (/rooms/0/surfaces/0)\n"
    assert out.read_text(encoding="utf-8") == run("takeoff", wall).out


def test_the_plan_of_a_job_is_the_plan_of_its_request(run: Run, wall: Path, tmp_path: Path) -> None:
    request, plan = tmp_path / "request.json", tmp_path / "plan.json"
    assert run("takeoff", wall, "--out", request).status == 0
    assert run("plan", wall, "--out", plan).status == 0
    assert Plan.read(plan.read_bytes()).totals[0].pieces == 9
    assert run("plan", request, "--json").out == plan.read_text(encoding="utf-8")
    assert run("check", request, plan).status == 0
    assert run("check", wall, plan).status == 0


def test_a_wrong_job(run: Run, wall: Path) -> None:
    surface = {**WALL["rooms"][0]["surfaces"][0], "width": 0}
    wall.write_text(json.dumps({**WALL, "rooms": [{"name": "room", "surfaces": [surface]}]}))
    for command in ("takeoff", "plan"):
        ended = run(command, wall)
        assert (ended.status, ended.out) == (2, "")
        assert ended.err.startswith(f"{wall}: /rooms/0/surfaces/0/width: 0: ")


def test_takeoff_of_what_is_no_job(run: Run, ends: Path) -> None:
    ended = run("takeoff", ends)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "cutopt.job/1" in ended.err


def test_takeoff_checks_its_output_first(
    run: Run, wall: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ended = run("takeoff", wall, "--out", wall)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert json.loads(wall.read_text()) == WALL


def test_a_take_off_that_fails_our_own_check(
    run: Run, wall: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(formats, "check_take_off", lambda *_: (Fault("/rooms", "x", "y"),))
    ended = run("takeoff", wall)
    assert (ended.status, ended.out, len(ended.lines)) == (1, "", 1)
    assert "sorry" in ended.err


def test_places_in_the_request_of_a_job_are_named_so(
    run: Run, wall: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def impossible(*_: object) -> Plan:
        raise CannotBeMet([Fault("/pieces/2", "A1.2", "fits no tile")])

    monkeypatch.setattr(pipeline, "plan", impossible)
    ended = run("plan", wall)
    assert ended.status == 3
    assert ended.lines[-1] == f"{wall}, taken off: /pieces/2: A1.2: fits no tile"
