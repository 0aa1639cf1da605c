"""`cutopt set-out`: proposals on the terminal, as a document, as drawings, and in the job."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from cutopt.documents import Job
from cutopt.documents.set_out import SetOut
from tests.command.conftest import Run
from tests.layout.jobs import job_data, surface


@pytest.fixture
def strip(tmp_path: Path) -> Path:
    """Return a job of one low wall that moves sideways."""
    wall = surface(width=1500, height=306, edges={"left": "open"})
    rule = {"move": "sideways"}
    file = tmp_path / "strip.json"
    file.write_text(json.dumps(job_data(wall, setting_out=[rule])), encoding="utf-8")
    return file


def test_proposals_are_printed_and_written(run: Run, strip: Path, tmp_path: Path) -> None:
    out, job, folder = tmp_path / "set-out.json", tmp_path / "job.json", tmp_path / "drawn"
    sheet = tmp_path / "choice.svg"
    written = ("--out", out, "--job", job, "--elevations", folder, "--sheet", sheet)
    ended = run("set-out", strip, *written, "--quiet")
    assert (ended.status, ended.err) == (0, "")
    assert "Proven: no start within the rules takes fewer than" in ended.out
    assert max(map(len, ended.out.splitlines())) <= 100
    document = SetOut.read(out.read_bytes())
    (wall,) = Job.read(job.read_bytes()).rooms[0].surfaces
    assert wall.start is not None
    assert wall.start.x == document.proposals[0].starts[0].x
    count = len(document.proposals)
    root = ET.fromstring(sheet.read_text(encoding="utf-8"))
    words = " ".join(root.itertext())
    assert all(one.name in words for one in document.proposals)
    assert {file.name for file in folder.iterdir()} == {f"{n + 1}-A.svg" for n in range(count)}


def test_the_job_with_its_start_plans_to_the_tiles_that_were_said(
    run: Run, strip: Path, tmp_path: Path
) -> None:
    job = tmp_path / "job.json"
    document = SetOut.read(run("set-out", strip, "--job", job, "--json", "--quiet").out)
    plan = json.loads(run("plan", job, "--json", "--quiet").out)
    assert plan["totals"][0]["tiles_needed"] == document.tiles_needed


def test_a_proposal_that_there_is_not(run: Run, strip: Path) -> None:
    ended = run("set-out", strip, "--choose", "9", "--quiet")
    assert ended.status == 2
    assert "there are" in ended.err


def test_a_job_in_which_nothing_moves(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "fixed.json"
    file.write_text(json.dumps(job_data(setting_out=[{"move": "nothing"}])), encoding="utf-8")
    ended = run("set-out", file)
    assert (ended.status, ended.out) == (2, "")
    assert "something may move" in ended.err
