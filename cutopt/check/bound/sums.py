"""The widths of a part that need be looked at, a kerf added to every size and to the part itself.

Cut from left to right, every piece and every group of pieces that a plan parts off measures a sum
of sizes; so parts of such sums are all that need be looked at: what comes out of a part of any
other size comes out of the next smaller one. There are two ways to look at fewer.

*Needed pieces.* If something is worth more than a limit, pieces can be left out until each that is
left is needed for that. Only sums of such few pieces matter, and how often a size enters a sum is
bounded by how many pieces have it.

*From both ends.* Let [z] be the largest sum that is no larger than z, each size as often as one
likes. A part of [W - t], where t is a sum, is cut into two: the first holds pieces of a sum a, the
second is then counted as b = [[W - t] - a]. As a + b is a sum itself, b = [W - (t + a)]; and the
first may then grow to [[W - t] - b] = [W - (t + b)] in the same way. So the sums [W - t] are all
that need be looked at, for the whole W and for each notch (Terno, Lindemann, Scheithauer,
Zuschnittprobleme und ihre praktische Loesung, 1987; from memory).
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import gcd
from typing import NamedTuple

#: Sums beyond which pairs of them are not looked for; of all there are, before any is left out.
MOST_SUMS, MOST_ENDLESS = 4_000, 20_000
#: Up to so many sums no other way is looked for.
FEW = 300
#: Sums counted from both ends beyond which pairs of them are not looked for.
MOST_FROM_BOTH_ENDS = 1_200
#: Steps of a side that has too many sums.
STEPS = 240

Pairs = list[list[tuple[int, int]]]


class Length(NamedTuple):
    """A size of pieces, kerf added: what one is worth, and how many there may be."""

    size: int
    worth: int
    times: int


@dataclass(frozen=True)
class Axis:
    """The sums of sizes along one side of a part.

    Attributes
    ----------
    sums : list of int
        Each with a kerf for every piece.
    pairs : list of list of tuple
        For each sum, the pairs of sums (their numbers, neither 0) that are cut out of it.
    whole : int, optional
        What is parted into steps; None where sizes are what they are.
    """

    sums: list[int]
    pairs: Pairs
    whole: int | None = None

    @property
    def exact(self) -> bool:
        """Tell whether sizes are what they are, not rounded down to steps."""
        return self.whole is None

    def __len__(self) -> int:
        return len(self.sums)

    def within(self, size: int) -> int:
        """Return the number of the largest sum that is no larger."""
        return bisect_right(self.sums, _counted(size, self.whole)) - 1

    def holding(self, size: int) -> int:
        """Return the number of the smallest sum that is no smaller."""
        return bisect_left(self.sums, _counted(size, self.whole))


def exact_axis(lengths: Sequence[Length], rooms: Sequence[int], limit: int) -> Axis | None:
    """Return the sums for the whole side, the first of rooms, and for notches; None for too many.

    Of the two ways to look at fewer the one that leaves fewer; one is enough where these are few.
    """
    needed = _needed_sums(lengths, rooms[0], limit)
    if needed is None or len(needed) > FEW:
        both = _sums_from_both_ends(lengths, rooms)
        if both is not None and (needed is None or len(both) < len(needed)):
            return _parted(both)
    return _of_needed(needed)


def stepped_axis(lengths: Sequence[Length], rooms: Sequence[int], limit: int) -> Axis | None:
    """Return sums of sizes that are rounded down to steps; None where one is too thin for any."""
    whole = rooms[0]
    counted = [length._replace(size=_counted(length.size, whole)) for length in lengths]
    thick = all(one.size for one in counted)
    axis = _of_needed(_needed_sums(counted, STEPS, limit)) if thick else None
    return axis and Axis(axis.sums, axis.pairs, whole)


def _counted(size: int, whole: int | None) -> int:
    return size if whole is None else size * STEPS // whole


def _of_needed(found: Mapping[int, int] | None) -> Axis | None:
    """Return the sums of needed pieces, and which two of them make up a third."""
    if found is None:
        return None
    sums = sorted(found)
    number = {total: at for at, total in enumerate(sums)}
    pairs: Pairs = [[] for _ in sums]
    for first, one in enumerate(sums[1:], start=1):
        for second, other in enumerate(sums[first:], start=first):
            if one + other > sums[-1]:
                break
            if (total := number.get(one + other)) is not None:
                pairs[total].append((first, second))
                if first < second:
                    pairs[total].append((second, first))
    return Axis(sums, pairs)


def _needed_sums(lengths: Sequence[Length], whole: int, limit: int) -> dict[int, int] | None:
    """Return the sums of lengths, each with the least that the pieces in it are worth together.

    Dearest first: if all pieces in a sum are needed to be worth more than the limit, then
    those before the last, the cheapest, are not.
    """
    sums = {0: 0}
    for size, worth, times in sorted(lengths, key=lambda length: -length.worth):
        fresh = sums
        for _ in range(min(times, whole // size)):
            grown = {
                total + size: before + worth
                for total, before in fresh.items()
                if before <= limit and total + size <= whole
            }
            fresh = {
                total: found for total, found in grown.items() if found < sums.get(total, found + 1)
            }
            if not fresh:
                break
            sums = sums | fresh
        if len(sums) > MOST_SUMS:
            return None
    return sums


def _sums_from_both_ends(lengths: Sequence[Length], rooms: Sequence[int]) -> list[int] | None:
    """Return the sums that fit into what sums leave of a room; None for too many."""
    endless = _endless_sums({length.size for length in lengths}, max(rooms))
    if endless is None:
        return None
    left = {
        endless[bisect_right(endless, room - total) - 1]
        for room in set(rooms)
        for total in endless[: bisect_right(endless, room)]
    }
    return sorted(left | {0}) if len(left) < MOST_FROM_BOTH_ENDS else None


def _parted(sums: list[int]) -> Axis:
    """Return sums from both ends, and the two parts of each that are no larger than they must."""
    pairs: Pairs = [[] for _ in sums]
    for at, total in enumerate(sums):
        for first in range(1, at):
            second = bisect_right(sums, total - sums[first]) - 1
            if second and first == bisect_right(sums, total - sums[second]) - 1:
                pairs[at].append((first, second))
    return Axis(sums, pairs)


def _endless_sums(sizes: set[int], whole: int) -> list[int] | None:
    """Return all sums up to a size, each size as often as one likes; None for too many.

    A bit stands for each: sums with one more of a size are the same bits, moved on by it.
    """
    unit = gcd(*sizes) or 1
    every = (2 << whole // unit) - 1
    sums = 1
    for size in sizes:
        times = 1
        while times * size <= whole:
            sums |= sums << times * (size // unit) & every
            times *= 2
        if sums.bit_count() > MOST_ENDLESS:
            return None
    return [at * unit for at, bit in enumerate(reversed(f"{sums:b}")) if bit == "1"]
