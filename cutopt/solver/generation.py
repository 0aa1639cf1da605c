"""Patterns worth more than their sheet at given prices, each piece no more often than wanted.

For one sheet: the worth of every rectangle (`pricing`), what can lie around it (`surround`), then
the blocks that still promise more than the sheet costs, the best of them first. With a narrow
`most` it is a quick search; when nothing was passed over it proves that there is no such pattern.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutopt.solver.area import room_of
from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.nests import Nests
from cutopt.solver.patterns import Pattern
from cutopt.solver.pricing import MOST_CELLS, Priced, Pricer, Rounding
from cutopt.solver.problem import Problem
from cutopt.solver.surround import Sieve, Surroundings

#: Blocks with equally many pieces that the quick search looks at, and those of the last one.
FEWEST, MOST = 100, 30_000
#: What a search lists at the most.
CAPS = Caps(pairs=4_000_000, blocks=400_000)
#: Patterns that one search hands out.
PER_SEARCH = 200


@dataclass(frozen=True)
class Found:
    """What a search found.

    Attributes
    ----------
    patterns : list of Pattern
        Those worth most, the best first.
    at_most : int
        No pattern of the sheet is worth more, whether found or not.
    complete : bool
        Whether every pattern worth more than asked was seen.
    """

    patterns: list[Pattern]
    at_most: int
    complete: bool


@dataclass
class Generator:
    """Searches one sheet again and again; its grid is laid out once."""

    problem: Problem
    number: int
    nests: Nests

    def __post_init__(self) -> None:
        sheet = self.problem.sheets[self.number]
        self.pricer = Pricer(self.problem, sheet, self.nests)
        if self.pricer.cells > MOST_CELLS:
            self.pricer = Pricer(self.problem, sheet, self.nests, Rounding.DOWN)

    def search(
        self, prices: Sequence[int], least: int, most: int, goes_on: Callable[[], bool]
    ) -> Found | None:
        """Return patterns worth more than `least`; None when told to stop."""
        priced = self.pricer.price(prices, goes_on)
        if priced is None:
            return None
        at_most = self._at_most(priced)
        if self.pricer.bounds and at_most <= least:
            return Found([], least, True)
        around = Surroundings.of(priced, goes_on)
        if around is None:
            return None
        sheet, sieve = self.problem.sheets[self.number], Sieve(around, least, most)
        blocks = Blocks(self.problem, sheet, self.nests, CAPS, sieve).grow(goes_on)
        patterns, best = self._best(blocks, prices, least)
        if blocks.complete and self.pricer.bounds:
            return Found(patterns, max(least, best), True)
        return Found(patterns, at_most, False)

    def _at_most(self, priced: Priced) -> int:
        room = room_of(self.problem.sheets[self.number], self.problem.kerf)
        by_area = int(priced.by_area.most(np.array([room], float))[0])
        return min(priced.worth, by_area) if self.pricer.bounds else by_area

    def _best(self, blocks: Blocks, prices: Sequence[int], least: int) -> tuple[list[Pattern], int]:
        """Return the patterns among the blocks that are worth most, and what the best is worth."""
        of_kind = np.array(prices, np.int64)
        found: list[tuple[int, int, int]] = []
        for depth, level in enumerate(blocks.levels):
            worth = of_kind[level.members].sum(axis=1)
            rows = np.flatnonzero(worth > least)
            rows = rows[np.argsort(-worth[rows], kind="stable")][:PER_SEARCH]
            found += [(-int(worth[row]), depth, int(row)) for row in rows]
        found.sort()
        chosen = [self._pattern(blocks, depth, row) for _, depth, row in found[:PER_SEARCH]]
        return chosen, -found[0][0] if found else 0

    def _pattern(self, blocks: Blocks, depth: int, row: int) -> Pattern:
        tree = blocks.tree(depth, row)
        return Pattern(self.number, tree.kinds, 2 * len(tree.kinds), 0, lambda: tree)
