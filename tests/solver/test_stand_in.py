"""Smaller pieces in the places of larger ones: the same value, and patterns that can be cut."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from cutopt.solver import BOTTOM, LEFT, RIGHT, Cutters, Kind, Pocket, Problem, Sheet, Stand
from cutopt.solver.blocks import Blocks
from cutopt.solver.cutters import Router
from cutopt.solver.first_plan import first_plan
from cutopt.solver.patterns import list_patterns, pattern_of
from cutopt.solver.pool import Pool
from cutopt.solver.stand_in import places_of
from tests.solver.brute import can_be_cut
from tests.solver.problems import problems


def _pool(problem: Problem) -> Pool:
    """Return a pool of the first plan's patterns and of some more."""
    pool = Pool(problem, Router(problem.cutters, problem.kerf))
    pool.add(pattern_of(one.sheet, one.tree) for one in first_plan(problem, problem.demands))
    for number, sheet in enumerate(problem.sheets):
        listing = list_patterns(problem, number, Blocks(problem, sheet).grow(lambda: True))
        pool.add(listing.patterns[row] for row in listing.maximal[::3])
    return pool


@settings(max_examples=150, deadline=None)
@given(problems(kinds=6, copies=4, pockets=False))
def test_what_is_exchanged_costs_as_much_and_can_be_cut(problem: Problem) -> None:
    pool = _pool(problem)
    alone = pool.solved().value
    with pool.standing_in(places_of(problem)):
        with_stand_ins = pool.solved().value
    assert with_stand_ins <= alone + 1e-6
    assert pool.solved().value == pytest.approx(with_stand_ins, abs=1e-6)
    for pattern in pool.columns.values():
        tree, sheet = pattern.make_tree(), problem.sheets[pattern.sheet]
        assert tuple(sorted(tree.kinds)) == pattern.kinds
        assert can_be_cut(tree, sheet.width, sheet.height, sheet.edges)


@settings(max_examples=60, deadline=None)
@given(problems(kinds=5, copies=3, pockets=False))
def test_with_all_patterns_there_is_nothing_to_gain(problem: Problem) -> None:
    pool = Pool(problem, Router(problem.cutters, problem.kerf))
    for number, sheet in enumerate(problem.sheets):
        listing = list_patterns(problem, number, Blocks(problem, sheet).grow(lambda: True))
        pool.add(listing.patterns)
    alone = pool.solved().value
    with pool.standing_in(places_of(problem)):
        assert pool.solved().value == pytest.approx(alone, abs=1e-6)


def _boxes(*sizes: tuple[int, int, int]) -> tuple[Kind, ...]:
    return tuple(Kind((Stand(*size),), 2) for size in sizes)


def test_a_smaller_piece_takes_the_place_of_the_next_larger_ones() -> None:
    kinds = _boxes((8, 5, 0), (7, 5, 0), (6, 4, 0), (5, 5, 0), (9, 3, 0))
    problem = Problem(kinds, (Sheet(20, 10),), 0)
    places = places_of(problem)
    assert set(places) == {(0, 1), (0, 2), (1, 2), (0, 3), (1, 3)}
    assert places_of(replace(problem, cutters=Cutters(snap=9))) == []


def test_none_where_there_are_too_many_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = Problem(_boxes((8, 5, 0), (7, 5, 0)), (Sheet(20, 10),), 0)
    assert places_of(problem) == [(0, 1)]
    monkeypatch.setattr("cutopt.solver.stand_in.MOST_KINDS", 1)
    assert places_of(problem) == []


def test_none_where_an_edge_or_a_notch_is_at_stake() -> None:
    sheet = (Sheet(20, 10),)
    assert places_of(Problem(_boxes((8, 5, 0), (7, 5, LEFT)), sheet, 0)) == []
    assert places_of(Problem(_boxes((8, 5, LEFT), (7, 5, LEFT)), sheet, 0)) == [(0, 1)]
    whole = _boxes((20, 5, LEFT | RIGHT), (20, 4, LEFT | RIGHT))
    assert places_of(Problem(whole, sheet, 0)) == []
    notched = Kind((Stand(6, 4, 0, (Pocket(LEFT | BOTTOM, 1, 1, 1, 1),)),), 1)
    assert places_of(Problem((*_boxes((8, 5, 0), (7, 5, 0)), notched), sheet, 0)) == []


def test_a_piece_turned_at_will_takes_the_place_of_one_that_lies_as_it_is() -> None:
    turned = Kind((Stand(4, 7, 0), Stand(7, 4, 0)), 1)
    (straight,) = _boxes((8, 5, 0))
    assert places_of(Problem((straight, turned), (Sheet(20, 10),), 0)) == [(0, 1)]
    assert places_of(Problem((turned, *_boxes((6, 3, 0))), (Sheet(20, 10),), 0)) == []
