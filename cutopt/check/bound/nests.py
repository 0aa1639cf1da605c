"""Slanted pieces that lie into one another: every nest that the cutting model allows.

A nest grows piece by piece. The next one comes from the right, the left, above or below, in line
with a side of those already there or of the tile, and is pushed on until a blade along one of
the edges just passes between. Where sides must be factory edges that lie elsewhere, it stops
earlier, in line with the other sides. A nest that takes no less room than its two halves box
beside box grows no further. (docs/model.md, *slanted pieces*)

Only nests are kept with which a tile could come to more than its price, if all that they leave
were filled by area.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product
from math import gcd, isqrt

from cutopt.check.bound.area import ByArea, area_of_part
from cutopt.check.bound.offers import BOTTOM, LEFT, RIGHT, TOP, Block, Look, Offer, Part
from cutopt.check.bound.table import TooMuchToLookAt
from cutopt.check.lines import convex_hull, is_rectilinear
from cutopt.plane import Point, edges

#: Pairs of a nest and a piece that are tried at the most; some ten thousand a second.
MOST_PAIRS = 150_000

_SIDES = ((LEFT, RIGHT), (BOTTOM, TOP))


@dataclass(frozen=True)
class Body:
    """A piece, or some that lie in one another, as one rigid thing with its box at 0, 0."""

    group: tuple[int, ...]
    size: tuple[int, int]
    wants: int
    hull: tuple[Point, ...]

    @cached_property
    def normals(self) -> list[Point]:
        """Return the normal of each edge of the hull, outwards, in lowest terms."""
        found = ((b[1] - a[1], a[0] - b[0]) for a, b in edges(self.hull))
        return [(x // gcd(x, y), y // gcd(x, y)) for x, y in found]

    @cached_property
    def _reaches(self) -> dict[Point, int]:
        return {}

    def reach(self, normal: Point) -> int:
        """Return how far the hull reaches along a normal."""
        known = self._reaches.get(normal)
        if known is None:
            nx, ny = normal
            known = max(nx * x + ny * y for x, y in self.hull)
            self._reaches[normal] = known
        return known


def nests_of(part: Part, offers: Sequence[Offer], kerf: int, limit: int) -> list[Block]:
    """Return the nests with which a part could be worth more than a limit."""
    growth = _Growth(part, offers, kerf, limit)
    singles = growth.singles
    if all(is_rectilinear(body.hull) for body in singles):
        return []
    found: dict[Body, None] = {}
    grown = [body for body in singles if growth.matters(body)]
    while grown:
        fresh = [
            nest
            for body, single in product(grown, singles)
            if growth.may_nest(body, single)
            for nest in _nestings(body, single, part, kerf)
        ]
        grown = [nest for nest in dict.fromkeys(fresh) if nest not in found]
        found |= dict.fromkeys(grown)
    return list(_smallest(found))


def _smallest(nests: Iterable[Body]) -> Iterator[Block]:
    """Yield the nests that no other with the same pieces and wishes undercuts both ways."""
    alike: dict[tuple[tuple[int, ...], int], list[Body]] = {}
    for nest in nests:
        alike.setdefault((nest.group, nest.wants), []).append(nest)
    for (group, wants), bodies in alike.items():
        lowest = None
        for width, height in sorted(body.size for body in bodies):
            if lowest is None or height < lowest:
                lowest = height
                yield Block(group, Look(width, height, wants, (), None))


class _Growth:
    """What decides whether a nest need be looked at."""

    def __init__(self, part: Part, offers: Sequence[Offer], kerf: int, limit: int) -> None:
        self.area = area_of_part(part, kerf)
        self.offers = offers
        self.limit = limit
        self.by_area = ByArea(offers, kerf, limit)
        self.pairs = 0
        self.singles = [
            Body((number,), (look.width, look.height), look.wants, convex_hull(look.corners))
            for number in range(len(offers))
            for look in sorted(offers[number].looks, key=repr)
            if part.holds(look)
        ]

    def matters(self, *bodies: Body) -> bool:
        """Tell whether a tile with these could be worth too much, by the area that they leave."""
        group = [number for body in bodies for number in body.group]
        left = self.area - sum(self.by_area.of_offer[number] for number in group)
        worth = sum(self.offers[number].price for number in group)
        return left >= 0 and self.by_area.reaches(self.limit + 1 - worth, left)

    def may_nest(self, body: Body, single: Body) -> bool:
        """Tell whether to try: there is room, one more is wanted, and not all are boxes."""
        (number,) = single.group
        if (
            (len(body.group) == 1 and body.group > single.group)  # the other way round it is tried
            or body.group.count(number) >= self.offers[number].wanted
            or (is_rectilinear(body.hull) and is_rectilinear(single.hull))
            or not self.matters(body, single)
        ):
            return False
        self.pairs += 1
        if self.pairs > MOST_PAIRS:
            raise TooMuchToLookAt
        return True


def _nestings(body: Body, single: Body, part: Part, kerf: int) -> Iterator[Body]:
    """Yield the ways that a piece nests with a body: each may be the one that is pushed."""
    for (fixed, moved), axis in product(((body, single), (single, body)), (0, 1)):
        for shift in _in_line(fixed, moved, part, 1 - axis):
            least = _pushed(fixed, moved, (axis, shift), kerf)
            if least >= fixed.size[axis] + kerf:
                continue
            stops = [stop for stop in _in_line(fixed, moved, part, axis) if stop > least]
            if _keeps(fixed, moved, least, part, axis):
                stops.append(least)
            if stops:
                at = (min(stops), shift) if axis == 0 else (shift, min(stops))
                nest = _together(fixed, moved, at)
                if not _is_box_beside_box(body, single, nest, kerf):
                    yield nest


def _in_line(fixed: Body, moved: Body, part: Part, axis: int) -> list[int]:
    """Return where along an axis the moved body is in line with the fixed one or the tile."""
    one, other, whole = fixed.size[axis], moved.size[axis], part[axis]
    places = {0, one - other, whole - other, one - whole}
    return sorted(place for place in places if _keeps(fixed, moved, place, part, axis))


def _keeps(fixed: Body, moved: Body, shift: int, part: Part, axis: int) -> bool:
    """Tell whether both fit the tile along an axis, wanted sides on the ends of both together."""
    low, high = _SIDES[axis]
    start = min(0, shift)
    end = max(fixed.size[axis], shift + moved.size[axis])
    wanted = (fixed.wants | moved.wants) & (low | high)
    return (
        end - start <= part[axis]
        and not (fixed.wants & low and start < 0)
        and not (moved.wants & low and start < shift)
        and not (fixed.wants & high and fixed.size[axis] < end)
        and not (moved.wants & high and shift + moved.size[axis] < end)
        and (wanted != low | high or end - start == part[axis])
    )


def _pushed(fixed: Body, moved: Body, way: tuple[int, int], kerf: int) -> int:
    """Return the least shift along an axis at which a blade along an edge passes between.

    Along the normal n of an edge the two are a kerf apart once the moved body begins a kerf
    beyond the end of the fixed one: n.d >= reach of the one + reach of the other + kerf |n|.
    """
    axis, across = way
    found = []
    for nx, ny in {*fixed.normals, *((-x, -y) for x, y in moved.normals)}:
        along, other = (ny, nx) if axis else (nx, ny)
        if along > 0:
            apart = fixed.reach((nx, ny)) + moved.reach((-nx, -ny)) + _gap(kerf, nx * nx + ny * ny)
            found.append(-(-(apart - other * across) // along))
    return min(found)


@cache
def _gap(kerf: int, squared: int) -> int:
    """Return a kerf times the length of a normal, rounded up."""
    root = isqrt(kerf * kerf * squared)
    return root + (root * root < kerf * kerf * squared)


def _together(fixed: Body, moved: Body, at: Point) -> Body:
    """Return both as one body, the moved one at a place."""
    low = min(0, at[0]), min(0, at[1])
    points = [(x - low[0], y - low[1]) for x, y in fixed.hull]
    points += [(x + at[0] - low[0], y + at[1] - low[1]) for x, y in moved.hull]
    return Body(
        tuple(sorted(fixed.group + moved.group)),
        (
            max(fixed.size[0], at[0] + moved.size[0]) - low[0],
            max(fixed.size[1], at[1] + moved.size[1]) - low[1],
        ),
        fixed.wants | moved.wants,
        convex_hull(points),
    )


def _is_box_beside_box(one: Body, other: Body, nest: Body, kerf: int) -> bool:
    """Tell whether the two boxes side by side, or one upon the other, take no more room."""
    return any(
        one.size[axis] + kerf + other.size[axis] <= nest.size[axis]
        and max(one.size[1 - axis], other.size[1 - axis]) <= nest.size[1 - axis]
        for axis in (0, 1)
    )
