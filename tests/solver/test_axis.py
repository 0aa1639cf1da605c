"""Where cuts are tried along a side: nowhere else do they have to be."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.solver.axis import MOST_SUMS, Axis

SIZES = st.lists(
    st.tuples(st.integers(1, 12), st.integers(1, 9)),
    min_size=1,
    max_size=4,
    unique_by=lambda s: s[0],
)


def _sums(sizes: list[tuple[int, int]], whole: int) -> set[int]:
    ways = product(*(range(most + 1) for _, most in sizes))
    totals = {sum(n * size for n, (size, _) in zip(way, sizes, strict=True)) for way in ways}
    return {total for total in totals if total <= whole}


def test_of_sums_only_those_remain_that_leave_room_for_sums() -> None:
    # 8 leaves 2 and 9 leaves 1, where nothing fits: 10 is left in their place.
    assert Axis.exact([(3, 9), (4, 9)], [10]).points.tolist() == [0, 3, 4, 6, 7, 10]


def test_where_few_are_wanted_their_sums_are_fewer() -> None:
    assert Axis.exact([(3, 1), (4, 1)], [10]).points.tolist() == [0, 3, 4, 7]


def test_more_than_is_wanted_counts_as_the_last_point() -> None:
    # Two of a kind of which one is wanted are looked at before they are left out.
    axis = Axis.exact([(3, 1), (4, 1)], [10])
    assert axis.holding(np.array([4, 5, 7, 8])).tolist() == [2, 3, 3, 3]


def test_a_pocket_has_points_of_its_own() -> None:
    # In a pocket 8 wide both sides of a cut are 4; along the whole side 10 none leaves 8.
    assert 8 in Axis.exact([(3, 9), (4, 9)], [10, 8]).points


@given(SIZES, st.integers(1, 40))
def test_points_are_sums_and_hold_all_that_is_wanted(
    sizes: list[tuple[int, int]], whole: int
) -> None:
    points = Axis.exact(sizes, [whole]).points.tolist()
    endless = _sums([(size, whole // size) for size, _ in sizes], whole)
    assert points == sorted(set(points))
    assert points[0] == 0
    assert set(points) <= endless
    assert points[-1] >= max(_sums(sizes, whole))
    assert len(points) <= len(_sums(sizes, whole))


@given(SIZES, st.integers(1, 40))
def test_of_a_side_cut_in_two_one_part_lies_on_a_point_and_both_hold_as_much(
    sizes: list[tuple[int, int]], whole: int
) -> None:
    axis = Axis.exact([(size, whole) for size, _ in sizes], [whole])
    endless = _sums([(size, whole // size) for size, _ in sizes], whole)
    points = axis.points.tolist()
    for one, other in product(endless, endless):
        if one + other <= whole:
            cuts = [
                first
                for first in points
                if first >= one and points[axis.index(whole - first)] >= other
            ]
            assert cuts


def test_sizes_that_share_a_measure_have_few_sums() -> None:
    # In units of 1/8000 mm, as the planning has them.
    axis = Axis.exact([(8000 * 60, 9), (8000 * 90, 9)], [8000 * 600])
    assert axis.points.tolist() == [8000 * x for x in (0, *range(60, 541, 30), 600)]


def test_too_many_sums_are_not_laid_out() -> None:
    sizes = [(10_000 + 7 * number, 99) for number in range(300)]
    assert len(Axis.exact(sizes, [1_000_000]).points) > MOST_SUMS


@pytest.mark.parametrize(("up", "counted"), [(False, 1), (True, 2)])
def test_a_rounded_side_counts_sizes_down_or_up(up: bool, counted: int) -> None:
    axis = Axis.rounded(30, 100, 10, up=up)
    assert axis.scale(19) == counted
    assert axis.least == 3
    assert axis.room(19) == 1
