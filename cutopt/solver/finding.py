"""Patterns that a relaxation lacks: quick ones first, then an exact search, which proves a bound.

Prices of the relaxation leap about; in between, where they were before, patterns are found that
serve longer (Wentges, International Transactions in Operational Research 4, 1997). The last word
have the prices themselves.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice

import numpy as np

from cutopt.solver.blocks import Blocks
from cutopt.solver.filling import Filler
from cutopt.solver.generation import FEWEST, MOST, Found, Generator
from cutopt.solver.listed import PER_ROUND, most_listed
from cutopt.solver.master import Prices, bound_by, prices_by_area
from cutopt.solver.nests import Nests
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Problem, Proof
from cutopt.solver.tracing import MANY_KINDS

#: How far prices stay where they were, and how far with many kinds.
SMOOTHED, SMOOTHER = 0.6, 0.8
#: Patterns that are kept of one filling.
PER_FILLING = 60
#: Fillings in vain after which the exact search has its turn; the next time after half as many.
IN_VAIN = 6


@dataclass
class Finder:
    """Finds patterns that are worth more than their sheet and not known yet.

    Attributes
    ----------
    goes_on : callable
        Tells, by the name of the step, whether to go on.
    has_time : callable
        Tells whether there is time to begin another exact search.
    prove : callable
        Takes what the exact search proves on the way, and tells whether that is all there is
        to prove.
    """

    problem: Problem
    nests: list[Nests]
    seed: int
    goes_on: Callable[[str], bool]
    has_time: Callable[[], bool]
    is_known: Callable[[int, tuple[int, ...]], bool]
    prove: Callable[[Proof], bool]
    blocks: list[Blocks] = field(default_factory=list)
    width: int = FEWEST

    def __post_init__(self) -> None:
        self._generators: dict[int, Generator] = {}
        self._tries = IN_VAIN
        self._fills = True
        self._smoothed = SMOOTHER if len(self.problem.kinds) > MANY_KINDS else SMOOTHED
        # With many kinds the relaxation takes longer than to find some patterns more.
        self._enough = max(1, (len(self.problem.kinds) - MANY_KINDS) // 4)
        self._chance = np.random.default_rng(self.seed)
        self._fillers = [
            Filler(self.problem, number, self._chance) for number in range(len(self.problem.sheets))
        ]
        self._centre = prices_by_area(self.problem)

    def find(self, prices: Prices) -> list[Pattern]:
        """Return patterns from sheets filled by lot; where these are too few, from a search."""
        found = self.fill(prices) if self._fills else []
        if len(found) >= self._enough:
            return found
        self._fills = self._enough == 1
        return found or self.search(prices)

    def fill(self, prices: Prices) -> list[Pattern]:
        """Return patterns from sheets filled by lot; none when that was in vain again and again."""
        vain, better = 0, dict[tuple[int, tuple[int, ...]], Pattern]()
        # There are enough as long as an eighth of all that is filled is of use.
        for _ in range(max(self._tries, 8 * self._enough // PER_FILLING)):
            is_enough = vain >= self._tries or len(better) >= self._enough
            if is_enough or not self.goes_on("filling sheets"):
                break
            between = prices.towards(self._centre, 0.0 if vain else self._smoothed)
            patterns = (
                pattern
                for filler, blocks in zip(self._fillers, self.blocks, strict=True)
                if not blocks.exhausted
                for pattern in filler.fill(between.of_kind, PER_FILLING, between.wanted)
            )
            before = len(better)
            better |= {(one.sheet, one.kinds): one for one in self._better(patterns, prices)}
            vain = vain + 1 if len(better) == before else 0
            self._centre = between
        self._tries = min(IN_VAIN, 2 * self._tries) if better else max(1, self._tries // 2)
        return list(better.values())

    def search(self, prices: Prices) -> list[Pattern]:
        """Return patterns worth more than their sheet, or none; prove a bound on the way."""
        weight = self._smoothed if self.width == FEWEST else 0.0
        while self.has_time() and self.goes_on("pricing"):
            between = prices.towards(self._centre, weight)
            searched = self._searched(between, 0.97 if weight else 1.0, self.width)
            if searched is None:
                break
            if self._settles(between, [found.at_most for found in searched]):
                return []
            if better := self._better(
                (one for found in searched for one in found.patterns), prices
            ):
                self._centre = between
                return better
            if weight:
                weight = 0.0
            elif all(found.complete for found in searched) or self.width >= MOST:
                break
            else:
                self.width *= 5
        return []

    def dig(self, prices: Prices) -> list[Pattern]:
        """Return patterns from sheets filled by lot or, when that is in vain, from one search."""
        if better := self.fill(prices):
            return better
        searched = self._searched(prices, 1.0, FEWEST) or ()
        return self._better((one for found in searched for one in found.patterns), prices)

    def _better(self, patterns: Iterable[Pattern], prices: Prices) -> list[Pattern]:
        """Return those that are worth more than their sheet and not known yet."""
        better = (
            pattern
            for pattern in patterns
            if prices.worth(pattern.kinds) > prices.of_sheet[pattern.sheet]
            and not self.is_known(pattern.sheet, pattern.kinds)
        )
        return list(islice(better, max(PER_ROUND, len(self.problem.kinds))))

    def _searched(self, prices: Prices, share: float, width: int) -> Sequence[Found] | None:
        """Search every sheet for patterns worth more than a share of it; None when told to stop."""
        listed = [most_listed(blocks, prices) for blocks in self.blocks]
        searched: list[Found] = []
        for number, blocks in enumerate(self.blocks):
            if blocks.exhausted:
                searched.append(Found([], listed[number], True))
                continue
            worths = [found.at_most for found in searched] + listed[number:]
            found = self._generator(number).search(
                prices,
                share,
                width,
                lambda: self.goes_on("pricing"),
                partial(self._settles_at, prices, worths, number),
            )
            if found is None:
                return None
            searched.append(found)
        return searched

    def _generator(self, number: int) -> Generator:
        if number not in self._generators:
            nests = self.nests[number]
            self._generators[number] = Generator(self.problem, number, nests, self.is_known)
        return self._generators[number]

    def _settles(self, prices: Prices, worths: Sequence[int]) -> bool:
        """Prove what follows when sheets are worth no more; tell whether that is all."""
        proven = bound_by(self.problem, prices, worths)
        return self.prove(Proof(prices.of_kind, tuple(worths), proven))

    def _settles_at(self, prices: Prices, worths: list[int], number: int, at_most: int) -> bool:
        """Do the same for a sheet that is found to be worth no more than so much."""
        worths[number] = at_most
        return self._settles(prices, worths)
