"""Adhesive, grout and sealant against published values, each with its source."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.buying.amounts import (
    POUND,
    SQUARE_FOOT,
    bed_of_notch,
    grout_per_m2,
    joint_share,
    packed,
    sealant_per_m,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("depth", "width", "spacing", "square_feet"),
    [
        # Trade pages: coverage of a bag of 50 lb (22.7 kg) by notch, and a second and a third page.
        (INCH / 4, INCH / 4, INCH / 4, (80, 100)),
        (INCH * 3 / 8, INCH / 4, INCH / 4, (60, 80)),
        (INCH / 2, INCH / 2, INCH / 2, (40, 50)),
    ],
)
def test_adhesive_lies_within_published_coverage(
    depth: float, width: float, spacing: float, square_feet: tuple[int, int]
) -> None:
    kg_per_m2 = bed_of_notch(depth, width, spacing, 45) * 1.2
    least, most = (50 * POUND / (area * SQUARE_FOOT) for area in reversed(square_feet))
    assert least <= kg_per_m2 <= most


def test_adhesive_of_the_model() -> None:
    """The three values that the model was worked out to: 2.69, 4.04 and 5.39 kg/m2."""
    notches = [(6.35, 6.35), (9.525, 6.35), (12.7, 12.7)]
    found = [bed_of_notch(depth, width, width, 45) * 1.2 for depth, width in notches]
    assert [round(kg, 2) for kg in found] == [2.69, 4.04, 5.39]


def test_four_bags_of_adhesive() -> None:
    """Trade page: 200 ft2 at 65 ft2 a bag is 3.07, so 4 bags."""
    assert packed(200, 0.0, 65, None).packages == 4


def test_grout_of_a_published_table() -> None:
    """A retailer's table: 3/8 x 3/8 x 3/8 in, joint 1/16 in, with 10 % extra: 0.94 lb/ft2."""
    chip = INCH * 3 / 8
    kg_per_m2 = grout_per_m2((chip, chip), INCH / 16, chip, 1.65) * 1.10
    assert round(kg_per_m2 * SQUARE_FOOT / POUND, 2) == 0.94


def test_four_bags_of_grout() -> None:
    """The same page: 96 ft2 take 90 lb, sold as 4 bags of 25 lb."""
    chip = INCH * 3 / 8
    pounds = grout_per_m2((chip, chip), INCH / 16, chip, 1.65) * 96 * SQUARE_FOOT / POUND
    bought = packed(pounds, 0.10, 25, Decimal(20))
    assert round(bought.amount) == 90
    assert (bought.packages, bought.cost) == (4, Decimal(80))


def test_the_short_form_overstates_small_chips() -> None:
    """Own derivation: by 13 % for 23 mm chips, 6 % for 48 mm, 3 % for 100 mm; 2 mm joints."""
    for size, more in [(23, 13), (48, 6), (100, 3)]:
        short = 2 * size / size**2 * 2
        assert abs((short / joint_share(size, size, 2) - 1) * 100 - more) < 0.6


def test_sealant_per_metre() -> None:
    """A published guide: 10 x 5 mm takes 50 ml/m, 310 ml last 6.2 m; a triangle takes half."""
    assert sealant_per_m(10, 5) == 50
    assert 310 / sealant_per_m(10, 5) == 6.2
    assert sealant_per_m(10, 5, fillet=True) == 25


@pytest.mark.parametrize(
    ("width", "depth", "metres"),
    [(3, 3, 34.4), (4, 4, 19.4), (5, 5, 12.4), (6, 3, 17.2), (6, 6, 8.6)],
)
def test_yield_of_a_cartridge(width: int, depth: int, metres: float) -> None:
    """What 310 ml yield, as yield tables have it."""
    assert round(310 / sealant_per_m(width, depth), 1) == metres


def test_packages_just_hold_or_just_do_not() -> None:
    assert packed(50, 0.0, 25, None).packages == 2
    assert packed(50.001, 0.0, 25, None).packages == 3
    assert packed(0.1 + 0.2, 0.0, 0.1, None).packages == 3
    assert packed(0, 0.1, 25, None).packages == 0


@given(st.floats(5, 2000), st.floats(5, 2000), st.floats(0.5, 20))
def test_the_share_of_joint_is_what_a_wall_of_modules_leaves(a: float, b: float, j: float) -> None:
    module = (a + j) * (b + j)
    assert math.isclose(joint_share(a, b, j), (module - a * b) / module, abs_tol=1e-12)
