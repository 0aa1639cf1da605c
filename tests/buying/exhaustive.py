"""The spare tiles of small jobs by trying everything: shares nothing with what it checks.

Draws piece by piece instead of kind by kind, and deals out by full search instead of matching.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache

from cutopt.buying.recut import Risk

#: A piece that broke so often is taken to be whole at last: what is left out is checked.
MOST_BREAKS = 5


def by_enumeration(risk: Risk) -> tuple[list[float], float]:
    """Return the chance of each number of spare tiles, and what was left out."""
    spares: defaultdict[int, float] = defaultdict(float)
    fewest = _fewest_of(risk)
    for broken, chance in _outcomes(risk):
        needed = fewest(broken, risk.leftovers)
        for lost, share in _faults(risk.needed + needed, risk.faulty):
            spares[needed + lost] += chance * share
    found = [spares[many] for many in range(max(spares) + 1)]
    return found, 1.0 - sum(found)


def _outcomes(risk: Risk) -> Iterator[tuple[tuple[int, ...], float]]:
    """Yield how often the pieces of each kind broke, with its chance, piece after piece."""
    pieces = [kind for kind, many in enumerate(risk.counts) for _ in range(many)]
    found = {(0,) * len(risk.counts): 1.0}
    for kind in pieces:
        grown: defaultdict[tuple[int, ...], float] = defaultdict(float)
        for broken, chance in found.items():
            for times in range(MOST_BREAKS + 1):
                more = list(broken)
                more[kind] += times
                p = risk.chances[kind]
                grown[tuple(more)] += chance * p**times * (1 - p)
        found = grown
    yield from found.items()


def _faults(count: int, faulty: float) -> Iterator[tuple[int, float]]:
    """Yield how many faulty tiles come along until so many are sound, with its chance."""
    sound = {0: 1.0}
    for _ in range(count):
        grown: defaultdict[int, float] = defaultdict(float)
        for lost, chance in sound.items():
            for more in range(MOST_BREAKS + 1):
                grown[lost + more] += chance * faulty**more * (1 - faulty)
        sound = grown
    yield from sound.items()


def _fewest_of(risk: Risk) -> Callable[[tuple[int, ...], tuple[int, ...]], int]:
    """Return what finds the fewest spare tiles: the first piece tries each place that it fits."""

    @cache
    def fewest(left: tuple[int, ...], rooms: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        kind = next(at for at, many in enumerate(left) if many)
        rest = _less(left, kind)
        ways = [1 + fewest(rest, rooms)]
        for room in risk.fits_of(kind):
            if rooms[room]:
                ways.append(fewest(rest, _less(rooms, room)))
        for other in range(len(left)):
            if rest[other] and risk.share_a_tile(kind, other):
                ways.append(1 + fewest(_less(rest, other), rooms))
        return min(ways)

    return fewest


def _less(counts: tuple[int, ...], at: int) -> tuple[int, ...]:
    return (*counts[:at], counts[at] - 1, *counts[at + 1 :])
