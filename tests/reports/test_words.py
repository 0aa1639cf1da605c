"""Wording: safe text, sizes in one word, line breaks that lose nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.reports.words import (
    NO_BREAK,
    columns_of,
    counted,
    number_text,
    plain,
    size_text,
    wrapped,
)
from cutopt.units import INCH, MM


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A-1-2", "A-1-2"),
        ("Fensterbank é 窓", "Fensterbank é 窓"),
        ("two\nlines\ttab", "two lines tab"),
        ("red \x1b[31m", "red  [31m"),
        ("eight bits \x9b31m", "eight bits  31m"),
        ("line\u2028break", "line break"),
        ("half \ud800 a pair", "half \ufffd a pair"),
        ("turned \u202e round", "turned \ufffd round"),
        ("no character \uffff", "no character \ufffd"),
    ],
)
def test_plain(text: str, expected: str) -> None:
    assert plain(text) == expected


def test_a_size_is_one_word() -> None:
    assert number_text(INCH * 47 // 16, "in") == f"2{NO_BREAK}15/16"
    assert size_text(250 * MM, 300 * MM, "mm").split(" ") == [f"250{NO_BREAK}×{NO_BREAK}300"]


def test_counted() -> None:
    assert [counted(n, "box", "boxes") for n in (0, 1, 2)] == ["0 boxes", "1 box", "2 boxes"]
    assert counted(12_345, "tile") == "12,345 tiles"


def test_lines_break_at_blanks_and_hyphens_but_not_in_a_fraction() -> None:
    assert wrapped("a hole of 3/4 in", 12, len) == ["a hole of", "3/4 in"]
    assert wrapped("back-wall-12", 6, len) == ["back-", "wall-", "12"]
    assert wrapped("3/4", 2, len) == ["3/", "4"], "what is longer than a line breaks all the same"
    assert wrapped("", 9, len) == [""]


def test_what_just_fits_a_line_stays_on_it() -> None:
    assert wrapped("ab cd", 5, len) == ["ab cd"]
    assert wrapped("ab cd", 4, len) == ["ab", "cd"]


@given(st.text(), st.integers(2, 30))
def test_wrapping_loses_nothing_and_fits(text: str, room: int) -> None:
    lines = wrapped(plain(text), room, columns_of)
    assert all(columns_of(line) <= room for line in lines)
    assert "".join("".join(lines).split()) == "".join(plain(text).split())
