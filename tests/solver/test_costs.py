"""Several formats with prices and limits, against trying everything."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Kind, Problem, Sheet, Solution, Stand, missing_in, solve
from cutopt.solver.first_plan import Short, first_plan
from cutopt.solver.master import proven_by
from cutopt.stop import MaxProcessorSeconds
from tests.solver.brute import cheapest
from tests.solver.problems import problems
from tests.solver.test_solve import assert_valid


def square(side: int, demand: int, lots: frozenset[int] | None = None) -> Kind:
    return Kind((Stand(side, side, 0),), demand, lots)


def formats(*sheets: Sheet, kinds: tuple[Kind, ...]) -> Problem:
    return Problem(kinds, sheets, 0)


def solved(problem: Problem) -> Solution:
    found = solve(problem, MaxProcessorSeconds(20))
    assert found.bound == problem.cost_of(found.cuttings)
    assert_valid(problem, found.cuttings)
    return found


@pytest.mark.parametrize(("price", "cost"), [(3, 6), (4, 8), (5, 8)])
def test_the_format_that_costs_least_is_taken(price: int, cost: int) -> None:
    # Four pieces: four small tiles at 2 each, or two to a large one.
    large, small = Sheet(4, 2, cost=price), Sheet(2, 2, cost=2)
    assert solved(formats(large, small, kinds=(square(2, 4),))).bound == cost


def test_a_limit_sends_the_rest_to_the_dearer_format() -> None:
    cheap, dear = Sheet(2, 2, limit=3, cost=1), Sheet(2, 2, cost=5)
    found = solved(formats(cheap, dear, kinds=(square(2, 5),)))
    assert found.bound == 3 + 2 * 5


def test_a_piece_comes_only_of_its_lots() -> None:
    cheap, dear = Sheet(2, 2, cost=1, lot=0), Sheet(2, 2, cost=5, lot=1)
    kinds = square(2, 2, frozenset({1})), square(2, 1)
    assert solved(formats(cheap, dear, kinds=kinds)).bound == 11


@pytest.mark.parametrize(("limit", "missing"), [(3, 0), (2, 1), (0, 3)])
def test_what_is_missing_is_counted(limit: int, missing: int) -> None:
    problem = formats(Sheet(4, 2, limit=limit, cost=7), kinds=(square(2, 6),))
    found = solve(problem, MaxProcessorSeconds(20))
    assert missing_in(problem, found) == (missing, missing)


def test_enough_for_a_careful_plan_is_enough() -> None:
    # Largest first cuts 6 + 5, 5 + 4 + 4, 4; two sheets do it with 6 + 4 + 4 and 5 + 5 + 4.
    kinds = tuple(Kind((Stand(width, 1, 0),), times) for width, times in ((6, 1), (5, 2), (4, 3)))
    problem = Problem(kinds, (Sheet(14, 1, limit=2),), 0)
    with pytest.raises(Short):
        first_plan(problem, problem.demands)
    assert missing_in(problem, solve(problem, MaxProcessorSeconds(20))) == (0, 0)


def test_a_bound_counts_in_whole_units_of_cost() -> None:
    problem = formats(Sheet(4, 2, cost=3), Sheet(2, 2, limit=2, cost=1), kinds=(square(2, 5),))
    # Where two pieces are worth 3 the small ones give 2 x 1/2 beyond their cost: 15/2 - 1 = 6.5.
    assert proven_by(problem, (1,), (2, 1)) == 7
    assert solved(problem).bound == 1 + 6


@st.composite
def priced(draw: st.DrawFn) -> Problem:
    """Draw a problem with two or three formats; every kind fits the first, which may be short."""
    problem = draw(problems(pockets=False))
    first, *offcuts = problem.sheets
    few = draw(st.sampled_from([None, None, 1, 2]))
    sheets = [replace(first, cost=draw(st.integers(1, 9)), limit=few)]
    for lot in range(1, draw(st.integers(2, 3))):
        size = draw(st.integers(2, 8)), draw(st.integers(2, 7))
        limit = draw(st.sampled_from([None, 1, 2]))
        sheets.append(Sheet(*size, limit=limit, cost=draw(st.integers(1, 9)), lot=lot))
    lots = st.sampled_from([None, None, frozenset({0}), frozenset({0, 1})])
    kinds = tuple(replace(kind, lots=draw(lots)) for kind in problem.kinds)
    return replace(problem, kinds=kinds, sheets=(*sheets, *offcuts))


@settings(max_examples=80, deadline=None)
@given(priced())
def test_as_cheap_as_trying_everything(problem: Problem) -> None:
    found, least = solve(problem, MaxProcessorSeconds(20)), cheapest(problem)
    missing, at_least = missing_in(problem, found)
    assert (missing == 0) == (least is not None)
    assert missing == at_least
    if least is not None:
        assert_valid(problem, found.cuttings)
        assert least == problem.cost_of(found.cuttings) == found.bound


@settings(max_examples=30, deadline=None)
@given(problems(pockets=False), st.integers(2, 9))
def test_one_format_at_any_price_takes_as_many_as_without(problem: Problem, price: int) -> None:
    sheets = replace(problem.sheets[0], cost=price), *problem.sheets[1:]
    found, plain = (
        solve(one, MaxProcessorSeconds(20)) for one in (replace(problem, sheets=sheets), problem)
    )
    assert (found.new_sheets, found.bound) == (plain.new_sheets, plain.new_sheets * price)
