"""What the rest of a sheet can be worth around a rectangle of it, and which blocks that spares.

    around(w, h, s) = the most that all other parts of the sheet are worth when one part of it is
                      a rectangle w x h whose sides s are factory edges
                    = the best of every cut that leaves such a rectangle: what lies around the
                      larger part that was cut, and the worth of the other part

Filled from the whole sheet downwards beside the worths of `pricing`. A block whose own worth and
what can lie around it do not come to more than a sheet costs is part of no pattern that does
(the upper bound of Dolatabadi, Lodi and Monaci, Computers & Operations Research 39 (2012), for
cuts that remain open). Listing blocks with this sieve finds every pattern worth more than its
sheet, each piece no more often than it is wanted, or proves that there is none.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.area import room_of
from cutopt.solver.levels import POCKETS, Level, host_of
from cutopt.solver.parting import Worths
from cutopt.solver.pricing import Priced
from cutopt.solver.problem import BOTTOM, LEFT, RIGHT, TOP, Leaf, Pocket

Ints = NDArray[np.int64]
Passed = NDArray[np.bool_]
#: Less than any sum of worths, and of those that go into half the memory.
NOWHERE, NOWHERE_SHORT = -(2**60), -(2**30)
#: So many times more single pieces are kept than blocks of several.
MORE_SINGLE = 4


@dataclass(frozen=True)
class Surroundings:
    """What lies around each rectangle at the most.

    Attributes
    ----------
    around : dict
        By the sides that are factory edges.
    tables : dict
        By the sides that it wants on factory edges.
    """

    priced: Priced
    around: dict[int, Worths]
    tables: dict[int, Worths]

    @classmethod
    def of(cls, priced: Priced, goes_on: Callable[[], bool]) -> "Surroundings | None":
        """Return what lies around every rectangle of a priced sheet; None when told to stop."""
        table, runs = priced.tables[priced.start], priced.pricer.runs
        nowhere = NOWHERE if table.dtype == np.int64 else NOWHERE_SHORT
        around = {mask: np.full_like(table, nowhere) for mask in priced.tables}
        around[priced.start][-1, -1] = 0
        # A cut takes edges away, so the sets with more edges are parents of those with fewer.
        masks = sorted(around, key=lambda mask: (-mask.bit_count(), mask))
        for start, end in reversed(runs):
            for mask in masks:
                _cut_across(priced, around, mask, start, end)
                _cut_upwards(priced, around, mask, start, end)
                _widen(priced, around, mask, start, end)
            if not goes_on():
                return None
        return cls(priced, around, _for_wishes(around))

    def most(self, size: tuple[Ints, Ints], wants: Ints) -> Ints:
        """Return the most that can lie around blocks of these sizes and wishes."""
        pricer, (width, height) = self.priced.pricer, size
        kerf = pricer.problem.kerf
        columns, rows = pricer.across.holding(width + kerf), pricer.upwards.holding(height + kerf)
        taken = 2.0 * (width + kerf) * (height + kerf)
        around = self.priced.by_area.most(np.maximum(0.0, room_of(pricer.sheet, kerf) - taken))
        for wish in np.unique(wants).tolist() if wants.any() else [0]:
            mine = wants == wish
            table = self.tables.get(wish)
            most = NOWHERE if table is None else table[columns[mine], rows[mine]]
            around[mine] = np.minimum(around[mine], most)
        return around


def _cut_across(priced: Priced, around: dict[int, Worths], mask: int, start: int, end: int) -> None:
    """Let the rectangles of columns, none a part of another, be parts of wider ones."""
    parting, mine = priced.pricer.across.parting, around[mask]
    for column in range(end - 1, start - 1, -1):
        rest = parting.rest_of_larger(column)
        for parent, other in parts_of_cuts(priced, mask, LEFT, RIGHT):
            wider = end if parent == mask else column + 1
            if parent == mask and column + 1 < end:
                np.maximum(mine[column], mine[column + 1], out=mine[column])
            if wider < len(mine):
                parts = priced.tables[other][rest[wider - column - 1 :]]
                best = (around[parent][wider:] + parts).max(axis=0)
                np.maximum(mine[column], best, out=mine[column])


def _cut_upwards(
    priced: Priced, around: dict[int, Worths], mask: int, start: int, end: int
) -> None:
    """Let the rectangles of columns be parts of taller ones."""
    mine = around[mask][start:end]
    parents = [
        (mine if parent == mask else around[parent][start:end], priced.tables[other][start:end])
        for parent, other in parts_of_cuts(priced, mask, BOTTOM, TOP)
    ]
    priced.pricer.upwards.parting.surround(mine, parents)


def _widen(priced: Priced, around: dict[int, Worths], mask: int, start: int, end: int) -> None:
    """Let the rectangles of columns be parts of wider ones that only a strip was cut from."""
    if any(parent == mask for parent, _ in parts_of_cuts(priced, mask, LEFT, RIGHT)):
        wider = around[mask][start:end][::-1]
        np.maximum.accumulate(wider, axis=0, out=wider)


def parts_of_cuts(priced: Priced, mask: int, low: int, high: int) -> dict[tuple[int, int], bool]:
    """Return the sets (parent, other): a cut of the parent leaves `mask` and the other part.

    With each, whether `mask` can be the first part, left of the cut or below it.
    """
    found = {}
    for parent in priced.tables:
        if parent & ~low == mask:
            found[parent, parent & ~high] = False
        if parent & ~high == mask:
            found[parent, parent & ~low] = True
    return found


def _for_wishes(around: dict[int, Worths]) -> dict[int, Worths]:
    """Return tables by wished sides: a rectangle that is larger or has more edges serves as well.

    What wants two edges that face each other lies in a rectangle as long as the sheet, however
    short it is itself.
    """
    return {
        wants: _or_larger(np.max([around[mask] for mask in around if not wants & ~mask], axis=0))
        for wants in around
    }


def _or_larger(table: Worths) -> Worths:
    """Return the most of all that is at least as wide and as tall."""
    wider = np.maximum.accumulate(table[::-1], axis=0)[::-1]
    return np.asarray(np.maximum.accumulate(wider[:, ::-1], axis=1)[:, ::-1])


@dataclass(frozen=True)
class Sieve:
    """Keeps the blocks that can still be part of a pattern worth more than `least`.

    Attributes
    ----------
    most : int
        Of the blocks with equally many pieces that pass, at most so many of the best are kept.
    """

    surroundings: Surroundings
    least: int
    most: int

    def passes(self, size: tuple[Ints, Ints], wants: Ints, worth: Ints) -> Passed:
        """Tell which blocks can still be part of such a pattern."""
        passing = worth + self.surroundings.most(size, wants) > self.least
        for pocket in self._pockets:  # what can lie around a guest is not looked into
            passing |= (size[0] <= pocket.width) & (size[1] <= pocket.height)
        return passing

    def worth(self, members: Ints) -> Ints:
        """Return what blocks are worth, by the kinds of their pieces."""
        prices = np.array(self.surroundings.priced.prices, np.int64)
        return np.asarray(prices[members].sum(axis=1), np.int64)

    def best(self, level: Level) -> tuple[NDArray[np.intp], bool]:
        """Return the rows of the blocks that pass, or of the best of them, and whether all."""
        worth = self.worth(level.members) + self._hosted[level.host]
        size = level.width, level.height
        passing = np.flatnonzero(self.passes(size, level.wants, worth))
        most = self.most * (MORE_SINGLE if level.members.shape[1] == 1 else 1)
        if len(passing) <= most:
            return passing, True
        promise = worth[passing] + self.surroundings.most(size, level.wants)[passing]
        return np.sort(passing[np.argsort(-promise, kind="stable")[:most]]), False

    @cached_property
    def _pockets(self) -> list[Pocket]:
        return [pocket for leaf in self._leaves for pocket in leaf.stand.pockets]

    @cached_property
    def _hosted(self) -> Ints:
        """Return the most that pockets still to be filled can host, by what tells hosts apart."""
        priced = self.surroundings.priced
        hosted = np.zeros(len(self._leaves) * POCKETS + 1, np.int64)
        for number, leaf in enumerate(self._leaves):
            worth = 0
            for following in reversed(range(len(leaf.stand.pockets))):
                worth += priced.in_pocket(leaf.stand, following, priced.start)
                hosted[host_of(leaf, number, following)] = worth
        return hosted

    @cached_property
    def _leaves(self) -> list[Leaf]:
        return [tree for tree in self.surroundings.priced.pricer.rigid if isinstance(tree, Leaf)]
