"""A cell cut by edges along the axes, in whole numbers only.

The edges split the cell into a small grid of boxes. One box is known to lie inside or
outside; crossing an edge changes from one to the other; the boundary of the boxes inside is
then walked round.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.plane import Point, Rect, doubled_area

Segment = tuple[int, int, int, int]
Ring = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """A connected area: an outer ring, anticlockwise, and the holes in it, clockwise."""

    outer: Ring
    holes: tuple[Ring, ...] = ()

    @property
    def doubled_area(self) -> int:
        """Return twice the area."""
        return doubled_area(self.outer) + sum(doubled_area(hole) for hole in self.holes)


@dataclass(frozen=True, slots=True)
class Grid:
    """The lines that edges draw through a cell, cell sides included."""

    xs: tuple[int, ...]
    ys: tuple[int, ...]

    @classmethod
    def of(cls, cell: Rect, segments: Sequence[Segment]) -> "Grid":
        """Return the grid of a cell and the edges that meet it."""
        xs = {x for x, _, other, _ in segments if x == other and cell.x < x < cell.right}
        ys = {y for _, y, _, other in segments if y == other and cell.y < y < cell.top}
        return cls(tuple(sorted(xs | {cell.x, cell.right})), tuple(sorted(ys | {cell.y, cell.top})))

    @property
    def probe(self) -> tuple[float, float]:
        """Return the middle of the lower left box; the caller finds out whether it is inside."""
        return (self.xs[0] + self.xs[1]) / 2, (self.ys[0] + self.ys[1]) / 2


def clipped(grid: Grid, segments: Sequence[Segment], probe_inside: bool) -> list[Shape]:
    """Return what lies inside of the cell that a grid was made for."""
    inside = _boxes_inside(grid, segments, probe_inside)
    rings = _walked(_boundary(grid, inside))
    outers = [ring for ring in rings if doubled_area(ring) > 0]
    holes = [ring for ring in rings if doubled_area(ring) < 0]
    return [Shape(outer, tuple(h for h in holes if _holds(outer, h, outers))) for outer in outers]


def _boxes_inside(grid: Grid, segments: Sequence[Segment], inside: bool) -> set[tuple[int, int]]:
    found = set()
    for row in range(len(grid.ys) - 1):
        if row and _covers(segments, grid.ys[row], grid.xs[0], grid.xs[1], level=True):
            inside = not inside
        here = inside
        for column in range(len(grid.xs) - 1):
            low, high = grid.ys[row], grid.ys[row + 1]
            if column and _covers(segments, grid.xs[column], low, high, level=False):
                here = not here
            if here:
                found.add((column, row))
    return found


def _covers(segments: Sequence[Segment], line: int, low: int, high: int, level: bool) -> bool:
    """Tell whether an edge runs along a stretch of a grid line (an odd number of them)."""
    count = 0
    for ax, ay, bx, by in segments:
        if level:
            on, begin, end = ay == by == line, min(ax, bx), max(ax, bx)
        else:
            on, begin, end = ax == bx == line, min(ay, by), max(ay, by)
        count += on and begin <= low and high <= end
    return count % 2 == 1


def _boundary(grid: Grid, inside: set[tuple[int, int]]) -> dict[Point, list[Point]]:
    """Return the steps round the boxes inside, these to the left, from point to points."""
    steps: dict[Point, list[Point]] = {}
    for column, row in inside:
        x0, x1 = grid.xs[column], grid.xs[column + 1]
        y0, y1 = grid.ys[row], grid.ys[row + 1]
        for neighbour, a, b in (
            ((column, row - 1), (x0, y0), (x1, y0)),
            ((column + 1, row), (x1, y0), (x1, y1)),
            ((column, row + 1), (x1, y1), (x0, y1)),
            ((column - 1, row), (x0, y1), (x0, y0)),
        ):
            if neighbour not in inside:
                steps.setdefault(a, []).append(b)
    return steps


def _walked(steps: dict[Point, list[Point]]) -> list[Ring]:
    rings = []
    while steps:
        start = min(steps)
        ring, at, came = [start], steps[start][0], start
        _take(steps, start, at)
        while at != start:
            ring.append(at)
            after = max(steps[at], key=lambda b, a=came, m=at: _left(a, m, b))  # type: ignore[misc]
            _take(steps, at, after)
            came, at = at, after
        rings.append(without_straight_corners(ring))
    return rings


def _left(a: Point, middle: Point, b: Point) -> int:
    """Return how far the way turns left: where boxes touch in a point, each keeps its own."""
    return (middle[0] - a[0]) * (b[1] - middle[1]) - (middle[1] - a[1]) * (b[0] - middle[0])


def _take(steps: dict[Point, list[Point]], a: Point, b: Point) -> None:
    steps[a].remove(b)
    if not steps[a]:
        del steps[a]


def _holds(outer: Ring, hole: Ring, outers: Sequence[Ring]) -> bool:
    """Tell whether this is the outer ring that a hole lies in (boxes: by extent)."""
    return len(outers) == 1 or outer is min(
        (ring for ring in outers if _around(ring, hole)), key=doubled_area
    )


def _around(outer: Ring, hole: Ring) -> bool:
    """Tell whether a corner of the hole, or a point next to it, lies within the ring."""
    (ax, ay), (bx, by) = hole[0], hole[1]
    # The hole runs clockwise: the area lies to the left of its edges.
    step = (-1 if by > ay else 1 if by < ay else 0, 1 if bx > ax else -1 if bx < ax else 0)
    probe = (ax + bx + step[0], ay + by + step[1])
    doubled = [(2 * x, 2 * y) for x, y in outer]
    crossings = sum(
        (a[1] > probe[1]) != (b[1] > probe[1]) and a[0] > probe[0]
        for a, b in zip(doubled, [*doubled[1:], doubled[0]], strict=True)
    )
    return crossings % 2 == 1


def without_straight_corners(ring: Sequence[Point]) -> Ring:
    """Return a ring without the corners at which it goes straight on."""
    return tuple(
        point
        for before, point, after in zip(
            [ring[-1], *ring[:-1]], ring, [*ring[1:], ring[0]], strict=True
        )
        if _left(before, point, after)
    )
