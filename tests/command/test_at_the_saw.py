"""`cutopt saw` and `cutopt replan` as somebody calls them."""

import json
from pathlib import Path

import pytest

from cutopt.documents import Plan, Request
from cutopt.documents.progress import Progress
from cutopt.documents.sequence import Sequence
from tests.command.conftest import Run


@pytest.fixture
def made(run: Run, ends: Path, tmp_path: Path) -> Path:
    """Return the path of the plan of `ENDS`."""
    path = tmp_path / "plan.json"
    assert run("plan", ends, "--out", path).status == 0
    return path


def marks(tmp_path: Path, *given: object) -> Path:
    path = tmp_path / "progress.json"
    path.write_text(json.dumps({"format": "cutopt.progress/1", "marks": given}), encoding="utf-8")
    return path


def test_the_steps_can_be_read(run: Run, ends: Path, made: Path) -> None:
    ended = run("saw", ends, "--plan", made, "--by", "fence")
    assert ended.status == 0
    assert "SET THE FENCE TO" in ended.out
    assert "proven: no order of these cuts has fewer" in ended.out
    assert all(len(line) <= 80 for line in ended.out.splitlines())


@pytest.mark.parametrize("by", ["surface", "fence", "risk"])
def test_the_order_is_a_document(run: Run, ends: Path, tmp_path: Path, by: str) -> None:
    out = tmp_path / "order.json"
    ended = run("saw", ends, "--by", by, "--json", "--out", out, "--quiet")
    assert Sequence.read(ended.out).by == by
    assert out.read_text(encoding="utf-8") == ended.out


def test_a_plan_of_something_else_is_refused(run: Run, ends: Path, made: Path) -> None:
    document = json.loads(made.read_text(encoding="utf-8"))
    document["cut_tiles"][0]["placements"][0]["piece"] = "other"
    made.write_text(json.dumps(document), encoding="utf-8")
    ended = run("saw", ends, "--plan", made)
    assert ended.status == 2
    assert "the request names no such piece" in ended.err
    assert run("saw", "-", "--plan", "-").status == 2


def test_a_break_gives_a_new_plan(run: Run, ends: Path, made: Path, tmp_path: Path) -> None:
    number = Plan.read(made.read_bytes()).cut_tiles[0].number
    broken = {"kind": "broken", "cut_tile": number, "part": 0}
    counted = {"kind": "counted", "tile": "field", "tiles": 2}
    history = marks(tmp_path, counted, broken)
    plan, request, after = (tmp_path / name for name in ("p.json", "r.json", "a.json"))
    outs = ["--out", plan, "--request-out", request, "--progress-out", after]
    ended = run("replan", ends, made, history, *outs)
    assert ended.status == 0, ended.err
    assert "do NOT suffice: 1 short" in ended.out
    assert run("check", request, plan).status == 0
    assert len(Progress.read(after.read_bytes()).marks) == 3
    assert Request.read(request.read_bytes()).pieces
    assert Progress.read(run("replan", ends, made, after, "--json").out).marks[:3]


def test_a_mark_that_cannot_be_is_refused(run: Run, ends: Path, made: Path, tmp_path: Path) -> None:
    history = marks(tmp_path, {"kind": "done", "cut_tile": 77})
    ended = run("replan", ends, made, history)
    assert ended.status == 2
    assert "/marks/0/cut_tile: 77: the plan in force has no such tile left to cut" in ended.err
    assert run("replan", "-", "-", history).status == 2


def test_nothing_is_left(run: Run, ends: Path, made: Path, tmp_path: Path) -> None:
    plan = Plan.read(made.read_bytes())
    done: list[object] = [
        {"kind": "done", "cut_tile": one.number, "which": which}
        for one in plan.cut_tiles
        for which in range(1, one.count + 1)
    ]
    out = tmp_path / "p.json"
    done.append({"kind": "done", "piece": "middle"})
    ended = run("replan", ends, made, marks(tmp_path, *done), "--out", out)
    assert ended.status == 0, ended.err
    assert "Nothing else is left to be cut." in ended.out
    assert not out.exists()


def test_the_steps_that_are_left(run: Run, ends: Path, made: Path, tmp_path: Path) -> None:
    number = Plan.read(made.read_bytes()).cut_tiles[0].number
    history = marks(tmp_path, {"kind": "done", "cut_tile": number})
    ended = run("saw", ends, "--plan", made, "--progress", history)
    assert (ended.status, "0 cuts" in ended.out) == (0, True)
    assert run("saw", ends, "--progress", history).status == 2
