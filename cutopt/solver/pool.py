"""The columns found so far, and the relaxation over them."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.cutters import Router
from cutopt.solver.master import PRICE_SCALE, Prices
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Problem
from cutopt.solver.relaxation import Relaxation
from cutopt.solver.stand_in import NOTHING, Places, exchanged

#: With more columns than this, found one after the other, only the better half is kept.
MOST_SEARCHED = 12_000
#: What rounded prices may be off by, for each kind.
ROUNDED = 2

Key = tuple[int, tuple[int, ...]]


@dataclass
class Pool:
    """Patterns that the saw can cut, each multiset of a sheet once.

    Attributes
    ----------
    columns : dict
        By sheet and kinds, in the order of the relaxation's columns.
    uncut : set
        Sheet and kinds of patterns that the saw cannot cut.
    """

    problem: Problem
    router: Router
    columns: dict[Key, Pattern] = field(default_factory=dict)
    uncut: set[Key] = field(default_factory=set)
    _places: list[Places] = field(default_factory=list)
    _relaxation: Relaxation | None = None

    def __len__(self) -> int:
        return len(self.columns)

    def first(self, many: int) -> list[Pattern]:
        """Return the first columns."""
        return list(islice(self.columns.values(), many))

    def add(self, patterns: Iterable[Pattern]) -> bool:
        """Add patterns, as far as they can be cut; tell whether any was new."""
        before = len(self.columns) + len(self.uncut)
        for pattern in patterns:
            if self.is_cut(pattern):
                self.columns.setdefault((pattern.sheet, pattern.kinds), pattern)
        return len(self.columns) + len(self.uncut) > before

    def is_known(self, sheet: int, kinds: tuple[int, ...]) -> bool:
        """Tell whether there is such a pattern, or none that can be cut."""
        return (sheet, kinds) in self.columns or (sheet, kinds) in self.uncut

    def is_cut(self, pattern: Pattern) -> bool:
        """Tell whether the saw and the snap cutter can do it; what they cannot is remembered."""
        key = pattern.sheet, pattern.kinds
        if key in self.uncut:
            return False
        sheet = self.problem.sheets[pattern.sheet]
        if self.problem.cutters.saw is None or self.router.can_cut(pattern.make_tree(), sheet):
            return True
        self.uncut.add(key)
        return False

    def relaxed(self) -> Relaxation:
        """Return the relaxation with all columns in it."""
        self._relaxation = self._relaxation or Relaxation(self.problem, self._places)
        self._relaxation.add(islice(self.columns.values(), len(self._relaxation), None))
        return self._relaxation

    @contextmanager
    def standing_in(self, places: list[Places]) -> Iterator[None]:
        """Let smaller pieces take the places of larger ones in the relaxation meanwhile.

        What it then uses becomes columns in which no piece stands in for another.
        """
        self._places, self._relaxation = places, None
        yield
        prices, given_up = self.solved(), self.relaxed().given_up()
        used = zip(self.columns.values(), prices.amounts, strict=True)
        self.add(exchanged(self.problem, [one for one in used if one[1] > NOTHING], given_up))
        self._places, self._relaxation = [], None

    def solved(self) -> Prices:
        """Return prices and amounts of the relaxation."""
        return self.relaxed().solved()

    def within(self, cost: float) -> "Pool":
        """Return a pool of the columns that a plan of these columns can use and cost no more.

        At the relaxation's prices such a plan costs its value, and what its columns fall short
        of their sheets on top.
        """
        prices = self.solved()
        spare = (cost - prices.value) * PRICE_SCALE + ROUNDED * len(self.problem.kinds)
        return self._of(np.flatnonzero(self._falls_short(prices) <= spare))

    def nearest(self, many: int) -> "Pool":
        """Return a pool of the columns that fall short least, all that the relaxation uses too."""
        return self._of(self._nearest(self.solved(), many))

    def _of(self, columns: NDArray[np.intp]) -> "Pool":
        every = list(self.columns.items())
        return Pool(self.problem, self.router, dict(every[at] for at in columns), self.uncut)

    def _nearest(self, prices: Prices, many: int) -> NDArray[np.intp]:
        """Return the columns that fall short least; those that are used come first.

        Every kind has one among these.
        """
        unused = np.array(prices.amounts) <= 0
        order = np.lexsort((self._falls_short(prices), unused))
        return np.sort(order[: max(many, (~unused).sum())])

    def _falls_short(self, prices: Prices) -> NDArray[np.int64]:
        """Return by how much each column is worth less than its sheet."""
        return np.array(
            [prices.of_sheet[one.sheet] - prices.worth(one.kinds) for one in self.columns.values()]
        )

    def forget(self, prices: Prices) -> Prices:
        """Where there are very many columns, keep those that cost least at the prices.

        Returns the prices with the amounts of those that are left.
        """
        if len(self) <= MOST_SEARCHED:
            return prices
        kept = self._nearest(prices, MOST_SEARCHED // 2)
        self.columns, self._relaxation = self._of(kept).columns, None
        return replace(prices, amounts=tuple(prices.amounts[at] for at in kept))
