"""Saws and snap cutters with limits: just fits, just does not, and against trying everything."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutopt.solver import LEFT, RIGHT, Cutters, Kind, Problem, Router, Sheet, Stand, solve
from cutopt.solver.cutters import alone_on
from cutopt.solver.problem import Join, Leaf
from cutopt.stop import MaxProcessorSeconds
from tests.solver.brute import Saw, fewest
from tests.solver.problems import problems
from tests.solver.test_solve import assert_valid


def can_cut(cutters: Cutters, tree: Leaf | Join, sheet: Sheet, kerf: int = 0) -> bool:
    return Router(cutters, kerf).can_cut(tree, sheet)


def leaf(width: int, height: int, wants: int = 0) -> Leaf:
    return Leaf(0, Stand(width, height, wants))


@pytest.mark.parametrize(("length", "works"), [(40, True), (39, False)])
def test_a_cut_is_no_longer_than_the_saw_reaches(length: int, works: bool) -> None:
    assert can_cut(Cutters(length), leaf(30, 40), Sheet(60, 40)) is works


@pytest.mark.parametrize(("width", "works"), [(40, True), (41, False)])
def test_a_long_tile_is_crosscut_before_it_is_ripped(width: int, works: bool) -> None:
    # 100 x 40 on a saw that reaches 40: a strip can be ripped only off what is crosscut to 40.
    assert can_cut(Cutters(40), leaf(width, 30), Sheet(100, 40)) is works


def test_two_short_strips_lie_side_by_side_in_a_long_tile() -> None:
    pair = Join(leaf(40, 30), leaf(40, 30), True, 2)
    assert can_cut(Cutters(40), pair, Sheet(100, 40), 2)
    assert not can_cut(Cutters(40), replace(pair, beside=False), Sheet(100, 62), 2)


@pytest.mark.parametrize(("strip", "works"), [(5, True), (6, False)])
def test_a_snapped_strip_is_not_too_narrow(strip: int, works: bool) -> None:
    snap = Cutters(0, 100, strip)
    assert can_cut(snap, leaf(55, 40), Sheet(60, 40)) is works
    assert can_cut(snap, leaf(5, 40), Sheet(60, 40)) is works


def test_what_is_too_narrow_to_snap_off_goes_with_more() -> None:
    # Trimming both to 30 first would leave 2 to be snapped off the lower one.
    column = Join(leaf(28, 20), leaf(30, 20), False, 0)
    assert can_cut(Cutters(0, 60, 5), column, Sheet(60, 40))
    assert not can_cut(Cutters(0, 60, 5), column, Sheet(34, 40))


def test_a_snapped_cut_leaves_no_kerf_so_what_lies_beyond_is_trimmed() -> None:
    long_cuts = Cutters(10, 100, 5)
    pair = Join(leaf(30, 40), leaf(20, 40), True, 2)
    assert not can_cut(long_cuts, pair, Sheet(52, 40), 2)
    assert can_cut(long_cuts, pair, Sheet(60, 40), 2)


def test_notches_need_a_saw() -> None:
    notched = problems_with_notch(Cutters(0, 100, 0))
    assert alone_on(notched, 0, Router(notched.cutters, 0)) is None
    notched = replace(notched, cutters=Cutters(20, 100, 0))
    assert alone_on(notched, 0, Router(notched.cutters, 0)) is not None
    notched = replace(notched, cutters=Cutters(19, 100, 0))
    assert alone_on(notched, 0, Router(notched.cutters, 0)) is None


def problems_with_notch(cutters: Cutters) -> Problem:
    from cutopt.solver import BOTTOM, Pocket  # noqa: PLC0415

    stand = Stand(30, 40, 0, (Pocket(LEFT | BOTTOM, 10, 20, 10, 20),))
    return Problem((Kind((stand,), 1),), (Sheet(60, 40),), 0, cutters)


@pytest.mark.parametrize(("reach", "works"), [(50, True), (49, False)])
def test_a_slanted_cut_counts_from_corner_to_corner(reach: int, works: bool) -> None:
    triangle = Leaf(0, Stand(30, 40, 0, hull=((0, 0), (30, 0), (0, 40))))
    assert can_cut(Cutters(reach), triangle, Sheet(30, 40)) is works


def test_what_wants_both_ends_is_cut_across_its_whole_tile() -> None:
    assert not can_cut(Cutters(59), leaf(60, 20, LEFT | RIGHT), Sheet(60, 40))
    assert can_cut(Cutters(60), leaf(60, 20, LEFT | RIGHT), Sheet(60, 40))


def cuttable(problem: Problem) -> bool:
    """Tell whether every kind comes out of a new sheet by itself, found by trying all."""
    one = (1,) * len(problem.kinds)
    alone = Saw(problem, one).counts(problem.new.width, problem.new.height, problem.new.edges)
    return all(any(counts[kind] for counts in alone) for kind in range(len(problem.kinds)))


@settings(max_examples=50, deadline=None)
@given(problems(), st.integers(2, 8))
def test_a_short_saw_takes_as_few_as_trying_everything(problem: Problem, reach: int) -> None:
    short = replace(problem, cutters=Cutters(reach))
    assume(cuttable(short))
    found = solve(short, MaxProcessorSeconds(20))
    assert_valid(short, found.cuttings)
    assert Router(short.cutters, short.kerf).can_cut_all(short, found.cuttings)
    assert found.bound == fewest(short) == found.new_sheets


@settings(max_examples=40, deadline=None)
@given(problems(pockets=False), st.integers(3, 8), st.integers(0, 2))
def test_a_snap_cutter_never_beats_trying_everything(
    problem: Problem, reach: int, strip: int
) -> None:
    snap = replace(problem, kerf=0, cutters=Cutters(0, reach, strip))
    assume(cuttable(snap))
    found = solve(snap, MaxProcessorSeconds(20))
    assert Router(snap.cutters, 0).can_cut_all(snap, found.cuttings)
    assert found.bound <= fewest(snap) <= found.new_sheets
