"""Whether a rectangle lies outside an outline: touching is outside."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.check.corners import CORNERS, in_corner, is_clear, overlap
from cutopt.check.known import turned_sides
from cutopt.plane import Point, Rect, is_inside

TRIANGLE: list[Point] = [(0, 0), (10, 0), (0, 10)]
CROSS: list[Point] = [(4, 0), (6, 0), (6, 4), (10, 4), (10, 6), (6, 6)]
CROSS += [(6, 10), (4, 10), (4, 6), (0, 6), (0, 4), (4, 4)]


@pytest.mark.parametrize(
    ("rect", "clear"),
    [
        (Rect(5, 5, 5, 5), True),  # its corner touches the slant
        (Rect(4, 5, 5, 5), False),
        (Rect(10, 0, 5, 5), True),
        (Rect(-5, -5, 5, 30), True),
        (Rect(2, 2, 1, 1), False),  # wholly inside, no edge near
        (Rect(-5, -5, 30, 30), False),  # wholly around
    ],
)
def test_beside_a_triangle(rect: Rect, clear: bool) -> None:
    assert is_clear(rect, TRIANGLE) is clear


@given(
    st.sampled_from([TRIANGLE, CROSS]),
    st.integers(-2, 11),
    st.integers(-2, 11),
    st.integers(1, 6),
    st.integers(1, 6),
)
def test_is_clear_as_a_fine_grid_of_points_says(
    outline: list[Point], x: int, y: int, width: int, height: int
) -> None:
    # Corners lie on whole numbers, slants at 45 degrees: quarters see every overlap.
    finer = [(4 * px, 4 * py) for px, py in outline]
    seen = any(
        is_inside((px, py), finer)
        for px in range(4 * x + 1, 4 * (x + width))
        for py in range(4 * y + 1, 4 * (y + height))
    )
    assert is_clear(Rect(x, y, width, height), outline) is not seen


def test_the_four_corners_of_a_rectangle() -> None:
    found = {corner: in_corner(Rect(1, 2, 10, 20), corner, 3, 4)[:2] for corner in CORNERS}
    assert found == {
        "bottom-left": (1, 2),
        "bottom-right": (8, 2),
        "top-left": (1, 18),
        "top-right": (8, 18),
    }


@pytest.mark.parametrize("step", [(5, 0), (0, 5), (-5, 0), (0, -5)])
def test_rectangles_that_touch_do_not_overlap(step: Point) -> None:
    still = Rect(0, 0, 5, 5)
    assert not overlap(still, Rect(*step, 5, 5))
    assert overlap(still, Rect(step[0] * 4 // 5, step[1] * 4 // 5, 5, 5))


def test_sides_turn_anticlockwise() -> None:
    assert turned_sides(["right", "top"], 0) == ["right", "top"]
    assert turned_sides(["right", "top"], 90) == ["top", "left"]
    assert turned_sides(["right", "bottom"], 180) == ["left", "top"]
    assert turned_sides(["left"], 270) == ["top"]
