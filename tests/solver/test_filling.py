"""Sheets filled by lot: whatever comes out can be cut, and asks for no piece twice too often."""

from collections import Counter

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Kind, Problem, Sheet, Stand
from cutopt.solver.filling import Filler
from cutopt.solver.first_plan import Room, part_off
from cutopt.solver.fits import truly_fits
from cutopt.solver.problem import ALL_SIDES, LEFT, RIGHT, TOP, Leaf

SIDES = st.sampled_from([0, 0, 0, *range(16)])


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    width, height, kerf = (
        draw(st.integers(5, 30)),
        draw(st.integers(5, 30)),
        draw(st.integers(0, 2)),
    )
    kinds = []
    for _ in range(draw(st.integers(1, 5))):
        wants = draw(SIDES)
        wide = width if wants & 3 == 3 else draw(st.integers(1, width))
        high = height if wants & 12 == 12 else draw(st.integers(1, height))
        stand = Stand(wide, high, wants)
        stands = (stand, stand.turned()) if draw(st.booleans()) else (stand,)
        kinds.append(Kind(stands, draw(st.integers(1, 4))))
    return Problem(tuple(kinds), (Sheet(width, height, draw(st.sampled_from([15, 0, 5]))),), kerf)


@settings(max_examples=150, deadline=None)
@given(problems(), st.integers(0, 99))
def test_every_pattern_can_be_cut_and_no_piece_comes_too_often(problem: Problem, seed: int) -> None:
    prices = [1000 + kind for kind in range(len(problem.kinds))]
    patterns = Filler(problem, 0, np.random.default_rng(seed)).fill(prices, 30)
    assert len({pattern.kinds for pattern in patterns}) == len(patterns)
    for pattern in patterns:
        tree = pattern.make_tree()
        assert tree.kinds == pattern.kinds
        assert truly_fits(tree, problem.sheets[0])
        counts = Counter(pattern.kinds)
        assert all(problem.kinds[kind].demand >= times for kind, times in counts.items())


def _best(sheet: Sheet, kerf: int, *pieces: tuple[int, int, int]) -> int:
    kinds = tuple(Kind((Stand(wide, high, 0),), many) for wide, high, many in pieces)
    filler = Filler(Problem(kinds, (sheet,), kerf), 0, np.random.default_rng(1))
    return max(len(pattern.kinds) for pattern in filler.fill([1] * len(kinds), 10))


def test_two_pieces_and_the_kerf_just_fit() -> None:
    assert _best(Sheet(21, 10), 1, (10, 10, 5)) == 2


def test_two_pieces_and_the_kerf_just_do_not_fit() -> None:
    assert _best(Sheet(20, 10), 1, (10, 10, 5)) == 1


def test_pieces_worth_nothing_are_left_out() -> None:
    problem = Problem((Kind((Stand(5, 5, 0),), 4),), (Sheet(10, 10),), 0)
    assert Filler(problem, 0, np.random.default_rng(1)).fill([0], 10) == []


def test_the_same_lot_draws_the_same_patterns() -> None:
    kinds = tuple(Kind((Stand(3 + size, 4 + size % 3, 0),), 2) for size in range(5))
    problem = Problem(kinds, (Sheet(17, 13),), 1)
    drawn = [
        [p.kinds for p in Filler(problem, 0, np.random.default_rng(7)).fill([5, 6, 7, 8, 9], 20)]
        for _ in range(2)
    ]
    assert drawn[0] == drawn[1]


def test_a_piece_parted_off_at_the_far_end_leaves_the_near_edges() -> None:
    room = Room(20, 10, ALL_SIDES)
    first, last = part_off(room, Leaf(0, Stand(8, 6, RIGHT | TOP)), 1, beside=True)
    assert (first.width, first.height, first.edges) == (11, 10, ALL_SIDES & ~RIGHT)
    assert (last.width, last.height, last.edges) == (8, 3, ALL_SIDES & ~LEFT & ~TOP)
