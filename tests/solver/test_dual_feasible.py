"""Dual feasible functions: what they must keep, and the bounds of published instances."""

import csv
from collections import Counter
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.planning.pose import pose
from cutopt.solver import Kind, Pocket, Problem, Sheet, Stand
from cutopt.solver.dual_feasible import (
    Counted,
    beside,
    functions,
    halved,
    proof_by_functions,
    rounded,
    small,
)
from tests.known_optima.instances import DATA, instances, of_items
from tests.solver.brute import fewest
from tests.solver.problems import problems

WHOLES = range(2, 31)


def _all(whole: int) -> list[Counted]:
    sizes = np.arange(whole + 1)
    steps = range(1, whole // 2 + 1)
    return [
        *(small(whole, step, sizes) for step in steps),
        *(halved(whole, step, sizes) for step in steps),
        *(rounded(whole, parts, sizes) for parts in range(1, 20)),
    ]


@pytest.mark.parametrize("whole", WHOLES)
def test_sizes_that_fit_are_worth_no_more_than_what_they_fit_into(whole: int) -> None:
    for function in _all(whole):
        values = function.values
        assert values[whole] == function.top
        for one in range(whole + 1):
            for other in range(whole + 1 - one):
                assert values[one] + values[other] <= values[one + other]


@settings(max_examples=300, deadline=None)
@given(
    st.integers(2, 20).flatmap(
        lambda whole: st.tuples(
            st.just(whole),
            st.integers(1, max(1, whole // 2)),
            st.lists(st.tuples(st.integers(1, whole), st.integers(1, 3)), min_size=1, max_size=4),
        )
    )
)
def test_pieces_beside_one_another_are_worth_no_more_than_the_whole(
    case: tuple[int, int, list[tuple[int, int]]],
) -> None:
    whole, step, pieces = case
    sizes, times = (np.array(column) for column in zip(*pieces, strict=True))
    function = beside(whole, step, sizes, times)
    for many in range(1, 7):
        for chosen in combinations_with_replacement(range(len(pieces)), many):
            within = all(times[piece] >= number for piece, number in Counter(chosen).items())
            if within and sizes[list(chosen)].sum() <= whole:
                assert function.values[list(chosen)].sum() <= function.top


@settings(max_examples=80, deadline=None)
@given(problems(pockets=False))
def test_no_bound_exceeds_what_trying_everything_finds(problem: Problem) -> None:
    proof = proof_by_functions(problem)
    assert proof is not None
    assert proof.proves <= fewest(problem)


def _squares(side: int, many: int, whole: int = 20) -> int:
    kind = Kind((Stand(side, side, 0),), many)
    proof = proof_by_functions(Problem((kind,), (Sheet(whole, whole),), 0))
    assert proof is not None
    return proof.proves


def test_squares_just_over_half_a_sheet_take_one_each() -> None:
    assert _squares(11, 3) == 3


def test_squares_of_half_a_sheet_share_it() -> None:
    assert _squares(10, 4) == 1
    assert _squares(10, 5) == 2


def test_the_kerf_counts_with_each_piece() -> None:
    kind = Kind((Stand(10, 10, 0),), 2)
    proofs = [proof_by_functions(Problem((kind,), (Sheet(20, 10),), kerf)) for kerf in (0, 1)]
    assert [proof and proof.proves for proof in proofs] == [1, 2]


def test_an_offcut_is_worth_what_fits_it() -> None:
    kind = Kind((Stand(11, 11, 0),), 3)
    offcuts = Sheet(12, 12, limit=1), Sheet(9, 20, limit=5)
    proof = proof_by_functions(Problem((kind,), (Sheet(20, 20), *offcuts), 0))
    assert proof is not None
    assert proof.proves == 2


def test_there_is_none_where_notches_host_other_pieces() -> None:
    host = Kind((Stand(5, 5, 0, (Pocket(5, 2, 2, 2, 2),)),), 1)
    assert proof_by_functions(Problem((host,), (Sheet(9, 9),), 0)) is None


def test_functions_that_say_the_same_come_once() -> None:
    found = functions(20, np.array([11, 12, 20]), np.array([1, 1, 0]))
    shapes = {tuple(np.round(one.values / one.top, 9)) for one in found}
    assert len(shapes) == len(found)


#: Where the table's bound is better than ours, by so much: class, size, pieces turned.
BETTER_KNOWN = {(7, 40, "quarter"): 2}


@pytest.mark.parametrize("turn", ["none", "quarter"])
def test_sums_of_published_instances(turn: str) -> None:
    """As they were computed for this project by others' code (tests/data/README.md, `LB_dff`)."""
    found: Counter[tuple[int, int]] = Counter()
    for one in instances("bin2d_odd_classes.json"):
        if one["n"] <= 40:
            request = of_items((one["W"], one["H"]), map(tuple, one["items"]), turn)
            posed = pose(request, request.tiles[0])
            found[one["class"], one["n"]] += sum(piece.quantity for piece in posed.full)
            proof = proof_by_functions(posed.problem)
            assert proof is not None
            found[one["class"], one["n"]] += proof.proves
    column = {"none": "LB_dff_O", "quarter": "LB_dff_R"}[turn]
    with (DATA / "bin2d_odd_classes_best_known.csv").open(encoding="utf-8") as file:
        known = {(int(row["cls"]), int(row["n"])): int(row[column]) for row in csv.DictReader(file)}
    assert found == {cell: known[cell] - BETTER_KNOWN.get((*cell, turn), 0) for cell in found}
