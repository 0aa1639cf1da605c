"""Lengths written back: exactly for documents, readably for people."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.units import (
    INCH,
    LONGEST,
    MM,
    Units,
    parse_length,
    read_off,
    show_down,
    show_length,
    show_number,
    to_json,
)

LENGTHS = st.integers(-LONGEST, LONGEST)
UNITS = st.sampled_from(["mm", "in"])
STEPS = {"mm": MM // 1_000, "in": INCH // 64}


@given(LENGTHS, UNITS)
def test_a_document_gives_back_what_went_in(length: int, units: Units) -> None:
    assert parse_length(to_json(length, units), units) == length


@given(LENGTHS)
def test_millimetres_are_always_a_number(length: int) -> None:
    assert not isinstance(to_json(length, "mm"), str)


@given(LENGTHS, UNITS)
def test_what_people_read_is_exact_on_their_own_grid(length: int, units: Units) -> None:
    length = (length // STEPS[units] // 2) * STEPS[units]
    assert parse_length(show_length(length, units)) == length


@given(LENGTHS, UNITS)
def test_off_their_grid_it_is_right_to_a_thousandth(length: int, units: Units) -> None:
    *whole, last = show_number(length, units).split()
    if not whole and "/" not in last:
        unit = INCH if units == "in" else MM
        assert abs(Fraction(last) * unit - length) <= Fraction(unit, 2_000)


@pytest.mark.parametrize(
    ("length", "units", "written"),
    [
        (600 * MM, "mm", 600),
        (600 * MM, "in", "600 mm"),
        (8, "mm", 0.001),
        (1, "mm", 0.000125),
        (1, "in", "0.000125 mm"),
        (INCH, "in", 1),
        (INCH, "mm", 25.4),
        (INCH // 64, "in", 0.015625),
        (INCH // 64, "mm", 0.396875),
        (-5 * INCH // 8, "in", -0.625),
        (0, "in", 0),
        (2 * MM, "in", "2 mm"),
        (-2_500 * MM, "in", "-2500 mm"),
    ],
)
def test_documents(length: int, units: Units, written: float | str) -> None:
    assert to_json(length, units) == written
    assert type(to_json(length, units)) is type(written)


@pytest.mark.parametrize(
    ("length", "units", "shown"),
    [
        (2_036_000, "mm", "254.5 mm"),
        (600 * MM, "mm", "600 mm"),
        (0, "mm", "0 mm"),
        (-8, "mm", "-0.001 mm"),
        (1, "mm", "0 mm"),
        (-1, "mm", "0 mm"),
        (INCH // 64, "mm", "0.397 mm"),
        (LONGEST, "mm", "1000000 mm"),
        (LONGEST - 8, "mm", "999999.999 mm"),
        (INCH * 189 // 8, "in", "23 5/8 in"),
        (INCH * 5 // 8, "in", "5/8 in"),
        (-INCH * 189 // 8, "in", "-23 5/8 in"),
        (INCH * 24, "in", "24 in"),
        (0, "in", "0 in"),
        (INCH // 64, "in", "1/64 in"),
        (INCH * 255 // 16, "in", "15 15/16 in"),
        (600 * MM, "in", "23.622 in"),
        (MM, "in", "0.039 in"),
    ],
)
def test_people(length: int, units: Units, shown: str) -> None:
    assert show_length(length, units) == shown
    assert f"{show_number(length, units)} {units}" == shown


@pytest.mark.parametrize(
    ("length", "units", "shown"),
    [
        (50 * MM - 8, "mm", "49.9 mm"),
        (50 * MM, "mm", "50 mm"),
        (117.949 * MM, "mm", "117.9 mm"),
        (INCH - 1, "in", "63/64 in"),
    ],
)
def test_a_little_too_small_never_reads_as_enough(length: float, units: Units, shown: str) -> None:
    assert show_down(length, units) == shown


@given(LENGTHS, UNITS)
def test_what_is_read_off_a_rule_is_half_a_step_away_at_most(length: int, units: Units) -> None:
    step = {"mm": MM // 10, "in": INCH // 64}[units]
    assert read_off(length, units) % step == 0
    assert abs(read_off(length, units) - length) <= step / 2
