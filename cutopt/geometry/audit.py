"""Geometry for checking a take-off: areas in floating point, no part of how pieces are found.

Where the take-off moves outlines and clips cells in whole numbers, this subtracts a strip for
every joint and compares areas.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from cutopt.plane import Outline, Point

Numbers = NDArray[np.int64]
Areas = NDArray[np.float64]
_STRAIGHT = 1e-7
#: Strips are this many units broader, lest a hair is left along an edge.
_BREADTH = 0.01


class Field:
    """What may be tiled, in the frame of a bond turned by some degrees."""

    def __init__(self, outline: Outline, joints: Sequence[int]) -> None:
        self._area: Any = shapely.Polygon(outline)
        self._subtract(_strips(outline, joints))
        self._before_openings: Any = self._area

    def block(self, outline: Outline, joints: Sequence[int]) -> None:
        """Take an opening away, with the joints round it; its corners run anticlockwise."""
        strips = _strips(outline[::-1], [*joints[-2::-1], joints[-1]])
        self._subtract([shapely.Polygon(outline), *strips])

    def pierce(self, centre: Point, diameter: int, sides: int | None = None) -> None:
        """Take a disc away; with `sides`, the polygon around it instead."""
        if sides is None:
            self._subtract([shapely.Point(centre).buffer(diameter / 2, quad_segs=64)])
            return
        radius = diameter / 2 / math.cos(math.pi / sides)
        turns = [2 * math.pi * (at + 0.5) / sides for at in range(sides)]
        corners = [
            (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turns
        ]
        self._subtract([shapely.Polygon(corners)])

    def turn(self, degrees: float) -> None:
        """Turn the axes anticlockwise by some degrees about 0, 0."""
        if degrees:
            self._area = shapely.affinity.rotate(self._area, -degrees, origin=(0, 0))
            self._before_openings = shapely.affinity.rotate(
                self._before_openings, -degrees, origin=(0, 0)
            )

    def _subtract(self, parts: Sequence[Any]) -> None:
        self._area = shapely.difference(self._area, shapely.union_all(list(parts)))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right and top."""
        left, bottom, right, top = self._area.bounds
        return left, bottom, right, top

    @property
    def bounds_of_outline(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right and top before any opening was taken away."""
        left, bottom, right, top = self._before_openings.bounds
        return left, bottom, right, top

    @property
    def area(self) -> float:
        """Return the area, in squared units."""
        return float(self._area.area)

    def areas_in(self, x: Numbers, y: Numbers, width: Numbers, height: Numbers) -> Areas:
        """Return the area that lies in each of some boxes."""
        shapely.prepare(self._area)
        found = np.zeros(len(x))
        for begin in range(0, len(x), 100_000):
            part = slice(begin, begin + 100_000)
            boxes = shapely.box(x[part], y[part], x[part] + width[part], y[part] + height[part])
            inside = shapely.covers(self._area, boxes)
            areas = np.where(inside, width[part] * 1.0 * height[part], 0.0)
            border = ~inside & shapely.intersects(self._area, boxes)
            areas[border] = shapely.area(shapely.intersection(boxes[border], self._area))
            found[part] = areas
        return found

    def areas_outside(self, shapes: Sequence[tuple[Outline, Sequence[Outline]]]) -> list[float]:
        """Return how much of each shape, given as ring and holes, lies outside."""
        polygons = np.array([shapely.Polygon(ring, holes) for ring, holes in shapes], object)
        if not len(polygons):
            return []
        outside: list[float] = shapely.area(shapely.difference(polygons, self._area)).tolist()
        return outside

    def contains(self, points: Sequence[tuple[float, float]]) -> list[bool]:
        """Tell which points lie inside."""
        places = np.array(points, float).reshape(-1, 2)
        inside: list[bool] = shapely.contains_xy(self._area, places[:, 0], places[:, 1]).tolist()
        return inside


def concatenated(column: NDArray[Any], more: Sequence[float]) -> Any:
    """Return a column with further numbers at its end."""
    return np.concatenate([column, np.array(more, column.dtype)])


def differences(
    claimed: tuple[Numbers, Areas], listed: tuple[Numbers, Areas]
) -> list[tuple[tuple[int, int, int], float, float]]:
    """Return the cells whose claimed and listed areas differ: number, claimed, listed.

    A cell that only one side knows has no area on the other.
    """
    numbers = np.concatenate([claimed[0], listed[0]])
    least = numbers.min(axis=0)
    spans = numbers.max(axis=0) - least + 1
    codes = ((numbers - least) @ [spans[1] * spans[2], spans[2], 1]).astype(np.int64)
    _, first, cell = np.unique(codes, return_index=True, return_inverse=True)
    begin = len(claimed[0])
    here = np.bincount(cell[:begin], claimed[1], len(first))
    there = np.bincount(cell[begin:], listed[1], len(first))
    apart = np.flatnonzero(np.abs(here - there) > 1)
    return [
        ((number[0], number[1], number[2]), here[at], there[at])
        for at, number in zip(apart.tolist(), numbers[first[apart]].tolist(), strict=True)
    ]


def repeated(course: Numbers, position: Numbers) -> int:
    """Return how many pairs of course and position stand there more than once."""
    pairs = np.stack([course, position], 1)
    return len(pairs) - len(np.unique(pairs, axis=0)) if len(pairs) else 0


def rounded(column: Areas) -> list[int]:
    """Return the nearest whole numbers."""
    whole: list[int] = np.rint(column).astype(np.int64).tolist()
    return whole


def shared_area(first: Outline, second: Outline) -> float:
    """Return the area that two outlines share."""
    return float(shapely.intersection(shapely.Polygon(first), shapely.Polygon(second)).area)


def _strips(outline: Outline, joints: Sequence[int]) -> list[Any]:
    """Return for each edge the strip between it and its joint, to the left of the edge."""
    count = len(outline)
    around = [(outline[at - 1], outline[at], outline[(at + 1) % count]) for at in range(count)]
    ends = [_mitre(around[at], joints[at - 1], joints[at]) for at in range(count)]
    strips = []
    for at in range(count):
        if joints[at]:
            after = (at + 1) % count
            corners = [outline[at], outline[after], ends[after][0], ends[at][1]]
            strip = shapely.make_valid(shapely.Polygon(corners))
            strips.append(shapely.buffer(strip, _BREADTH, join_style="mitre"))
    return strips


def _mitre(corners: tuple[Point, Point, Point], first: int, second: int) -> Any:
    """Return where the joint of one edge ends and that of the next begins."""
    before, corner, after = corners
    ahead = [np.subtract(corner, before), np.subtract(after, corner)]
    normals = np.array([(-d[1], d[0]) / np.hypot(*d) for d in ahead])
    if abs(np.linalg.det(normals)) < _STRAIGHT:
        return corner + normals[0] * first, corner + normals[1] * second
    meeting = corner + np.linalg.solve(normals, (first, second))
    return meeting, meeting
