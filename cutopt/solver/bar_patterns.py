"""Patterns of a bar, listed: those that waste little, and those to which nothing can be added."""

import math

#: Patterns that fill a bar are listed for bars of at most so many steps, and at most so many.
MOST_TO_FILL = 100_000
MOST_FULL = 5_000

Counts = tuple[int, ...]


def full_patterns(sizes: Counts, demands: Counts, room: int, waste: int) -> list[Counts] | None:
    """Return every pattern that leaves at most `waste` of a bar; None when they are too many."""
    step = math.gcd(room, *sizes)
    room, waste, scaled = room // step, waste // step, [size // step for size in sizes]
    if room > MOST_TO_FILL:
        return None
    # Bit s of reach[i] says that lengths from the i-th on can sum to s.
    whole, reach = (1 << room + 1) - 1, [1]
    for size, demand in zip(reversed(scaled), reversed(demands), strict=True):
        sums = reach[-1]
        for _ in range(min(demand, room // size)):
            sums |= (sums << size) & whole
        reach.append(sums)
    reach.reverse()
    begun: list[tuple[Counts, int]] = [((), room)]
    for one, (size, demand) in enumerate(zip(scaled, demands, strict=True)):
        grown = []
        for counts, left in begun:
            for many in range(min(demand, left // size) + 1):
                rest = left - many * size
                if reach[one + 1] >> max(0, rest - waste) & ((1 << min(rest, waste) + 1) - 1):
                    grown.append(((*counts, many), rest))
            if len(grown) > MOST_FULL:
                return None
        begun = grown
    return [counts for counts, _ in begun]


def maximal_patterns(sizes: Counts, demands: Counts, room: int, most: int) -> list[Counts] | None:
    """Return every pattern to which no wanted length can be added; None when too many are begun."""
    begun: list[tuple[Counts, int]] = [((), room)]
    for size, demand in zip(sizes, demands, strict=True):
        begun = [
            ((*counts, many), left - many * size)
            for counts, left in begun
            for many in range(min(demand, left // size) + 1)
        ]
        if len(begun) > most:
            return None
    return [
        counts
        for counts, left in begun
        if all(
            size > left or many == demand
            for size, many, demand in zip(sizes, counts, demands, strict=True)
        )
    ]
