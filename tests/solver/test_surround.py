"""What lies around a rectangle: never less than any pattern has there, and what is read from it."""

from collections import Counter
from collections.abc import Iterator

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import BOTTOM, LEFT, Kind, Problem, Sheet, Stand
from cutopt.solver.blocks import Blocks
from cutopt.solver.fits import truly_fits
from cutopt.solver.pricing import Pricer
from cutopt.solver.problem import Join, Tree
from cutopt.solver.surround import Surroundings
from cutopt.solver.through import Through
from tests.solver.brute import can_be_cut
from tests.solver.problems import problems, turned

PRICES = st.lists(st.integers(1, 9), min_size=4, max_size=4)


@st.composite
def plain_problems(draw: st.DrawFn) -> Problem:
    """Draw sheets of many columns with pieces that are no part of one another."""
    width, height = draw(st.integers(12, 40)), draw(st.integers(12, 40))
    sides = draw(st.sampled_from([0, 0, 15]))
    kinds = []
    for _ in range(draw(st.integers(2, 4))):
        wants = draw(st.sampled_from([0, 0, 1, 4, 9])) & sides
        size = draw(st.integers(width // 4, width)), draw(st.integers(height // 4, height))
        stand = Stand(*size, wants)
        kinds.append(Kind((stand, stand.turned()) if draw(st.booleans()) else (stand,), 99))
    return Problem(tuple(kinds), (Sheet(width, height, sides),), draw(st.integers(0, 2)))


def _surroundings(problem: Problem, prices: list[int]) -> Surroundings:
    priced = Pricer(problem, problem.new, capped=False).price(prices, lambda: True)
    assert priced is not None
    around = Surroundings.of(priced, lambda: True)
    assert around is not None
    return around


@settings(max_examples=150, deadline=None)
@given(plain_problems(), PRICES)
def test_no_pattern_is_worth_more_than_said_through_any_of_its_pieces(
    problem: Problem, prices: list[int]
) -> None:
    through = Through(_surroundings(problem, prices)).worths()
    blocks = Blocks(problem, problem.new).grow(lambda: True)
    assert blocks.complete
    best: Counter[int] = Counter()
    for level in blocks.levels:
        for members in level.members.tolist():
            worth = sum(prices[kind] for kind in members)
            for kind in members:
                best[kind] = max(best[kind], worth)
    for kind, worth in best.items():
        assert through[kind] >= worth
        assert through[kind] == worth  # of none more are wanted than a sheet holds


def _parts(tree: Tree) -> Iterator[Tree]:
    yield tree
    if isinstance(tree, Join):
        yield from _parts(tree.first)
        yield from _parts(tree.second)


def _assert_enough_around(problem: Problem, prices: list[int]) -> None:
    surroundings = _surroundings(problem, prices)
    blocks = Blocks(problem, problem.new).grow(lambda: True)
    for depth, level in enumerate(blocks.levels):
        for row in range(len(level)):
            tree = blocks.tree(depth, row)
            worth = sum(prices[kind] for kind in tree.kinds)
            for part in _parts(tree):
                size = np.array([part.width]), np.array([part.height])
                most = surroundings.most(size, np.array([part.wants]))[0]
                assert most + sum(prices[kind] for kind in part.kinds) >= worth


def test_two_corner_pieces_with_slack_between_them_lie_along_the_whole_edge() -> None:
    corner = turned(Stand(2, 2, LEFT | BOTTOM), "quarter")
    _assert_enough_around(Problem((Kind(corner, 2),), (Sheet(7, 3),), 0), [5])


@settings(max_examples=150, deadline=None)
@given(problems(pockets=False), PRICES)
def test_no_pattern_is_worth_more_than_said_through_any_of_its_blocks(
    problem: Problem, prices: list[int]
) -> None:
    _assert_enough_around(problem, prices)


@settings(max_examples=100, deadline=None)
@given(plain_problems(), PRICES, st.integers(0, 30))
def test_the_patterns_through_pieces_can_be_cut_and_are_worth_what_is_said(
    problem: Problem, prices: list[int], least: int
) -> None:
    through = Through(_surroundings(problem, prices))
    worths = through.worths()
    trees = list(through.trees(least))
    assert len(trees) == sum(worth > least for worth in worths.values())
    for tree in trees:
        worth = sum(prices[kind] for kind in tree.kinds)
        assert worth > least
        assert worth in {worths[kind] for kind in tree.kinds}
        assert truly_fits(tree, problem.new)
        assert can_be_cut(tree, problem.new.width, problem.new.height, problem.new.edges)
