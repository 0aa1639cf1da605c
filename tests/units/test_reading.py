"""Lengths as they are written, by people and by programs; what is no length, and why."""

from decimal import Decimal
from fractions import Fraction

import pytest

from cutopt.units import INCH, LONGEST, MM, Units, parse_length

#: Millimetres of an inch: International Yard and Pound Agreement, 1959.
INCH_IN_MM = Fraction("25.4")


def inches(number: str) -> int:
    """Return inches as eighths of a micrometre, by a way of our own."""
    return int(sum(map(Fraction, number.split())) * INCH_IN_MM * 8_000)


def test_the_grid_holds_thousandths_and_sixty_fourths() -> None:
    assert MM % 1_000 == 0
    assert INCH == INCH_IN_MM * MM
    assert INCH % 64 == 0


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("600 mm", 600 * MM),
        ("600mm", 600 * MM),
        ("  600 mm ", 600 * MM),
        ("0.001 mm", 8),
        (".5 mm", 4_000),
        ("60 cm", 600 * MM),
        ("60.05 cm", 600_500 * 8),
        ("2.4 m", 2_400 * MM),
        ("1000 m", LONGEST),
        ("-3 mm", -3 * MM),
        ("0 mm", 0),
        ("12 in", inches("12")),
        ('12"', inches("12")),
        ("12″", inches("12")),
        ("23 5/8 in", inches("23 5/8")),
        ("23-5/8 in", inches("23 5/8")),
        ("23  5/8in", inches("23 5/8")),
        ("5/8 in", inches("5/8")),
        ("1/64 in", inches("1/64")),
        ("15 15/16 in", inches("15 15/16")),
        ("2.5 in", inches("5/2")),
        ("7 ft", inches("84")),
        ("7'", inches("84")),
        ("7′", inches("84")),
        ("7.5 ft", inches("90")),
        ("7'-6 1/2\"", inches("90 1/2")),
        ("7'-6-1/2\"", inches("90 1/2")),
        ("7'6\"", inches("90")),
        ("7' 6 in", inches("90")),
        ("7 ft 6 in", inches("90")),
        ("7 ft - 6 in", inches("90")),
        ("7′ 6″", inches("90")),
        ("7'-0\"", inches("84")),
        ("0'-3/4\"", inches("3/4")),
        ("7' 11 63/64\"", inches("95 63/64")),
        ("-7'-6\"", -inches("90")),
        ("1 1/3 ft", inches("16")),
    ],
)
def test_text_carries_its_own_unit(text: str, length: int) -> None:
    assert parse_length(text, "mm") == parse_length(text, "in") == length


@pytest.mark.parametrize(
    ("number", "units", "length"),
    [
        (600, "mm", 600 * MM),
        (12, "in", inches("12")),
        (-12, "in", -inches("12")),
        (0, "in", 0),
        (0.0, "mm", 0),
        (254.5, "mm", 2_036_000),
        (Decimal("254.5"), "mm", 2_036_000),
        (Decimal("0.001"), "mm", 8),
        (Decimal("0.000125"), "mm", 1),
        (23.625, "in", inches("23 5/8")),
        (0.015625, "in", inches("1/64")),
        (Decimal("1E+3"), "mm", 1_000 * MM),
        (1_000_000, "mm", LONGEST),
        (-1_000_000, "mm", -LONGEST),
    ],
)
def test_a_number_counts_the_units_of_its_document(
    number: float | Decimal, units: Units, length: int
) -> None:
    assert parse_length(number, units) == length


@pytest.mark.parametrize("number", [0.1 + 0.2, 0.30000000000000004, Decimal("0.2999999999")])
def test_the_noise_of_binary_numbers_is_taken_off(number: float | Decimal) -> None:
    assert parse_length(number, "mm") == 2_400


def test_a_number_is_noise_up_to_a_millionth_of_a_millimetre() -> None:
    assert parse_length(Decimal("600.000001"), "mm") == 600 * MM
    with pytest.raises(ValueError, match=r"multiple of 0\.001 mm"):
        parse_length(Decimal("600.0000011"), "mm")
    with pytest.raises(ValueError, match=r"multiple of 0\.001 mm"):
        parse_length("600.000001 mm")


def test_a_number_next_to_nothing_is_nothing() -> None:
    assert parse_length(Decimal("1E-300000"), "mm") == 0


@pytest.mark.parametrize(
    "value",
    [
        *("", " ", "600", "mm", "600 km", "600 kg", "6 0 mm", "1,5 m", "1e3 mm", "600 mm x"),
        *("--3 mm", "+3 mm", "3 -mm", "5/8", "1/2/3 in", "1 2 in", "5 1.5/8 in", "1. mm"),
        *("7' 6", "7'-", "'6\"", "7.5' 6\"", "7' -6' 1\"", "½ in", "0x10 mm", "nan mm", "inf m"),
        *(True, False, None, [], {}, (600,), b"600 mm", 3 + 0j),
    ],
)
def test_what_is_no_length_is_refused(value: object) -> None:
    with pytest.raises(
        ValueError, match=r"^a length is a number in the document's units or a text"
    ):
        parse_length(value)


@pytest.mark.parametrize(
    ("value", "units", "rule"),
    [
        (0.0001, "mm", "multiple of 0.001 mm or of 1/64 in; the nearest is 0 mm"),
        (600.0001, "mm", "the nearest is 600 mm"),
        ("1/3 in", "in", r"the nearest is 0.333 in"),
        ("1/128 in", "in", r"the nearest is 0.008 in"),
        (0.0001, "in", "multiple of 0.001 mm or of 1/64 in"),
        ("1/3 mm", "mm", "the nearest is 0.333 mm"),
        ("1.0000001 m", "mm", "the nearest is 1000 mm"),
        (float("nan"), "mm", "a length is a finite number"),
        (float("inf"), "mm", "a length is a finite number"),
        (Decimal("-Infinity"), "mm", "a length is a finite number"),
        (Decimal("sNaN"), "mm", "a length is a finite number"),
        (1_000_000.001, "mm", "a length is at most 1 km"),
        (-1_000_001, "mm", "a length is at most 1 km"),
        (39_371, "in", "a length is at most 1 km"),
        ("1001 m", "mm", "a length is at most 1 km"),
        ("999999999 ft", "mm", "a length is at most 1 km"),
        (10**4000, "mm", "a length is at most 1 km"),
        (Decimal("1E+300000"), "mm", "a length is at most 1 km"),
        ("7' 12\"", "mm", "after feet come less than 12 inches"),
        ("7' 18 1/2\"", "mm", "after feet come less than 12 inches"),
        ("1/0 in", "mm", "a fraction is not divided by zero"),
        ("7' 1/0\"", "mm", "a fraction is not divided by zero"),
        ("1" * 41, "mm", "written with at most 40 characters"),
        (" " * 41, "mm", "written with at most 40 characters"),
    ],
)
def test_a_wrong_length_is_told_its_rule(value: object, units: Units, rule: str) -> None:
    with pytest.raises(ValueError, match=rule):
        parse_length(value, units)
