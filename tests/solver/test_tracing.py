"""Patterns read from worths: within what is wanted, and given up for a while when in vain."""

from collections import Counter
from collections.abc import Collection

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Kind, Problem, Sheet, Stand
from cutopt.solver.fits import truly_fits
from cutopt.solver.master import Prices
from cutopt.solver.pricing import Pricer
from cutopt.solver.tracing import Tracer
from tests.solver.problems import problems


def _tracer(problem: Problem, known: Collection[tuple[int, ...]] = ()) -> Tracer:
    pricer = Pricer(problem, problem.new, capped=False)
    return Tracer(problem, 0, pricer, lambda _, kinds: tuple(sorted(kinds)) in known)


def _prices(*of_kind: int, wanted: tuple[int, ...] = ()) -> Prices:
    return Prices(of_kind, (10,), 0.0, (), wanted)


@settings(max_examples=100, deadline=None)
@given(problems(), st.lists(st.integers(0, 9), min_size=3, max_size=3), st.integers(0, 12))
def test_every_pattern_fits_is_worth_more_and_within_what_is_wanted(
    problem: Problem, of_kind: list[int], least: int
) -> None:
    prices = _prices(*of_kind[: len(problem.kinds)])
    patterns, priced = _tracer(problem).trace(prices, least, lambda: True)
    assert priced is not None
    for pattern in patterns:
        assert prices.worth(pattern.kinds) > least
        assert truly_fits(pattern.make_tree(), problem.new)
        counts = Counter(pattern.kinds).items()
        assert all(times <= problem.kinds[kind].demand for kind, times in counts)


#: Four squares fill the sheet; strips beside one another fill it as well.
SQUARES = Kind((Stand(5, 5, 0),), 1), Kind((Stand(5, 10, 0),), 9)


def test_what_is_too_much_is_left_out() -> None:
    problem = Problem(SQUARES[:1], (Sheet(10, 10),), 0)
    patterns, _ = _tracer(problem).trace(_prices(9), 8, lambda: True)
    assert [pattern.kinds for pattern in patterns] == [(0,)]


def test_a_kind_that_comes_too_often_counts_less_then() -> None:
    # At 9 a square four of them are worth most; only one is wanted, which alone is worth too
    # little. Counting a quarter they give way to two strips.
    problem = Problem(SQUARES, (Sheet(10, 10),), 0)
    patterns, priced = _tracer(problem).trace(_prices(9, 6), 11, lambda: True)
    assert priced is not None
    assert priced.worth == 36
    assert (1, 1) in [pattern.kinds for pattern in patterns]


def test_of_less_that_is_still_wanted_no_more_is_read() -> None:
    problem = Problem((Kind((Stand(5, 5, 0),), 9),), (Sheet(10, 10),), 0)
    patterns, _ = _tracer(problem).trace(_prices(9, wanted=(3,)), 8, lambda: True)
    assert [pattern.kinds for pattern in patterns] == [(0, 0, 0)]


def test_after_reading_in_vain_it_rests_longer_each_time() -> None:
    problem = Problem(SQUARES[:1], (Sheet(10, 10),), 0)
    tracer = _tracer(problem, known={(0,)})
    read = [tracer.trace(_prices(9), 8, lambda: True)[1] is not None for _ in range(12)]
    assert read == [True, *[False] * 1, True, *[False] * 3, True, *[False] * 5]


def test_told_to_stop_it_reads_nothing() -> None:
    problem = Problem(SQUARES, (Sheet(10, 10),), 0)
    assert _tracer(problem).trace(_prices(9, 6), 0, lambda: False) == ([], None)
