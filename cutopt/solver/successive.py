"""Sheet after sheet the best of many, as often as it goes, until nothing is left.

First columns that the relaxation uses in part, then the best of a hundred sheets filled by lot.
The sequential heuristic procedure (Haessler, Management Science 17, 1971; from memory). Slower
than to plan the largest piece first, and for many small pieces far better.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.filling import Filler
from cutopt.solver.master import Prices, prices_by_area
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Cutting, Problem

Ints = NDArray[np.int64]
#: How much chance there is in the order of columns (spread of the logarithm of a part).
CHANCE = 0.5
#: Sheets worth less than this part of the best one are filled again instead.
NEAR = 0.98
#: Sheets of one filling that are looked at.
LOOKED_AT = 100


@dataclass(frozen=True)
class Successive:
    """Plans what is left of a problem, from new sheets of which there is any number."""

    problem: Problem
    prices: Prices
    chance: np.random.Generator
    goes_on: Callable[[], bool]

    @classmethod
    def serves(cls, problem: Problem) -> bool:
        """Tell whether all sheets are new, of any number, and all cuts can be made."""
        endless = all(sheet.limit is None for sheet in problem.sheets) and all(problem.costs)
        return endless and problem.cutters.saw is None

    def plan(self, columns: Sequence[Pattern], wanted: Sequence[int]) -> list[Cutting] | None:
        """Return a plan for so many of each kind; None when told to stop.

        Columns of the relaxation, the first of those that the prices come with, are used once
        each, as long as nothing is then made too often: first those most of which was left over
        when their amounts were rounded down.
        """
        left = np.array(wanted)
        cuttings = list(self._left_over(columns, left))
        fillers = [Filler(self.problem, number, self.chance) for number in self.problem.to_buy]
        # At the prices alone some pieces would be worth nothing: the area of each counts as much.
        worth = np.array(self.prices.of_kind) + np.array(prices_by_area(self.problem).of_kind)
        while left.any():
            taken = list(self._best(fillers, worth, left)) if self.goes_on() else []
            if not taken:
                return None
            cuttings += taken
        return cuttings

    def _left_over(self, columns: Sequence[Pattern], left: Ints) -> Iterator[Cutting]:
        amounts = np.array(self.prices.amounts[: len(columns)])
        parts = amounts - np.floor(amounts)
        drawn = parts * np.exp(CHANCE * self.chance.standard_normal(len(parts)))
        for at in np.argsort(-drawn, kind="stable")[: np.count_nonzero(parts)].tolist():
            if cutting := _taken(columns[at], left, 1):
                yield cutting

    def _best(self, fillers: Sequence[Filler], worth: Ints, left: Ints) -> Iterator[Cutting]:
        """Yield the best sheets of one filling, each as often as it goes."""
        patterns = [
            pattern
            for filler in fillers
            for pattern in filler.fill(worth.tolist(), LOOKED_AT, left.tolist())
        ]
        costs = self.problem.costs
        values = [worth[list(one.kinds)].sum() / costs[one.sheet] for one in patterns]
        for at in np.argsort(-np.array(values), kind="stable").tolist():
            if values[at] >= NEAR * max(values) and (cutting := _taken(patterns[at], left)):
                yield cutting


def _taken(pattern: Pattern, left: Ints, most: int | None = None) -> Cutting | None:
    """Use a pattern as often as it goes, and take its pieces off what is left."""
    counts = np.bincount(pattern.kinds, minlength=len(left))
    times = int((left[counts > 0] // counts[counts > 0]).min())
    times = times if most is None else min(times, most)
    left -= times * counts
    return Cutting(pattern.sheet, pattern.make_tree(), times) if times else None
