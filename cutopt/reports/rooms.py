"""Where on a piece a label may stand: rectangles inside its outline and clear of its holes."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from cutopt.plane import Outline, Point, Rect, cross, edges, is_inside

#: Into how many strips a box with slanted edges is parted to look for room.
_STRIPS = 8
_MOST_ROOMS = 24


def rooms_within(outline: Outline, box: Rect, taken: Sequence[Rect]) -> list[Rect]:
    """Return rectangles within an outline that hold nothing of what is taken, largest first."""
    if len(outline) == 4 and set(outline) == set(box.corners) and not taken:
        return [box]
    xs, ys = _lines(outline, box, taken)
    columns, rows = list(pairwise(xs)), list(pairwise(ys))
    free = [[_is_free(column, row, outline, taken) for column in columns] for row in rows]
    rooms = {
        Rect(columns[left][0], rows[low][0], columns[right][1] - columns[left][0], height)
        for low, high, left, right in _blocks(free)
        for height in [rows[high][1] - rows[low][0]]
    }
    return sorted(rooms, key=lambda room: (-room.width * room.height, room))[:_MOST_ROOMS]


def _lines(outline: Outline, box: Rect, taken: Sequence[Rect]) -> tuple[list[int], list[int]]:
    xs, ys = {x for x, _ in outline}, {y for _, y in outline}
    for rect in taken:
        xs |= {rect.x, rect.right}
        ys |= {rect.y, rect.top}
    if any(a[0] != b[0] and a[1] != b[1] for a, b in edges(outline)):
        xs |= {box.x + box.width * step // _STRIPS for step in range(_STRIPS)}
        ys |= {box.y + box.height * step // _STRIPS for step in range(_STRIPS)}
    return (
        sorted(x for x in xs if box.x <= x <= box.right),
        sorted(y for y in ys if box.y <= y <= box.top),
    )


def _is_free(
    column: tuple[int, int], row: tuple[int, int], outline: Outline, taken: Sequence[Rect]
) -> bool:
    (left, right), (low, high) = column, row
    cell = Rect(left, low, right - left, high - low)
    if any(overlap(cell, rect) for rect in taken):
        return False
    # Doubled, so that the middle of the cell is a whole point.
    doubled = [(2 * x, 2 * y) for x, y in outline]
    return is_inside((left + right, low + high), doubled) and not any(
        _passes_through(a, b, cell) for a, b in edges(outline)
    )


def overlap(one: Rect, other: Rect) -> bool:
    """Tell whether two rectangles share more than edges."""
    return one.x < other.right and other.x < one.right and one.y < other.top and other.y < one.top


def _passes_through(a: Point, b: Point, cell: Rect) -> bool:
    """Tell whether a segment enters the inside of a cell."""
    if max(a[0], b[0]) <= cell.x or min(a[0], b[0]) >= cell.right:
        return False
    if max(a[1], b[1]) <= cell.y or min(a[1], b[1]) >= cell.top:
        return False
    sides = [cross(a, b, corner) for corner in cell.corners]
    return min(sides) < 0 < max(sides)


def _blocks(free: list[list[bool]]) -> Iterator[tuple[int, int, int, int]]:
    """Yield the widest blocks of free cells between any two rows: low, high, left, right."""
    for low in range(len(free)):
        still = [True] * len(free[low])
        for high in range(low, len(free)):
            still = [a and b for a, b in zip(still, free[high], strict=True)]
            for left, right in _stretches(still):
                yield low, high, left, right


def _stretches(flags: list[bool]) -> Iterator[tuple[int, int]]:
    start = None
    for at, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = at
        elif not flag and start is not None:
            yield start, at - 1
            start = None
