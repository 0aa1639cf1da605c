"""`cutopt plan`: what it prints and writes, and every way in which it refuses."""

import io
import json
import os
import re
import sys
from pathlib import Path
from typing import Any

import pytest

from cutopt import pipeline
from cutopt.command import files, main
from cutopt.documents import Plan, Request
from cutopt.errors import BrokenPlan, Fault
from tests.command.conftest import ENDS, Run
from tests.wrong_orders import ORDER_HOMES
from tests.wrong_requests import GOOD, NO_JSON, NO_OBJECT, WRONG, Wrong


def put(tmp_path: Path, request: dict[str, Any]) -> Path:
    path = tmp_path / "request.json"
    path.write_text(json.dumps(request))
    return path


def test_prints_a_summary(run: Run, ends: Path) -> None:
    ended = run("plan", ends)
    assert ended.status == 0
    assert "field" in ended.out
    assert not ended.out.startswith("{")


def test_json_prints_the_plan_and_nothing_else(run: Run, ends: Path) -> None:
    ended = run("plan", ends, "--json")
    assert (ended.status, ended.err) == (0, "")
    plan = Plan.read(ended.out)
    assert [total.tiles_needed for total in plan.totals] == [2]


def test_writes_what_it_is_asked_for(run: Run, ends: Path, tmp_path: Path) -> None:
    plan, sheet, table = (tmp_path / name for name in ("plan.json", "sheet.svg", "list.csv"))
    ended = run("plan", ends, "--out", plan, "--sheet", sheet, "--list", table)
    assert ended.status == 0
    assert ended.lines == [f"written: {plan}", f"written: {sheet}", f"written: {table}"]
    assert Plan.read(plan.read_bytes()).totals[0].tiles_needed == 2
    assert "<svg" in sheet.read_text(encoding="utf-8")
    assert "left" in table.read_text(encoding="utf-8")
    assert {path.name for path in tmp_path.iterdir()} == {
        "ends.json",
        "plan.json",
        "sheet.svg",
        "list.csv",
    }


def test_the_printed_and_the_written_plan_are_the_same(
    run: Run, ends: Path, tmp_path: Path
) -> None:
    out = tmp_path / "plan.json"
    printed = run("plan", ends, "--json", "--out", out, "--quiet")
    assert printed.out == out.read_text(encoding="utf-8")
    assert printed.err == ""


def test_reads_standard_input(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(ENDS).encode())))
    ended = run("plan", "-", "--json")
    assert ended.status == 0
    assert Plan.read(ended.out).totals[0].tiles_needed == 2


