"""The visits to the settings of the fence in another order, so that fewer labelled pieces wait.

How often the fence is set does not change: only which visit comes next, among those whose parts
are there. Several ways to choose are tried; the order in which the fewest pieces wait is kept.
"""

import heapq
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from cutopt.sequence.passes import Pass

#: Above so many visits and single passes the slow way of choosing is left out.
MOST_TRIED = 400
#: Of a node and of what is ready with it, the least comes next.
Wish = tuple[float, int]


@dataclass
class Wall:
    """The wall that takes pieces in the order of their ranks, and the shelf before it."""

    wanted: Counter[int]
    made: Counter[int] = field(default_factory=Counter)
    laid: int = 0
    next_up: int = 0

    def __post_init__(self) -> None:
        self.order = sorted(self.wanted)

    def after(self, ranks: Iterable[int]) -> int:
        """Return how many pieces would wait when some more were finished; none is."""
        more = Counter(ranks)
        at, laid = self.next_up, self.laid
        while at < len(self.order) and self._are_all_there(self.order[at], more):
            laid += self.wanted[self.order[at]]
            at += 1
        ready = self.made[self.order[at]] + more[self.order[at]] if at < len(self.order) else 0
        return self.made.total() + more.total() - laid - ready

    def take(self, ranks: Iterable[int]) -> int:
        """Finish some pieces, and return how many wait."""
        self.made.update(ranks)
        none: Counter[int] = Counter()
        while self.next_up < len(self.order) and self._are_all_there(
            self.order[self.next_up], none
        ):
            self.laid += self.wanted[self.order[self.next_up]]
            self.next_up += 1
        return self.after(())

    def _are_all_there(self, rank: int, more: Counter[int]) -> bool:
        return self.made[rank] + more[rank] == self.wanted[rank]


def most_waiting(finished: Iterable[Sequence[int]], before: Mapping[int, int]) -> int:
    """Return how many pieces wait at the most.

    Parameters
    ----------
    finished : iterable of sequences of int
        Step after step the ranks of the pieces that it finishes.
    before : mapping of int to int
        How many of each rank are finished before the first step.
    """
    steps = list(finished)
    wanted = Counter(before) + Counter(rank for step in steps for rank in step)
    wall = Wall(wanted, Counter(before))
    return max([0, *(wall.take(step) for step in steps)])


def with_fewest_waiting(
    passes: Sequence[Pass],
    order: Sequence[int],
    chosen: Sequence[int | None],
    rank: Mapping[str, int],
) -> list[int]:
    """Return the passes in an order with as few settings, in which fewer pieces wait.

    Parameters
    ----------
    passes : sequence of Pass
        All passes; `after` counts in this list.
    order : sequence of int
        An order in which they can be made.
    chosen : sequence of int or None
        What the fence is set to for each pass.
    rank : mapping of str to int
        The place of each piece in the order in which pieces are laid.
    """
    visits = _Visits(passes, order, chosen, rank)
    tried = [list(order), *visits.orders()]
    return min(tried, key=lambda one: most_waiting([visits.finishes[number] for number in one], {}))


class _Visits:
    """Passes at one setting in a row, and single passes that need no fence, as nodes of a graph."""

    def __init__(
        self,
        passes: Sequence[Pass],
        order: Sequence[int],
        chosen: Sequence[int | None],
        rank: Mapping[str, int],
    ) -> None:
        self.finishes = [
            [rank[made.piece] for made in one.makes if made.becomes == "piece" and made.piece]
            * one.cut_tile.count
            for one in passes
        ]
        self.nodes: list[list[int]] = []
        self.node_of: dict[int, int] = {}
        leads_on = _leads_to_fence(passes)
        visit, now = -1, None
        for number in order:
            setting = chosen[number]
            if setting is None and (not leads_on[number] or visit < 0):
                self._put(number, self._fresh())
                continue
            if setting is not None and setting != now:
                visit, now = self._fresh(), setting
            self._put(number, visit)
        self.following: dict[int, set[int]] = defaultdict(set)
        self.before = [0] * len(self.nodes)
        for number, one in enumerate(passes):
            if one.after is not None:
                first, second = self.node_of[one.after], self.node_of[number]
                if first != second and second not in self.following[first]:
                    self.following[first].add(second)
                    self.before[second] += 1
        self.ranks = [[r for number in node for r in self.finishes[number]] for node in self.nodes]

    def _fresh(self) -> int:
        self.nodes.append([])
        return len(self.nodes) - 1

    def _put(self, number: int, node: int) -> None:
        self.nodes[node].append(number)
        self.node_of[number] = node

    def orders(self) -> Iterator[list[int]]:
        """Yield orders of the passes, each by another wish."""
        soonest = self._soonest()
        mean = [sum(ranks) / len(ranks) if ranks else -1.0 for ranks in self.ranks]
        latest = [float(max(ranks, default=-1)) for ranks in self.ranks]
        for wish in (soonest, mean, latest):
            yield self._listed(lambda node, wish=wish: (wish[node], node))  # type: ignore[misc]
        if len(self.nodes) <= MOST_TRIED:
            yield self._one_by_one(soonest)

    def _soonest(self) -> list[float]:
        """Return for each node the soonest piece that it or what follows it finishes."""
        soonest = [float(min(ranks, default=10**9)) for ranks in self.ranks]
        for node in reversed(self._topological()):
            for after in self.following[node]:
                soonest[node] = min(soonest[node], soonest[after])
        return soonest

    def _topological(self) -> list[int]:
        left = list(self.before)
        found = [node for node, count in enumerate(left) if not count]
        for node in found:
            found += self._made_ready(node, left)
        return found

    def _made_ready(self, node: int, left: list[int]) -> Iterator[int]:
        for after in sorted(self.following[node]):
            left[after] -= 1
            if not left[after]:
                yield after

    def _listed(self, wish: Callable[[int], Wish]) -> list[int]:
        """Return the passes, the most wished-for of the nodes that are ready first."""
        left = list(self.before)
        ready = [(wish(node), node) for node, count in enumerate(left) if not count]
        heapq.heapify(ready)
        found: list[int] = []
        while ready:
            _, node = heapq.heappop(ready)
            found += self.nodes[node]
            for after in self._made_ready(node, left):
                heapq.heappush(ready, (wish(after), after))
        return found

    def _one_by_one(self, soonest: Sequence[float]) -> list[int]:
        """Return the passes, each time the node after which the fewest pieces wait."""
        left = list(self.before)
        wall = Wall(Counter(rank for ranks in self.ranks for rank in ranks))
        ready = {node for node, count in enumerate(left) if not count}
        found: list[int] = []
        while ready:
            best = min(ready, key=lambda node: (wall.after(self.ranks[node]), soonest[node], node))
            ready.remove(best)
            wall.take(self.ranks[best])
            found += self.nodes[best]
            ready.update(self._made_ready(best, left))
        return found


def _leads_to_fence(passes: Sequence[Pass]) -> list[bool]:
    """Tell of each pass whether one that follows it on its parts needs the fence."""
    leads = [False] * len(passes)
    for number in reversed(range(len(passes))):
        one = passes[number]
        if one.after is not None and (leads[number] or one.settings):
            leads[one.after] = True
    return leads
