"""Patterns read from the worths of a sheet themselves: good where many pieces share a sheet.

The worths count no copies, so a pattern read from them may hold more of a kind than is wanted.
What is too much is left out; where too little is left then, the kind counts less and the worths
are filled once more.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from cutopt.solver.extras import within_demand
from cutopt.solver.fits import truly_fits
from cutopt.solver.master import Prices
from cutopt.solver.patterns import Pattern, pattern_of
from cutopt.solver.pricing import Priced, Pricer
from cutopt.solver.problem import Problem, Tree
from cutopt.solver.surround import Surroundings
from cutopt.solver.through import Through

#: Patterns that are read from the worths of one sheet.
TRACED = 40
#: With more kinds than this the best pattern through each of them is read as well.
MANY_KINDS = 100
#: How often worths are filled with kinds counting less.
LESS = 2
#: After reading in vain again and again it rests up to so many times.
MOST_RESTS = 16


@dataclass
class Tracer:
    """Reads patterns of one sheet, again and again; after reading in vain it rests for a while.

    Attributes
    ----------
    enough : int
        To read fewer new patterns than this counts as in vain.
    """

    problem: Problem
    number: int
    pricer: Pricer
    is_known: Callable[[int, tuple[int, ...]], bool]
    enough: int = 1
    _rests: int = 0
    _vain: int = 0

    def trace(
        self, prices: Prices, least: int, goes_on: Callable[[], bool]
    ) -> tuple[list[Pattern], Priced | None]:
        """Return patterns worth more than `least`, and the worths at the prices themselves.

        The worths are None when it rested or was told to stop.
        """
        if self._rests:
            self._rests -= 1
            return [], None
        first: Priced | None = None
        patterns: list[Pattern] = []
        counted, wanted = list(prices.of_kind), prices.wanted or self.problem.demands
        for _ in range(1 + LESS):
            priced = self.pricer.price(counted, goes_on)
            if priced is None:
                return [], None
            first = first or priced
            trees = [tree for tree in self._read(priced, least, goes_on) if self._truly_fits(tree)]
            less = (within_demand(self.problem, tree, wanted) for tree in trees)
            patterns = [
                pattern_of(self.number, tree)
                for tree in less
                if tree
                and prices.worth(tree.kinds) > least
                and not self.is_known(self.number, tree.kinds)
            ]
            if patterns or not trees or not _count_less(trees[0], wanted, counted):
                break
        self._vain = self._vain + 1 if len(patterns) < self.enough else 0
        self._rests = min(MOST_RESTS, 2**self._vain - 1)
        return list({pattern.kinds: pattern for pattern in patterns}.values()), first

    def _read(self, priced: Priced, least: int, goes_on: Callable[[], bool]) -> Iterator[Tree]:
        """Yield the best patterns and, where there are many kinds, the best one through each."""
        yield from priced.trees(least, TRACED)
        if len(self.problem.kinds) > MANY_KINDS and (around := Surroundings.of(priced, goes_on)):
            yield from Through(around).trees(least)

    def _truly_fits(self, tree: Tree) -> bool:
        return truly_fits(tree, self.problem.sheets[self.number])


def _count_less(tree: Tree, wanted: Sequence[int], counted: list[int]) -> bool:
    """Let the kinds that a tree has too many of count less; tell whether there are any."""
    counts = Counter(tree.kinds).items()
    too_many = [(kind, times) for kind, times in counts if times > wanted[kind]]
    for kind, times in too_many:
        counted[kind] = counted[kind] * wanted[kind] // times
    return bool(too_many)