def test_reads_a_file_that_begins_with_a_byte_order_mark(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bom.json"
    path.write_text(json.dumps(ENDS), encoding="utf-8-sig")
    assert run("plan", path).status == 0


def test_seed_and_seconds_reach_the_search(
    run: Run, ends: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[int, float]] = []
    real = pipeline.plan

    def noting(request: Request, stop: Any, seed: int) -> Plan:
        asked.append((seed, stop.seconds_left()))
        return real(request, stop, seed)

    monkeypatch.setattr(pipeline, "plan", noting)
    assert run("plan", ends, "--seed", 7, "--seconds", "2.5").status == 0
    [(seed, seconds)] = asked
    assert seed == 7
    assert 1.5 < seconds <= 2.5


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_every_field_wrong_in_turn(run: Run, tmp_path: Path, wrong: Wrong) -> None:
    path = put(tmp_path, wrong.request())
    ended = run("plan", path)
    assert (ended.status, ended.out) == (2, "")
    start = f"{path}: {wrong.expected_place}: "
    assert any(
        line.startswith(start) and wrong.value in line and wrong.rule in line
        for line in ended.lines
    ), ended.err
    assert all(line.startswith(f"{path}: ") for line in ended.lines)


def test_the_good_request_is_accepted() -> None:
    Request.of(GOOD)  # or the test above would prove nothing


def test_the_table_covers_every_field() -> None:
    schema = Request.model_json_schema()
    fields = {
        (name, field)
        for name, model in {"": schema, **schema["$defs"]}.items()
        for field in model["properties"]
    }
    homes = {
        "": "",
        "Tile": "/tiles/0",
        "Mosaic": "/tiles/1/mosaic",
        "Saw": "/saw",
        "SnapCutter": "/snap_cutter",
        "Piece": "/pieces/0",
        "Hole": "/pieces/0/holes/",
        "Offcut": "/offcuts/0",
        **ORDER_HOMES,
    }
    for name, field in fields:
        pattern = re.compile(rf"{homes[name]}\d?/{field}(/.*)?")
        assert any(pattern.fullmatch(wrong.at) for wrong in WRONG), (name, field)


@pytest.mark.parametrize(("text", "rule"), NO_JSON)
def test_no_json(run: Run, tmp_path: Path, text: bytes, rule: str) -> None:
    path = tmp_path / "broken.json"
    path.write_bytes(text)
    ended = run("plan", path)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert re.search(rule, ended.err)


@pytest.mark.parametrize("text", NO_OBJECT)
def test_no_object(run: Run, tmp_path: Path, text: bytes) -> None:
    path = tmp_path / "list.json"
    path.write_bytes(text)
    ended = run("plan", path)
    assert (ended.status, len(ended.lines)) == (2, 1)


def test_a_key_cannot_write_to_the_terminal(run: Run, tmp_path: Path) -> None:
    ended = run("plan", put(tmp_path, {**ENDS, "\x1b[2J\nevil": 1}))
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "\x1b" not in ended.err


@pytest.mark.parametrize("found", ["cutopt.plan/1", "cutopt.request/2", 1, None, []])
def test_the_format_decides_what_is_read(run: Run, tmp_path: Path, found: object) -> None:
    ended = run("plan", put(tmp_path, {"format": found, "nonsense": 1}))
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert ": /format: " in ended.err
    assert "cutopt.request/1" in ended.err


def test_a_piece_that_fits_no_tile(run: Run, tmp_path: Path) -> None:
    pieces = [{"id": "wide", "width": 601, "height": 100}]
    path = put(tmp_path, {**ENDS, "pieces": pieces})
    ended = run("plan", path, "--out", tmp_path / "plan.json")
    assert (ended.status, ended.out) == (3, "")
    assert ended.err.startswith(f"{path}: /pieces/0")
    assert "wide" in ended.err
    assert not (tmp_path / "plan.json").exists()


def test_a_piece_that_just_fits_its_tile(run: Run, tmp_path: Path) -> None:
    pieces = [{"id": "wide", "width": 600, "height": 100}]
    assert run("plan", put(tmp_path, {**ENDS, "pieces": pieces})).status == 0


@pytest.mark.parametrize(
    ("option", "value"),
    [
        *[("--seconds", text) for text in ("0", "-1", "3600.5", "nan", "inf", "soon", "")],
        *[("--seed", text) for text in ("-1", "2147483648", "1.5", "x", "", "9" * 5000, "²")],
    ],
)
def test_options_out_of_bounds(run: Run, ends: Path, option: str, value: str) -> None:
    ended = run("plan", ends, f"{option}={value}")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert option in ended.err
    assert "to 2147483647" in ended.err or "at most 3600" in ended.err


@pytest.mark.parametrize(("option", "value"), [("--seconds", "3600"), ("--seed", "2147483647")])
def test_options_at_their_bounds(run: Run, ends: Path, option: str, value: str) -> None:
    assert run("plan", ends, option, value).status == 0


@pytest.mark.parametrize(
    "argv", [[], ["plan"], ["plan", "a", "b"], ["cut"], ["plan", "x", "--sed", "1"], ["--what"]]
)
def test_a_wrong_command_line(run: Run, argv: list[str]) -> None:
    ended = run(*argv)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "--help" in ended.err


@pytest.mark.parametrize(
    ("name", "reason"), [("missing.json", "No such file"), (".", "directory"), ("a\0b", "null")]
)
def test_files_that_cannot_be_read(run: Run, tmp_path: Path, name: str, reason: str) -> None:
    ended = run("plan", f"{tmp_path}/{name}")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert reason in ended.err


def test_a_file_that_is_too_large(run: Run, ends: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    size = ends.stat().st_size
    monkeypatch.setattr(files, "MOST_BYTES", size)
    assert run("plan", ends).status == 0
    monkeypatch.setattr(files, "MOST_BYTES", size - 1)
    ended = run("plan", ends)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "64 MB" in ended.err


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("", "directory"),
        ("no/such/folder.json", "No such file"),
        ("ends.json", "what is read"),
        ("ends.json/plan.json", "Not a directory"),
        ("x" * 300, "too long"),
    ],
)
@pytest.mark.parametrize("option", ["--out", "--sheet", "--list"])
def test_outputs_are_checked_before_the_search(
    run: Run, ends: Path, monkeypatch: pytest.MonkeyPatch, option: str, name: str, reason: str
) -> None:
    def never(*_: object) -> Plan:
        raise AssertionError("searched")

    monkeypatch.setattr(pipeline, "plan", never)
    before = ends.read_bytes()
    ended = run("plan", ends, option, f"{ends.parent}/{name}")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert reason in ended.err
    assert [path.name for path in ends.parent.iterdir()] == ["ends.json"]
    assert ends.read_bytes() == before


