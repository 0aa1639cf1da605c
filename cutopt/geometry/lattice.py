"""For checking a take-off: which cells a bond has, from its definition alone.

A cell is known by its number: member of the motif, course and step. The take-off is not used;
where it walks along courses, this solves for the number of a cell and lists numbers by brute
force.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.int64]
Kind = tuple[int, int, int, int, int]


@dataclass(frozen=True, slots=True)
class Lattice:
    """Tiles at `origin` + `step` * along + `course` * across + place of the member.

    Attributes
    ----------
    members : sequence
        Place x, y, size and turn of each tile of the motif.
    along, across : tuple of float
        From step to step and from course to course.
    origin : tuple of int
        Where the motif begins.
    shifts : sequence of int
        Further shift of course r along `along`: `shifts[r % n]`.
    """

    members: Sequence[Kind]
    along: tuple[int, int]
    across: tuple[int, int]
    origin: tuple[int, int]
    shifts: Sequence[int] = (0,)

    def numbers(self, x: Numbers, y: Numbers, turn: Numbers) -> tuple[Numbers, Numbers]:
        """Return for cells their numbers (member, course, step), and how far off each lies."""
        best = np.zeros((len(x), 3), np.int64)
        off = np.full(len(x), np.iinfo(np.int64).max)
        for at, (mx, my, _, _, member_turn) in enumerate(self.members):
            course, step = self._solved(x - mx, y - my)
            px, py = self._place(at, course, step)
            here = np.maximum(np.abs(px - x), np.abs(py - y))
            better = (here < off) & (turn == member_turn)
            best[better] = np.stack([np.full_like(course, at), course, step], 1)[better]
            off[better] = here[better]
        return best, off

    def _solved(self, x: Numbers, y: Numbers) -> tuple[Numbers, Numbers]:
        (ux, uy), (vx, vy) = self.along, self.across
        dx, dy = x - self.origin[0], y - self.origin[1]
        scale = float(ux * vy - uy * vx)
        course = np.rint((dy * float(ux) - dx * float(uy)) / scale).astype(np.int64)
        if len(self.shifts) > 1 or self.shifts[0]:
            shift = np.asarray(self.shifts, np.int64)[course % len(self.shifts)]
            dx, dy = (dx, dy - shift) if uy else (dx - shift, dy)
        step = np.rint((dx * float(vy) - dy * float(vx)) / scale).astype(np.int64)
        return course, step

    def _place(self, member: int, course: Numbers, step: Numbers) -> tuple[Numbers, Numbers]:
        mx, my, *_ = self.members[member]
        shift = np.asarray(self.shifts, np.int64)[course % len(self.shifts)]
        upright = self.along[0] == 0
        x = self.origin[0] + mx + step * self.along[0] + course * self.across[0]
        y = self.origin[1] + my + step * self.along[1] + course * self.across[1]
        return (x, y + shift) if upright else (x + shift, y)

    def box(self, number: tuple[int, int, int]) -> tuple[int, int, int, int]:
        """Return the box of one cell."""
        member, course, step = number
        x, y = self._place(member, np.array([course]), np.array([step]))
        return int(x[0]), int(y[0]), *self.members[member][2:4]

    def cells(self, bounds: tuple[float, float, float, float]) -> tuple[Numbers, Any]:
        """Return the numbers and the boxes (x, y, width, height) of all cells in a box."""
        left, bottom, right, top = bounds
        numbers, boxes = [], []
        for at, (mx, my, width, height, _) in enumerate(self.members):
            xs = np.array([left - width, left - width, right, right], np.float64) - mx
            ys = np.array([bottom - height, top, bottom - height, top], np.float64) - my
            courses, steps = self._solved(xs.astype(np.int64), ys.astype(np.int64))
            for course in range(int(courses.min()) - 1, int(courses.max()) + 2):
                step = np.arange(steps.min() - 2, steps.max() + 3, dtype=np.int64)
                row = np.full_like(step, course)
                x, y = self._place(at, row, step)
                meets = (x < right) & (x + width > left) & (y < top) & (y + height > bottom)
                numbers.append(np.stack([np.full_like(step, at), row, step], 1)[meets])
                size = np.broadcast_to([width, height], (int(meets.sum()), 2))
                boxes.append(np.column_stack([x[meets], y[meets], size]))
        return np.concatenate(numbers), np.concatenate(boxes)
