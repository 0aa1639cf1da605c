"""The sheet that is worth most at given prices, found exactly by dynamic programming.

    worth(w, h, s) = the most that a rectangle w x h is worth whose sides s are factory edges
                   = the best of a single piece in it, and of every straight cut through it

over the sums of piece sizes, kerf added to pieces and sheet (Gilmore and Gomory, Operations
Research 13, 1965; Cintra et al., EJOR 191, 2008), and never more than its area allows (`area`).
A cut takes from both of its sides the factory edge between them. How many of a kind are wanted
bounds the sums and the worth by area but not the copies in one sheet, so the worth found is
never below that of a pattern within demand: as a bound it is safe.

Where there are too many sums, sizes are rounded down to a coarser grid (`Rounding.DOWN`), which
bounds the worth from above, or up (`Rounding.UP`), which gives patterns that truly fit.
"""

import copy
import enum
import functools
import operator
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from cutopt.solver.area import WorthByArea
from cutopt.solver.axis import COARSE, Axis
from cutopt.solver.nests import Nests
from cutopt.solver.parting import TOGETHER, Worths
from cutopt.solver.problem import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Join,
    Leaf,
    Nest,
    Problem,
    Sheet,
    Stand,
    Tree,
    leaves_of,
)

#: Grids that take more sums than this to fill, or with more points along a side than memory holds
#: the cuts of, are too fine: sizes are rounded instead.
MOST_SUMS, MOST_POINTS = 10**10, 4_000
#: So much slower are grids whose columns are filled one by one.
ONE_BY_ONE = 12
#: Worths that stay below this go into half the memory.
MOST_SHORT = 2**29


class Rounding(enum.Enum):
    """What happens to sizes before they are summed."""

    NONE = "none"
    DOWN = "down"
    UP = "up"


