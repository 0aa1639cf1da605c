"""Slanted pieces that lie into one another: triangles, trapezoids, pentagons of a slanted bond.

A *nest* starts with one piece. Each further one is pushed towards it, from the right, the left,
above or below, in line with one of its sides, until one straight cut along an edge of either
just parts them. A side that must be a factory edge stays on the edge of the sheet, so a piece
of a slanted bond keeps the place that it has in its whole tile, turned as its tile may be. Nests
are rigid; among other blocks they are joined like single pieces (docs/model.md).
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from cutopt.solver.problem import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Leaf,
    Nest,
    Point,
    Problem,
    Sheet,
    leaves_of,
)

#: A nest has at most so many pieces; more are joined as blocks.
MOST_NESTED = 6
#: Nests of one sheet beyond so many are left out, and then nothing is proven by listing.
MOST_NESTS = 5_000
#: With more nests than this most of a job is slanted, not a corner or two of a room.
MANY_NESTS = 100
#: Pairs that are tried at the most: some ten seconds.
MOST_LOOKS = 400_000


@dataclass(frozen=True)
class Body:
    """A rigid block with its convex hull.

    `corners` are the corners of the sheet that it is bound to fill, each as its two sides.
    """

    block: Leaf | Nest
    hull: tuple[Point, ...]
    doubled_area: int
    corners: frozenset[int]

    @cached_property
    def edges(self) -> tuple[tuple[int, int, int, Point, Point], ...]:
        """Return each edge of the hull: outward normal, how far the hull reaches, its ends."""
        ends = zip(self.hull, (*self.hull[1:], self.hull[0]), strict=True)
        return tuple(
            (b[1] - a[1], a[0] - b[0], (b[1] - a[1]) * a[0] + (a[0] - b[0]) * a[1], a, b)
            for a, b in ends
        )

    @classmethod
    def of(cls, leaf: Leaf, sheet: Sheet) -> "Body":
        """Return a single piece as a body."""
        stand = leaf.stand
        bound = stand.wants
        bound |= LEFT | RIGHT if stand.width == sheet.width else 0
        bound |= BOTTOM | TOP if stand.height == sheet.height else 0
        places = {
            LEFT | BOTTOM: (0, 0),
            RIGHT | BOTTOM: (stand.width, 0),
            LEFT | TOP: (0, stand.height),
            RIGHT | TOP: (stand.width, stand.height),
        }
        filled = (
            sides
            for sides, point in places.items()
            if sides & bound == sides and point in stand.points
        )
        return cls(leaf, stand.points, stand.doubled_area, frozenset(filled))

    @cached_property
    def is_box(self) -> bool:
        """Tell whether its hull is a rectangle along the axes."""
        xs, ys = {x for x, _ in self.hull}, {y for _, y in self.hull}
        return len(self.hull) == 4 and len(xs) == len(ys) == 2


@dataclass(frozen=True)
class Push:
    """How far a body is pushed along an axis, and the cut that then just parts the two."""

    way: int
    line: tuple[Point, Point]
    along_fixed: bool


@dataclass(frozen=True)
class Nests:
    """The nests that fit a sheet, and whether these are all."""

    listed: tuple[Nest, ...] = ()
    complete: bool = True

    @property
    def many(self) -> bool:
        """Tell whether there are many: then they are listed, as a search would take too long."""
        return len(self.listed) > MANY_NESTS


def list_nests(problem: Problem, sheet: Sheet, goes_on: Callable[[], bool]) -> Nests:
    """Return the nests that fit a sheet, as far as time and memory allow."""
    singles = [Body.of(leaf, sheet) for leaf in leaves_of(problem, sheet)]
    if all(body.is_box for body in singles):
        return Nests()
    found: dict[tuple[object, ...], Nest] = {}
    grown, room, looked = singles, 2 * sheet.width * sheet.height, 0
    for _ in range(MOST_NESTED - 1):
        fresh: list[Body] = []
        for body, single in product(grown, singles):
            if body.doubled_area + single.doubled_area > room:
                continue
            # Without a kerf two slanted pieces may share a corner of the sheet, each its point.
            if problem.kerf and body.corners & single.corners:
                continue
            if not _is_wanted(problem, body, single):
                continue
            for nested in _nestings(body, single, sheet, problem.kerf):
                nest = nested.block
                assert isinstance(nest, Nest)
                key = nest.kinds, nest.width, nest.height, nest.wants, nested.hull
                if key not in found and not _is_joined_as_well(nest, problem.kerf):
                    found[key] = nest
                    fresh.append(nested)
            looked += 1
            if len(found) > MOST_NESTS or looked > MOST_LOOKS or not (looked % 500 or goes_on()):
                return Nests(tuple(found.values()), complete=False)
        if not fresh:
            break
        grown = fresh
    return Nests(tuple(found.values()))


def _is_wanted(problem: Problem, body: Body, single: Body) -> bool:
    """Tell whether demand allows one more, and pieces slant: two boxes never nest."""
    assert isinstance(single.block, Leaf)
    kind = single.block.kind
    return body.block.kinds.count(kind) < problem.kinds[kind].demand and not (
        body.is_box and single.is_box
    )


def _is_joined_as_well(nest: Nest, kerf: int) -> bool:
    """Tell whether box beside box or box upon box would take no more room."""
    one, other = nest.first, nest.second
    beside = one.width + kerf + other.width, max(one.height, other.height)
    upon = max(one.width, other.width), one.height + kerf + other.height
    return any(w <= nest.width and h <= nest.height for w, h in (beside, upon))


def _nestings(body: Body, single: Body, sheet: Sheet, kerf: int) -> Iterator[Body]:
    """Yield the ways to push a single piece towards a body, where that beats box beside box."""
    for upright, swapped in product((False, True), repeat=2):
        pair = Pair(single, body, upright, True) if swapped else Pair(body, single, upright, False)
        for shift in pair.places(sheet, upright=not upright):
            push = _push(pair.fixed, pair.moved, shift, kerf, upright=upright)
            if push.way >= pair.size(pair.fixed, upright) + kerf:
                continue
            ways = [way for way in pair.places(sheet, upright=upright) if way > push.way]
            if pair.keeps(push.way, sheet, upright=upright):
                ways.append(push.way)
            if ways:
                yield _nested(pair, shift, min(ways), push)


@dataclass(frozen=True)
class Pair:
    """A body that stays and one that is pushed towards it, leftwards or (`upright`) downwards."""

    fixed: Body
    moved: Body
    upright: bool
    swapped: bool

    @staticmethod
    def size(body: Body, upright: bool) -> int:
        """Return the extent of a body along an axis."""
        return body.block.height if upright else body.block.width

    def places(self, sheet: Sheet, *, upright: bool) -> list[int]:
        """Return where along an axis the moved body lines up with the fixed one or the sheet."""
        one, other = self.size(self.fixed, upright), self.size(self.moved, upright)
        room = sheet.height if upright else sheet.width
        places = {0, one - other, room - other, one - room}
        return sorted(at for at in places if self.keeps(at, sheet, upright=upright))

    def keeps(self, shift: int, sheet: Sheet, *, upright: bool) -> bool:
        """Tell whether along an axis the two fit the sheet and wanted sides lie on its ends."""
        low, high = (BOTTOM, TOP) if upright else (LEFT, RIGHT)
        room = sheet.height if upright else sheet.width
        both = (self.fixed, max(0, -shift)), (self.moved, max(0, shift))
        extent = max(at + self.size(body, upright) for body, at in both)
        if extent > room:
            return False
        for body, at in both:
            wants = body.block.wants
            if wants & low and at:
                return False
            if wants & high and at + self.size(body, upright) != extent:
                return False
        wants = self.fixed.block.wants | self.moved.block.wants
        return wants & (low | high) != low | high or extent == room


def _push(fixed: Body, moved: Body, shift: int, kerf: int, *, upright: bool) -> Push:
    """Return the least push to the right (upwards) at which a cut along an edge parts the two.

    For an outward normal n of an edge, with h the support of a body in that direction, the two
    are a kerf apart once n.d >= h_fixed(n) + h_moved(-n) + kerf |n|. Lengths are rounded up to
    the next whole unit, 1/8000 mm.
    """
    found: list[Push] = []
    for along_fixed in (True, False):
        for normal_x, normal_y, reach, a, b in (fixed if along_fixed else moved).edges:
            nx, ny = (normal_x, normal_y) if along_fixed else (-normal_x, -normal_y)
            along, across = (ny, nx) if upright else (nx, ny)
            if along <= 0:
                continue
            if along_fixed:
                support = reach - min(nx * x + ny * y for x, y in moved.hull)
            else:
                support = reach + max(nx * x + ny * y for x, y in fixed.hull)
            gap = _rounded_up_root(kerf * kerf * (nx * nx + ny * ny))
            way = -(-(support + gap - across * shift) // along)
            found.append(Push(way, (a, b), along_fixed))
    return min(found, key=lambda push: push.way)


def _rounded_up_root(square: int) -> int:
    root = math.isqrt(square)
    return root if root * root == square else root + 1


def _nested(pair: Pair, shift: int, way: int, push: Push) -> Body:
    """Return the two as one body."""
    fixed, moved = pair.fixed, pair.moved
    x, y = (shift, way) if pair.upright else (way, shift)
    at_fixed, at_moved = (max(0, -x), max(0, -y)), (max(0, x), max(0, y))
    width = max(at_fixed[0] + fixed.block.width, at_moved[0] + moved.block.width)
    height = max(at_fixed[1] + fixed.block.height, at_moved[1] + moved.block.height)
    a, b = _shifted(push.line, at_fixed if push.along_fixed else at_moved)
    first, second = (moved, fixed) if pair.swapped else (fixed, moved)
    at_first, at_second = (at_moved, at_fixed) if pair.swapped else (at_fixed, at_moved)
    assert isinstance(second.block, Leaf)
    left = push.along_fixed != pair.swapped
    nest = Nest(first.block, second.block, at_first, at_second, width, height, (a, b), left)
    hull = convex_hull(_shifted(fixed.hull, at_fixed) + _shifted(moved.hull, at_moved))
    return Body(nest, hull, fixed.doubled_area + moved.doubled_area, fixed.corners | moved.corners)


def _shifted(points: Sequence[Point], by: Point) -> tuple[Point, ...]:
    return tuple((x + by[0], y + by[1]) for x, y in points)


def convex_hull(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the convex hull, anticlockwise from the lowest, leftmost corner.

    Andrew's monotone chain, Information Processing Letters 9 (1979).
    """
    ordered = sorted(set(points), key=lambda point: (point[1], point[0]))

    def chain(ring: Sequence[Point]) -> list[Point]:
        kept: list[Point] = []
        for point in ring:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return tuple(chain(ordered) + chain(ordered[::-1]))


def _turn(a: Point, b: Point, c: Point) -> int:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
