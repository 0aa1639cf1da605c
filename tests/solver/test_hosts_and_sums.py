"""Hosts with several pockets, sums of sizes, and grids coarser than a piece."""

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import (
    BOTTOM,
    LEFT,
    RIGHT,
    Cutting,
    Kind,
    Pocket,
    Problem,
    Sheet,
    Stand,
)
from cutopt.solver.extras import made_by, without_extras
from cutopt.solver.fits import truly_fits
from cutopt.solver.pricing import Rounding
from cutopt.solver.problem import Leaf
from tests.solver.brute import all_counts, can_be_cut
from tests.solver.problems import problems, turned
from tests.solver.test_blocks import listed
from tests.solver.test_pricing import PRICES, best, priced, unlimited

HOST = Stand(8, 5, 0, (Pocket(LEFT | BOTTOM, 3, 2, 3, 2), Pocket(RIGHT | BOTTOM, 2, 2, 2, 2)))
GUEST = Stand(2, 2, 0)


def test_both_pockets_of_a_host_may_be_filled_with_the_same_kind() -> None:
    problem = Problem((Kind((HOST,), 1), Kind((GUEST,), 2)), (Sheet(8, 5),), 0)
    assert listed(problem, 0) == all_counts(problem, problem.new)


def test_hosts_that_differ_by_a_turn_in_their_pockets_only_are_both_kept() -> None:
    host = Stand(6, 4, 0, (Pocket(LEFT | BOTTOM, 2, 2, 2, 2),))
    guest = Stand(2, 2, LEFT)
    kinds = Kind(turned(host, "half"), 2), Kind(turned(guest, "half"), 2)
    problem = Problem(kinds, (Sheet(12, 4), Sheet(6, 4, RIGHT, 1)), 0)
    assert listed(problem, 0) == all_counts(problem, problem.sheets[0])
    assert listed(problem, 1) == all_counts(problem, problem.sheets[1])


def test_a_host_with_two_guests_that_nobody_asked_for_is_left_out() -> None:
    problem = Problem((Kind((HOST,), 1), Kind((GUEST,), 4)), (Sheet(8, 5),), 0)
    tree = Leaf(0, HOST, ((0, Leaf(1, GUEST)), (1, Leaf(1, GUEST))))
    left = without_extras(problem, [Cutting(0, tree, 2)])
    assert left is not None
    assert made_by(left) == {0: 1, 1: 4}


@settings(max_examples=80)
@given(problems(), PRICES)
def test_demand_may_narrow_it_but_never_below_a_pattern(
    problem: Problem, prices: list[int]
) -> None:
    for sheet in problem.sheets:
        within = max(
            sum(count * price for count, price in zip(counts, prices, strict=False))
            for counts in all_counts(problem, sheet)
        )
        assert within <= priced(problem, sheet, prices).worth <= best(problem, sheet, prices)


def test_rounded_down_thin_pieces_still_count_each() -> None:
    # Four strips 1 high make up a sheet 4 high; on a grid of 3 each comes to nothing.
    problem = Problem((Kind((Stand(3, 1, 0),), 99),), (Sheet(3, 4),), 0)
    assert priced(problem, problem.new, [1], Rounding.DOWN, 3).worth >= 4


@settings(max_examples=60)
@given(problems(), PRICES, st.sampled_from([3, 5]))
def test_rounded_down_is_never_below_however_coarse(
    problem: Problem, prices: list[int], coarse: int
) -> None:
    for sheet in problem.sheets:
        exact = best(problem, sheet, prices)
        assert priced(unlimited(problem), sheet, prices, Rounding.DOWN, coarse).worth >= exact


def test_a_guest_larger_than_its_pocket_does_not_truly_fit() -> None:
    # On the coarse grid of 600 / 240 = 2.5, 102 and 101 are the same.
    host = Stand(600, 600, 0, (Pocket(LEFT | BOTTOM, 101, 300, 101, 300),))
    kinds = Kind((host,), 9), Kind((Stand(102, 300, 0),), 9)
    problem = Problem(kinds, (Sheet(600, 600),), 0)
    tree = next(priced(problem, problem.new, [99, 1], Rounding.DOWN).trees(0, 1))
    assert tree.kinds == (0,) or not truly_fits(tree, problem.new)


def test_rounded_up_a_pocket_is_no_larger_than_it_is() -> None:
    host = Stand(6, 6, 0, (Pocket(LEFT | BOTTOM, 3, 3, 3, 3),))
    problem = Problem((Kind((host,), 9), Kind((Stand(4, 3, 0),), 9)), (Sheet(6, 6),), 0)
    for tree in priced(problem, problem.new, [5, 5], Rounding.UP, 3).trees(0, 20):
        assert can_be_cut(tree, 6, 6, 15)
