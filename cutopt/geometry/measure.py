"""How strong a shape is: its least width, its legs, the web beside a hole. For findings only."""

import math
from collections.abc import Sequence

import shapely

from cutopt.plane import Point, box_of

Ring = Sequence[Point]
#: A corner bent back by less than this sine (17 degrees) belongs to a round notch, which has no
#: sharp inside corner.
STRAIGHT = 0.3


def least_width(ring: Ring) -> float:
    """Return the width of the narrowest strip that a shape fits through."""
    box = box_of(ring)
    if len(ring) == 4 and all(x in (box.x, box.right) and y in (box.y, box.top) for x, y in ring):
        return min(box.width, box.height)
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.Polygon(ring)))[:-1].tolist()
    return min(
        max(_distance(point, a, b) for point in hull)
        for a, b in zip(hull, [*hull[1:], hull[0]], strict=True)
    )


def _distance(point: Sequence[float], a: Sequence[float], b: Sequence[float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    return abs(dx * (point[1] - a[1]) - dy * (point[0] - a[0])) / math.hypot(dx, dy)


def legs(ring: Ring) -> list[float]:
    """Return the widths of the legs of a notched shape, two for each corner that is bent back."""
    found = []
    count = len(ring)
    for at in range(count):
        before, corner, after = ring[at - 1], ring[at], ring[(at + 1) % count]
        ahead = corner[0] - before[0], corner[1] - before[1]
        back = corner[0] - after[0], corner[1] - after[1]
        sine = (back[0] * ahead[1] - back[1] * ahead[0]) / (math.hypot(*ahead) * math.hypot(*back))
        if sine < -STRAIGHT:
            others = [n for n in range(count) if n not in (at, (at - 1) % count)]
            found += [_reach(ring, corner, way, others) for way in (ahead, back)]
    return found


def _reach(ring: Ring, corner: Point, way: tuple[int, int], sides: Sequence[int]) -> float:
    """Return how far it is from a corner in a direction to the other side of the shape."""
    best = math.inf
    length = math.hypot(*way)
    for at in sides:
        a, b = ring[at], ring[(at + 1) % len(ring)]
        ex, ey = b[0] - a[0], b[1] - a[1]
        scale = way[0] * ey - way[1] * ex
        if scale:
            px, py = a[0] - corner[0], a[1] - corner[1]
            along, on = (px * ey - py * ex) / scale, (px * way[1] - py * way[0]) / scale
            if along > 0 and 0 <= on <= 1:
                best = min(best, along * length)
    return best


def web(hole: Ring, ring: Ring) -> float:
    """Return the least distance between the rim of a hole and the edge of its piece."""
    return float(shapely.distance(shapely.LinearRing(hole), shapely.LinearRing(ring)))


def web_of_disc(centre: Point, diameter: int, ring: Ring) -> float:
    """Return the same for a round hole."""
    return float(shapely.distance(shapely.Point(centre), shapely.LinearRing(ring))) - diameter / 2
