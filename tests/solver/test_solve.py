"""The whole search on small problems, against trying everything, and how it stops."""

import threading
from collections import Counter

import pytest
from hypothesis import given, settings

from cutopt.solver import (
    BOTTOM,
    LEFT,
    Cutting,
    Kind,
    Problem,
    Sheet,
    Solution,
    Stand,
    effort,
    solve,
)
from cutopt.solver.extras import made_by, without_extras
from cutopt.solver.first_plan import first_plan
from cutopt.solver.master import PRICE_SCALE, Prices, bound_by
from cutopt.solver.problem import Join, Leaf
from cutopt.solver.solve import EFFORTS, _Search
from cutopt.stop import Cancelled, MaxProcessorSeconds, MaxSeconds, Progress, Told, first_of
from tests.solver.brute import can_be_cut, fewest
from tests.solver.problems import problems

LONG = first_of()


def assert_valid(problem: Problem, cuttings: list[Cutting] | tuple[Cutting, ...]) -> None:
    """Assert that a plan makes what is wanted from what is there, and that it can be cut."""
    uses: Counter[int] = Counter()
    for cutting in cuttings:
        sheet = problem.sheets[cutting.sheet]
        assert cutting.count > 0
        assert can_be_cut(cutting.tree, sheet.width, sheet.height, sheet.edges)
        uses[cutting.sheet] += cutting.count
    made = made_by(cuttings)
    assert tuple(made[kind] for kind in range(len(problem.kinds))) == problem.demands
    for number, sheet in enumerate(problem.sheets):
        assert sheet.limit is None or uses[number] <= sheet.limit


@settings(max_examples=100)
@given(problems(pockets=False))
def test_as_few_as_trying_everything(problem: Problem) -> None:
    found = solve(problem, MaxProcessorSeconds(20))
    assert_valid(problem, found.cuttings)
    assert found.new_sheets == found.bound == fewest(problem)


@settings(max_examples=60)
@given(problems(kinds=5, copies=4))
def test_the_first_plan_is_valid(problem: Problem) -> None:
    assert_valid(problem, first_plan(problem, problem.demands))


def test_the_first_plan_takes_offcuts_first() -> None:
    problem = Problem(
        (Kind((Stand(5, 5, LEFT),), 3),), (Sheet(9, 5), Sheet(5, 5, LEFT | BOTTOM, 2)), 1
    )
    assert {one.sheet: one.count for one in first_plan(problem, (3,))} == {1: 2, 0: 1}


def test_the_first_plan_of_very_many_is_a_small_one_repeated() -> None:
    problem = Problem(
        (Kind((Stand(4, 5, 0),), 5_001), Kind((Stand(2, 5, 0),), 7)), (Sheet(9, 5),), 1
    )
    plan = first_plan(problem, problem.demands)
    assert_valid(problem, plan)
    assert len(plan) < 50


def test_a_kind_that_fits_no_sheet_is_a_fault_of_ours() -> None:
    problem = Problem((Kind((Stand(9, 9, 0),), 1),), (Sheet(5, 5),), 0)
    with pytest.raises(ValueError, match="kind 0 fits no sheet"):
        first_plan(problem, (1,))


@pytest.mark.parametrize(
    ("prices", "most", "bound"),
    [
        ((50, 25), [100], 3),  # (4 x 50 + 3 x 25) / 100 = 2.75
        ((50, 25), [92], 3),
        ((50, 25), [91], 4),  # 275 / 91 is above 3
        ((0, 0), [0], 0),
        ((50, 25), [100, 50], 2),  # offcuts give 2 x 50 at the most
        ((50, 25), [100, 140], 0),
    ],
)
def test_a_bound_is_rounded_up_in_whole_numbers(
    prices: tuple[int, ...], most: list[int], bound: int
) -> None:
    kinds = tuple(Kind((Stand(1, 1, 0),), demand) for demand in (4, 3))
    sheets = (Sheet(9, 9), Sheet(5, 5, 0, 2))[: len(most)]
    problem = Problem(kinds, sheets, 0)
    assert bound_by(problem, Prices(prices, (100, 0), 0.0, ()), most) == bound


def test_a_bound_does_not_rest_on_floating_point() -> None:
    # A third of the scale, three to a sheet: 333,333,333 sheets and one piece more.
    third = PRICE_SCALE // 3
    wanted = 3 * 333_333_333
    for more, bound in ((0, 333_333_333), (1, 333_333_334)):
        problem = Problem((Kind((Stand(3, 9, 0),), wanted + more),), (Sheet(9, 9),), 0)
        assert bound_by(problem, Prices((third,), (PRICE_SCALE,), 0.0, ()), [3 * third]) == bound


LEAF = Leaf(0, Stand(2, 2, 0))
OTHER = Leaf(1, Stand(3, 2, 0))
PAIR = Join(LEAF, OTHER, True, 0)


