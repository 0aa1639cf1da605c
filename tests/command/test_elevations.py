"""`--elevations DIR` of `cutopt plan` and `cutopt takeoff`."""

from pathlib import Path

import pytest

from cutopt.command import elevations
from cutopt.reports.elevation import draw_elevation
from tests.command.conftest import Run


def test_takeoff_draws_every_surface(run: Run, wall: Path, tmp_path: Path) -> None:
    folder = tmp_path / "drawings"
    ended = run("takeoff", wall, "--out", tmp_path / "request.json", "--elevations", folder)
    assert (ended.status, ended.lines[-1]) == (0, f"written: {folder / 'A.svg'}")
    assert [path.name for path in folder.iterdir()] == ["A.svg"]
    assert "<svg" in (folder / "A.svg").read_text(encoding="utf-8")


def test_plan_draws_them_with_the_cut_tiles(run: Run, wall: Path, tmp_path: Path) -> None:
    assert run("plan", wall, "--elevations", tmp_path, "--quiet").err == ""
    planned = (tmp_path / "A.svg").read_text(encoding="utf-8")
    assert "from tile 1<" in planned
    assert run("takeoff", wall, "--elevations", tmp_path, "--quiet").status == 0
    assert "from tile" not in (tmp_path / "A.svg").read_text(encoding="utf-8")


def test_a_request_has_nothing_to_draw(run: Run, ends: Path, tmp_path: Path) -> None:
    ended = run("plan", ends, "--elevations", tmp_path / "drawings")
    assert (ended.status, ended.out, len(ended.lines)) == (2, "", 1)
    assert "a request has no surfaces" in ended.err
    assert not (tmp_path / "drawings").exists()


@pytest.mark.parametrize("command", ["plan", "takeoff"])
def test_a_folder_that_cannot_be_is_refused_before_the_search(
    run: Run, wall: Path, tmp_path: Path, command: str
) -> None:
    for folder in (wall, tmp_path / "no" / "such"):
        ended = run(command, wall, "--elevations", folder, "--quiet")
        assert (ended.status, ended.out, len(ended.lines)) == (2, "", 1)
        assert ended.err.startswith(f"{folder}: cannot be written: ")


def test_a_drawing_does_not_replace_the_job(run: Run, wall: Path) -> None:
    job = wall.rename(wall.with_name("A.svg"))
    before = job.read_bytes()
    ended = run("takeoff", job, "--elevations", job.parent, "--quiet")
    assert (ended.status, ended.out) == (2, "")
    assert job.read_bytes() == before


def test_a_drawing_that_fails_leaves_the_old_one(
    run: Run, wall: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "A.svg"
    old.write_text("old")

    def broken(*_: object) -> str:
        raise ZeroDivisionError

    monkeypatch.setattr(elevations, "draw_elevation", broken)
    assert run("takeoff", wall, "--elevations", tmp_path).status == 1
    assert old.read_text() == "old"
    monkeypatch.setattr(elevations, "draw_elevation", draw_elevation)
    assert run("takeoff", wall, "--elevations", tmp_path).status == 0
    assert old.read_text() != "old"
