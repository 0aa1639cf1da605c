"""Straight cuts along one axis, many at once: the same as one after the other."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver.parting import NOWHERE, Parting

POINTS = st.sets(st.integers(1, 300), min_size=1, max_size=80).map(
    lambda found: [0, *sorted(found)]
)


def _last(points: list[int], size: int) -> int:
    return max(at for at, point in enumerate(points) if point <= size)


@settings(max_examples=60, deadline=None)
@given(POINTS, st.integers(0, 2**32 - 1), st.booleans(), st.booleans())
def test_growing_is_the_best_of_every_cut(
    points: list[int], seed: int, own_lower: bool, own_upper: bool
) -> None:
    chance = np.random.default_rng(seed)
    start, lower, upper = (
        np.maximum.accumulate(np.append(0, chance.integers(0, 50, len(points) - 1)))
        for _ in range(3)
    )
    slow = start.copy()
    one, other = (slow if own_lower else lower), (slow if own_upper else upper)
    for end in range(1, len(points)):
        sums = [
            one[first] + other[_last(points, points[end] - points[first])]
            for first in range(1, end + 1)
        ]
        slow[end] = max(slow[end], slow[end - 1], *sums)
    fast = start.copy()
    Parting(np.array(points)).grow(fast, fast if own_lower else lower, fast if own_upper else upper)
    assert fast.tolist() == slow.tolist()


@settings(max_examples=60, deadline=None)
@given(POINTS, st.integers(0, 2**32 - 1), st.booleans())
def test_surrounding_is_the_best_of_every_larger_rectangle(
    points: list[int], seed: int, own: bool
) -> None:
    chance = np.random.default_rng(seed)
    start, above, worth = (chance.integers(0, 50, len(points)) for _ in range(3))
    worth[0] = 0
    start[chance.random(len(points)) < 0.5] = NOWHERE
    slow = start.copy()
    larger_ones = slow if own else above
    for row in range(len(points) - 2, -1, -1):
        sums = [
            larger_ones[larger] + worth[_last(points, points[larger] - points[row])]
            for larger in range(row + 1, len(points))
        ]
        slow[row] = max(slow[row], *sums)
    fast = start.copy()
    Parting(np.array(points)).surround(fast, [(fast if own else above, worth)])
    assert np.maximum(fast, NOWHERE // 2).tolist() == np.maximum(slow, NOWHERE // 2).tolist()
