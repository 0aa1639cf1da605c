"""Patterns worth more than their sheet at given prices, each piece no more often than wanted.

For one sheet: the worth of every rectangle (`pricing`), what can lie around it (`surround`), then
the blocks that still promise more than the sheet costs, the best of them first. With a narrow
`most` it is a quick search; when nothing was passed over it proves that there is no such pattern.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutopt.solver.area import most_by_area
from cutopt.solver.axis import COARSE, FINEST
from cutopt.solver.blocks import Blocks, Caps
from cutopt.solver.master import Prices
from cutopt.solver.nests import Nests
from cutopt.solver.patterns import Pattern, pattern_of
from cutopt.solver.pricing import Priced, Pricer, Rounding
from cutopt.solver.problem import Problem
from cutopt.solver.surround import Sieve, Surroundings
from cutopt.solver.tracing import TRACED, Tracer

#: Blocks with equally many pieces that the quick search looks at, and those of the last one.
FEWEST, MOST = 100, 30_000
#: What a search lists at the most.
CAPS = Caps(pairs=4_000_000, blocks=400_000)
QUICK = Caps(pairs=4_000_000, blocks=400_000, smaller=3)
#: A coarse grid that is so many times faster is looked at first, as long as it brings so many
#: patterns.
FASTER, WELL_TRACED = 4, TRACED // 4
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
    is_known: Callable[[int, tuple[int, ...]], bool] = lambda number, kinds: False

    def __post_init__(self) -> None:
        sheet = self.problem.sheets[self.number]
        exact = Pricer(self.problem, sheet, self.nests, capped=False)
        steps = COARSE if exact.is_too_fine else FINEST
        coarse = Pricer(self.problem, sheet, self.nests, Rounding.UP, capped=False, steps=steps)
        if exact.is_too_fine:
            self.pricer = Pricer(self.problem, sheet, self.nests, Rounding.DOWN)
        else:
            self.pricer = exact.with_caps()
        self.tracers = [
            Tracer(self.problem, self.number, pricer, self.is_known, enough)
            for pricer, enough, is_of_use in (
                (coarse, WELL_TRACED, exact.is_too_fine or FASTER * coarse.sums < exact.sums),
                (exact, 1, not exact.is_too_fine),
            )
            if is_of_use
        ]
        self._traces_well = False
        self._priced: Priced | None = None
        self._around: Surroundings | None = None

    def search(
        self,
        prices: Prices,
        share: float,
        most: int,
        goes_on: Callable[[], bool],
        settles: Callable[[int], bool] = lambda at_most: False,
    ) -> Found | None:
        """Return patterns worth more than a share of their sheet; None when told to stop.

        Parameters
        ----------
        settles : callable
            Tells whether it is enough to know that no pattern is worth more than so much.
        """
        least = int(prices.of_sheet[self.number] * share)
        begins_traced = self._traces_well
        if begins_traced and (traced := self._traced(prices, least, goes_on)):
            return traced
        priced = self._priced_at(prices.of_kind, goes_on)
        if priced is None:
            return None
        at_most = self._at_most(priced)
        if (self.pricer.bounds and at_most <= least) or settles(at_most):
            return Found([], at_most, at_most <= least)
        if not begins_traced and (traced := self._traced(prices, least, goes_on)):
            return traced
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

    def _traced(self, prices: Prices, least: int, goes_on: Callable[[], bool]) -> Found | None:
        """Return patterns read from the worths themselves, of the coarse grid first."""
        for tracer in self.tracers:
            patterns, priced = tracer.trace(prices, least, goes_on)
            self._traces_well = bool(patterns)
            if patterns and priced:
                return Found(patterns, self._at_most(priced), False)
        return None

    def _at_most(self, priced: Priced) -> int:
        by_area = self._by_area(priced.prices)
        return min(priced.worth, by_area) if priced.pricer.bounds else by_area

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
