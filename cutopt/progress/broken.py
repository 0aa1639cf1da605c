"""What can still be used beside a break: on each side the largest rectangle in a corner."""

import math
from collections.abc import Iterator

from cutopt.documents import Side
from cutopt.documents.progress import Usable
from cutopt.units import MM

#: A break is ragged and may run on unseen: the rectangle stays so far away (common practice, no
#: source), and is a little less than whole millimetres, so that no piece takes it uncut.
AWAY = 5 * MM
_LESS = MM // 2
#: A smaller rectangle is no use to anybody.
LEAST = 20 * MM

Line = tuple[tuple[int, int], tuple[int, int]]
Size = tuple[int, int]


def usable_beside(size: Size, edges: frozenset[Side], line: Line) -> list[Usable | None]:
    """Return what is usable to the left of a break and to its right, None where too little is.

    Parameters
    ----------
    size : (int, int)
        Width and height of the part that broke.
    edges : frozenset of Side
        Its factory edges.
    line : pair of points
        Two points of the break, from the lower left corner of the part.
    """
    return [_best(size, edges, line), _best(size, edges, (line[1], line[0]))]


def _best(size: Size, edges: frozenset[Side], line: Line) -> Usable | None:
    """Return the largest rectangle to the left of a line."""
    found = max(_in_corners(size, line), key=lambda one: one[0] * one[1], default=None)
    if found is None:
        return None
    width, height, sides = found
    touched = set(sides)
    if width == size[0]:
        touched |= {"left", "right"}
    if height == size[1]:
        touched |= {"bottom", "top"}
    return Usable(width=width, height=height, factory_edges=tuple(sorted(edges & touched)))


def _in_corners(size: Size, line: Line) -> Iterator[tuple[int, int, tuple[Side, Side]]]:
    """Yield the largest rectangle in each corner that lies far enough to the left of a line."""
    (ax, ay), (bx, by) = line
    length = math.dist(*line)
    right = (by - ay) / length, (ax - bx) / length
    corners: tuple[tuple[int, int, Side, Side], ...] = (
        (0, 0, "left", "bottom"),
        (1, 0, "right", "bottom"),
        (1, 1, "right", "top"),
        (0, 1, "left", "top"),
    )
    for on_right, on_top, side, level in corners:
        x, y = on_right * size[0], on_top * size[1]
        away = (ax - x) * right[0] + (ay - y) * right[1] - AWAY
        across = max(0.0, -right[0] if on_right else right[0])
        up = max(0.0, -right[1] if on_top else right[1])
        if away > 0:
            wide, high = _largest(away, across, up, size)
            width, height = _whole(wide, size[0]), _whole(high, size[1])
            if min(width, height) >= LEAST:
                yield width, height, (side, level)


def _largest(away: float, across: float, up: float, size: Size) -> tuple[float, float]:
    """Return the width w and height h of the largest w * h with across * w + up * h <= away."""
    width, height = size
    if across * width + up * height <= away:
        return width, height
    wide = away / (2 * across) if across else width
    high = away / (2 * up) if up else height
    if wide >= width:
        return width, min(height, (away - across * width) / up) if up else height
    if high >= height:
        return min(width, (away - up * height) / across) if across else width, height
    return wide, high


def _whole(length: float, most: int) -> int:
    """Return a side: the whole part's, or a little less than whole millimetres."""
    return most if length >= most else math.floor(length / MM) * MM - _LESS
