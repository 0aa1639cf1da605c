"""A plain layout for the benchmark: a grid of tiles clipped against a surface and its openings.

Whole numbers of one step (1 mm, or 1/16 in) and axis-parallel rectangles only. It knows nothing
of cutopt's own layout, so that the instances do not move when that one changes.
"""

import random
from collections.abc import Iterator
from typing import Literal, NamedTuple

from cutopt.plane import Outline, Point, Rect, box_of, cross, doubled_area, edges, is_inside

Bond = Literal["stack", "half", "third"]
Cell = tuple[int, int]

#: How many courses pass before the joints stand above each other again.
COURSES = {"stack": 1, "half": 2, "third": 3}
#: So many starting points are tried; the one with the broadest narrowest piece is taken.
STARTS = 8


class Circle(NamedTuple):
    """A round hole: centre and diameter."""

    x: int
    y: int
    diameter: int

    @property
    def box(self) -> Rect:
        """Return the square around it, a step larger when the diameter is odd."""
        reach = (self.diameter + 1) // 2
        return Rect(self.x - reach, self.y - reach, 2 * reach, 2 * reach)


class Surface(NamedTuple):
    """A wall or a floor, with what is left out of it."""

    name: str
    width: int
    height: int
    openings: tuple[Rect, ...] = ()
    holes: tuple[Circle, ...] = ()

    @property
    def box(self) -> Rect:
        """Return the whole surface."""
        return Rect(0, 0, self.width, self.height)


class Bonding(NamedTuple):
    """How tiles are laid: size of the tile, width of the joint, bond."""

    width: int
    height: int
    joint: int
    bond: Bond


class Laid(NamedTuple):
    """What is seen of one tile: its outline on the surface, holes, sides that meet a joint."""

    name: str
    outline: Outline
    cutouts: list[Outline]
    holes: list[Circle]
    joints: tuple[str, ...]

    @property
    def box(self) -> Rect:
        """Return the rectangle around the outline."""
        return box_of(self.outline)


def set_out(surface: Surface, bonding: Bonding, rng: random.Random) -> list[Laid]:
    """Return the pieces from the best of `STARTS` random starting points: no slivers."""
    across, up = bonding.width + bonding.joint, bonding.height + bonding.joint
    starts = [(rng.randrange(across), rng.randrange(up)) for _ in range(STARTS)]
    return max((lay(surface, bonding, start) for start in starts), key=_narrowest)


def _narrowest(laid: list[Laid]) -> int:
    return min(min(piece.box.width, piece.box.height) for piece in laid)


def lay(surface: Surface, bonding: Bonding, start: Point) -> list[Laid]:
    """Return what is seen of each tile, course by course from below, left to right."""
    surface = _with_square_holes(surface, bonding, start)
    laid = []
    for course, row in enumerate(_courses(surface, bonding, start), start=1):
        parts = (part for cell in row for part in _seen(cell, surface, bonding.joint))
        for number, (outline, cutouts, joints) in enumerate(parts, start=1):
            name = f"{surface.name}-{course}-{number}"
            holes = [hole for hole in surface.holes if is_inside((hole.x, hole.y), outline)]
            laid.append(Laid(name, outline, cutouts, holes, joints))
    return laid


