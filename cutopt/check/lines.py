"""Slanted lines: which side of a cut a point lies on, and the hull that straight cuts make."""

from collections.abc import Sequence
from typing import NamedTuple

from cutopt.plane import Outline, Point, cross, edges
from cutopt.units import MM

#: An edge this close to the blade needs no cut of its own: no saw takes a thinner shaving.
THINNEST_SHAVING = MM // 50

Edge = tuple[Point, Point]


class Line(NamedTuple):
    """The line of a slanted cut, from one point to another; the blade runs to its right."""

    start: Point
    end: Point

    @property
    def squared(self) -> int:
        """Return the square of the distance between its two points."""
        return (self.end[0] - self.start[0]) ** 2 + (self.end[1] - self.start[1]) ** 2

    def crosses(self, points: Sequence[Point]) -> list[int]:
        """Return how far each point lies to the left, times the length of the line."""
        return [cross(self.start, self.end, point) for point in points]


class Slant(NamedTuple):
    """A slanted cut as one of the parts that it made knows it."""

    line: Line
    is_left: bool
    """Whether the part lies left of the line, or else a kerf to the right of it."""

    def holds(self, point: Point, kerf: int) -> bool:
        """Tell whether a point lies on the part's side of the blade, touching it or not."""
        (left,) = self.line.crosses([point])
        if self.is_left:
            return left >= 0
        return left <= 0 and left**2 >= kerf**2 * self.line.squared

    def keeps(self, point: Point, kerf: int) -> bool:
        """Tell whether a point lies on the part's side of the blade and does not touch it."""
        (left,) = self.line.crosses([point])
        return self.holds(point, kerf) and left**2 > (
            0 if self.is_left else kerf**2 * self.line.squared
        )

    def has_made(self, edge: Edge, kerf: int) -> bool:
        """Tell whether an edge of what the part holds runs along the blade, or all but.

        On the line itself there is no shaving. Across the kerf there may be one, because two
        slanted edges a kerf apart rarely both end on the grid of lengths.
        """
        widest = 0 if self.is_left else kerf + THINNEST_SHAVING
        most = widest**2 * self.line.squared
        return all(left**2 <= most for left in self.line.crosses(edge))


def is_rectilinear(outline: Outline) -> bool:
    """Tell whether every edge runs along an axis."""
    return all(a[0] == b[0] or a[1] == b[1] for a, b in edges(outline))


def convex_hull(points: Outline) -> tuple[Point, ...]:
    """Return the corners of the convex hull, anticlockwise, none on the line between two."""
    ordered = sorted(set(points))
    return (*_half_hull(ordered), *_half_hull(ordered[::-1]))


def _half_hull(points: Sequence[Point]) -> list[Point]:
    """Return the hull below points from left to right, its last corner left out."""
    found: list[Point] = []
    for point in points:
        while len(found) > 1 and cross(found[-2], found[-1], point) <= 0:
            found.pop()
        found.append(point)
    return found[:-1]
