"""Straight cuts along one axis, many at once: the same as one after the other."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver.parting import Parting
from cutopt.solver.surround import NOWHERE

POINTS = st.sets(st.integers(1, 300), min_size=1, max_size=80).map(
    lambda found: [0, *sorted(found)]
)


def _last(points: list[int], size: int) -> int:
    return max(at for at, point in enumerate(points) if point <= size)


@settings(max_examples=80, deadline=None)
@given(POINTS, st.integers(0, 2**32 - 1), st.booleans(), st.booleans(), st.sampled_from([1, 3, 9]))
def test_growing_is_the_best_of_every_cut(
    points: list[int], seed: int, own_lower: bool, own_upper: bool, columns: int
) -> None:
    chance = np.random.default_rng(seed)
    drawn = chance.integers(0, 50, (3, columns, len(points)))
    drawn[:, :, 0] = 0
    start, lower, upper = np.maximum.accumulate(drawn, axis=2)
    start = np.maximum(start, np.maximum(lower, upper))
    slow = start.copy()
    for column in range(columns):
        mine = slow[column]
        one = mine if own_lower else lower[column]
        other = mine if own_upper else upper[column]
        for end in range(1, len(points)):
            sums = [
                one[first] + other[_last(points, points[end] - points[first])]
                for first in range(1, end + 1)
            ]
            mine[end] = max(mine[end], mine[end - 1], *sums)
    fast = start.copy()
    below, above = fast if own_lower else lower, fast if own_upper else upper
    Parting(np.array(points), points[1]).grow(fast, below, above, None)
    assert fast.tolist() == slow.tolist()


def test_no_worth_grows_beyond_the_most_it_can_be() -> None:
    parting = Parting(np.arange(4))
    for columns in (1, 9):
        worth = np.array([[0, 5, 5, 5]] * columns)
        parting.grow(worth, worth, worth, np.array([[0, 5, 8, 99]] * columns))
        assert set(map(tuple, worth.tolist())) <= {(0, 5, 8, 13), (0, 5, 8, 15)}


@settings(max_examples=80, deadline=None)
@given(POINTS, st.integers(0, 2**32 - 1), st.booleans(), st.sampled_from([1, 3, 9]))
def test_surrounding_is_the_best_of_every_larger_rectangle(
    points: list[int], seed: int, own: bool, columns: int
) -> None:
    chance = np.random.default_rng(seed)
    start, above, worth = chance.integers(0, 50, (3, columns, len(points)))
    worth[:, 0] = 0
    start[chance.random(start.shape) < 0.5] = NOWHERE
    slow = start.copy()
    for column in range(columns):
        mine = slow[column]
        larger_ones = mine if own else above[column]
        for row in range(len(points) - 2, -1, -1):
            sums = [
                larger_ones[larger] + worth[column, _last(points, points[larger] - points[row])]
                for larger in range(row + 1, len(points))
            ]
            mine[row] = max(mine[row], *sums)
    fast = start.copy()
    Parting(np.array(points), points[1]).surround(fast, [(fast if own else above, worth)])
    assert np.maximum(fast, NOWHERE // 2).tolist() == np.maximum(slow, NOWHERE // 2).tolist()