@dataclass
class Pricer:
    """Prices one sheet again and again; the grid is laid out once.

    Worths are capped by area for the best bound; without caps every worth can be cut.
    """

    problem: Problem
    sheet: Sheet
    nests: Nests = field(default_factory=Nests)
    rounding: Rounding = Rounding.NONE
    capped: bool = True
    steps: int = COARSE
    across: Axis = field(init=False)
    upwards: Axis = field(init=False)
    rigid: list[Leaf | Nest] = field(init=False)

    def __post_init__(self) -> None:
        kerf = self.problem.kerf
        leaves = leaves_of(self.problem, self.sheet)
        self.rigid = [*leaves, *self.nests.listed]
        whole = self.sheet.width + kerf, self.sheet.height + kerf
        if self.rounding is Rounding.NONE:
            demand = self.problem.demands
            widths = {(tree.width + kerf, tree.kinds): _most(tree, demand) for tree in self.rigid}
            heights = {(tree.height + kerf, tree.kinds): _most(tree, demand) for tree in self.rigid}
            pockets = [pocket for tree in leaves for pocket in tree.stand.pockets]
            self.across = Axis.exact(
                _by_size(widths), [whole[0], *(pocket.width + kerf for pocket in pockets)]
            )
            self.upwards = Axis.exact(
                _by_size(heights), [whole[1], *(pocket.height + kerf for pocket in pockets)]
            )
        else:
            up = self.rounding is Rounding.UP
            wide = min((tree.width + kerf for tree in self.rigid), default=whole[0])
            high = min((tree.height + kerf for tree in self.rigid), default=whole[1])
            self.across = Axis.rounded(wide, whole[0], self.steps, up=up)
            self.upwards = Axis.rounded(high, whole[1], self.steps, up=up)

    def with_caps(self) -> "Pricer":
        """Return one that shares the grid and caps worths by area."""
        capped = copy.copy(self)
        capped.capped = True
        return capped

    @property
    def bounds(self) -> bool:
        """Tell whether no pattern is worth more than what is found: no size rounds to nothing."""
        kerf, rounded_up = self.problem.kerf, self.rounding is Rounding.UP
        return (
            self.nests.complete
            and not rounded_up
            and all(
                self.across.scale(tree.width + kerf) and self.upwards.scale(tree.height + kerf)
                for tree in self.rigid
            )
        )

    @property
    def is_too_fine(self) -> bool:
        """Tell whether the grid takes too long to fill, or too much memory."""
        points = max(len(self.across.points), len(self.upwards.points))
        return self.sums > MOST_SUMS or points > MOST_POINTS

    @functools.cached_property
    def sums(self) -> int:
        """Return a measure of how many sums it takes to fill the grid, for each set of edges."""
        across, upwards = len(self.across.points), len(self.upwards.points)
        sums = (2 * len(_below(self._start)) - 1) * across * upwards * (across + upwards)
        return sums * (ONE_BY_ONE if len(self.runs) * TOGETHER > across else 1)

    @property
    def _start(self) -> int:
        """Return the factory edges of the sheet that any piece or pocket has a use for."""
        wished = 0
        for tree in self.rigid:
            wished |= tree.wants
            if isinstance(tree, Leaf):
                wished |= functools.reduce(operator.or_, (p.sides for p in tree.stand.pockets), 0)
        return self.sheet.edges & wished & 15

    def price(self, prices: Sequence[int], goes_on: Callable[[], bool]) -> "Priced | None":
        """Return the worth of every rectangle at these prices; None when told to stop."""
        start = self._start
        tables: dict[int, Worths] = {}
        counted = self._counted_in(prices)
        priced = Priced(self, tuple(prices), start, tables, WorthByArea.of(self.problem, prices))
        for mask in sorted(_below(start), key=lambda mask: (mask.bit_count(), mask)):
            tables[mask] = np.zeros((len(self.across.points), len(self.upwards.points)), counted)
            if not self._fill(priced, mask, goes_on):
                return None
        return priced

    def _fill(self, priced: "Priced", mask: int, goes_on: Callable[[], bool]) -> bool:
        table, blocks = priced.tables[mask], self._by_column(mask)
        for start, end in self.runs:
            for column in range(start, end):
                self._cut_across(priced, mask, column)
                for row, tree in blocks.get(column, ()):
                    table[column, row] = max(table[column, row], priced.single(tree, mask))
            grown = table[max(0, start - 1) : end]
            np.maximum.accumulate(grown, axis=0, out=grown)
            self._cut_upwards(priced, mask, start, end)
            if not goes_on():
                return False
        return True

    @functools.cached_property
    def runs(self) -> list[tuple[int, int]]:
        """Return columns that can be filled together: what a pocket hosts must be known before."""
        if any(isinstance(tree, Leaf) and tree.stand.pockets for tree in self.rigid):
            return [(column, column + 1) for column in range(len(self.across.points))]
        return self.across.parting.runs

    def _by_column(self, mask: int) -> dict[int, list[tuple[int, Leaf | Nest]]]:
        """Return the pieces and nests that these edges serve, with their rows, by column."""
        found: dict[int, list[tuple[int, Leaf | Nest]]] = {}
        for tree in self.rigid:
            if not tree.wants & ~mask:
                column, row = self.cell_of(tree)
                found.setdefault(column, []).append((row, tree))
        return found

    def cell_of(self, tree: Leaf | Nest) -> tuple[int, int]:
        """Return the smallest cell that holds a piece or nest."""
        kerf, across, upwards = self.problem.kerf, self.across, self.upwards
        return (
            across.first(across.scale(tree.width + kerf)),
            upwards.first(upwards.scale(tree.height + kerf)),
        )

    def _cut_across(self, priced: "Priced", mask: int, column: int) -> None:
        left, right = priced.tables[mask & ~RIGHT], priced.tables[mask & ~LEFT]
        rest = self.across.parting.rest(column, half=left is right)
        if len(rest):
            worth = priced.tables[mask][column]
            np.maximum(worth, (left[1 : len(rest) + 1] + right[rest]).max(axis=0), out=worth)

    def _cut_upwards(self, priced: "Priced", mask: int, start: int, end: int) -> None:
        worth = priced.tables[mask][start:end]
        lower, upper = (
            worth if part == mask else priced.tables[part][start:end]
            for part in (mask & ~TOP, mask & ~BOTTOM)
        )
        most = None
        if self.capped:
            rooms = 2.0 * self.across.largest[start:end, None] * self.upwards.largest
            most = priced.by_area.most(rooms)
        self.upwards.parting.grow(worth, lower, upper, most)

    def _counted_in(self, prices: Sequence[int]) -> type[np.signedinteger[Any]]:
        """Return the numbers that hold the worth of every cell, by area."""
        across, upwards, kerf = self.across, self.upwards, self.problem.kerf
        whole = int(across.points[-1]) * int(upwards.points[-1])
        for tree in self.rigid:
            taken = across.scale(tree.width + kerf) * upwards.scale(tree.height + kerf)
            worth = sum(prices[kind] for kind in tree.kinds) * whole
            hosts = isinstance(tree, Leaf) and tree.stand.pockets
            if hosts or worth >= MOST_SHORT * taken:
                return np.int64
        return np.int32


