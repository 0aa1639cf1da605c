"""Every way of cutting one sheet, by growing blocks from single pieces upwards.

A *block* is a set of pieces that straight cuts can part: least width, least height, and the
sides of it that must lie on the sheet's own edge (docs/model.md). Two blocks join side by
side when nothing between them wants a factory edge there; the slack of a block always lies
at its cuts, so wanted sides can be pushed outwards. Of the blocks with the same pieces and
wishes only those survive that no other undercuts in both width and height.

Blocks with m pieces come from blocks with fewer, for all of them at once in numpy.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.levels import (
    BESIDE,
    FILLED,
    LEAF,
    NESTED,
    POCKETS,
    UPON,
    Ints,
    Level,
    host_of,
    rigid,
    stacked,
    undominated,
    within_demand,
)
from cutopt.solver.nests import Nests
from cutopt.solver.problem import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Join,
    Leaf,
    Pocket,
    Problem,
    Sheet,
    Tree,
    leaves_of,
)


@dataclass(frozen=True)
class Caps:
    """How much is listed before listing counts as hopeless (then patterns are priced instead)."""

    pairs: int = 4_000_000  # looked at for blocks with equally many pieces
    blocks: int = 400_000
    smaller: int = 1_000  # pieces in the smaller one of two blocks that are joined


class Sieve(Protocol):
    """What passes only some of the blocks with equally many pieces."""

    def passes(self, size: tuple[Ints, Ints], wants: Ints, worth: Ints) -> NDArray[np.bool_]:
        """Tell which blocks can be of use, by width and height, wishes and worth."""

    def worth(self, members: Ints) -> Ints:
        """Return what blocks are worth."""

    def best(self, level: Level) -> tuple[NDArray[np.intp], bool]:
        """Return the rows to go on with, and whether these are all that can be of use."""


@dataclass
class Blocks:
    """The blocks that fit one sheet, by number of pieces.

    Attributes
    ----------
    sieve : Sieve or None
        Passes only the blocks that are worth looking at.
    complete : bool
        Whether nothing was left out for want of time or memory.
    exhausted : bool
        Whether nothing was left out that can be made of the nests that are listed.
    """

    problem: Problem
    sheet: Sheet
    nests: Nests = field(default_factory=Nests)
    caps: Caps = field(default_factory=Caps)
    sieve: "Sieve | None" = None
    complete: bool = True
    exhausted: bool = False
    levels: list[Level] = field(default_factory=list)
    leaves: list[Leaf] = field(default_factory=list)
    _pairs_left: int = 0

    def grow(self, goes_on: Callable[[], bool]) -> "Blocks":
        """List all blocks, level by level, until none has more pieces or it is told to stop."""
        self.levels.append(self._leaf_level())
        total = len(self.levels[0])
        while self._may_grow and self._is_of_use and total <= self.caps.blocks:
            if not goes_on():
                self.complete = False
                break
            parts = list(self._grown(goes_on))
            none = rigid((), (), (), LEAF, len(self.levels) + 1)
            grown = undominated(stacked([none, *parts]), self.problem)
            self.levels.append(self._sifted(grown))
            total += len(self.levels[-1])
        self.exhausted = self.complete and total <= self.caps.blocks
        self.complete = self.exhausted and self.nests.complete
        return self

    def is_hopeless(self, caps: Caps) -> bool:
        """Tell whether to list more would find no more, or go beyond the caps at the next level."""
        if self.exhausted:
            return not self.complete
        sizes = [len(level) for level in self.levels]
        return len(sizes) > 1 and sizes[-2] > 0 and sizes[-1] ** 2 > caps.blocks * sizes[-2]

    def tree(self, level: int, row: int) -> Tree:
        """Return the block in a row as a tree of cuts."""
        block = self.levels[level]
        how, first = int(block.how[row]), int(block.first[row])
        if how == LEAF:
            return self.leaves[first]
        if how == NESTED:
            return self.nests.listed[first]
        one = self.tree(int(block.level_first[row]), first)
        other = self.tree(int(block.level_second[row]), int(block.second[row]))
        if how == FILLED:
            assert isinstance(one, Leaf)
            return Leaf(one.kind, one.stand, (*one.fills, (int(block.pocket[row]), other)))
        return Join(one, other, how == BESIDE, self.problem.kerf)

    @property
    def _may_grow(self) -> bool:
        """Tell whether blocks with more pieces can follow: sifted ones leave levels empty."""
        if self.sieve is None:
            return len(self.levels[-1]) > 0
        deepest = max(
            (depth for depth, level in enumerate(self.levels, 1) if len(level)), default=0
        )
        nested = max((len(nest.kinds) for nest in self.nests.listed), default=0)
        return len(self.levels) < max(deepest + min(deepest, self.caps.smaller), nested)

    @property
    def _is_of_use(self) -> bool:
        """Tell whether to list on: what is neither complete nor sifted is better found by lot."""
        return self.complete or self.sieve is not None or self.nests.many

    def _sifted(self, level: Level) -> Level:
        if self.sieve is None:
            return level
        rows, complete = self.sieve.best(level)
        self.complete &= complete
        return level.pick(rows)

    def _grown(self, goes_on: Callable[[], bool]) -> Iterator[Level]:
        for joined in self._joined():
            yield joined
            if not goes_on():
                self.complete = False
                return
        yield from self._hosted()
        yield from self._nested()

    def _leaf_level(self) -> Level:
        self.leaves = leaves_of(self.problem, self.sheet)
        cuts = [leaf.stand.shaping for leaf in self.leaves]
        level = rigid(self.leaves, range(len(self.leaves)), cuts, LEAF, 1)
        level.host[:] = [host_of(leaf, number, 0) for number, leaf in enumerate(self.leaves)]
        return self._sifted(undominated(level, self.problem))

    def _nested(self) -> Iterator[Level]:
        pieces = len(self.levels) + 1
        listed = self.nests.listed
        rows = [row for row, nest in enumerate(listed) if len(nest.kinds) == pieces]
        nests = [listed[row] for row in rows]
        if nests:
            yield rigid(nests, rows, [nest.cuts for nest in nests], NESTED, pieces)

    def _joined(self) -> Iterator[Level]:
        pieces = len(self.levels) + 1
        self._pairs_left = self.caps.pairs
        farthest = min(pieces // 2, self.caps.smaller)
        self.complete &= not any(
            len(self.levels[less - 1]) and len(self.levels[pieces - less - 1])
            for less in range(farthest + 1, pieces // 2 + 1)
        )
        for less in range(1, farthest + 1):
            a, b = less - 1, pieces - less - 1
            for how in (BESIDE, UPON):
                pairs = self._fitting_pairs(a, b, how)
                if pairs is not None and len(pairs[0]):
                    yield self._join(a, b, how, pairs)

    def _fitting_pairs(self, a: int, b: int, how: int) -> tuple[Ints, Ints] | None:
        one, other = self.levels[a], self.levels[b]
        if not len(one) or not len(other):
            return None
        beside = how == BESIDE
        sizes = (one.width, other.width) if beside else (one.height, other.height)
        room = (self.sheet.width if beside else self.sheet.height) - self.problem.kerf
        order = np.argsort(sizes[1], kind="stable")
        counts = np.searchsorted(sizes[1][order], room - sizes[0], side="right")
        total = int(counts.sum())
        if total > self._pairs_left:
            self.complete = False
            return None
        self._pairs_left -= total
        rows = np.repeat(np.arange(len(one)), counts)
        starts = np.repeat(np.cumsum(counts) - counts, counts)
        others = order[np.arange(total) - starts]
        if a == b:
            once = rows <= others
            rows, others = rows[once], others[once]
        low, high = (LEFT, RIGHT) if beside else (BOTTOM, TOP)
        straight = ((one.wants[rows] & high) | (other.wants[others] & low)) == 0
        swapped = ((one.wants[rows] & low) | (other.wants[others] & high)) == 0
        kept = straight | swapped
        return rows[kept], others[kept]

    def _join(self, a: int, b: int, how: int, pairs: tuple[Ints, Ints]) -> Level:
        one, other, (rows, others) = self.levels[a], self.levels[b], self._passing(a, b, how, pairs)
        members = np.sort(np.hstack([one.members[rows], other.members[others]]), axis=1)
        wanted = within_demand(members, self.problem)
        rows, others, members = rows[wanted], others[wanted], members[wanted]
        low, high = (LEFT, RIGHT) if how == BESIDE else (BOTTOM, TOP)
        straight = ((one.wants[rows] & high) | (other.wants[others] & low)) == 0
        along, across = ("width", "height") if how == BESIDE else ("height", "width")
        size = {
            along: vars(one)[along][rows] + self.problem.kerf + vars(other)[along][others],
            across: np.maximum(vars(one)[across][rows], vars(other)[across][others]),
        }
        trims = (vars(one)[across][rows] < size[across]).astype(np.int64)
        trims += vars(other)[across][others] < size[across]
        level = Level(
            members=members,
            wants=one.wants[rows] | other.wants[others],
            cuts=one.cuts[rows] + other.cuts[others] + 1 + trims,
            how=np.full(len(rows), how, np.int64),
            level_first=np.where(straight, a, b),
            first=np.where(straight, rows, others),
            level_second=np.where(straight, b, a),
            second=np.where(straight, others, rows),
            pocket=np.full(len(rows), -1, np.int64),
            host=np.zeros(len(rows), np.int64),
            **size,
        )
        longest = self.problem.cutters.longest
        return level if longest is None else level.pick(size[across] <= longest)

    def _passing(self, a: int, b: int, how: int, pairs: tuple[Ints, Ints]) -> tuple[Ints, Ints]:
        """Return the pairs that the sieve lets pass."""
        if self.sieve is None:
            return pairs
        one, other, (rows, others), kerf = self.levels[a], self.levels[b], pairs, self.problem.kerf
        width, other_width = one.width[rows], other.width[others]
        height, other_height = one.height[rows], other.height[others]
        if how == BESIDE:
            size = width + kerf + other_width, np.maximum(height, other_height)
        else:
            size = np.maximum(width, other_width), height + kerf + other_height
        worth = self.sieve.worth(one.members)[rows] + self.sieve.worth(other.members)[others]
        passing = self.sieve.passes(size, one.wants[rows] | other.wants[others], worth)
        return rows[passing], others[passing]

    def _hosted(self) -> Iterator[Level]:
        """Yield the pieces with pockets that host blocks: m pieces in all."""
        pieces = len(self.levels) + 1
        for inside in range(1, pieces):
            a, b = pieces - inside - 1, inside - 1
            holders, guests = self.levels[a], self.levels[b]
            for row in np.flatnonzero(holders.host):
                yield from self._hosts(a, int(row), b, guests)

    def _hosts(self, a: int, row: int, b: int, guests: Level) -> Iterator[Level]:
        """Yield one piece with each of its free pockets filled by each guest that fits."""
        leaf = self.tree(a, row)
        assert isinstance(leaf, Leaf)
        for number, pocket in enumerate(leaf.stand.pockets):
            if number > self.levels[a].pocket[row]:
                fit = (guests.width <= pocket.width) & (guests.height <= pocket.height)
                fit &= (guests.wants & ~pocket.sides) == 0
                wants = guests.wants | leaf.wants
                for wish in np.unique(wants[fit]).tolist():
                    if not self.sheet.holds(leaf.width, leaf.height, wish):
                        fit &= wants != wish
                if fit.any():
                    yield self._filled((a, row), number, pocket, (b, np.flatnonzero(fit)))

    def _filled(
        self,
        holder: tuple[int, int],
        number: int,
        pocket: Pocket,
        guests: tuple[int, NDArray[np.intp]],
    ) -> Level:
        (a, row), (b, rows) = holder, guests
        own, inside = self.levels[a].pick(np.repeat(row, len(rows))), self.levels[b].pick(rows)
        members = np.sort(np.hstack([own.members, inside.members]), axis=1)
        trims = (inside.width < pocket.width).astype(np.int64)
        trims += inside.height < pocket.height
        many = len(rows)
        # The number that its leaf has is in what told the holder apart.
        leaf_number = (int(self.levels[a].host[row]) - 1) // POCKETS
        host = host_of(self.leaves[leaf_number], leaf_number, number + 1)
        level = Level(
            members=members,
            width=own.width,
            height=own.height,
            wants=inside.wants | own.wants,
            cuts=own.cuts + inside.cuts + trims,
            how=np.full(many, FILLED, np.int64),
            level_first=np.full(many, a, np.int64),
            first=np.full(many, row, np.int64),
            level_second=np.full(many, b, np.int64),
            second=rows.astype(np.int64),
            pocket=np.full(many, number, np.int64),
            host=np.full(many, host, np.int64),
        )
        return level.pick(within_demand(members, self.problem))
