"""Corners of boxes: what a notch takes, and what fits into one."""

from typing import get_args

from cutopt.check.known import Laid
from cutopt.documents.plan import Corner
from cutopt.plane import Outline, Point, Rect, cross, edges, is_inside

CORNERS: tuple[Corner, ...] = get_args(Corner)


def in_corner(rect: Rect, corner: Corner, width: int, height: int) -> Rect:
    """Return the rectangle of a size that lies in the corner of another."""
    x = rect.x if corner.endswith("left") else rect.right - width
    y = rect.y if corner.startswith("bottom") else rect.top - height
    return Rect(x, y, width, height)


def overlap(a: Rect, b: Rect) -> bool:
    """Tell whether two rectangles share more than their edges."""
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top


def is_clear(rect: Rect, outline: Outline) -> bool:
    """Tell whether a rectangle lies outside an outline, edges may touch."""
    if any(_passes_through(a, b, rect) for a, b in edges(outline)):
        return False
    # No edge runs through the rectangle: it is wholly in or wholly out, as its middle is.
    middle = (rect.x + rect.right, rect.y + rect.top)
    return not is_inside(middle, [(2 * x, 2 * y) for x, y in outline])


def _passes_through(a: Point, b: Point, rect: Rect) -> bool:
    """Tell whether a segment reaches the inside of a rectangle: no line parts the two."""
    if max(a[0], b[0]) <= rect.x or min(a[0], b[0]) >= rect.right:
        return False
    if max(a[1], b[1]) <= rect.y or min(a[1], b[1]) >= rect.top:
        return False
    turns = [cross(a, b, corner) for corner in rect.corners]
    return min(turns) < 0 < max(turns)


def corner_that_holds(inner: Rect, host: Laid, kerf: int) -> Corner | None:
    """Return the empty corner of a piece's box where a rectangle lies, the kerf beside it."""
    box = host.box
    if host.outline is None or inner.x < box.x or inner.y < box.y:
        return None
    if inner.right > box.right or inner.top > box.top:
        return None
    for corner in CORNERS:
        across = inner.right - box.x if corner.endswith("left") else box.right - inner.x
        upwards = inner.top - box.y if corner.startswith("bottom") else box.top - inner.y
        if is_clear(in_corner(box, corner, across + kerf, upwards + kerf), host.outline):
            return corner
    return None