def _most(tree: Leaf | Nest, demand: Sequence[int]) -> int:
    """Return how often a block can be cut before one of its kinds is no more wanted."""
    return min(demand[kind] for kind in tree.kinds)


def _by_size(most: Mapping[tuple[int, tuple[int, ...]], int]) -> list[tuple[int, int]]:
    """Return the sizes, and how often each can be cut: kinds alike in size add up."""
    total: Counter[int] = Counter()
    for (size, _), times in most.items():
        total[size] += times
    return sorted(total.items())


def _below(mask: int) -> set[int]:
    """Return the sets of sides that cuts can leave of a set."""
    found, fresh = {mask}, {mask}
    while fresh:
        fresh = {one & ~side for one in fresh for side in (LEFT, RIGHT, BOTTOM, TOP)} - found
        found |= fresh
    return found


@dataclass(frozen=True)
class Priced:
    """What every rectangle of a sheet is worth, and how to cut it for that."""

    pricer: Pricer
    prices: tuple[int, ...]
    start: int
    tables: dict[int, Worths]
    by_area: WorthByArea
    singles: dict[int, dict[int, list[Leaf | Nest]]] = field(default_factory=dict)

    @property
    def worth(self) -> int:
        """Return what the whole sheet is worth."""
        return int(self.tables[self.start][-1, -1])

    def trees(self, least: int, most: int) -> Iterator[Tree]:
        """Yield cuttings of the whole sheet worth more than `least`, the best ones first."""
        table = self.tables[self.start]
        column, row = table.shape[0] - 1, table.shape[1] - 1
        if self.worth > least and (tree := self.tree(self.start, column, row)):
            yield tree
        for worth, first, second, beside in self._first_cuts()[:most]:
            if worth > least:
                one, other = self.tree(*first), self.tree(*second)
                if one and other:
                    yield Join(one, other, beside, self.pricer.problem.kerf)

    def _first_cuts(self) -> list[tuple[int, tuple[int, int, int], tuple[int, int, int], bool]]:
        mask, (columns, rows) = self.start, self.tables[self.start].shape
        found = []
        for at, rest in enumerate(self.pricer.across.parting.rest(columns - 1).tolist(), start=1):
            first, second = (mask & ~RIGHT, at, rows - 1), (mask & ~LEFT, rest, rows - 1)
            found.append((self._at(first) + self._at(second), first, second, True))
        for at, rest in enumerate(self.pricer.upwards.parting.rest(rows - 1).tolist(), start=1):
            first, second = (mask & ~TOP, columns - 1, at), (mask & ~BOTTOM, columns - 1, rest)
            found.append((self._at(first) + self._at(second), first, second, False))
        return sorted(found, key=lambda cut: -cut[0])

    def _at(self, cell: tuple[int, int, int]) -> int:
        mask, column, row = cell
        return int(self.tables[mask][column, row])

    def single(self, tree: Leaf | Nest, mask: int) -> int:
        """Return the worth of a piece or nest, with the best that a piece's pockets can host."""
        worth = sum(self.prices[kind] for kind in tree.kinds)
        if isinstance(tree, Leaf):
            for number in range(len(tree.stand.pockets)):
                worth += self.in_pocket(tree.stand, number, mask)
        return worth

    def in_pocket(self, stand: Stand, number: int, mask: int) -> int:
        """Return the most that a pocket can host."""
        return self._at(self._pocket_cell(stand, number, mask))

    def _pocket_cell(self, stand: Stand, number: int, mask: int) -> tuple[int, int, int]:
        pocket, kerf = stand.pockets[number], self.pricer.problem.kerf
        across, upwards = self.pricer.across, self.pricer.upwards
        return (
            mask & pocket.sides,
            across.index(across.room(max(0, pocket.width + kerf))),
            upwards.index(upwards.room(max(0, pocket.height + kerf))),
        )

    def tree(self, mask: int, column: int, row: int) -> Tree | None:
        """Return the cuts that make a rectangle worth what the table says, None for nothing."""
        worth, table = self._at((mask, column, row)), self.tables[mask]
        if not worth:
            return None
        # A smaller rectangle may be worth as much.
        column = int(np.searchsorted(table[: column + 1, row], worth))
        row = int(np.searchsorted(table[column, : row + 1], worth))
        for tree in self._singles(mask).get(worth, ()):
            if self._lies(tree, mask, column, row):
                return self.filled(tree, mask) if isinstance(tree, Leaf) else tree
        cut = self._cut(mask, column, row, worth)
        if cut is None:
            return None
        first, second, beside = cut
        one, other = self.tree(*first), self.tree(*second)
        if one and other:
            return Join(one, other, beside, self.pricer.problem.kerf)
        return one or other

    def _singles(self, mask: int) -> dict[int, list[Leaf | Nest]]:
        """Return the pieces and nests by what they are worth."""
        if mask not in self.singles:
            found = self.singles[mask] = {}
            for tree in self.pricer.rigid:
                found.setdefault(self.single(tree, mask), []).append(tree)
        return self.singles[mask]

    def _lies(self, tree: Leaf | Nest, mask: int, column: int, row: int) -> bool:
        kerf, across, upwards = self.pricer.problem.kerf, self.pricer.across, self.pricer.upwards
        return (
            not tree.wants & ~mask
            and across.scale(tree.width + kerf) <= across.points[column]
            and upwards.scale(tree.height + kerf) <= upwards.points[row]
        )

    def filled(self, leaf: Leaf, mask: int) -> Leaf:
        """Return a piece with what its pockets host for that worth."""
        cells = [
            (number, self._pocket_cell(leaf.stand, number, mask))
            for number in range(len(leaf.stand.pockets))
        ]
        trees = [(number, self.tree(*cell)) for number, cell in cells]
        fills = tuple((number, tree) for number, tree in trees if tree)
        return Leaf(leaf.kind, leaf.stand, fills)

    def _cut(
        self, mask: int, column: int, row: int, worth: int
    ) -> tuple[tuple[int, int, int], tuple[int, int, int], bool] | None:
        tables, rest = self.tables, self.pricer.across.parting.rest(column)
        lower, upper = tables[mask & ~RIGHT][:, row], tables[mask & ~LEFT][:, row]
        for at in np.flatnonzero(lower[1:column] + upper[rest[:-1]] == worth).tolist():
            if rest[at] < column:
                return (mask & ~RIGHT, at + 1, row), (mask & ~LEFT, int(rest[at]), row), True
        rest = self.pricer.upwards.parting.rest(row)
        lower, upper = tables[mask & ~TOP][column], tables[mask & ~BOTTOM][column]
        for at in np.flatnonzero(lower[1:row] + upper[rest[:-1]] == worth).tolist():
            if rest[at] < row:
                return (mask & ~TOP, column, at + 1), (mask & ~BOTTOM, column, int(rest[at])), False
        return None
