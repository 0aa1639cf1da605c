"""Three orders of the same passes: as the wall asks, as the fence asks, as the risk asks."""

import heapq
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence

from cutopt.documents.sequence import By
from cutopt.sequence.passes import Pass, Setting
from cutopt.sequence.waiting import with_fewest_waiting
from cutopt.solver.sequencing import Task, fewest_settings

Chosen = tuple[Pass, Setting | None]
#: What is wished for first is the least.
Wish = int | tuple[int, int]


def ordered(passes: Sequence[Pass], by: By, rank: Mapping[str, int]) -> tuple[list[Chosen], int]:
    """Return the passes in order with their settings, and the fewest settings of any order.

    The bound is 0 where nothing was proven.

    Parameters
    ----------
    passes : sequence of Pass
        All passes; `after` counts in this list.
    by : str
        `surface`, `fence` or `risk`.
    rank : mapping of str to int
        The place of each piece in the order in which pieces are laid.
    """
    if by == "fence":
        return _fewest_settings(passes, rank)
    ranks = [_soonest(one, rank) for one in passes]
    if by == "surface":
        return _settled([passes[number] for number in _by_tile(passes, lambda at: ranks[at])]), 0
    risks = _risks_ahead(passes)

    def riskiest(number: int) -> tuple[int, int]:
        return -risks[number], ranks[number]

    return _settled([passes[number] for number in _by_tile(passes, riskiest)]), 0


def _soonest(one: Pass, rank: Mapping[str, int]) -> int:
    """Return how soon the first piece of a pass's cut tile is laid."""
    return min(rank[placed.piece] for placed in one.cut_tile.placements)


def _risks_ahead(passes: Sequence[Pass]) -> list[int]:
    """Return the greatest risk of each pass and of all that follow it on its parts."""
    risks = [one.risk for one in passes]
    for number in reversed(range(len(passes))):
        before = passes[number].after
        if before is not None:
            risks[before] = max(risks[before], risks[number])
    return risks


def _by_tile(passes: Sequence[Pass], wish: Callable[[int], Wish]) -> list[int]:
    """Return the passes tile after tile, wished-for tiles and, within a tile, passes first."""
    tiles: dict[int, list[int]] = defaultdict(list)
    for number, one in enumerate(passes):
        tiles[one.cut_tile.number].append(number)
    best = {tile: min((wish(number), number) for number in mine) for tile, mine in tiles.items()}
    order: list[int] = []
    for tile in sorted(tiles, key=lambda tile: best[tile]):
        order += _within(passes, tiles[tile], wish)
    return order


def _within(passes: Sequence[Pass], mine: list[int], wish: Callable[[int], Wish]) -> list[int]:
    following: dict[int | None, list[int]] = defaultdict(list)
    for number in mine:
        following[passes[number].after].append(number)
    ready = [(wish(number), number) for number in following[None]]
    heapq.heapify(ready)
    order = []
    while ready:
        _, number = heapq.heappop(ready)
        order.append(number)
        for after in following[number]:
            heapq.heappush(ready, (wish(after), after))
    return order


def _settled(passes: Sequence[Pass]) -> list[Chosen]:
    """Choose settings: the one that the fence has, or else the one that the next pass shares."""
    found: list[Chosen] = []
    now = 0
    for number, one in enumerate(passes):
        if not one.settings:
            found.append((one, None))
            continue
        ahead = next((later for later in passes[number + 1 :] if later.settings), None)
        shared = {setting.read for setting in ahead.settings} if ahead else set()

        def worth(setting: Setting, now: int = now, shared: set[int] = shared) -> tuple[bool, bool]:
            return setting.read == now, setting.read in shared

        best = max(one.settings, key=worth)
        now = best.read
        found.append((one, best))
    return found


def _fewest_settings(passes: Sequence[Pass], rank: Mapping[str, int]) -> tuple[list[Chosen], int]:
    tasks = [Task(tuple(dict.fromkeys(s.read for s in one.settings)), one.after) for one in passes]
    best = fewest_settings(tasks)
    found: list[Chosen] = []
    for number in with_fewest_waiting(passes, best.order, best.chosen, rank):
        choices = (one for one in passes[number].settings if one.read == best.chosen[number])
        found.append((passes[number], next(choices, None)))
    return found, best.bound
