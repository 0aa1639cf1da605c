"""The best of all straight cuts along one axis, for many rectangles at once.

A rectangle that ends at a point of the axis is parted at any point before it; its second part
ends at the last point that fits into what is left. One rectangle builds on those before it, so
they are taken in runs: within a run the sums are repeated until none grows any more.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
#: Rectangles that are looked at together.
RUN = 32
#: Less than any sum of worths.
NOWHERE = -(2**60)


class Parting:
    """Points of an axis, and which two of them make up a third."""

    def __init__(self, points: Ints) -> None:
        self.points = points
        self._runs = [(at, min(at + RUN, len(points))) for at in range(0, len(points), RUN)]

    def grow(self, worth: Ints, lower: Ints, upper: Ints) -> None:
        """Raise each worth to the best sum of its two parts, and to what a smaller one is worth.

        `lower` and `upper` are what first and second parts are worth; each may be `worth` itself.
        """
        alone = lower is not worth and upper is not worth
        for (start, end), (far, first, near, wrong) in zip(self._runs, self._parts, strict=True):
            mine = worth[start:end]
            while True:
                sums = np.where(wrong, NOWHERE, lower[first] + upper[near]).max(1)
                if start > 1:
                    np.maximum(sums, (lower[1:start] + upper[far]).max(1), out=sums)
                np.maximum(sums, mine, out=sums)
                if start:
                    sums[0] = max(sums[0], worth[start - 1])
                np.maximum.accumulate(sums, out=sums)
                settled = alone or bool((sums == mine).all())
                mine[:] = sums
                if settled:
                    break

    def surround(self, around: Ints, parents: Sequence[tuple[Ints, Ints]]) -> None:
        """Raise what lies around each rectangle to the best of what lies around a larger one.

        `parents` are pairs: what lies around the larger one, which may be `around` itself, and
        what its other part is worth.
        """
        alone = all(above is not around for above, _ in parents)
        for (start, end), (far, first, near, wrong) in zip(
            reversed(self._runs), reversed(self._larger), strict=True
        ):
            mine = around[start:end]
            while True:
                most = mine.copy()
                for above, worth in parents:
                    sums = np.where(wrong, NOWHERE, above[first] + worth[near]).max(1)
                    if end < len(around):
                        np.maximum(sums, (above[end:] + worth[far]).max(1), out=sums)
                    np.maximum(most, sums, out=most)
                settled = alone or bool((most == mine).all())
                mine[:] = most
                if settled:
                    break

    @cached_property
    def _parts(self) -> list[tuple[Ints, Ints, Ints, NDArray[np.bool_]]]:
        """Return, for each run, the second parts to all first ones before it, and those within."""
        found = []
        for start, end in self._runs:
            ends, firsts = self.points[start:end, None], self.points[None, start:end]
            first = np.arange(start, end)[None, :].repeat(end - start, 0)
            wrong = (firsts > ends) | (first == 0)
            far = self._floor(ends - self.points[None, 1:start])
            found.append((far, first, self._floor(ends - firsts), wrong))
        return found

    @cached_property
    def _larger(self) -> list[tuple[Ints, Ints, Ints, NDArray[np.bool_]]]:
        """Return, for each run, the other parts in all larger ones behind it, and those within."""
        found = []
        for start, end in self._runs:
            mine, within = self.points[start:end, None], self.points[None, start:end]
            first = np.arange(start, end)[None, :].repeat(end - start, 0)
            far = self._floor(self.points[None, end:] - mine)
            found.append((far, first, self._floor(within - mine), within <= mine))
        return found

    def _floor(self, sizes: Ints) -> Ints:
        """Return the last points that are no larger; the first one for less than nothing."""
        return np.maximum(np.searchsorted(self.points, sizes, side="right") - 1, 0)
