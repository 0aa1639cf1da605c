"""Exact plane geometry on whole numbers: points, outlines, inside and outside. No floats.

An *outline* is a sequence of corners in order, first not repeated, inside to the left when
anticlockwise. Everything here is decided by the sign of integer cross products.
"""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

Point = tuple[int, int]
Outline = Sequence[Point]


class Rect(NamedTuple):
    """A rectangle along the axes: lower left corner and size."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """Return the x of the right side."""
        return self.x + self.width

    @property
    def top(self) -> int:
        """Return the y of the upper side."""
        return self.y + self.height

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Return the corners, anticlockwise from the lower left."""
        return (
            (self.x, self.y),
            (self.right, self.y),
            (self.right, self.top),
            (self.x, self.top),
        )


def doubled_area(outline: Outline) -> int:
    """Return twice the signed area, above zero when the corners run anticlockwise."""
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in edges(outline))


def edges(outline: Outline) -> list[tuple[Point, Point]]:
    """Return the edges, each as its two ends."""
    return list(zip(outline, [*outline[1:], outline[0]], strict=True))


def box_of(outline: Outline) -> Rect:
    """Return the smallest rectangle along the axes that holds the outline."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def cross(origin: Point, a: Point, b: Point) -> int:
    """Return the cross product of a - origin and b - origin."""
    return (a[0] - origin[0]) * (b[1] - origin[1]) - (a[1] - origin[1]) * (b[0] - origin[0])


def _sign(number: int) -> int:
    return (number > 0) - (number < 0)


def _on_segment(point: Point, a: Point, b: Point) -> bool:
    return (
        cross(a, b, point) == 0
        and min(a[0], b[0]) <= point[0] <= max(a[0], b[0])
        and min(a[1], b[1]) <= point[1] <= max(a[1], b[1])
    )


def segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Tell whether two segments share a point, ends included."""
    turns = _sign(cross(a, b, c)), _sign(cross(a, b, d))
    returns = _sign(cross(c, d, a)), _sign(cross(c, d, b))
    if turns[0] * turns[1] < 0 and returns[0] * returns[1] < 0:
        return True
    return (
        _on_segment(c, a, b) or _on_segment(d, a, b) or _on_segment(a, c, d) or _on_segment(b, c, d)
    )


def is_simple(outline: Outline) -> bool:
    """Tell whether the outline neither crosses nor touches itself and folds back nowhere."""
    if len(outline) < 3 or len(set(outline)) < len(outline):
        return False
    sides = edges(outline)
    last = len(sides) - 1
    for (i, (a, b)), (j, (c, d)) in combinations(enumerate(sides), 2):
        if j == i + 1:
            folded = _on_segment(d, a, b) or _on_segment(a, c, d)
        elif i == 0 and j == last:
            folded = _on_segment(c, a, b) or _on_segment(b, c, d)
        else:
            folded = segments_meet(a, b, c, d)
        if folded:
            return False
    return True


def is_inside(point: Point, outline: Outline) -> bool:
    """Tell whether a point lies inside the outline, its edges excluded."""
    inside = False
    for a, b in edges(outline):
        if _on_segment(point, a, b):
            return False
        if (a[1] > point[1]) != (b[1] > point[1]):
            low, high = (a, b) if a[1] < b[1] else (b, a)
            inside ^= cross(low, high, point) > 0
    return inside


def outline_within(inner: Outline, outer: Outline) -> bool:
    """Tell whether one outline lies wholly inside another, touching it nowhere."""
    return is_inside(inner[0], outer) and not any(
        segments_meet(a, b, c, d) for a, b in edges(inner) for c, d in edges(outer)
    )


def circle_within(centre: Point, diameter: int, outer: Outline) -> bool:
    """Tell whether a circle lies wholly inside an outline, touching it nowhere."""
    return is_inside(centre, outer) and all(
        _clear_of(centre, diameter, a, b) for a, b in edges(outer)
    )


def _clear_of(centre: Point, diameter: int, a: Point, b: Point) -> bool:
    """Compare the doubled distance from a segment with the diameter, in squares."""
    length = _squared(a, b)
    along = (centre[0] - a[0]) * (b[0] - a[0]) + (centre[1] - a[1]) * (b[1] - a[1])
    if along <= 0:
        return 4 * _squared(centre, a) > diameter**2
    if along >= length:
        return 4 * _squared(centre, b) > diameter**2
    return 4 * cross(a, b, centre) ** 2 > diameter**2 * length


def _squared(a: Point, b: Point) -> int:
    return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2


def turned(point: Point, width: int, height: int, turn: int) -> Point:
    """Return where a point of a width x height box comes to lie after a turn.

    The box is turned anticlockwise by 0, 90, 180 or 270 degrees and put back with its lower
    left corner on the origin.
    """
    x, y = point
    if turn == 90:
        return height - y, x
    if turn == 180:
        return width - x, height - y
    if turn == 270:
        return y, width - x
    return x, y
