"""A plan out of the relaxation, dug step by step: a column is fixed, and again, until all is whole.

After each step the relaxation is solved anew, with patterns searched at its prices that fit what
is left (Clautiaux, Sadykov, Vanderbeck, Viaud, EURO Journal on Computational Optimization 7,
2019). Chance has a say in which column is fixed, so that the next plunge ends elsewhere, and all
that the plunges find stays for the ones to come.
"""

import enum
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutopt.solver.master import Prices
from cutopt.solver.relaxation import Relaxation

#: A column used at least so far beyond a whole number is rounded up with others at once.
NEARLY = 0.9
#: What counts as whole.
WHOLE = 1e-6
#: How much chance there is in the choice (spread of the logarithm of a column's part).
CHANCE = 0.5
#: How often patterns are searched that bring a step back below the limit.
SEARCHES = 3


class End(enum.Enum):
    """How a plunge ended."""

    REACHED = "reached"
    LOST = "lost"
    #: The relaxation itself, nothing fixed, needs too many sheets.
    TOO_MANY = "too many"


@dataclass
class Dive:
    """Plunges into one relaxation, again and again.

    Attributes
    ----------
    search : callable
        Searches patterns at prices, adds them to the relaxation, and tells whether it found any.
    """

    relaxation: Relaxation
    search: Callable[[Prices], bool]
    goes_on: Callable[[], bool]
    chance: np.random.Generator

    def plunge(self, fewer_than: int) -> tuple[End, list[int]]:
        """Return how it ended and, where it reached a plan, how often to use each column.

        Fixed columns may overlap; the plan costs less than so many new sheets.
        """
        fixed: dict[int, int] = {}
        try:
            while self.goes_on():
                prices = self._priced(fewer_than - 1 + WHOLE)
                if prices.value > fewer_than - 1 + WHOLE:
                    return (End.LOST if fixed else End.TOO_MANY), []
                amounts = [math.floor(amount + WHOLE) for amount in prices.amounts]
                parts = {
                    column: amount - amounts[column]
                    for column, amount in enumerate(prices.amounts)
                    if amount - amounts[column] > WHOLE
                }
                if not parts:
                    return End.REACHED, amounts
                fixed |= {column: amounts[column] + 1 for column in self._to_round(parts)}
                self.relaxation.fix(fixed)
            return End.LOST, []
        finally:
            self.relaxation.fix({})

    def _priced(self, most: float) -> Prices:
        """Return the relaxation's prices, with patterns searched for until they stay within."""
        prices = self.relaxation.solved()
        for _ in range(SEARCHES):
            if not self.goes_on() or not self.search(prices):
                break
            prices = self.relaxation.solved()
            if prices.value <= most:
                break
        return prices

    def _to_round(self, parts: dict[int, float]) -> list[int]:
        drawn = np.array(list(parts.values())) * np.exp(
            CHANCE * self.chance.standard_normal(len(parts))
        )
        first = list(parts)[int(drawn.argmax())]
        return [column for column, part in parts.items() if column == first or part >= NEARLY]
