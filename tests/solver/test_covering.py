"""Listed patterns alone: the fewest sheets, and kinds that never lie on one sheet."""

from cutopt.solver import Kind, Problem, Sheet, Stand, fewest_of
from cutopt.stop import MaxSeconds


def pieces(*widths: int, kerf: int = 2) -> Problem:
    kinds = tuple(Kind((Stand(width, 50, 0),), 1) for width in widths)
    return Problem(kinds, (Sheet(100, 50),), kerf)


def bound_of(problem: Problem, *apart: tuple[int, int], target: int = 99) -> int:
    found = fewest_of(problem, frozenset(apart), target, MaxSeconds(5))
    assert found is not None
    return found.bound


def test_two_that_just_fit_one_sheet_and_two_that_do_not() -> None:
    assert bound_of(pieces(49, 49)) == 1
    assert bound_of(pieces(49, 50)) == 2


def test_kinds_that_are_apart_take_a_sheet_each() -> None:
    assert bound_of(pieces(48, 49)) == 1
    assert bound_of(pieces(48, 49), (0, 1)) == 2


def test_nothing_is_cut_once_the_target_is_reached() -> None:
    found = fewest_of(pieces(60, 61), frozenset(), 2, MaxSeconds(5))
    assert found is not None
    assert (found.bound, found.cuttings) == (2, ())


def test_no_pieces_take_no_sheets() -> None:
    assert bound_of(pieces()) == 0
