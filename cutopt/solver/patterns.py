"""Patterns of one sheet: which pieces come out of it together, and how it is cut for that."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.blocks import Blocks
from cutopt.solver.levels import Ints, key_of
from cutopt.solver.problem import Cutting, Problem, Sheet, Tree


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way of cutting one sheet.

    Attributes
    ----------
    sheet : int
        Number of the sheet in the problem; 0 is the new tile.
    kinds : tuple of int
        The kinds of its pieces, sorted, a kind as often as it comes.
    cuts : int
        Straight cuts and notches that it takes.
    leftover : int
        Area of the largest strip that is left along one side.
    """

    sheet: int
    kinds: tuple[int, ...]
    cuts: int
    leftover: int
    make_tree: Callable[[], Tree]


def pattern_of(sheet: int, tree: Tree) -> Pattern:
    """Return a tree as a pattern; its cuts are a guess, nothing is said to be left."""
    return Pattern(sheet, tree.kinds, 2 * len(tree.kinds), 0, lambda: tree)


def cuttings_of(patterns: Sequence[Pattern], amounts: Sequence[int]) -> list[Cutting]:
    """Return the plan that uses patterns so often."""
    return [
        Cutting(pattern.sheet, pattern.make_tree(), amount)
        for pattern, amount in zip(patterns, amounts, strict=True)
        if amount
    ]


@dataclass(frozen=True)
class Listing:
    """The patterns of one sheet.

    Attributes
    ----------
    patterns : list of Pattern
        All of them, or as many as were found.
    maximal : list of int
        Those that no other contains; they are enough to find the fewest sheets.
    complete : bool
        Whether every pattern is there.
    """

    patterns: list[Pattern]
    maximal: list[int]
    complete: bool


def list_patterns(problem: Problem, number: int, blocks: Blocks) -> Listing:
    """Return the patterns of a sheet, each multiset of pieces once, with its fewest cuts."""
    sheet = problem.sheets[number]
    chosen: list[tuple[Ints, Ints, Ints]] = []
    for level in blocks.levels:
        cuts = level.cuts + (level.width < sheet.width) + (level.height < sheet.height)
        left = _leftover(sheet, problem.kerf, level.width, level.height)
        key = key_of(level.members, problem)
        order = np.lexsort((-left, cuts, key))
        first = np.concatenate([[True], np.diff(key[order]) != 0]) if len(order) else order == 0
        rows = order[first]
        chosen.append((rows, cuts[rows], left[rows]))
    patterns: list[Pattern] = []
    maximal: list[int] = []
    for depth, (rows, cuts, left) in enumerate(chosen):
        members = blocks.levels[depth].members[rows]
        larger = (
            blocks.levels[depth + 1].members[chosen[depth + 1][0]]
            if depth + 1 < len(chosen)
            else members[:0]
        )
        contained = _contained(members, larger, problem)
        maximal += [len(patterns) + int(row) for row in np.flatnonzero(~contained)]
        for row, kinds, cut, rest in zip(
            rows.tolist(), members.tolist(), cuts.tolist(), left.tolist(), strict=True
        ):
            patterns.append(Pattern(number, tuple(kinds), cut, rest, _tree(blocks, depth, row)))
    return Listing(patterns, maximal, blocks.complete)


def _contained(members: Ints, larger: Ints, problem: Problem) -> NDArray[np.bool_]:
    """Tell which multisets stay within one that has a piece more."""
    if not len(members) or not len(larger):
        return np.zeros(len(members), bool)
    without_one = [np.delete(larger, column, axis=1) for column in range(larger.shape[1])]
    keys = key_of(np.concatenate([members, *without_one]), problem)
    return np.isin(keys[: len(members)], keys[len(members) :])


def _tree(blocks: Blocks, depth: int, row: int) -> Callable[[], Tree]:
    return lambda: blocks.tree(depth, row)


def _leftover(sheet: Sheet, kerf: int, width: Ints, height: Ints) -> Ints:
    beside = (sheet.width - width - kerf) * sheet.height
    above = (sheet.height - height - kerf) * sheet.width
    return np.maximum(np.maximum(beside, above), 0)
