"""Patterns worth more than their sheet at given prices, each piece no more often than wanted.

For one sheet: the worth of every rectangle (`pricing`), what can lie around it (`surround`), then
the blocks that still promise more than the sheet costs, the best of them first. With a narrow
`most` it is a quick search; when nothing was passed over it proves that there is no such pattern.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutopt.solver.area import most_by_area
from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.extras import within_demand
from cutopt.solver.nests import Nests
from cutopt.solver.patterns import Pattern, pattern_of
from cutopt.solver.pricing import Priced, Pricer, Rounding, truly_fits
from cutopt.solver.problem import Problem
from cutopt.solver.surround import Sieve, Surroundings

#: Blocks with equally many pieces that the quick search looks at, and those of the last one.
FEWEST, MOST = 100, 30_000
#: What a search lists at the most.
CAPS = Caps(pairs=4_000_000, blocks=400_000)
QUICK = Caps(pairs=4_000_000, blocks=400_000, smaller=3)
#: Patterns that one search hands out.
PER_SEARCH = 200
#: Patterns that are read from the worths of one sheet.
TRACED = 20
#: So many make it worth the while to begin with them the next time.
WELL_TRACED = 5
#: Searches that go without after one that read none.
UNTRACED = 5


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
    is_known: Callable[[int, tuple[int, ...]], bool] = lambda number, kinds: False

    def __post_init__(self) -> None:
        sheet = self.problem.sheets[self.number]
        self.pricer = Pricer(self.problem, sheet, self.nests)
        rounding = Rounding.NONE
        if self.pricer.is_too_fine:
            self.pricer = Pricer(self.problem, sheet, self.nests, Rounding.DOWN)
            rounding = Rounding.UP
        self.tracer = Pricer(self.problem, sheet, self.nests, rounding, capped=False)
        self._traces_well, self._waiting = False, 0
        self._priced: Priced | None = None
        self._around: Surroundings | None = None

    def search(
        self,
        prices: Sequence[int],
        least: int,
        most: int,
        goes_on: Callable[[], bool],
        settles: Callable[[int], bool] = lambda at_most: False,
    ) -> Found | None:
        """Return patterns worth more than `least`; None when told to stop.

        Parameters
        ----------
        settles : callable
            Tells whether it is enough to know that no pattern is worth more than so much.
        """
        if self._traces_well and (traced := self._traced(prices, least, goes_on)):
            return Found(traced, self._by_area(prices), False)
        priced = self._priced_at(prices, goes_on)
        if priced is None:
            return None
        at_most = self._at_most(priced)
        if (self.pricer.bounds and at_most <= least) or settles(at_most):
            return Found([], at_most, at_most <= least)
        if traced := self._traced(prices, least, goes_on):
            return Found(traced, at_most, False)
        return self._listed(priced, least, most, goes_on)

    def _listed(
        self, priced: Priced, least: int, most: int, goes_on: Callable[[], bool]
    ) -> Found | None:
        """Return patterns from the blocks that can still become worth more than `least`."""
        self._around = self._around or Surroundings.of(priced, goes_on)
        if self._around is None:
            return None
        sheet, sieve = self.problem.sheets[self.number], Sieve(self._around, least, most)
        caps = QUICK if most == FEWEST else CAPS
        blocks = Blocks(self.problem, sheet, self.nests, caps, sieve).grow(goes_on)
        patterns, best = self._best(blocks, priced.prices, least)
        if blocks.complete and self.pricer.bounds:
            return Found(patterns, max(least, best), True)
        return Found(patterns, self._at_most(priced), False)

    def _priced_at(self, prices: Sequence[int], goes_on: Callable[[], bool]) -> Priced | None:
        """Return the worths at prices, which may be those of the last search."""
        if self._priced is None or self._priced.prices != tuple(prices):
            self._priced, self._around = self.pricer.price(prices, goes_on), None
        return self._priced

    def _traced(
        self, prices: Sequence[int], least: int, goes_on: Callable[[], bool]
    ) -> list[Pattern]:
        """Return patterns read from the worths themselves: good where many pieces share a sheet.

        Where that was in vain, it is left out for a while.
        """
        if self._waiting:
            self._waiting -= 1
            return []
        priced = self.tracer.price(prices, goes_on)
        if priced is None:
            return []
        sheet = self.problem.sheets[self.number]
        trees = (tree for tree in priced.trees(least, TRACED) if truly_fits(tree, sheet))
        patterns = [
            pattern_of(self.number, wanted)
            for tree in trees
            if (wanted := within_demand(self.problem, tree))
            and sum(prices[kind] for kind in wanted.kinds) > least
            and not self.is_known(self.number, wanted.kinds)
        ]
        self._traces_well = len(patterns) >= WELL_TRACED
        self._waiting = 0 if patterns else UNTRACED
        return patterns

    def _at_most(self, priced: Priced) -> int:
        by_area = self._by_area(priced.prices)
        return min(priced.worth, by_area) if self.pricer.bounds else by_area

    def _by_area(self, prices: Sequence[int]) -> int:
        return most_by_area(self.problem, self.problem.sheets[self.number], prices)

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
        chosen = [
            pattern_of(self.number, blocks.tree(depth, row)) for _, depth, row in found[:PER_SEARCH]
        ]
        return chosen, -found[0][0] if found else 0
