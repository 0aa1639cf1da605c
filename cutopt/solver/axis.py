"""The sums of piece sizes along one side of a sheet: where cuts need to be tried at all.

Pushed together from one end, pieces part a side only at sums of their sizes (Gilmore and Gomory,
Operations Research 13, 1965). What lies behind a cut, pushed together from the other end, leaves
room for no more than some sum either; the largest sums that fit into what sums leave are enough,
and often far fewer (Terno, Lindemann, Scheithauer, Zuschnittprobleme und ihre praktische Loesung,
1987: raster points; from memory, the proof is in docs/model.md). They hold for a whole side; a
pocket has those of its own side besides.
"""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.parting import Parting

Ints = NDArray[np.int64]
#: Points of a rounded grid along each side.
COARSE = 240
#: More points are laid for thin pieces, up to so many.
FINEST = 700
#: With more sums than this a side is not laid out any further: it is rounded anyway.
MOST_SUMS = 20_000


@dataclass(frozen=True)
class Axis:
    """The points along one side, the last for the whole side, and how sizes map onto them.

    Exact where `steps` equals `whole`; otherwise `whole` is parted into so many steps. Nothing is
    smaller than `least`.
    """

    points: Ints
    least: int
    steps: int = 1
    whole: int = 1
    up: bool = False

    @classmethod
    def exact(cls, sizes: Sequence[tuple[int, int]], rooms: Sequence[int]) -> "Axis":
        """Return the points for sizes, each with how often it can be cut.

        `rooms` are the whole side and those of pockets.
        """
        whole, least = rooms[0], min((size for size, _ in sizes), default=1)
        sums = _sums(sizes, whole)
        endless = _sums([(size, whole // size) for size, _ in sizes], whole)
        if len(endless) > MOST_SUMS:
            return cls(sums, least)
        left = [endless[_floor(endless, room - endless[endless <= room])] for room in rooms]
        raster = np.unique(np.concatenate([np.zeros(1, np.int64), *left]))
        return cls(min(raster, sums, key=len), least)

    @classmethod
    def rounded(cls, thinnest: int, whole: int, steps: int, *, up: bool) -> "Axis":
        """Return a grid so fine that the thinnest size is a step wide, up to a limit."""
        steps = min(FINEST, max(steps, -(-whole // thinnest)))
        axis = cls(np.arange(steps + 1), 1, steps, whole, up)
        return replace(axis, least=max(1, axis.scale(thinnest)))

    @functools.cached_property
    def parting(self) -> Parting:
        """Return how its points make up one another."""
        return Parting(self.points, self.least)

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

    def holding(self, sizes: Ints) -> NDArray[np.intp]:
        """Return the first points that hold these sizes; the last one for more than is wanted."""
        found = np.searchsorted(self.points, sizes * self.steps // self.whole)
        return np.minimum(found, len(self.points) - 1)

    def first(self, size: int) -> int:
        """Return the first point that is no smaller than what a size counts."""
        return int(np.searchsorted(self.points, size))

    def index(self, size: int) -> int:
        """Return the last point that is no larger."""
        return int(np.searchsorted(self.points, size, side="right")) - 1


def _sums(sizes: Sequence[tuple[int, int]], whole: int) -> Ints:
    """Return the sums up to `whole` with each size as often as it can be cut.

    A bit stands for each: sums with one more piece are the same bits, moved on by its size.
    """
    unit = math.gcd(*(size for size, _ in sizes)) or 1
    within = (2 << whole // unit) - 1
    sums = 1
    for size, most in sizes:
        left, times = min(most, whole // size), 1
        while left:
            times = min(times, left)
            sums |= sums << times * (size // unit) & within
            left, times = left - times, 2 * times
        if sums.bit_count() > MOST_SUMS:
            break
    found = np.frombuffer(sums.to_bytes(within.bit_length() // 8 + 1, "little"), np.uint8)
    return np.asarray(np.flatnonzero(np.unpackbits(found, bitorder="little")) * unit, np.int64)


def _floor(points: Ints, sizes: Ints) -> NDArray[np.intp]:
    """Return the last points that are no larger."""
    return np.searchsorted(points, sizes, side="right") - 1