def test_two_outputs_to_one_file(run: Run, ends: Path, tmp_path: Path) -> None:
    ended = run("plan", ends, "--out", tmp_path / "x", "--sheet", f"{tmp_path}/./x")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "twice" in ended.err


def test_dash_is_no_output(run: Run, ends: Path) -> None:
    ended = run("plan", ends, "--out", "-")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "--json" in ended.err


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is write-protected for root")
def test_a_write_protected_output(run: Run, ends: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    out.write_text("kept")
    out.chmod(0o444)
    assert run("plan", ends, "--out", out).status == 2
    assert out.read_text() == "kept"


def test_a_device_is_written_to_and_not_replaced(run: Run, ends: Path) -> None:
    assert run("plan", ends, "--out", os.devnull, "--list", os.devnull).status == 0
    assert not Path(os.devnull).is_file()


def test_an_output_keeps_its_mode_and_its_link(run: Run, ends: Path, tmp_path: Path) -> None:
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    assert run("plan", ends, "--out", link).status == 0
    assert link.is_symlink()
    assert real.stat().st_mode & 0o777 == 0o640
    assert Plan.read(real.read_bytes())


def test_a_write_that_fails_leaves_the_old_file(
    run: Run, ends: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "plan.json"
    out.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    ended = run("plan", ends, "--out", out)
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "No space left" in ended.err
    assert out.read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["ends.json", "plan.json"]


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (ZeroDivisionError("secret"), "ZeroDivisionError"),
        (BrokenPlan([Fault("/cut_tiles/0", "x", "y")]), "failed our own check"),
    ],
)
def test_our_own_fault(
    run: Run, ends: Path, monkeypatch: pytest.MonkeyPatch, fault: Exception, said: str
) -> None:
    def broken(*_: object) -> Plan:
        raise fault

    monkeypatch.setattr(pipeline, "plan", broken)
    ended = run("plan", ends)
    assert (ended.status, ended.out, len(ended.lines)) == (1, "", 1)
    assert "sorry" in ended.err
    assert said in ended.err
    assert "secret" not in ended.err


def test_our_own_fault_in_full_when_asked(
    ends: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> Plan:
        raise ZeroDivisionError("in full")

    monkeypatch.setattr(pipeline, "plan", broken)
    monkeypatch.setenv("CUTOPT_DEBUG", "1")
    assert main(["plan", str(ends)]) == 1
    err = capsys.readouterr().err
    assert "Traceback" in err
    assert "in full" in err
