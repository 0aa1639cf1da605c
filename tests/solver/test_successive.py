"""Plans made sheet after sheet, and what the relaxation left over: valid, and no dearer."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings

from cutopt.solver import Cutters, Kind, Problem, Sheet, Stand
from cutopt.solver.cutters import Router
from cutopt.solver.first_plan import first_plan
from cutopt.solver.master import Prices, prices_by_area
from cutopt.solver.patterns import pattern_of
from cutopt.solver.pool import Pool
from cutopt.solver.problem import Cutting
from cutopt.solver.rounding import Planner, filled_up
from cutopt.solver.successive import Successive
from tests.solver.problems import problems
from tests.solver.test_solve import assert_valid


def _successive(problem: Problem, prices: Prices) -> Successive:
    return Successive(problem, prices, np.random.default_rng(0), lambda: True)


@settings(max_examples=100, deadline=None)
@given(problems(kinds=5, copies=4))
def test_all_that_is_wanted_is_made_and_can_be_cut(problem: Problem) -> None:
    problem = replace(problem, sheets=problem.sheets[:1])
    plan = _successive(problem, prices_by_area(problem)).plan((), problem.demands)
    assert plan is not None
    assert_valid(problem, plan)


@settings(max_examples=60, deadline=None)
@given(problems(kinds=5, copies=4))
def test_columns_used_in_part_come_first_and_nothing_is_made_too_often(problem: Problem) -> None:
    problem = replace(problem, sheets=problem.sheets[:1])
    pool = Pool(problem, Router(problem.cutters, problem.kerf))
    pool.add(pattern_of(one.sheet, one.tree) for one in first_plan(problem, problem.demands))
    columns, prices = pool.first(len(pool)), pool.solved()
    plan = _successive(problem, prices).plan(columns, problem.demands)
    assert plan is not None
    assert_valid(problem, plan)


def test_the_column_most_of_which_was_left_over_is_used_once() -> None:
    problem = Problem((Kind((Stand(3, 2, 0),), 7),), (Sheet(6, 4),), 0)
    (whole,) = first_plan(problem, (4,))
    prices = Prices((25 * 10**5,), (10**7,), 1.75, (1.75,))
    plan = _successive(problem, prices).plan([pattern_of(0, whole.tree)], problem.demands)
    assert plan is not None
    assert plan[0] == Cutting(0, whole.tree, 1)
    assert problem.cost_of(plan) == 2


def test_told_to_stop_there_is_no_plan() -> None:
    problem = Problem((Kind((Stand(3, 2, 0),), 7),), (Sheet(6, 4),), 0)
    stopped = replace(_successive(problem, prices_by_area(problem)), goes_on=lambda: False)
    assert stopped.plan((), problem.demands) is None


def test_offcuts_limited_sheets_and_short_saws_are_left_to_others() -> None:
    problem = Problem((Kind((Stand(3, 2, 0),), 7),), (Sheet(6, 4),), 0)
    assert Successive.serves(problem)
    assert not Successive.serves(replace(problem, sheets=(Sheet(6, 4), Sheet(3, 3, limit=1))))
    assert not Successive.serves(replace(problem, sheets=(Sheet(6, 4, limit=9),)))
    assert not Successive.serves(replace(problem, cutters=Cutters(saw=4)))


def _always(plan: list[Cutting] | None) -> Planner:
    return lambda _: plan


def test_what_rounding_leaves_is_planned_the_way_that_costs_less() -> None:
    problem = Problem((Kind((Stand(3, 2, 0),), 7),), (Sheet(6, 4),), 0)
    (whole,) = first_plan(problem, (4,))
    columns = [pattern_of(0, whole.tree)]
    (three,) = first_plan(problem, (3,))
    dear = [Cutting(0, first_plan(problem, (1,))[0].tree, 3)]
    for otherwise in ([three], dear, None):
        plan = filled_up(problem, columns, [1], _always(otherwise))
        assert plan is not None
        assert_valid(problem, plan)
        assert problem.cost_of(plan) == 2
