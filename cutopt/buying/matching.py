"""As many pairs as a graph allows: a maximum matching, by alternating paths and blossoms.

Edmonds, Paths, trees, and flowers, Canadian Journal of Mathematics 17 (1965).
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field

FREE = -1


def most_pairs(near: Sequence[Sequence[int]]) -> int:
    """Return how many pairs a maximum matching has; `near` lists the neighbours of each vertex."""
    mate = [FREE] * len(near)
    match_from(range(len(near)), near, mate)
    return sum(other != FREE for other in mate) // 2


def match_from(roots: Sequence[int], near: Sequence[Sequence[int]], mate: list[int]) -> None:
    """Pair each root that is free and can be, changing `mate`: none that is paired gets free."""
    for root in roots:
        if mate[root] == FREE:
            other = next((one for one in near[root] if mate[one] == FREE and one != root), FREE)
            if other != FREE:
                mate[root], mate[other] = other, root
    for root in roots:
        if mate[root] == FREE and near[root]:
            _Search(near, mate).augment(root)


@dataclass
class _Search:
    """A search from one free vertex, blossoms shrunk to their base on the way."""

    near: Sequence[Sequence[int]]
    mate: list[int]
    base: list[int] = field(init=False)
    parent: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.base = list(range(len(self.near)))
        self.parent = [FREE] * len(self.near)

    def augment(self, root: int) -> None:
        """Pair the root with another vertex, if a path to a free one exists."""
        end = self._path_from(root)
        while end != FREE:
            before = self.parent[end]
            following = self.mate[before]
            self.mate[end], self.mate[before] = before, end
            end = following

    def _path_from(self, root: int) -> int:
        outer = [False] * len(self.near)
        outer[root] = True
        queue = deque([root])
        while queue:
            vertex = queue.popleft()
            for other in self.near[vertex]:
                if self.base[vertex] == self.base[other] or self.mate[vertex] == other:
                    continue
                paired = self.mate[other]
                if other == root or (paired != FREE and self.parent[paired] != FREE):
                    queue.extend(self._shrunk(vertex, other, outer))
                elif self.parent[other] == FREE:
                    self.parent[other] = vertex
                    if paired == FREE:
                        return other
                    outer[paired] = True
                    queue.append(paired)
        return FREE

    def _shrunk(self, one: int, other: int, outer: list[bool]) -> list[int]:
        """Shrink the blossom that an edge closes; return what has become outer by it."""
        top = self._common_base(one, other)
        inside = [False] * len(self.near)
        self._mark(one, top, other, inside)
        self._mark(other, top, one, inside)
        found = []
        for vertex, base in enumerate(self.base):
            if inside[base]:
                self.base[vertex] = top
                if not outer[vertex]:
                    outer[vertex] = True
                    found.append(vertex)
        return found

    def _common_base(self, one: int, other: int) -> int:
        seen = set()
        while True:
            one = self.base[one]
            seen.add(one)
            if self.mate[one] == FREE:
                break
            one = self.parent[self.mate[one]]
        while self.base[other] not in seen:
            other = self.parent[self.mate[self.base[other]]]
        return self.base[other]

    def _mark(self, vertex: int, top: int, child: int, inside: list[bool]) -> None:
        while self.base[vertex] != top:
            inside[self.base[vertex]] = inside[self.base[self.mate[vertex]]] = True
            self.parent[vertex] = child
            child = self.mate[vertex]
            vertex = self.parent[child]
