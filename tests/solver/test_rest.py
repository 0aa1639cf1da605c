"""What a plunge leaves is planned with as few sheets as trying everything needs, or not at all."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings

from cutopt.solver import Cutters, Cutting, Kind, Problem, Sheet, Stand
from cutopt.solver.blocks import Caps
from cutopt.solver.cutters import Router
from cutopt.solver.dive import Step
from cutopt.solver.first_plan import first_plan
from cutopt.solver.master import Watch
from cutopt.solver.patterns import pattern_of
from cutopt.solver.pool import Pool
from cutopt.solver.rest import Rest
from tests.solver import brute
from tests.solver.problems import problems
from tests.solver.test_solve import assert_valid


def _rest(problem: Problem) -> Rest:
    router = Router(problem.cutters, problem.kerf)
    return Rest(problem, router, [], lambda: Watch(60, 1000, lambda: False), 0)


def _begun(problem: Problem, cuttings: Sequence[Cutting]) -> tuple[Pool, Step]:
    """Return the columns of a plan, the first of which is fixed once, and what is still wanted."""
    pool = Pool(problem, Router(problem.cutters, problem.kerf))
    pool.add(pattern_of(cutting.sheet, cutting.tree) for cutting in cuttings)
    made = Counter(cuttings[0].tree.kinds)
    wanted = tuple(demand - made[kind] for kind, demand in enumerate(problem.demands))
    return pool, Step({0: 1}, wanted)


def _fewest_left(problem: Problem, wanted: Sequence[int], used: int) -> int:
    """Return the fewest new sheets for what is still wanted, one sheet being used already."""
    kinds = [
        replace(kind, demand=many) for kind, many in zip(problem.kinds, wanted, strict=True) if many
    ]
    sheets = [
        replace(sheet, limit=sheet.limit - (number == used)) if sheet.limit else sheet
        for number, sheet in enumerate(problem.sheets)
    ]
    return brute.fewest(replace(problem, kinds=tuple(kinds), sheets=tuple(sheets)))


@settings(max_examples=60, deadline=None)
@given(problems())
def test_as_few_as_trying_everything(problem: Problem) -> None:
    cuttings = first_plan(problem, problem.demands)
    pool, step = _begun(problem, cuttings)
    if not any(step.wanted):
        return
    begun = problem.costs[cuttings[0].sheet]
    fewest = begun + _fewest_left(problem, step.wanted, cuttings[0].sheet)
    plan = _rest(problem).plan(pool, [step], fewest)
    assert plan is not None
    assert problem.cost_of(plan) <= fewest
    assert_valid(problem, plan)
    assert _rest(problem).plan(pool, [step], fewest - 1) is None


def _small() -> tuple[Rest, Pool, Step]:
    problem = Problem((Kind((Stand(3, 2, 0),), 5),), (Sheet(6, 4),), 0)
    pool, step = _begun(problem, [Cutting(0, first_plan(problem, (2,))[0].tree, 1)])
    return _rest(problem), pool, step


def test_the_first_step_that_leaves_few_enough_is_planned() -> None:
    rest, pool, step = _small()
    rest.most = 2
    assert rest.plan(pool, [step], 2) is None
    plan = rest.plan(pool, [step, Step({0: 2}, (1,))], 3)
    assert plan is not None
    assert rest.problem.cost_of(plan) == 3


def test_fewer_pieces_are_tried_where_not_all_can_be_listed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rest, pool, step = _small()
    before = rest.most
    monkeypatch.setattr("cutopt.solver.rest.CAPS", Caps(pairs=0))
    assert rest.plan(pool, [step], 2) is None
    assert rest.most < before


def test_of_no_use_where_new_sheets_may_run_out_or_the_saw_cannot_reach() -> None:
    problem = _small()[0].problem
    assert _rest(problem).is_of_use
    assert not _rest(replace(problem, sheets=(Sheet(6, 4, limit=3),))).is_of_use
    assert not _rest(replace(problem, cutters=Cutters(saw=5))).is_of_use
