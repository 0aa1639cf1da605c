"""An outline moved inwards, each edge by its own joint, and circles as polygons."""

import math
from collections.abc import Sequence
from itertools import pairwise

from cutopt.plane import Outline, Point, doubled_area, edges, is_simple

#: A corner so sharp that its joint would run out further than this many joints is refused.
SHARPEST = 30
#: Two edges whose directions differ by less than this sine go straight on.
STRAIGHT = 1e-7
#: Sides of the polygon that stands for a circle; it lies around the circle and is never more
#: than 0.9 % of the radius away from it.
SIDES_OF_CIRCLE = 24

TaggedOutline = list[tuple[Point, int]]


def shifted(outline: Outline, joints: Sequence[int]) -> TaggedOutline:
    """Return an anticlockwise outline with each edge moved inwards by its joint.

    Joints below zero move outwards. Along the axes the result is exact, otherwise its corners
    are rounded to the grid. With each corner comes the number of the edge that begins there.

    Raises
    ------
    ValueError
        When the joints leave nothing of an edge or of the whole.
    """
    count = len(outline)
    moved: TaggedOutline = []
    for at in range(count):
        before, corner, after = outline[at - 1], outline[at], outline[(at + 1) % count]
        points = _moved_corner((before, corner, after), joints[at - 1], joints[at])
        moved += [(point, at if point is points[-1] else (at - 1) % count) for point in points]
    _refuse_collapse(outline, moved)
    return moved


def _moved_corner(corners: tuple[Point, Point, Point], first: int, second: int) -> list[Point]:
    before, (x, y), after = corners
    (ax, ay), (bx, by) = _normal(before, (x, y)), _normal((x, y), after)
    sine = ax * by - ay * bx
    if abs(sine) < STRAIGHT:
        ends = [
            (x + round(ax * first), y + round(ay * first)),
            (x + round(bx * second), y + round(by * second)),
        ]
        return ends if first != second else ends[:1]
    dx, dy = (first * by - second * ay) / sine, (second * ax - first * bx) / sine
    if math.hypot(dx, dy) > SHARPEST * max(abs(first), abs(second)):
        raise ValueError("a corner is too sharp for the joints along it")
    return [(x + round(dx), y + round(dy))]


def _normal(a: Point, b: Point) -> tuple[float, float]:
    """Return the direction to the left of the way from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    return -dy / length, dx / length


def _refuse_collapse(outline: Outline, moved: TaggedOutline) -> None:
    points = [point for point, _ in moved]
    sides = edges(outline)
    turned_round = any(
        (d[0] - c[0]) * (b[0] - a[0]) + (d[1] - c[1]) * (b[1] - a[1]) < 0
        for (c, tag), (d, _) in pairwise([*moved, moved[0]])
        for a, b in [sides[tag]]
    )
    if turned_round or doubled_area(points) <= 0 or not is_simple(points):
        raise ValueError("the joints along the edges leave too little between them")


def around_circle(centre: Point, diameter: int) -> list[Point]:
    """Return a polygon around a circle, its sides touching it: what clears it clears the pipe."""
    radius = diameter / 2 / math.cos(math.pi / SIDES_OF_CIRCLE)
    angles = [math.pi * (2 * at + 1) / SIDES_OF_CIRCLE for at in range(SIDES_OF_CIRCLE)]
    return [
        (centre[0] + round(radius * math.cos(a)), centre[1] + round(radius * math.sin(a)))
        for a in angles
    ]
