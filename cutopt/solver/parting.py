"""The best of all straight cuts along one axis, for many rectangles at once.

A rectangle that ends at a point of the axis is parted at any point before it; its second part
ends at the last point that fits into what is left. One rectangle builds on those before it, so
they are taken one after the other, for many columns together, or, for few columns, in runs: within
a run the sums are repeated until none grows any more.
"""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Worths = NDArray[np.signedinteger[Any]]
Indices = NDArray[np.intp]
#: Rectangles that are looked at together.
RUN = 32
#: So many columns are worth looking at together.
TOGETHER = 8
#: Sums of one column that are looked at together.
STRIP = 6_000


class Parting:
    """Points of an axis, and which two of them make up a third.

    Nothing smaller than `least` is worth anything.
    """

    def __init__(self, points: Ints, least: int = 1) -> None:
        self.points, self.least = points, least
        self._rests: dict[tuple[int, bool], Indices] = {}
        self._others: dict[int, Indices] = {}
        self._rests_in: dict[tuple[int, int, bool], Indices] = {}
        self._beside: dict[tuple[int, int], Indices] = {}
        self._runs = [(at, min(at + RUN, len(points))) for at in range(0, len(points), RUN)]

    def rest(self, end: int, *, half: bool = False) -> Indices:
        """Return, for each first part from 1 on, the second part of what ends at a point.

        First parts up to the whole, or up to its half.
        """
        if (end, half) not in self._rests:
            last = self.points[end] // 2 if half else self.points[end]
            firsts = self.points[1 : np.searchsorted(self.points, last, side="right")]
            self._rests[end, half] = self._floor(self.points[end] - firsts)
        return self._rests[end, half]

    def grow(self, worth: Worths, lower: Worths, upper: Worths, most: Worths | None) -> None:
        """Raise each worth to the best sum of its two parts, and to what a smaller one is worth.

        Every column is a row of the arrays, and no column is part of another.

        Parameters
        ----------
        lower, upper : array
            What first and second parts are worth; each may be `worth` itself, and none is worth
            more than what `worth` grows to by itself.
        most : array, optional
            What no worth is beyond.
        """
        if len(worth) >= TOGETHER:
            self._grow_together(worth, lower, upper, most)
            return
        for column, mine in enumerate(worth):
            below = mine if lower is worth else lower[column]
            above = mine if upper is worth else upper[column]
            self._grow_one(mine, below, above)
            if most is not None:
                np.minimum(mine, most[column], out=mine)

    def _grow_together(
        self, worth: Worths, lower: Worths, upper: Worths, most: Worths | None
    ) -> None:
        grown = np.ascontiguousarray(worth.T)
        below = grown if lower is worth else np.ascontiguousarray(lower.T)
        above = grown if upper is worth else np.ascontiguousarray(upper.T)
        for start, end in self._strips:
            mine = grown[start:end]
            rest = self._rest_in(start, end, half=below is above)
            if len(rest):
                sums = below[1 : len(rest) + 1, None] + above[rest]
                np.maximum(mine, sums.max(axis=0), out=mine)
            so_far = grown[start - 1 : end]
            np.maximum.accumulate(so_far, axis=0, out=so_far)
            if most is not None:
                np.minimum(mine, most[:, start:end].T, out=mine)
        worth[:] = grown.T

    @cached_property
    def runs(self) -> list[tuple[int, int]]:
        """Return runs of points (first, end), none of which is a part of another in its run."""
        runs, start = [(0, 1)], 1
        while start < len(self.points):
            end = int(np.searchsorted(self.points, self.points[start] + self.least))
            runs.append((start, end))
            start = end
        return runs

    @cached_property
    def _strips(self) -> list[tuple[int, int]]:
        """Return the runs, cut into strips whose sums fit into fast memory."""
        return [
            (at, min(at + size, end))
            for start, end in self.runs[1:]
            for size in [max(1, STRIP // (len(self.points) - start // 2))]
            for at in range(start, end, size)
        ]

    def _rest_in(self, start: int, end: int, *, half: bool) -> Indices:
        """Return, for first parts from 1 on before a strip, the second parts of its points."""
        if (start, end, half) not in self._rests_in:
            ends, first = self.points[start:end], start
            if half:
                first = min(first, int(np.searchsorted(self.points, ends[-1] // 2, side="right")))
            rest = self._floor(ends - self.points[1:first, None])
            self._rests_in[start, end, half] = np.minimum(rest, start - 1)
        return self._rests_in[start, end, half]

    def _grow_one(self, worth: Worths, lower: Worths, upper: Worths) -> None:
        alone = lower is not worth and upper is not worth
        for (start, end), (far, first, near, wrong) in zip(self._runs, self._parts, strict=True):
            mine = worth[start:end]
            while True:
                sums = np.where(wrong, 0, lower[first] + upper[near]).max(1)
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

    def _others_in(self, start: int, end: int) -> Indices:
        """Return the other parts of points beyond a strip when one part is a point of it."""
        if (start, end) not in self._beside:
            others = self._floor(self.points[end:, None] - self.points[start:end])
            self._beside[start, end] = others
        return self._beside[start, end]

    def rest_of_larger(self, point: int) -> Indices:
        """Return, for each point beyond one, the other part of what ends there."""
        if point not in self._others:
            self._others[point] = self._floor(self.points[point + 1 :] - self.points[point])
        return self._others[point]

    def surround(self, around: Worths, parents: Sequence[tuple[Worths, Worths]]) -> None:
        """Raise what lies around each rectangle to the best of what lies around a larger one.

        Every column is a row of the arrays. `parents` are pairs: what lies around the larger
        one, which may be `around` itself, and what its other part is worth.
        """
        if len(around) >= TOGETHER:
            self._surround_together(around, parents)
            return
        for column, mine in enumerate(around):
            self._surround_one(
                mine,
                [
                    (mine if above is around else above[column], worth[column])
                    for above, worth in parents
                ],
            )

    def _surround_together(self, around: Worths, parents: Sequence[tuple[Worths, Worths]]) -> None:
        grown = np.ascontiguousarray(around.T)
        turned = [
            (grown if above is around else np.ascontiguousarray(above.T), worth.T.copy())
            for above, worth in parents
        ]
        for start, end in [*reversed(self._strips), (0, 1)]:
            mine = grown[start:end]
            if end < len(self.points):
                others = self._others_in(start, end)
                for above, worth in turned:
                    sums = above[end:, None] + worth[others]
                    np.maximum(mine, sums.max(axis=0), out=mine)
            for above, _ in turned:  # within a strip the other part is nothing
                larger = mine[::-1] if above is grown else above[start:end][::-1]
                larger = np.maximum.accumulate(larger, axis=0)[::-1]
                np.maximum(mine[:-1], larger[1:], out=mine[:-1])
        around[:] = grown.T

    def _surround_one(self, around: Worths, parents: Sequence[tuple[Worths, Worths]]) -> None:
        alone = all(above is not around for above, _ in parents)
        nowhere = min(0, int(around.min()))
        for (start, end), (far, first, near, wrong) in zip(
            reversed(self._runs), reversed(self._larger), strict=True
        ):
            mine = around[start:end]
            while True:
                most = mine.copy()
                for above, worth in parents:
                    sums = np.where(wrong, nowhere, above[first] + worth[near]).max(1)
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
