"""The columns and their relaxation: what counts while some are fixed, and what is forgotten."""

import pytest
from ortools.linear_solver import pywraplp

from cutopt.solver import Cutters, Kind, Problem, Sheet, Stand
from cutopt.solver import pool as pools
from cutopt.solver.cutters import Router
from cutopt.solver.master import Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.pool import Pool
from cutopt.solver.problem import Leaf
from cutopt.solver.relaxation import Relaxation


def _pattern(*kinds: int) -> Pattern:
    return Pattern(0, kinds, 1, 0, lambda: Leaf(0, Stand(1, 1, 0)))


def _problem(*demands: int) -> Problem:
    kinds = tuple(Kind((Stand(1, 1, 0),), demand) for demand in demands)
    return Problem(kinds, (Sheet(9, 9),), 0)


def _pool(problem: Problem, patterns: list[Pattern]) -> Pool:
    pool = Pool(problem, Router(Cutters(), problem.kerf))
    pool.add(patterns)
    return pool


def test_beside_fixed_columns_a_column_counts_for_no_more_than_is_still_wanted() -> None:
    # Seven pieces, three a sheet: after two whole sheets one piece takes a whole sheet more.
    relaxation = Relaxation(_problem(7))
    relaxation.add([_pattern(0, 0, 0)])
    assert relaxation.solved().value == pytest.approx(7 / 3)
    relaxation.fix({0: 2})
    assert relaxation.wanted == (1,)
    assert relaxation.solved().value == pytest.approx(3)
    assert relaxation.solved().wanted == (1,)


def test_a_column_that_comes_meanwhile_counts_for_no_more_either() -> None:
    relaxation = Relaxation(_problem(7))
    relaxation.add([_pattern(0, 0, 0)])
    relaxation.fix({0: 2})
    relaxation.add([_pattern(0, 0)])
    assert relaxation.solved().value == pytest.approx(3)


def test_with_nothing_fixed_all_counts_again() -> None:
    relaxation = Relaxation(_problem(7, 2))
    relaxation.add([_pattern(0, 0, 0), _pattern(0, 1, 1)])
    before = relaxation.solved().value
    relaxation.fix({0: 2})
    relaxation.fix({0: 1, 1: 1})
    relaxation.fix({})
    assert relaxation.wanted == (7, 2)
    assert relaxation.solved().value == pytest.approx(before)


def test_more_than_all_may_be_fixed() -> None:
    relaxation = Relaxation(_problem(2))
    relaxation.add([_pattern(0, 0, 0)])
    relaxation.fix({0: 2})
    assert relaxation.wanted == (0,)
    assert relaxation.solved().value == pytest.approx(2)


def test_of_many_columns_the_used_and_the_nearly_used_are_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pools, "MOST_SEARCHED", 4)
    problem = _problem(3, 3)
    pool = _pool(problem, [_pattern(0), _pattern(1), _pattern(0, 1), _pattern(0, 0, 1)])
    assert pool.forget(pool.solved()) == pool.solved()
    pool.add([_pattern(0, 1, 1)])
    prices = pool.solved()
    kept = pool.forget(prices)
    assert set(pool.columns) == {(0, (0, 0, 1)), (0, (0, 1, 1))}
    assert len(kept.amounts) == 2
    assert pool.solved().value == pytest.approx(prices.value)
    assert not pool.is_known(0, (0,))


def test_what_is_used_is_kept_whatever_else_falls_no_shorter(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pools, "MOST_SEARCHED", 2)
    problem = _problem(1, 1)
    pool = _pool(problem, [_pattern(0), _pattern(1), _pattern(0, 0), _pattern(1, 1)])
    prices = Prices((10, 10), (10,), 2.0, (0.0, 1.0, 1.0, 0.0))
    assert pool.forget(prices).amounts == (1.0, 1.0)
    assert set(pool.columns) == {(0, (1,)), (0, (0, 0))}


def test_a_solver_gone_astray_begins_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    # Seen once in some hundred hard instances: status 4 (abnormal) from its last basis.
    relaxation = Relaxation(_problem(7, 2))
    relaxation.add([_pattern(0, 0, 0), _pattern(0, 1, 1)])
    relaxation.fix({0: 2})
    before, solve, answers = relaxation.solved(), pywraplp.Solver.Solve, iter([4])
    monkeypatch.setattr(
        pywraplp.Solver, "Solve", lambda solver: next(answers, None) or solve(solver)
    )
    assert relaxation.solved() == before
    assert len(relaxation) == 2


def test_one_that_stays_astray_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    relaxation = Relaxation(_problem(7))
    relaxation.add([_pattern(0)])
    monkeypatch.setattr(pywraplp.Solver, "Solve", lambda _: 4)
    with pytest.raises(RuntimeError, match="status 4"):
        relaxation.solved()


def test_columns_beyond_what_a_plan_may_cost_are_no_use_to_it() -> None:
    # Three pieces in pairs: the relaxation costs 1.5. A single piece falls half a sheet short.
    problem = _problem(1, 1, 1)
    pool = _pool(problem, [_pattern(0, 1), _pattern(1, 2), _pattern(0, 2), _pattern(0)])
    for cost, many in ((1.9, 3), (2.0, 4), (1.4, 0)):
        assert list(pool.within(cost).columns) == list(pool.columns)[:many]
