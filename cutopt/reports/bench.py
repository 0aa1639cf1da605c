"""Where the blade runs: a cut tile's cuts, one by one, as lines on its face.

For drawing alone: parts are convex polygons of floating-point corners, in units of length.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from cutopt.documents import Cut, CutTile
from cutopt.plane import Rect
from cutopt.reports.one_pass import slants_for_both

Corner = tuple[float, float]
Polygon = Sequence[Corner]


@dataclass(frozen=True)
class Run:
    """One straight run of the blade along the middle of its kerf, from below or left."""

    start: Corner
    end: Corner

    @property
    def is_steep(self) -> bool:
        """Tell whether the run goes up rather than across."""
        return abs(self.end[1] - self.start[1]) > abs(self.end[0] - self.start[0])


@dataclass(frozen=True)
class Sawn:
    """A cut by its number in the order of work: one run, or the two runs of a notch."""

    number: int
    runs: tuple[Run, ...]


class _Line(NamedTuple):
    """The line of a cut; the first part lies to its left, the blade and the second right."""

    start: Corner
    end: Corner

    def left_of(self, point: Corner) -> float:
        """Return how far a point lies to the left."""
        (ax, ay), (bx, by) = self.start, self.end
        across = (bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)
        return across / math.hypot(bx - ax, by - ay)


def saw_runs(cut_tile: CutTile, kerf: int) -> list[Sawn]:
    """Return the cuts of a tile in their order; none where the plan lists none.

    A straight cut for which a slanted one does stands for both; that one runs nowhere.
    """
    both = slants_for_both(cut_tile, kerf)
    parts: dict[int, Polygon] = {0: Rect(0, 0, cut_tile.width, cut_tile.height).corners}
    sawn = []
    for number, cut in enumerate(cut_tile.cuts or (), start=1):
        runs, polygons = (_notch if cut.way == "notch" else _straight)(cut, parts[cut.part], kerf)
        sawn.append(Sawn(number, runs))
        for made, polygon in zip(cut.makes, polygons, strict=True):
            if made is not None:
                parts[made] = polygon
    for number, after in both.items():
        sawn[number - 1] = Sawn(number, sawn[after - 1].runs)
        sawn[after - 1] = Sawn(after, ())
    return sawn


Step = tuple[tuple[Run, ...], tuple[Polygon, Polygon]]


def _straight(cut: Cut, part: Polygon, kerf: int) -> Step:
    line = _line_of(cut)
    reach = [line.left_of(corner) for corner in part]
    # A blade partly beside its part is drawn where it meets the part.
    middle = (max(-kerf, min(reach)) + min(0, max(reach))) / 2
    ends = _meeting(part, lambda corner: line.left_of(corner) - middle)
    first = _clipped(part, line.left_of)
    second = _clipped(part, lambda corner: -kerf - line.left_of(corner))
    runs = (_run(ends),) if ends else ()
    return runs, (first, second)


def _line_of(cut: Cut) -> _Line:
    if cut.line is not None:
        return _Line(*cut.line)
    at = cut.at or 0
    return _Line((at, 0), (at, 1)) if cut.way == "vertical" else _Line((1, at), (0, at))


def _run(ends: Sequence[Corner]) -> Run:
    start, end = min(ends), max(ends)
    run = Run(start, end)
    return Run(end, start) if run.is_steep and start[1] > end[1] else run


def _meeting(part: Polygon, value: Callable[[Corner], float]) -> list[Corner]:
    """Return where the edges of a part meet the line on which a value is zero."""
    ends = []
    for a, b in zip(part, [*part[1:], *part[:1]], strict=True):
        here, there = value(a), value(b)
        if here == 0:
            ends.append(a)
        elif here * there < 0:
            ends.append(_between(a, b, here / (here - there)))
    return ends


def _clipped(part: Polygon, value: Callable[[Corner], float]) -> list[Corner]:
    """Return what of a part lies where a value is zero or more."""
    kept = []
    for a, b in zip(part, [*part[1:], *part[:1]], strict=True):
        here, there = value(a), value(b)
        if here >= 0:
            kept.append(a)
        if here * there < 0:
            kept.append(_between(a, b, here / (here - there)))
    return kept


def _between(a: Corner, b: Corner, share: float) -> Corner:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def _notch(cut: Cut, part: Polygon, kerf: int) -> Step:
    """Run the blade inside the notch, along both new edges of the piece."""
    up, side = (cut.corner or "bottom-left").split("-")
    width, height = cut.width or 0, cut.height or 0
    xs, ys = sorted(x for x, _ in part), sorted(y for _, y in part)
    outer_x, inwards = (xs[0], 1) if side == "left" else (xs[-1], -1)
    outer_y, upwards = (ys[0], 1) if up == "bottom" else (ys[-1], -1)
    middle_x = outer_x + inwards * (width - min(kerf, width) / 2)
    middle_y = outer_y + upwards * (height - min(kerf, height) / 2)
    runs = (
        _run([(middle_x, outer_y), (middle_x, outer_y + upwards * height)]),
        _run([(outer_x, middle_y), (outer_x + inwards * width, middle_y)]),
    )
    far_x = outer_x + inwards * max(width - kerf, 0)
    far_y = outer_y + upwards * max(height - kerf, 0)
    rest = [(outer_x, outer_y), (far_x, outer_y), (far_x, far_y), (outer_x, far_y)]
    return runs, (part, rest)
