"""The rectangular notches in the corners of a piece's box, read off its outline."""

from collections.abc import Sequence

from cutopt.plane import Outline, Point, box_of, edges, is_inside
from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Pocket, convex_hull


def is_rectilinear(outline: Outline) -> bool:
    """Tell whether every edge runs along an axis."""
    return all(a[0] == b[0] or a[1] == b[1] for a, b in edges(outline))


def corner_pockets(outline: Outline, kerf: int) -> tuple[Pocket, ...]:
    """Return what the notches leave in the corners of the box, one pocket a corner.

    A notch is the largest empty rectangle in its corner. An outline with a slanted edge has
    none: it is cut from its box.
    """
    if not is_rectilinear(outline) or len(outline) == 4:
        return ()
    box = box_of(outline)
    found = []
    for sides in (LEFT | BOTTOM, RIGHT | BOTTOM, LEFT | TOP, RIGHT | TOP):
        seen = [_from_corner(point, sides, box.width, box.height) for point in outline]
        width, height = _largest_empty(seen)
        if width and height:
            found.append(Pocket(sides, width - kerf, height - kerf, width, height))
    return tuple(found)


def slanted_hull(outline: Outline) -> tuple[Point, ...] | None:
    """Return the convex hull of an outline with slanted edges, None for any other.

    A hull that is the whole box (a slanted bite out of one side) is cut as a box.
    """
    if is_rectilinear(outline):
        return None
    hull = convex_hull(outline)
    return None if is_rectilinear(hull) else hull


def _from_corner(point: Point, sides: int, width: int, height: int) -> Point:
    x, y = point
    return (width - x if sides & RIGHT else x), (height - y if sides & TOP else y)


def _largest_empty(outline: Outline) -> tuple[int, int]:
    """Return the largest rectangle from 0, 0 upwards that the outline leaves empty."""
    xs, ys = sorted({x for x, _ in outline}), sorted({y for _, y in outline})
    best = (0, 0)
    highest = len(ys) - 1
    for column in range(len(xs) - 1):
        rising = range(highest)
        highest = next((row for row in rising if _filled(outline, xs, ys, column, row)), highest)
        size = xs[column + 1], ys[highest]
        best = max(best, size, key=lambda size: size[0] * size[1])
    return best


def _filled(outline: Outline, xs: Sequence[int], ys: Sequence[int], column: int, row: int) -> bool:
    """Tell whether a cell between neighbouring corners lies inside (its middle, doubled)."""
    middle = (xs[column] + xs[column + 1], ys[row] + ys[row + 1])
    return is_inside(middle, [(2 * x, 2 * y) for x, y in outline])
