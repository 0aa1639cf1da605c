"""Blocks with equally many pieces as a table, a row each, for numpy to work on at once."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.problem import Leaf, Nest, Problem

Ints = NDArray[np.int64]
LEAF, BESIDE, UPON, FILLED, NESTED = range(5)
#: A piece has at most one pocket at each corner.
POCKETS = 4


@dataclass
class Level:
    """All blocks with the same number of pieces, a row each.

    `first` and `second` are rows of `level_first` and `level_second`; for a leaf or a nest
    `first` is its number in the list of leaves or nests; for a filled pocket `second` is what
    the pocket hosts and `pocket` which one it is. `host` tells pieces with pockets still to be
    filled apart, by look and next pocket; it is 0 where nothing more can be hosted.
    """

    members: Ints
    width: Ints
    height: Ints
    wants: Ints
    cuts: Ints
    how: Ints
    level_first: Ints
    first: Ints
    level_second: Ints
    second: Ints
    pocket: Ints
    host: Ints

    def __len__(self) -> int:
        return len(self.width)

    def pick(self, rows: NDArray[np.intp] | NDArray[np.bool_]) -> "Level":
        """Return the level with these rows only."""
        return Level(**{name: column[rows] for name, column in vars(self).items()})


def stacked(levels: list[Level]) -> Level:
    """Return the rows of several levels as one."""
    columns = {name: [vars(level)[name] for level in levels] for name in vars(levels[0])}
    return Level(**{name: np.concatenate(parts) for name, parts in columns.items()})


def rigid(
    trees: Sequence[Leaf | Nest], rows: Sequence[int], cuts: Sequence[int], how: int, pieces: int
) -> Level:
    """Return single pieces or nests as a level."""
    count = len(trees)
    return Level(
        members=np.array([tree.kinds for tree in trees], np.int64).reshape(count, pieces),
        width=np.array([tree.width for tree in trees], np.int64),
        height=np.array([tree.height for tree in trees], np.int64),
        wants=np.array([tree.wants for tree in trees], np.int64),
        cuts=np.array(cuts, np.int64),
        how=np.full(count, how, np.int64),
        level_first=np.zeros(count, np.int64),
        first=np.array(rows, np.int64),
        level_second=np.zeros(count, np.int64),
        second=np.zeros(count, np.int64),
        pocket=np.full(count, -1, np.int64),
        host=np.zeros(count, np.int64),
    )


def host_of(leaf: Leaf, number: int, following: int) -> int:
    """Return what tells a piece with pockets from `following` on to be filled apart, 0 without.

    `number` is that of the leaf in the list of leaves.
    """
    return number * POCKETS + following + 1 if following < len(leaf.stand.pockets) else 0


def within_demand(members: Ints, problem: Problem) -> NDArray[np.bool_]:
    """Tell which rows (sorted kinds) hold no kind more often than it is wanted."""
    kept = np.ones(len(members), bool)
    demand = np.array(problem.demands)
    for apart in sorted(set(problem.demands)):
        if apart < members.shape[1]:
            alike = members[:, apart:] == members[:, :-apart]
            kept &= ~(alike & (demand[members[:, apart:]] == apart)).any(axis=1)
    return kept


def key_of(members: Ints, problem: Problem) -> Ints:
    """Return one number per row that tells multisets of the same size apart, below 2^58.

    Rows are to be compared only within one call: where the numbers would grow too large they
    are replaced by their ranks.
    """
    base, bound = len(problem.kinds) + 1, 1
    key = np.zeros(len(members), np.int64)
    for column in members.T:
        if bound * base > 2**58:
            _, key = np.unique(key, return_inverse=True)
            bound = len(key)
        key = key * base + column
        bound *= base
    return key


def undominated(level: Level, problem: Problem) -> Level:
    """Keep, for equal pieces and wishes, the blocks that no other undercuts both ways."""
    if not len(level):
        return level
    key = key_of(level.members, problem) * 16 + level.wants
    # Pockets still to be filled make a block special: it is kept apart from others.
    order = np.lexsort((level.cuts, level.height, level.width, level.host, key))
    differs = (np.diff(key[order]) != 0) | (np.diff(level.host[order]) != 0)
    group = np.concatenate([[0], np.cumsum(differs)])
    # Later groups lie lower by more than any height, so a running minimum starts afresh in each.
    height = level.height[order] - group * (int(level.height.max(initial=0)) + 1)
    before = np.concatenate([[np.iinfo(np.int64).max], np.minimum.accumulate(height)[:-1]])
    return level.pick(order[height < before])
