"""The pattern that is worth most of those with a given piece in it, for every piece at once.

What a piece is worth and what lies around it at the most (`surround`) come to the worth of the
best pattern through it. Read from the piece outwards: the cut that parted it off, what lies
beyond that cut, and so on to the whole sheet. A relaxation over many kinds so gets a pattern for
each of them, where the patterns worth most of all share the same few pieces.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cutopt.solver.parting import Parting
from cutopt.solver.pricing import Priced
from cutopt.solver.problem import BOTTOM, LEFT, RIGHT, TOP, Join, Leaf, Tree
from cutopt.solver.surround import Surroundings, parts_of_cuts

#: A rectangle: its factory edges, its column, its row.
Cell = tuple[int, int, int]


@dataclass(frozen=True)
class Through:
    """Reads patterns through pieces; the worths must be such as can be cut."""

    surroundings: Surroundings

    def trees(self, least: int) -> Iterator[Tree]:
        """Yield, for each kind that can be part of one, its best pattern worth more than this."""
        for worth, cell, leaf in self._best.values():
            if worth > least:
                yield self._outwards(self._priced.filled(leaf, cell[0]), cell)

    def worths(self) -> dict[int, int]:
        """Return, for each kind that fits, the worth of the best pattern with it."""
        return {kind: worth for kind, (worth, _, _) in self._best.items()}

    @cached_property
    def _best(self) -> dict[int, tuple[int, Cell, Leaf]]:
        best: dict[int, tuple[int, Cell, Leaf]] = {}
        for leaf in self._priced.pricer.rigid:
            if isinstance(leaf, Leaf):
                worth, cell = self._worth_through(leaf)
                if leaf.kind not in best or worth > best[leaf.kind][0]:
                    best[leaf.kind] = worth, cell, leaf
        return best

    @property
    def _priced(self) -> Priced:
        return self.surroundings.priced

    def _worth_through(self, leaf: Leaf) -> tuple[int, Cell]:
        column, row = self._priced.pricer.cell_of(leaf)
        return max(
            (int(table[column, row]) + self._priced.single(leaf, mask), (mask, column, row))
            for mask, table in self.surroundings.around.items()
            if not leaf.wants & ~mask
        )

    def _outwards(self, tree: Tree, cell: Cell) -> Tree:
        """Return the whole sheet around a block in a cell."""
        ends = tuple(size - 1 for size in self._priced.tables[cell[0]].shape)
        while cell != (self._priced.start, *ends):
            cell, other, first, beside = self._parent(cell)
            if beyond := self._priced.tree(*other):
                one, last = (tree, beyond) if first else (beyond, tree)
                tree = Join(one, last, beside, self._priced.pricer.problem.kerf)
        return tree

    def _parent(self, cell: Cell) -> tuple[Cell, Cell, bool, bool]:
        """Return the larger rectangle that was cut, the other part, and how they lie."""
        mask, column, row = cell
        around, tables = self.surroundings.around, self._priced.tables
        worth = around[mask][column, row]
        rest = self._across.rest_of_larger(column)
        for (parent, other), first in parts_of_cuts(self._priced, mask, LEFT, RIGHT).items():
            sums = around[parent][column + 1 :, row] + tables[other][rest, row]
            for at in np.flatnonzero(sums == worth)[:1].tolist():
                return (parent, column + 1 + at, row), (other, int(rest[at]), row), first, True
        rest = self._upwards.rest_of_larger(row)
        for (parent, other), first in parts_of_cuts(self._priced, mask, BOTTOM, TOP).items():
            sums = around[parent][column, row + 1 :] + tables[other][column, rest]
            for at in np.flatnonzero(sums == worth)[:1].tolist():
                return (parent, column, row + 1 + at), (other, column, int(rest[at])), first, False
        raise ValueError("nothing lies around this rectangle")

    @cached_property
    def _across(self) -> Parting:
        return self._priced.pricer.across.parting

    @cached_property
    def _upwards(self) -> Parting:
        return self._priced.pricer.upwards.parting
