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

import enum
import functools
import operator
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.area import WorthByArea
from cutopt.solver.nests import Nests
from cutopt.solver.parting import Parting
from cutopt.solver.problem import (
    ACROSS,
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    UPWARDS,
    Join,
    Leaf,
    Nest,
    Problem,
    Sheet,
    Stand,
    Tree,
    leaves_of,
)

#: Grid cells beyond this many are too slow to fill; sizes are rounded instead.
MOST_CELLS = 160_000
#: Points of a rounded grid along each side.
COARSE = 240
#: More points are laid for thin pieces, up to so many.
FINEST = 700


class Rounding(enum.Enum):
    """What happens to sizes before they are summed."""

    NONE = "none"
    DOWN = "down"
    UP = "up"


@dataclass(frozen=True)
class _Axis:
    """The sums along one side, the whole side last, and how sizes and rooms map onto them.

    Exact where `steps` equals `whole`; otherwise `whole` is parted into so many steps.
    """

    points: NDArray[np.int64]
    steps: int = 1
    whole: int = 1
    up: bool = False
    rests: dict[int, NDArray[np.intp]] = field(default_factory=dict)

    @classmethod
    def exact(cls, sizes: Sequence[tuple[int, int]], whole: int) -> "_Axis":
        sums = {0}
        for size, most in sizes:
            for _ in range(min(most, whole // size)):
                grown = {total + size for total in sums if total + size <= whole} - sums
                if not grown:
                    break
                sums |= grown
                if len(sums) > MOST_CELLS:
                    break
        return cls(np.array(sorted(sums), np.int64))

    @classmethod
    def rounded(cls, sizes: Iterable[int], whole: int, *, up: bool) -> "_Axis":
        """Return a grid so fine that the thinnest size is a step wide, up to a limit."""
        steps = min(FINEST, max([COARSE, *(-(-whole // size) for size in sizes)]))
        return cls(np.arange(steps + 1), steps, whole, up)

    @functools.cached_property
    def parting(self) -> Parting:
        """Return how its points make up one another."""
        return Parting(self.points)

    @functools.cached_property
    def largest(self) -> NDArray[np.float64]:
        """Return the largest sizes that are counted as each point."""
        if self.steps == self.whole:
            return self.points.astype(float)
        return np.asarray((self.points + 1) * (self.whole / self.steps), np.float64)

    def scale(self, size: int) -> int:
        """Return what a size counts."""
        return -self.room(-size) if self.up else self.room(size)

    def room(self, room: int) -> int:
        """Return what room for pieces counts: never more than it holds."""
        return room * self.steps // self.whole

    def floors(self, sizes: NDArray[np.int64]) -> NDArray[np.intp]:
        """Return the last points that are no larger than these sizes."""
        counted = sizes * self.steps // self.whole
        return np.asarray(np.searchsorted(self.points, counted, side="right") - 1)

    def index(self, size: int) -> int:
        """Return the last point that is no larger."""
        return int(np.searchsorted(self.points, size, side="right")) - 1

    def rest(self, end: int) -> NDArray[np.intp]:
        """Return, for each first part 1 to end, the index of what the second part comes to."""
        if end not in self.rests:
            rest = self.points[end] - self.points[1 : end + 1]
            self.rests[end] = np.asarray(np.searchsorted(self.points, rest, side="right") - 1)
        return self.rests[end]


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
    across: _Axis = field(init=False)
    upwards: _Axis = field(init=False)
    rigid: list[Leaf | Nest] = field(init=False)

    def __post_init__(self) -> None:
        kerf = self.problem.kerf
        self.rigid = [*leaves_of(self.problem, self.sheet), *self.nests.listed]
        whole = self.sheet.width + kerf, self.sheet.height + kerf
        if self.rounding is Rounding.NONE:
            demand = self.problem.demands
            widths = {(tree.width + kerf, tree.kinds): _most(tree, demand) for tree in self.rigid}
            heights = {(tree.height + kerf, tree.kinds): _most(tree, demand) for tree in self.rigid}
            self.across = _Axis.exact(_by_size(widths), whole[0])
            self.upwards = _Axis.exact(_by_size(heights), whole[1])
        else:
            up = self.rounding is Rounding.UP
            self.across = _Axis.rounded((tree.width + kerf for tree in self.rigid), whole[0], up=up)
            self.upwards = _Axis.rounded(
                (tree.height + kerf for tree in self.rigid), whole[1], up=up
            )

    @property
    def bounds(self) -> bool:
        """Tell whether no pattern is worth more than what is found: no size rounds to nothing."""
        kerf = self.problem.kerf
        return self.nests.complete and all(
            self.across.scale(tree.width + kerf) and self.upwards.scale(tree.height + kerf)
            for tree in self.rigid
        )

    @property
    def cells(self) -> int:
        """Return how many cells the grid has."""
        return len(self.across.points) * len(self.upwards.points)

    def price(self, prices: Sequence[int], goes_on: Callable[[], bool]) -> "Priced | None":
        """Return the worth of every rectangle at these prices; None when told to stop."""
        wished = 0
        for tree in self.rigid:
            wished |= tree.wants
            if isinstance(tree, Leaf):
                wished |= functools.reduce(operator.or_, (p.sides for p in tree.stand.pockets), 0)
        start = self.sheet.edges & wished & 15
        tables: dict[int, NDArray[np.int64]] = {}
        priced = Priced(self, tuple(prices), start, tables, WorthByArea.of(self.problem, prices))
        for mask in sorted(_below(start), key=lambda mask: (mask.bit_count(), mask)):
            tables[mask] = np.zeros((len(self.across.points), len(self.upwards.points)), np.int64)
            if not self._fill(priced, mask, goes_on):
                return None
        return priced

    def _fill(self, priced: "Priced", mask: int, goes_on: Callable[[], bool]) -> bool:
        tables, table = priced.tables, priced.tables[mask]
        left, right = tables[mask & ~RIGHT], tables[mask & ~LEFT]
        by_column: dict[int, list[Leaf | Nest]] = {}
        for tree in self.rigid:
            if not tree.wants & ~mask:
                column = self.across.index(self.across.scale(tree.width + self.problem.kerf))
                by_column.setdefault(column, []).append(tree)
        for column in range(len(self.across.points)):
            worth = table[column]
            if column:
                np.maximum(worth, table[column - 1], out=worth)
                rest = self.across.rest(column)
                np.maximum(worth, (left[1 : column + 1] + right[rest]).max(axis=0), out=worth)
            for tree in by_column.get(column, ()):
                row = self.upwards.index(self.upwards.scale(tree.height + self.problem.kerf))
                worth[row] = max(worth[row], priced.single(tree, mask))
            lower, upper = tables[mask & ~TOP][column], tables[mask & ~BOTTOM][column]
            self.upwards.parting.grow(
                worth,
                worth if mask & ~TOP == mask else lower,
                worth if mask & ~BOTTOM == mask else upper,
            )
            if self.capped:
                rooms = 2.0 * self.across.largest[column] * self.upwards.largest
                np.minimum(worth, priced.by_area.most(rooms), out=worth)
            if not column % 16 and not goes_on():
                return False
        return True


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
    tables: dict[int, NDArray[np.int64]]
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
        if self.worth > least and (tree := self._tree(self.start, column, row)):
            yield tree
        for worth, first, second, beside in self._first_cuts()[:most]:
            if worth > least:
                one, other = self._tree(*first), self._tree(*second)
                if one and other:
                    yield Join(one, other, beside, self.pricer.problem.kerf)

    def _first_cuts(self) -> list[tuple[int, tuple[int, int, int], tuple[int, int, int], bool]]:
        mask, (columns, rows) = self.start, self.tables[self.start].shape
        found = []
        for at, rest in enumerate(self.pricer.across.rest(columns - 1).tolist(), start=1):
            first, second = (mask & ~RIGHT, at, rows - 1), (mask & ~LEFT, rest, rows - 1)
            found.append((self._at(first) + self._at(second), first, second, True))
        for at, rest in enumerate(self.pricer.upwards.rest(rows - 1).tolist(), start=1):
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
                worth += self._at(self._pocket_cell(tree.stand, number, mask))
        return worth

    def _pocket_cell(self, stand: Stand, number: int, mask: int) -> tuple[int, int, int]:
        pocket, kerf = stand.pockets[number], self.pricer.problem.kerf
        across, upwards = self.pricer.across, self.pricer.upwards
        return (
            mask & pocket.sides,
            across.index(across.room(max(0, pocket.width + kerf))),
            upwards.index(upwards.room(max(0, pocket.height + kerf))),
        )

    def _tree(self, mask: int, column: int, row: int) -> Tree | None:
        """Return the cuts that make a rectangle worth what the table says, None for nothing."""
        worth = self._at((mask, column, row))
        if not worth:
            return None
        for tree in self._singles(mask).get(worth, ()):
            if self._lies(tree, mask, column, row):
                return self._filled(tree, mask) if isinstance(tree, Leaf) else tree
        cut = self._cut(mask, column, row, worth)
        if cut is None:  # the same worth sits in a smaller rectangle
            if column and self._at((mask, column - 1, row)) == worth:
                return self._tree(mask, column - 1, row)
            return self._tree(mask, column, row - 1) if row else None
        first, second, beside = cut
        one, other = self._tree(*first), self._tree(*second)
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

    def _filled(self, leaf: Leaf, mask: int) -> Leaf:
        cells = [
            (number, self._pocket_cell(leaf.stand, number, mask))
            for number in range(len(leaf.stand.pockets))
        ]
        trees = [(number, self._tree(*cell)) for number, cell in cells]
        fills = tuple((number, tree) for number, tree in trees if tree)
        return Leaf(leaf.kind, leaf.stand, fills)

    def _cut(
        self, mask: int, column: int, row: int, worth: int
    ) -> tuple[tuple[int, int, int], tuple[int, int, int], bool] | None:
        tables, rest = self.tables, self.pricer.across.rest(column)
        lower, upper = tables[mask & ~RIGHT][:, row], tables[mask & ~LEFT][:, row]
        for at in np.flatnonzero(lower[1:column] + upper[rest[:-1]] == worth).tolist():
            if rest[at] < column:
                return (mask & ~RIGHT, at + 1, row), (mask & ~LEFT, int(rest[at]), row), True
        rest = self.pricer.upwards.rest(row)
        lower, upper = tables[mask & ~TOP][column], tables[mask & ~BOTTOM][column]
        for at in np.flatnonzero(lower[1:row] + upper[rest[:-1]] == worth).tolist():
            if rest[at] < row:
                return (mask & ~TOP, column, at + 1), (mask & ~BOTTOM, column, int(rest[at])), False
        return None


def truly_fits(tree: Tree, sheet: Sheet) -> bool:
    """Tell whether a tree can be cut from a sheet: sizes, wishes, rigid boxes and pockets."""
    return (
        tree.width <= sheet.width
        and tree.height <= sheet.height
        and not tree.wants & ~sheet.edges
        and all(_lies_truly(block, sheet) for block in _rigid_blocks(tree))
    )


def _rigid_blocks(tree: Tree) -> Iterator[Leaf | Nest]:
    if isinstance(tree, Join):
        yield from _rigid_blocks(tree.first)
        yield from _rigid_blocks(tree.second)
    else:
        yield tree


def _lies_truly(block: Leaf | Nest, sheet: Sheet) -> bool:
    """Tell whether a rigid block reaches the opposite edges that it wants; its guests fit too."""
    opposite = block.wants & ACROSS == ACROSS or block.wants & UPWARDS == UPWARDS
    if opposite and not sheet.holds(block.width, block.height, block.wants):
        return False
    return not isinstance(block, Leaf) or all(
        truly_fits(guest, Sheet(pocket.width, pocket.height, sheet.edges & pocket.sides))
        for pocket, guest in ((block.stand.pockets[number], guest) for number, guest in block.fills)
    )
