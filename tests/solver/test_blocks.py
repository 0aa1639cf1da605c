"""Listing: every pattern of a sheet, no more and no less, against trying every cut."""

from hypothesis import given, settings

from cutopt.solver import Kind, Problem, Sheet, Stand
from cutopt.solver.blocks import Blocks, Caps
from tests.solver.brute import Counts, all_counts, can_be_cut
from tests.solver.problems import problems


def listed(problem: Problem, number: int) -> set[Counts]:
    """Return the multisets of all blocks of a sheet, nothing among them."""
    sheet = problem.sheets[number]
    blocks = Blocks(problem, sheet).grow(lambda: True)
    assert blocks.complete
    found = {(0,) * len(problem.kinds)}
    for depth, level in enumerate(blocks.levels):
        for row, members in enumerate(level.members.tolist()):
            assert members == sorted(members)
            tree = blocks.tree(depth, row)
            assert list(tree.kinds) == members
            assert can_be_cut(tree, sheet.width, sheet.height, sheet.edges)
            found.add(tuple(members.count(kind) for kind in range(len(problem.kinds))))
    return found


@settings(max_examples=150)
@given(problems())
def test_blocks_are_all_that_the_saw_can_do(problem: Problem) -> None:
    for number, sheet in enumerate(problem.sheets):
        assert listed(problem, number) == all_counts(problem, sheet)


def small() -> Problem:
    return Problem((Kind((Stand(2, 2, 0),), 4),), (Sheet(9, 2),), 1)


def test_more_than_the_caps_allow_is_said_to_be_incomplete() -> None:
    assert not Blocks(small(), small().new, caps=Caps(pairs=0)).grow(lambda: True).complete
    assert not Blocks(small(), small().new, caps=Caps(blocks=1)).grow(lambda: True).complete
    assert Blocks(small(), small().new, caps=Caps(blocks=3)).grow(lambda: True).complete


def test_told_to_stop_it_is_not_complete() -> None:
    assert not Blocks(small(), small().new).grow(lambda: False).complete
