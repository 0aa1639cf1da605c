"""Pricing: the best worth of a sheet, exactly, from above and from below, against trying all."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Kind, Problem, Sheet, Stand
from cutopt.solver.axis import COARSE
from cutopt.solver.fits import truly_fits
from cutopt.solver.pricing import Priced, Pricer, Rounding
from tests.solver.brute import Worth, can_be_cut
from tests.solver.problems import problems

PRICES = st.lists(st.integers(0, 9), min_size=3, max_size=3)


def priced(
    problem: Problem,
    sheet: Sheet,
    prices: list[int],
    rounding: Rounding = Rounding.NONE,
    steps: int = COARSE,
) -> Priced:
    found = Pricer(problem, sheet, rounding=rounding, steps=steps).price(prices, lambda: True)
    assert found is not None
    return found


def unlimited(problem: Problem) -> Problem:
    """Return the problem with more of every kind wanted than any sheet holds."""
    kinds = tuple(replace(kind, demand=99) for kind in problem.kinds)
    return Problem(kinds, problem.sheets, problem.kerf)


def best(problem: Problem, sheet: Sheet, prices: list[int]) -> int:
    return Worth(problem, tuple(prices)).of(sheet.width, sheet.height, sheet.edges)


@settings(max_examples=150)
@given(problems(), PRICES)
def test_the_worth_is_the_best_of_all_ways_to_cut(problem: Problem, prices: list[int]) -> None:
    for sheet in problem.sheets:
        exact = best(problem, sheet, prices)
        assert priced(unlimited(problem), sheet, prices).worth == exact


@settings(max_examples=80)
@given(problems(), PRICES, st.sampled_from([11, 13, 24]))
def test_rounded_down_is_never_below_rounded_up_never_above(
    problem: Problem, prices: list[int], coarse: int
) -> None:
    many = unlimited(problem)
    for sheet in problem.sheets:
        exact = best(problem, sheet, prices)
        assert priced(many, sheet, prices, Rounding.DOWN, coarse).worth >= exact
        assert priced(many, sheet, prices, Rounding.UP, coarse).worth <= exact


@settings(max_examples=80)
@given(problems(), PRICES, st.integers(0, 12))
def test_cuttings_truly_fit_and_are_worth_more_than_asked(
    problem: Problem, prices: list[int], least: int
) -> None:
    for sheet in problem.sheets:
        found = priced(unlimited(problem), sheet, prices)
        trees = list(found.trees(least, 20))
        assert bool(trees) >= (found.worth > least)
        for tree in trees:
            worth = sum(prices[kind] for kind in tree.kinds)
            assert least < worth <= found.worth
            assert can_be_cut(tree, sheet.width, sheet.height, sheet.edges)
            assert truly_fits(tree, sheet)
        if trees:
            assert sum(prices[kind] for kind in trees[0].kinds) == found.worth


@settings(max_examples=80)
@given(problems(), PRICES, st.sampled_from([3, 5, 11]))
def test_what_is_said_to_fit_on_a_coarse_grid_does(
    problem: Problem, prices: list[int], coarse: int
) -> None:
    for sheet in problem.sheets:
        for rounding in (Rounding.DOWN, Rounding.UP):
            for tree in priced(unlimited(problem), sheet, prices, rounding, coarse).trees(0, 20):
                fits = can_be_cut(tree, sheet.width, sheet.height, sheet.edges)
                assert fits or not truly_fits(tree, sheet)
                assert fits or rounding is Rounding.DOWN


def test_told_to_stop_it_has_no_answer() -> None:
    problem = Problem((Kind((Stand(2, 2, 0),), 1),), (Sheet(9, 9),), 0)
    assert Pricer(problem, problem.new).price([1], lambda: False) is None


#: Beasley 1985, gcut1; and Christofides and Whitlock 1977, problems 1 and 2; Oliveira and
#: Ferreira 1990, problem 1: width, height, value (the area where none is given).
PUBLISHED: dict[str, tuple[tuple[int, int], list[tuple[int, ...]]]] = {
    "gcut1": (
        (250, 250),
        [
            *((167, 184), (114, 118), (167, 152), (83, 140), (70, 86), (143, 166), (120, 160)),
            *((66, 148), (87, 141), (69, 165)),
        ],
    ),
    "cw1": (
        (15, 10),
        [
            *((8, 4, 66), (3, 7, 35), (8, 2, 24), (3, 4, 17), (3, 3, 11), (3, 2, 8)),
            (2, 1, 2),
        ],
    ),
    "cw2": (
        (40, 70),
        [
            *((21, 22, 582), (31, 13, 403), (9, 35, 315), (9, 24, 216), (30, 7, 210)),
            *((11, 13, 143), (10, 14, 140), (14, 8, 110), (12, 8, 94), (13, 7, 90)),
        ],
    ),
    "of1": (
        (70, 40),
        [
            *((29, 5), (9, 39), (55, 9), (31, 15), (11, 16), (23, 21), (29, 14), (16, 19)),
            *((9, 36), (22, 4)),
        ],
    ),
}


@pytest.mark.parametrize(
    ("name", "turns", "value"),
    [
        ("gcut1", 1, 56_460),
        ("gcut1", 4, 58_136),
        ("cw1", 1, 249),
        ("cw2", 1, 3_076),
        ("of1", 1, 2_758),
    ],
)
def test_published_values(name: str, turns: int, value: int) -> None:
    """The most that one sheet is worth, any number of each piece, cut edge to edge.

    Sources: gcut1 a university page (56,460 fixed, 58,136 turned), cw1, cw2 and of1 as published
    with the instances (249, 3076, 2758); the data of cw1 are from memory and confirmed by the
    value.
    """
    size, pieces = PUBLISHED[name]
    kinds, prices = [], []
    for width, height, *worth in pieces:
        first = Stand(width, height, 0)
        kinds.append(Kind((first, first.turned())[: 2 if turns == 4 else 1], 999))
        prices.append(worth[0] if worth else width * height)
    problem = Problem(tuple(kinds), (Sheet(*size),), 0)
    found = priced(problem, problem.new, prices)
    assert found.worth == value
    tree = next(found.trees(value - 1, 1))
    assert can_be_cut(tree, *size, 0)
    assert sum(prices[kind] for kind in tree.kinds) == value


def test_a_side_of_very_many_sums_is_rounded_however_few_the_other_has() -> None:
    def fine(many: int) -> bool:
        stands = (Stand(6_000 + 7 * number, 90, 0) for number in range(many))
        kinds = tuple(Kind((stand,), 99) for stand in stands)
        return not Pricer(Problem(kinds, (Sheet(60_000, 90),), 0), Sheet(60_000, 90)).is_too_fine

    assert fine(3)
    assert not fine(300)
