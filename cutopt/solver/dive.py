"""A plan out of the relaxation, dug step by step: a column is fixed, and again, until all is whole.

After each step the relaxation is solved anew, with patterns searched at its prices that fit what
is left (Clautiaux, Sadykov, Vanderbeck, Viaud, EURO Journal on Computational Optimization 7,
2019). Chance has a say in which column is fixed, so that the next plunge ends elsewhere, and all
that the plunges find stays for the ones to come.
"""

import enum
import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from cutopt.solver.master import Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.pool import Pool
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
    #: It was told to stop on the way.
    STOPPED = "stopped"
    #: The relaxation itself, nothing fixed, needs too many sheets.
    TOO_MANY = "too many"


@dataclass(frozen=True)
class Step:
    """How often each column is fixed, and how many of each kind are then still wanted."""

    fixed: dict[int, int]
    wanted: tuple[int, ...]


@dataclass
class Dive:
    """Plunges into one relaxation, again and again.

    Attributes
    ----------
    search : callable
        Searches patterns at prices, adds them to the relaxation, and tells whether it found any.
    at_once : float
        What part of the columns that are not whole is fixed in a step: one at the least.
    steps : list of Step
        What was fixed after each step of the last plunge.
    """

    relaxation: Relaxation
    search: Callable[[Prices], bool]
    goes_on: Callable[[], bool]
    chance: np.random.Generator
    at_once: float = 0.0
    steps: list[Step] = field(default_factory=list)

    def plunge(self, fewer_than: int) -> tuple[End, list[int]]:
        """Return how it ended and how often to use each column: of a plan or a part of one.

        Fixed columns may overlap; the plan costs less than so many new sheets.
        """
        fixed: dict[int, int] = {}
        self.steps.clear()
        try:
            amounts: list[int] = []
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
                self.steps.append(Step(dict(fixed), self.relaxation.wanted))
            return End.STOPPED, amounts
        finally:
            self.relaxation.fix({})

    def _priced(self, most: float) -> Prices:
        """Return the relaxation's prices, with patterns searched for until they stay within."""
        prices = self.relaxation.solved()
        for _ in range(1 if self.at_once else SEARCHES):
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
        many = max(1, int(self.at_once * len(parts)))
        columns = list(parts)
        first = {columns[at] for at in np.argsort(-drawn, kind="stable")[:many].tolist()}
        return [column for column, part in parts.items() if column in first or part >= NEARLY]


def dive_among(
    pool: Pool,
    columns: Pool,
    find: Callable[[Prices], list[Pattern]],
    goes_on: Callable[[], bool],
    chance: np.random.Generator,
    at_once: float,
) -> Dive:
    """Return a dive into some columns of a pool; patterns found on the way come to both."""

    def search(prices: Prices) -> bool:
        found = find(prices)
        pool.add(found)
        more = columns.add(found)
        columns.relaxed()
        return more

    return Dive(columns.relaxed(), search, goes_on, chance, at_once)
