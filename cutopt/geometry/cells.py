"""Cells: the places that a bond gives to tiles, as columns of whole numbers."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cutopt.plane import Point, Rect

Column = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells as columns: lower left corner, size, course, position in it, turn of the tile."""

    x: Column
    y: Column
    width: Column
    height: Column
    course: Column
    position: Column
    turn: Column

    def __len__(self) -> int:
        return len(self.x)

    def take(self, chosen: NDArray[Any] | slice) -> "Cells":
        """Return some of the cells."""
        return Cells(*(getattr(self, column.name)[chosen] for column in fields(self)))

    def mirrored(self) -> "Cells":
        """Return the cells with x and y exchanged."""
        return Cells(self.y, self.x, self.height, self.width, self.course, self.position, self.turn)

    def rows(self) -> list[tuple[int, int, int, int, int, int, int]]:
        """Return the cells as plain numbers, in the order of the columns."""
        return list(
            zip(*(getattr(self, column.name).tolist() for column in fields(self)), strict=True)
        )


@dataclass(frozen=True, slots=True)
class Courses:
    """Tiles end to end in courses, each course shifted: stack, running bond, planks.

    `size` is a tile, `joint` the gap; course r begins at `origin` plus `shifts[r % n]`. With
    `upright` the courses are columns.
    """

    size: tuple[int, int]
    joint: int
    origin: Point
    shifts: Sequence[int] = (0,)
    upright: bool = False

    def cells(self, box: Rect) -> Cells:
        """Return the cells that reach into a box, counted from its lower left."""
        if self.upright:
            size, origin = self.size[::-1], self.origin[::-1]
            lying = Courses(size, self.joint, origin, self.shifts)
            return lying.cells(Rect(box.y, box.x, box.height, box.width)).mirrored()
        (width, height), (left, bottom) = self.size, self.origin
        along, across = width + self.joint, height + self.joint
        first = (box.y - bottom - height) // across + 1
        course = np.arange(first, -((bottom - box.top) // across), dtype=np.int64)
        shift = np.asarray(self.shifts, np.int64)[course % len(self.shifts)]
        begin = (box.x - left - shift - width) // along + 1
        end = -((left + shift - box.right) // along)
        row, position = _runs(np.maximum(end - begin, 0))
        x = left + shift[row] + (begin[row] + position) * along
        return Cells(
            x,
            bottom + course[row] * across,
            np.full_like(x, width),
            np.full_like(x, height),
            row + 1,
            position + 1,
            np.zeros_like(x),
        )


@dataclass(frozen=True, slots=True)
class Member:
    """One tile of a motif: where it lies in it, and whether it is turned by 90 degrees."""

    at: Point
    size: tuple[int, int]
    turn: int


@dataclass(frozen=True, slots=True)
class Motif:
    """A group of tiles repeated along two directions: herringbone, basket weave.

    A course follows `along`, course by course goes `across`.
    """

    members: Sequence[Member]
    along: Point
    across: Point
    origin: Point

    def cells(self, box: Rect) -> Cells:
        """Return the cells that reach into a box, counted from the first in each course."""
        found = [self._cells_of(member, box) for member in self.members]
        course = np.concatenate([t for t, _ in found])
        step = np.concatenate([s for _, s in found])
        member = np.repeat(np.arange(len(found)), [len(t) for t, _ in found])
        count = len(self.members)
        table = [(*m.at, *m.size, m.turn) for m in self.members]
        x, y, width, height, turn = np.array(table, np.int64)[member].T
        cells = Cells(
            self.origin[0] + x + step * self.along[0] + course * self.across[0],
            self.origin[1] + y + step * self.along[1] + course * self.across[1],
            width,
            height,
            *_counted(course, step, member, count),
            turn,
        )
        return cells.take(np.lexsort((cells.position, cells.course)))

    def _cells_of(self, member: Member, box: Rect) -> tuple[Column, Column]:
        """Return course and step of every cell of one member that reaches into the box."""
        # The lower left corner of such a cell lies strictly between these.
        left, right = box.x - member.size[0], box.right
        low, high = box.y - member.size[1], box.top
        left, right = (bound - self.origin[0] - member.at[0] for bound in (left, right))
        low, high = (bound - self.origin[1] - member.at[1] for bound in (low, high))
        (ux, uy), (vx, vy) = self.along, self.across
        ranks = [ux * y - uy * x for x in (left, right) for y in (low, high)]
        scale = ux * vy - uy * vx
        ends = sorted((min(ranks) // scale, max(ranks) // scale))
        course = np.arange(ends[0], ends[1] + 2, dtype=np.int64)
        begin, end = _between(left, right, ux, course * vx)
        if uy:
            other = _between(low, high, uy, course * vy)
            begin, end = np.maximum(begin, other[0]), np.minimum(end, other[1])
        else:
            end = np.where((low < course * vy) & (course * vy < high), end, begin)
        row, step = _runs(np.maximum(end - begin, 0))
        return course[row], begin[row] + step


def _between(low: int, high: int, step: int, shift: Column) -> tuple[Column, Column]:
    """Return the whole numbers n with low < shift + n * step < high, as begin and end."""
    return (low - shift) // step + 1, -((shift - high) // step)


def _runs(counts: Column) -> tuple[Column, Column]:
    """Return for runs of these lengths the run of each item and its place in the run."""
    run = np.repeat(np.arange(len(counts), dtype=np.int64), counts)
    begin = np.cumsum(counts) - counts
    return run, np.arange(len(run), dtype=np.int64) - begin[run]


def _counted(course: Column, step: Column, member: Column, count: int) -> tuple[Column, Column]:
    """Return courses numbered from 1, and in each the tiles from 1, gaps kept."""
    if not len(course):
        return course, step
    row = course - course.min()
    least = np.full(int(row.max()) + 1, np.iinfo(np.int64).max)
    np.minimum.at(least, row, step)
    return row + 1, (step - least[row]) * count + member + 1
