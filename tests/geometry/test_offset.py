"""Outlines moved by their joints, circles from outside, frames there and back."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.geometry import Frame, around_circle, shifted
from cutopt.plane import Rect, circle_within, cross, edges

L_SHAPE = ((0, 0), (100, 0), (100, 40), (60, 40), (60, 90), (0, 90))


def test_each_edge_moves_by_its_own_joint() -> None:
    moved = shifted(Rect(0, 0, 100, 50).corners, [1, 2, 3, 4])
    assert [point for point, _ in moved] == [(4, 1), (98, 1), (98, 47), (4, 47)]
    assert [edge for _, edge in moved] == [0, 1, 2, 3]


def test_corners_bent_back_stay_square() -> None:
    moved = [point for point, _ in shifted(L_SHAPE, [3] * 6)]
    assert moved == [(3, 3), (97, 3), (97, 37), (57, 37), (57, 87), (3, 87)]


def test_outwards_goes_the_same_way() -> None:
    moved = [point for point, _ in shifted(L_SHAPE, [-3] * 6)]
    assert moved == [(-3, -3), (103, -3), (103, 43), (63, 43), (63, 93), (-3, 93)]


def test_a_change_of_joint_along_a_straight_edge_makes_a_step() -> None:
    outline = ((0, 0), (50, 0), (100, 0), (100, 50), (0, 50))
    moved = shifted(outline, [2, 5, 0, 0, 0])
    assert [point for point, _ in moved][:4] == [(0, 2), (50, 2), (50, 5), (100, 5)]
    assert [edge for _, edge in moved][:4] == [0, 0, 1, 2]


@pytest.mark.parametrize("joints", [[25] * 4, [60, 0, 0, 0], [0, 50, 0, 51]])
def test_joints_that_leave_nothing_are_refused(joints: list[int]) -> None:
    with pytest.raises(ValueError, match="too little"):
        shifted(Rect(0, 0, 100, 50).corners, joints)


def test_a_corner_may_be_sharp_but_not_a_needle() -> None:
    shifted(((0, 0), (10_000, 0), (0, 2_000)), [10] * 3)
    with pytest.raises(ValueError, match="too sharp"):
        shifted(((0, 0), (10_000, 0), (0, 200)), [10] * 3)


@given(st.integers(10, 10**6), st.integers(-(10**6), 10**6))
def test_what_clears_the_polygon_clears_the_pipe(diameter: int, place: int) -> None:
    outline = around_circle((place, -place), diameter)
    # Rounding moves a side by less than a unit.
    assert circle_within((place, -place), diameter - 2, outline)
    furthest = max(math.dist(corner, (place, -place)) for corner in outline)
    assert furthest <= 1.009 * diameter / 2 + 1
    assert all(cross(a, b, (place, -place)) > 0 for a, b in edges(outline))


@given(st.decimals(-90, 90, places=3), st.integers(0, 10**9), st.integers(0, 10**9))
def test_frames_go_there_and_back(angle: Decimal, x: int, y: int) -> None:
    frame = Frame(angle)
    ((back_x, back_y),) = frame.outward(frame.inward([(x, y)]))
    assert math.dist((back_x, back_y), (x, y)) < 1


@pytest.mark.parametrize(("angle", "expected"), [(0, (3, 1)), (90, (1, -3)), (-90, (-1, 3))])
def test_quarter_turns_are_exact(angle: int, expected: tuple[int, int]) -> None:
    big = 10**14
    ((x, y),) = Frame(Decimal(angle)).inward([(3 * big + 1, big)])
    assert (x // big, y // big) == (expected[0], expected[1] - (angle == 90))
    assert Frame(Decimal(angle)).is_level
