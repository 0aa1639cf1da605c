"""`cutopt mark`: a history grows mark by mark, and what cannot be is refused and not kept."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.command.conftest import Run

WANTED = {
    "format": "cutopt.request/1",
    "tiles": [{"id": "field", "width": 600, "height": 300}],
    "saw": {"kerf": 2},
    "pieces": [
        {"id": "end", "width": 290, "height": 300, "quantity": 4},
        {"id": "whole", "width": 600, "height": 300, "quantity": 2},
        {"id": "pipe", "width": 500, "height": 300, "holes": [{"x": 99, "y": 99, "diameter": 30}]},
    ],
}


@pytest.fixture
def job(run: Run, tmp_path: Path) -> tuple[Path, Path, Path]:
    request, plan = tmp_path / "request.json", tmp_path / "plan.json"
    request.write_text(json.dumps(WANTED))
    assert run("plan", request, "--out", plan).status == 0
    return request, plan, tmp_path / "progress.json"


def marks(job: tuple[Path, Path, Path]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(job[2].read_text())["marks"]
    return found


def test_marks_are_added_one_by_one(run: Run, job: tuple[Path, Path, Path]) -> None:
    cut_tiles = json.loads(job[1].read_text())["cut_tiles"]
    (ends,) = (one["number"] for one in cut_tiles if one.get("count") == 2)
    for more in (
        ("--counted", "field=9"),
        ("--laid", "whole", "--times", "2"),
        ("--done", f"{ends}", "--cut", "1"),
        ("--broken", f"{ends}/2.0", "--runs", "200,0 21cm,300", "--note", "dropped"),
        ("--broken-tile", "field", "--usable", "250x300:left,top", "--usable", "100.5x90"),
        ("--measured", "end=288.5x300"),
        ("--undo", "6"),
    ):
        ended = run("mark", *job, *more)
        assert (ended.status, ended.err) == (0, "")
    assert "Mark 7 is kept" in ended.out
    assert "cutopt replan" in ended.out
    kinds = [mark["kind"] for mark in marks(job)]
    assert kinds == ["counted", "done", "done", "broken", "broken", "measured", "undone"]
    assert marks(job)[3]["runs"] == [[200, 0], [210, 300]]
    assert (marks(job)[3]["which"], marks(job)[3]["note"]) == (2, "dropped")
    assert marks(job)[4]["usable"][0]["factory_edges"] == ["left", "top"]
    assert run("replan", *job).status == 0


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--done", "99"), "/marks/0/cut_tile: 99"),
        (("--done", "x"), "a tile such as 13"),
        (("--done", "1.2"), "a tile such as 13"),
        (("--broken", "1"), "a part such as 13.2"),
        (("--broken", "1.7"), "does not lie on the bench"),
        (("--broken", "1.0", "--runs", "200 0"), "a break is two points"),
        (("--broken", "1.0", "--usable", "200"), "a size is written 250x300"),
        (("--measured", "end"), "this is written"),
        (("--measured", "end=9 kgx3"), "a length is a number"),
        (("--measured", "pipe=400x300"), "it has an outline or holes"),
        (("--counted", "field=some"), "a whole number"),
        (("--undo", "3"), "an undoing names an earlier mark"),
        ((), "is required"),
    ],
)
def test_what_cannot_be_is_not_kept(
    run: Run, job: tuple[Path, Path, Path], more: tuple[str, ...], said: str
) -> None:
    ended = run("mark", *job, *more)
    assert ended.status == 2
    assert said in ended.err
    assert not job[2].exists()
