"""The command as a process of its own: pipes, signals, and nothing left behind."""

import json
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cutopt.documents import Plan
from tests.command.conftest import ENDS
from tests.processes import line_of_error, started

COMMAND = [sys.executable, "-m", "cutopt"]

#: The command with a search that says when it has begun and goes on until it is cancelled
#: (or, when deaf, for ever).
SLOW = """
import sys, time
from cutopt import pipeline
from cutopt.command import main
from cutopt.stop import Progress
real, deaf = pipeline.plan, sys.argv.pop(1) == "deaf"
def slow(request, stop, seed):
    print("searching", file=sys.stderr, flush=True)
    while deaf or not stop.reason(Progress("field", "choosing patterns", 48, 47)):
        time.sleep(0.01)
    time.sleep(0.5)  # what a solver needs to hear of it
    return real(request, stop, seed)
pipeline.plan = slow
sys.exit(main())
"""


@contextmanager
def slow(hearing: str, *argv: object) -> Iterator["subprocess.Popen[str]"]:
    with started([sys.executable, "-c", SLOW, hearing, *argv]) as process:
        assert line_of_error(process) == "searching\n"
        yield process


def test_a_pipe_through_the_command() -> None:
    with started([*COMMAND, "plan", "-", "--json"], stdin=subprocess.PIPE) as process:
        out, err = process.communicate(json.dumps(ENDS), timeout=60)
    assert (process.returncode, err) == (0, "")
    assert Plan.read(out).totals[0].tiles_needed == 2


def test_a_reader_that_goes_away_is_no_fault(ends: Path) -> None:
    with started([*COMMAND, "plan", ends, "--json"]) as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.wait(60) == 141
        assert line_of_error(process) == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_behind_standard_output(ends: Path) -> None:
    program = "import sys; sys.stdout = open('/dev/full', 'w'); from cutopt.command import main; "
    program += "sys.exit(main())"
    with started([sys.executable, "-c", program, "plan", ends, "--json"]) as process:
        _, err = process.communicate(timeout=60)
    assert (process.returncode, len(err.splitlines())) == (2, 1)
    assert "No space left" in err


def test_the_first_interrupt_keeps_the_best_plan(ends: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    with slow("hearing", "plan", ends, "--out", out) as process:
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert "stopping with the best plan so far" in err
    assert Plan.read(out.read_bytes()).totals[0].tiles_needed == 2


def test_the_second_interrupt_ends_at_once(ends: Path, tmp_path: Path) -> None:
    with slow("deaf", "plan", ends, "--out", tmp_path / "plan.json") as process:
        process.send_signal(signal.SIGINT)
        assert "Ctrl-C again" in line_of_error(process)
        since = time.monotonic()
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert time.monotonic() - since < 5
    assert "Traceback" not in out + err
    assert [path.name for path in tmp_path.iterdir()] == ["ends.json"]


def test_progress_in_plain_lines_where_there_is_no_terminal(ends: Path) -> None:
    with slow("hearing", "plan", ends, "--seconds", "2") as process:
        _, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert re.search(r"^field: choosing patterns: 48 tiles, at least 47, \d+ s$", err, re.MULTILINE)
    assert "\r" not in err


def test_no_progress_when_quiet(ends: Path) -> None:
    with slow("hearing", "plan", ends, "--seconds", "2", "--quiet") as process:
        _, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (0, "")
