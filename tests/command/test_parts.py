"""`--request` and `--parts` of `cutopt plan`, `--parts` of `cutopt takeoff`; the README's job."""

from pathlib import Path

from cutopt.documents import Request
from tests.command.conftest import Run

SHOWER = Path(__file__).parents[2] / "docs" / "examples" / "shower.json"


def test_the_shower_is_written_down_and_passes_the_check(run: Run, tmp_path: Path) -> None:
    names = ("request.json", "plan.json", "sheet.svg", "parts.txt")
    request, plan, sheet, parts = (tmp_path / name for name in names)
    files = ("--request", request, "--out", plan, "--sheet", sheet, "--parts", parts)
    ended = run("plan", SHOWER, *files, "--elevations", tmp_path / "drawings", "--quiet")
    assert (ended.status, ended.err) == (0, "")
    assert ended.out.count("proven: no plan under these rules needs fewer") == 3
    assert "sheets of 6 x 6 chips" in ended.out
    assert "Offcuts that travel" in parts.read_text(encoding="utf-8")
    assert {"A.svg", "B.svg", "C.svg", "F.svg", "NL.svg", "WS.svg", "KT.svg"} <= {
        path.name for path in (tmp_path / "drawings").iterdir()
    }
    assert run("check", request, plan).status == 0


def test_the_request_of_a_plan_is_that_of_the_takeoff(run: Run, wall: Path, tmp_path: Path) -> None:
    one, other = tmp_path / "one.json", tmp_path / "other.json"
    assert run("plan", wall, "--request", one, "--quiet").status == 0
    assert run("takeoff", wall, "--out", other, "--quiet").status == 0
    assert one.read_bytes() == other.read_bytes()
    assert Request.read(one.read_bytes()).pieces


def test_takeoff_writes_the_parts_without_a_plan(run: Run, tmp_path: Path) -> None:
    parts = tmp_path / "parts.txt"
    assert run("takeoff", SHOWER, "--parts", parts, "--quiet").status == 0
    text = parts.read_text(encoding="utf-8")
    assert "Set in this order" in text
    assert "Offcuts" not in text


def test_a_request_has_no_parts(run: Run, ends: Path, tmp_path: Path) -> None:
    ended = run("plan", ends, "--parts", tmp_path / "parts.txt")
    assert (ended.status, ended.out, len(ended.lines)) == (2, "", 1)
    assert "a request has no parts" in ended.err


def test_two_outputs_are_two_files(run: Run, wall: Path, tmp_path: Path) -> None:
    same = tmp_path / "same.json"
    ended = run("plan", wall, "--out", same, "--request", same, "--quiet")
    assert (ended.status, ended.out) == (2, "")