def extras(demands: tuple[int, int], *cuttings: Cutting) -> list[Cutting]:
    kinds = (Kind((LEAF.stand,), demands[0]), Kind((OTHER.stand,), demands[1]))
    problem = Problem(kinds, (Sheet(5, 2), Sheet(5, 2, 0, 9)), 0)
    kept = without_extras(problem, list(cuttings))
    assert kept is not None
    assert_valid(problem, kept)
    return kept


def test_what_nobody_asked_for_is_left_out() -> None:
    assert extras((2, 1), Cutting(0, PAIR, 2)) == [Cutting(0, LEAF, 1), Cutting(0, PAIR, 1)]


def test_a_sheet_with_nothing_left_is_not_cut() -> None:
    assert extras((1, 1), Cutting(0, PAIR, 3)) == [Cutting(0, PAIR, 1)]


def test_new_sheets_are_spared_before_offcuts() -> None:
    kept = extras((2, 2), Cutting(1, PAIR, 2), Cutting(0, PAIR, 2))
    assert kept == [Cutting(1, PAIR, 2)]


def test_what_is_as_asked_for_stays_as_it_is() -> None:
    assert extras((3, 3), Cutting(0, PAIR, 3)) == [Cutting(0, PAIR, 3)]


def small() -> Problem:
    """Return a problem whose first plan is no proof."""
    sizes = [(37, 41), (53, 29), (61, 47), (44, 58), (29, 63), (71, 33), (48, 36), (55, 52)]
    kinds = tuple(Kind((Stand(*size, 0), Stand(*size, 0).turned()), 3) for size in sizes)
    return Problem(kinds, (Sheet(120, 90),), 1)


def test_the_same_seed_gives_the_same_solution() -> None:
    assert solve(small(), LONG, seed=3) == solve(small(), LONG, seed=3)


def test_few_cuts_are_preferred_among_the_patterns_of_use_however_many_others_there_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sizes = [(49, 51), (27, 41), (57, 56), (50, 44), (55, 47), (62, 38)]
    kinds = tuple(Kind((Stand(*size, 0), Stand(*size, 0).turned()), 4) for size in sizes)
    problem = Problem(kinds, (Sheet(120, 90),), 1)
    monkeypatch.setattr(effort, "MOST_PREFERRED", 44)  # of 146 patterns, 44 are of use
    assert solve(problem, LONG).followed
    monkeypatch.setattr(effort, "MOST_PREFERRED", 43)
    assert not solve(problem, LONG).followed


@pytest.mark.parametrize("seconds", [0.0, 0.001, 0.05])
def test_out_of_time_means_a_valid_plan_and_an_honest_bound(seconds: float) -> None:
    best = solve(small(), LONG)
    assert (best.stopped, best.bound) == ("done", best.new_sheets)
    cut_short = solve(small(), MaxSeconds(seconds))
    assert_valid(small(), cut_short.cuttings)
    assert cut_short.bound <= best.new_sheets <= cut_short.new_sheets
    assert cut_short.stopped == "time" or cut_short.bound == cut_short.new_sheets


def cancelled_after(steps: int) -> tuple[Solution, list[str]]:
    """Return what comes of a search that is cancelled when it tells of its n-th step."""
    event, told = threading.Event(), list[str]()

    def tell(progress: Progress) -> None:
        told.append(progress.step)
        if len(told) > steps:
            event.set()

    return solve(small(), first_of(Told(tell), Cancelled(event))), told


@pytest.mark.parametrize("steps", [0, 1, 2, 3, 5])
def test_cancelled_at_any_step_means_the_same(steps: int) -> None:
    found, told = cancelled_after(steps)
    assert_valid(small(), found.cuttings)
    assert found.bound <= found.new_sheets
    assert found.stopped == "cancelled" or len(told) <= steps


def test_nothing_wanted_takes_nothing() -> None:
    assert solve(Problem((), (Sheet(9, 9),), 1), LONG) == Solution((), 0, followed=True)


def test_a_stop_is_asked_for_the_tile_by_its_name() -> None:
    told: list[Progress] = []
    solve(small(), first_of(Told(told.append), LONG), name="field")
    assert {progress.tile for progress in told} == {"field"}
    assert [progress.bound for progress in told] == sorted(progress.bound for progress in told)


def test_prices_are_found_even_where_no_time_was_left_for_the_relaxation() -> None:
    problem = Problem((Kind((Stand(6, 6, 0),), 4),), (Sheet(10, 10),), 0)
    search = _Search(problem, LONG, 0, "")
    search.start()
    assert search.bound == 2  # by area
    assert search.list_patterns(EFFORTS[0])
    search.choose()
    assert search.proof
    assert (search.bound, search.proof.proves) == (4, 4)