def _courses(surface: Surface, bonding: Bonding, start: Point) -> Iterator[list[Rect]]:
    across, up = bonding.width + bonding.joint, bonding.height + bonding.joint
    first = -(-start[1] // up)
    last = (surface.height - start[1]) // up
    for number in range(-first, last + 1):
        turn = number % COURSES[bonding.bond]
        x = (start[0] + turn * across // COURSES[bonding.bond]) % across - across
        yield [
            Rect(left, start[1] + number * up, bonding.width, bonding.height)
            for left in range(x, surface.width, across)
        ]


def _with_square_holes(surface: Surface, bonding: Bonding, start: Point) -> Surface:
    """Make an opening of each hole that is not wholly inside one tile."""
    cells = [
        _overlap(cell, surface.box) for row in _courses(surface, bonding, start) for cell in row
    ]
    whole = [
        hole
        for hole in surface.holes
        if any(cell and _strictly_within(hole.box, cell) for cell in cells)
        and not any(_overlap(_grown(hole.box), opening) for opening in surface.openings)
    ]
    square = [_overlap(hole.box, surface.box) for hole in surface.holes if hole not in whole]
    openings = (*surface.openings, *(box for box in square if box))
    return surface._replace(openings=openings, holes=tuple(whole))


def _grown(box: Rect) -> Rect:
    return Rect(box.x - 1, box.y - 1, box.width + 2, box.height + 2)


def _strictly_within(inner: Rect, outer: Rect) -> bool:
    return _overlap(_grown(inner), outer) == _grown(inner)


def _overlap(a: Rect, b: Rect) -> Rect | None:
    x, y = max(a.x, b.x), max(a.y, b.y)
    right, top = min(a.right, b.right), min(a.top, b.top)
    return Rect(x, y, right - x, top - y) if right > x and top > y else None


def _seen(
    cell: Rect, surface: Surface, joint: int
) -> Iterator[tuple[Outline, list[Outline], tuple[str, ...]]]:
    """Yield outline, cut-outs and sides that meet a joint, of each part seen of a tile."""
    for outline, *cutouts in _visible(cell, surface):
        yield outline, cutouts, tuple(_joints(outline, cell, surface, joint))


def _joints(outline: Outline, cell: Rect, surface: Surface, joint: int) -> Iterator[str]:
    """Yield the sides of the tile, beyond whose joint the surface goes on."""
    lines = {
        "left": (0, cell.x, -joint - 1),
        "right": (0, cell.right, joint),
        "top": (1, cell.top, joint),
        "bottom": (1, cell.y, -joint - 1),
    }
    for side, (axis, line, beyond) in lines.items():
        along = [(a, b) for a, b in edges(outline) if a[axis] == line == b[axis]]
        if any(_goes_on(a, b, axis, line + beyond, surface) for a, b in along):
            yield side


def _goes_on(a: Point, b: Point, axis: int, line: int, surface: Surface) -> bool:
    low, length = min(a[1 - axis], b[1 - axis]), abs(a[1 - axis] - b[1 - axis])
    strip = Rect(line, low, 1, length) if axis == 0 else Rect(low, line, length, 1)
    return any(True for _ in _visible(strip, surface))


def _visible(rect: Rect, surface: Surface) -> Iterator[list[Outline]]:
    """Yield each connected part of a rectangle that no opening takes: outline, then cut-outs."""
    seen = _overlap(rect, surface.box)
    if seen is None:
        return
    taken = [part for opening in surface.openings if (part := _overlap(seen, opening))]
    xs = sorted({x for part in (seen, *taken) for x in (part.x, part.right)})
    ys = sorted({y for part in (seen, *taken) for y in (part.y, part.top)})
    left = {
        (i, j)
        for i, x in enumerate(xs[:-1])
        for j, y in enumerate(ys[:-1])
        if not any(part.x <= x < part.right and part.y <= y < part.top for part in taken)
    }
    while left:
        joined = _connected(min(left), left)
        left -= joined
        loops = [[(xs[i], ys[j]) for i, j in loop] for loop in _loops(joined)]
        yield sorted(map(_without_flat_corners, loops), key=doubled_area, reverse=True)


def _connected(first: Cell, cells: set[Cell]) -> set[Cell]:
    found, waiting = {first}, [first]
    while waiting:
        i, j = waiting.pop()
        near = {(i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)} & cells - found
        found |= near
        waiting += sorted(near)
    return found


def _loops(cells: set[Cell]) -> Iterator[list[Cell]]:
    """Yield the boundary of joined cells, inside to the left: one loop round, one per cut-out."""
    onwards: dict[Cell, Cell] = {}
    for i, j in sorted(cells):
        corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
        outside = [(i, j - 1), (i + 1, j), (i, j + 1), (i - 1, j)]
        for number, cell in enumerate(outside):
            if cell not in cells:
                assert corners[number] not in onwards, "openings touch corner to corner"
                onwards[corners[number]] = corners[(number + 1) % 4]
    while onwards:
        corner, onward = onwards.popitem()
        loop = [corner]
        while onward != corner:
            loop.append(onward)
            onward = onwards.pop(onward)
        yield loop


def _without_flat_corners(loop: Outline) -> Outline:
    """Drop corners where nothing turns, and begin at the lowest, then leftmost one."""
    count = len(loop)
    kept = [
        loop[n] for n in range(count) if cross(loop[n - 1], loop[n], loop[(n + 1) % count]) != 0
    ]
    first = min(range(len(kept)), key=lambda n: (kept[n][1], kept[n][0]))
    return kept[first:] + kept[:first]
