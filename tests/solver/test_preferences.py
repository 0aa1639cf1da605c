"""Second wishes in turn: the same tiles, and each wish as far as the ones before it allow."""

from collections import Counter
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Kind, Problem, Sheet, Solution, Stand, Wishes, solve
from cutopt.solver.preferences import Wish, straight_cuts
from cutopt.solver.problem import Join, Leaf
from cutopt.stop import MaxSeconds
from tests.solver.problems import problems
from tests.solver.test_solve import assert_valid

ALL: tuple[Wish, ...] = (
    "fewer cuts",
    "larger leftovers",
    "fewer settings",
    "fewer risky cuts",
    "less waiting",
)


def solved(
    problem: Problem, *order: Wish, places: tuple[int, ...] = (), narrow: int = 0
) -> Solution:
    found = solve(problem, MaxSeconds(20), wishes=Wishes(order, narrow, places))
    assert_valid(problem, found.cuttings)
    assert found.followed
    return found


def cuts(problem: Problem, found: Solution) -> list[tuple[int, int]]:
    return [
        pair
        for one in found.cuttings
        for _ in range(one.count)
        for sheet in [problem.sheets[one.sheet]]
        for pair in straight_cuts(one.tree, sheet.width, sheet.height, problem.kerf)
    ]


def test_the_straight_cuts_of_a_tree() -> None:
    pair = Join(Leaf(0, Stand(4, 5, 0)), Leaf(1, Stand(3, 6, 0)), True, 1)
    assert list(straight_cuts(pair, 12, 6, 1)) == [(8, 3), (4, 3), (5, 0)]


def strips(*widths: int, demand: int = 1) -> Problem:
    kinds = tuple(Kind((Stand(width, 5, 0),), demand) for width in widths)
    return Problem(kinds, (Sheet(10, 5),), 0)


def test_what_is_set_together_comes_out_of_one_sheet() -> None:
    # 5 + 5 whichever way: the first and the second set go together, and the third and fourth.
    problem = strips(5, 5, 5, 5)
    for order in permutations((10, 20, 1000, 1010)):
        found = solved(problem, "less waiting", places=order)
        waits = [abs(order[a] - order[b]) for a, b in (one.tree.kinds for one in found.cuttings)]
        assert sum(waits) == 20


def test_fewer_settings_pair_equal_sizes() -> None:
    # 6 + 4 and 6 + 3 need no more tiles than 4 + 3 and 6 alone twice; sizes are shared.
    problem = strips(6, 4, 3, demand=2)
    found = solved(problem, "fewer settings")
    assert len({size for size, _ in cuts(problem, found)}) <= 3


def test_narrow_strips_are_avoided() -> None:
    # 9 leaves a strip of 1, unless nothing is cut off it: so is it with 4 + 5 beside 5 + 5.
    problem = strips(4, 5, 5, 5)
    found = solved(problem, "fewer risky cuts", narrow=2)
    risky = sum(min(pair) < 2 for pair in cuts(problem, found))
    assert risky == 1


@settings(max_examples=25, deadline=None)
@given(problems(pockets=False, kinds=4, copies=3), st.permutations(ALL), st.integers(1, 5))
def test_no_wish_costs_a_tile(problem: Problem, order: list[Wish], many: int) -> None:
    plain = solve(problem, MaxSeconds(20))
    places = tuple(range(len(problem.kinds)))
    found = solved(problem, *order[:many], places=places, narrow=2)
    assert (found.new_sheets, found.bound) == (plain.new_sheets, plain.bound)


@pytest.mark.parametrize("wish", ALL)
def test_a_wish_is_followed_at_least_as_far_alone_as_after_another(wish: Wish) -> None:
    sizes = [(37, 41), (53, 29), (61, 47), (44, 58), (29, 63)]
    kinds = tuple(Kind((Stand(*size, 0), Stand(*size, 0).turned()), 2) for size in sizes)
    problem = Problem(kinds, (Sheet(120, 90),), 1)
    others: list[Wish] = [other for other in ALL if other != wish]
    alone, after = (
        solved(problem, *order, places=(0, 3, 1, 4, 2), narrow=8)
        for order in ((wish,), (others[0], wish))
    )
    assert measure(wish, problem, alone) <= measure(wish, problem, after) + 1e-6


def measure(wish: Wish, problem: Problem, found: Solution) -> float:
    """Return what is less the better, counted from the trees; only where that is exact."""
    if wish == "less waiting":
        places, total = (0, 3, 1, 4, 2), 0
        for one in found.cuttings:
            times = [places[kind] for kind in one.tree.kinds]
            total += one.count * (max(times) - min(times))
        return total
    if wish == "fewer settings":
        return len({size for size, _ in cuts(problem, found)})
    if wish == "fewer risky cuts":
        return sum(min(pair) < 8 for pair in cuts(problem, found))
    return 0


def test_the_same_seed_gives_the_same_plan() -> None:
    problem = replace(strips(6, 4, 3, demand=2), kerf=1)
    first, second = (
        solved(problem, "fewer settings", "less waiting", places=(0, 1, 2)) for _ in "ab"
    )
    assert first == second
    assert Counter(kind for one in first.cuttings for kind in one.tree.kinds)
