"""The line that says how far a search is."""

import io
import time

import pytest

from cutopt.command.watch import ProgressLine
from cutopt.stop import Progress

STEP = Progress("field", "choosing patterns", 48, 47)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def line_of(age: float, quiet: bool = False) -> tuple[ProgressLine, Terminal]:
    terminal = Terminal()
    line = ProgressLine(quiet, terminal, time.monotonic() - age)
    line.tell(STEP)
    return line, terminal


def test_a_terminal_line_is_rewritten_and_cleared() -> None:
    line, terminal = line_of(12.2)
    line.draw()
    assert terminal.getvalue() == "\rfield: choosing patterns: 48 tiles, at least 47, 12 s"
    line.tell(Progress("field", "pricing"))
    line.draw()
    last = terminal.getvalue().split("\r")[-1]
    assert last.rstrip() == "field: pricing: no plan yet, at least 0, 12 s"
    assert len(last) == len("field: choosing patterns: 48 tiles, at least 47, 12 s")
    line.clear()
    assert terminal.getvalue().split("\r")[-2].strip() == ""
    assert terminal.getvalue().endswith("\r")


@pytest.mark.parametrize(("age", "quiet"), [(0.5, False), (12.0, True)])
def test_nothing_is_shown(age: float, quiet: bool) -> None:
    line, terminal = line_of(age, quiet)
    line.draw()
    line.clear()
    assert terminal.getvalue() == ""


def test_nothing_is_shown_before_there_is_news() -> None:
    terminal = Terminal()
    ProgressLine(stream=terminal, since=time.monotonic() - 5).draw()
    assert terminal.getvalue() == ""


def test_a_name_cannot_move_the_cursor() -> None:
    line, terminal = line_of(12.0)
    line.tell(Progress("\x1b[2Jfield", "pricing"))
    line.draw()
    assert "\x1b" not in terminal.getvalue()
