"""Plunges into a relaxation: what they reach, what they give up, and what they leave behind."""

from collections.abc import Sequence

import numpy as np
import pytest

from cutopt.solver import Kind, Problem, Sheet, Stand
from cutopt.solver.dive import Dive, End
from cutopt.solver.master import Columns, Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Leaf
from cutopt.solver.relaxation import Relaxation


def _relaxation(kinds: int, *patterns: Sequence[int]) -> Relaxation:
    """Return the relaxation for one of each kind over patterns of these kinds."""
    problem = Problem((Kind((Stand(1, 1, 0),), 1),) * kinds, (Sheet(9, 9),), 0)
    relaxation = Relaxation(problem)
    relaxation.add(map(_pattern, patterns))
    return relaxation


def _pattern(kinds: Sequence[int]) -> Pattern:
    return Pattern(0, tuple(kinds), 1, 0, lambda: Leaf(0, Stand(1, 1, 0)))


def _dive(relaxation: Relaxation, seed: int = 0) -> Dive:
    return Dive(relaxation, lambda _: False, lambda: True, np.random.default_rng(seed))


TRIANGLE = (0, 1), (1, 2), (0, 2)
TRIANGLES = *TRIANGLE, (3, 4), (4, 5), (3, 5)


@pytest.mark.parametrize("seed", range(5))
def test_three_pieces_in_pairs_take_two_sheets(seed: int) -> None:
    relaxation = _relaxation(3, *TRIANGLE)
    end, amounts = _dive(relaxation, seed).plunge(fewer_than=3)
    assert (end, sum(amounts)) == (End.REACHED, 2)
    made = {
        kind
        for pattern, amount in zip(TRIANGLE, amounts, strict=True)
        if amount
        for kind in pattern
    }
    assert made == {0, 1, 2}
    assert relaxation.solved().value == pytest.approx(1.5)


def test_a_relaxation_that_needs_too_many_is_not_dived_into() -> None:
    end, amounts = _dive(_relaxation(3, *TRIANGLE)).plunge(fewer_than=2)
    assert (end, amounts) == (End.TOO_MANY, [])


def test_what_cannot_be_reached_in_whole_numbers_is_lost_and_undone() -> None:
    relaxation = _relaxation(6, *TRIANGLES)
    end, amounts = _dive(relaxation).plunge(fewer_than=4)
    assert (end, amounts) == (End.LOST, [])
    assert relaxation.solved().value == pytest.approx(3.0)


def test_a_pattern_found_on_the_way_saves_the_plunge() -> None:
    relaxation = _relaxation(6, *TRIANGLES)

    def search(prices: Prices) -> bool:
        if len(relaxation) > len(TRIANGLES):
            return False
        relaxation.add([_pattern((0, 1, 2))])
        return True

    dive = Dive(relaxation, search, lambda: True, np.random.default_rng(0))
    end, amounts = dive.plunge(fewer_than=4)
    assert (end, sum(amounts)) == (End.REACHED, 3)


def test_told_to_stop_it_comes_up_with_nothing_fixed() -> None:
    relaxation = _relaxation(3, *TRIANGLE)
    steps = iter([True, True, False])
    dive = Dive(relaxation, lambda _: False, lambda: next(steps, False), np.random.default_rng(0))
    assert dive.plunge(fewer_than=3) == (End.STOPPED, [0, 0, 0])
    assert relaxation.solved().value == pytest.approx(1.5)


def test_no_pattern_is_used_more_often_than_its_pieces_are_wanted() -> None:
    kinds = Kind((Stand(1, 1, 0),), 5), Kind((Stand(1, 1, 0),), 1)
    problem = Problem(kinds, (Sheet(9, 9),), 0)
    patterns = [_pattern(kinds) for kinds in ((0,), (0, 0), (0, 0, 1), (1,))]
    assert Columns(problem, patterns).most_used() == [5, 3, 3, 1]
