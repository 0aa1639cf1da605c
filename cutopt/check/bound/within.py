"""What a tile is worth when no piece is taken from it more often than it is wanted.

The table may count a piece more often than that. Where it says more than a tile may be worth,
the groups of pieces that reach so much are made one by one: from the smallest parts upwards, and
of each part only the groups with which the rest of the tile could come to so much, by the table.
"""

from collections.abc import Iterator
from itertools import product

from cutopt.check.bound.offers import BOTTOM, LEFT, RIGHT, TOP, Block
from cutopt.check.bound.table import State, Table, TooMuchToLookAt

#: Groups that are looked at; a million or two a second.
MOST_GROUPS = 5_000_000

#: Pieces as numbers of offers, sorted, each as often as it comes.
Group = tuple[int, ...]


class Within:
    """The groups of pieces that come to at least so much, no piece more often than wanted."""

    def __init__(self, table: Table, least: int) -> None:
        self.table = table
        self.wanted = [offer.wanted for offer in table.offers]
        self.looked = 0
        self.least = {table.whole: least}
        self.groups: dict[State, dict[Group, int]] = {}
        for state in self._from_the_whole_down():
            self.groups[state] = self._make(state)

    def best(self) -> tuple[Group, int] | None:
        """Return the group that the whole tile gives of most worth, None when there is none."""
        found = self.groups.get(self.table.whole, {})
        return max(found.items(), key=lambda item: item[1], default=None)

    def _from_the_whole_down(self) -> list[State]:
        """Find what a part must be worth to matter; return the parts that can be, small first."""
        _, column, row = self.table.whole
        by_size: list[list[State]] = [[] for _ in range(column + row + 1)]
        by_size[-1] = [self.table.whole] if self.table.of(self.table.whole) else []
        for states in reversed(by_size):
            for state in states:
                for part, rest in self._parts(state):
                    least = max(1, self.least[state] - rest)
                    if self.table.of(part) < least:
                        continue
                    if part not in self.least:
                        by_size[part[1] + part[2]].append(part)
                    self.least[part] = min(self.least.get(part, least), least)
        return [state for states in by_size for state in states]

    def _parts(self, state: State) -> Iterator[tuple[State, int]]:
        """Yield what may be cut from a part, with what all the rest of it adds at most."""
        edges, column, row = state
        if column:
            yield (edges, column - 1, row), 0
        if row:
            yield (edges, column, row - 1), 0
        for one, other in self._cuts(state):
            yield one, self.table.of(other)
            yield other, self.table.of(one)
        for block in self._blocks(state):
            whole = self.table.single(block, edges)
            for rooms in self.table.rooms(block.look, edges):
                best = max(map(self.table.of, rooms))
                for room in rooms:
                    yield room, whole - best

    def _cuts(self, state: State) -> Iterator[tuple[State, State]]:
        """Yield what the cuts through a part make of it, where that leaves no shaving."""
        edges, column, row = state
        left, right, lower, upper = edges & ~RIGHT, edges & ~LEFT, edges & ~TOP, edges & ~BOTTOM
        for one, other in self.table.across.pairs[column]:
            if left != right or one <= other:
                yield (left, one, row), (right, other, row)
        for one, other in self.table.up.pairs[row]:
            if lower != upper or one <= other:
                yield (lower, column, one), (upper, column, other)

    def _blocks(self, state: State) -> Iterator[Block]:
        """Yield the pieces and nests that fill a part."""
        edges, column, row = state
        for block in self.table.at.get((column, row), ()):
            if not block.look.wants & ~edges:
                yield block

    def _make(self, state: State) -> dict[Group, int]:
        """Return the groups that a part gives and that are worth enough."""
        edges, column, row = state
        least = self.least[state]
        found: dict[Group, int] = {}
        for smaller in ((edges, column - 1, row), (edges, column, row - 1)):
            for group, worth in self.groups.get(smaller, {}).items():
                if worth >= least:
                    found[group] = worth
        for block in self._blocks(state):
            self._keep(found, self._hosts(block, edges), least)
        for first, second in self._cuts(state):
            self._keep(found, self._parted(first, second, least), least)
        return found

    def _keep(
        self, found: dict[Group, int], groups: Iterator[tuple[Group, int]], least: int
    ) -> None:
        for group, worth in groups:
            self.looked += 1
            if self.looked > MOST_GROUPS:
                raise TooMuchToLookAt
            if worth >= least and group not in found and self._is_wanted(group):
                found[group] = worth

    def _is_wanted(self, group: Group) -> bool:
        return all(group.count(number) <= self.wanted[number] for number in set(group))

    def _parted(self, first: State, second: State, least: int) -> Iterator[tuple[Group, int]]:
        most, others = self.table.of(second), self.groups.get(second, {})
        for group, worth in self.groups.get(first, {}).items():
            if worth + most >= least:
                for other, more in others.items():
                    yield tuple(sorted(group + other)), worth + more

    def _hosts(self, block: Block, edges: int) -> Iterator[tuple[Group, int]]:
        """Yield a piece or nest with every choice of groups that empty corners can host."""
        hosted = [
            {group: worth for room in rooms for group, worth in self.groups.get(room, {}).items()}
            for rooms in self.table.rooms(block.look, edges)
        ]
        for chosen in product(*({(): 0} | groups for groups in hosted)):
            group = (*block.group, *(one for more in chosen for one in more))
            worth = sum(self.table.offers[one].price for one in group)
            yield tuple(sorted(group)), worth
