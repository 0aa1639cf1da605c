"""Every placement of a few slanted pieces on a grid, tried: slow, simple, and code of its own.

A set of pieces comes out of one tile when there are places, turns included, at which straight
cuts part them as the cutting model has it: cuts along an axis first; what these leave whole is a
nest, and slanted cuts part it piece by piece, each piece in line with a side of the others. A
cut a kerf wide parts two sets of pieces exactly when their convex hulls are a kerf apart.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

Corner = tuple[int, int]
Group = list[shapely.Polygon]
#: Distances closer than this to the kerf count as the kerf, in steps of the grid.
CLOSE = 1e-9

#: By how many quarters a piece may be turned.
TURNS = {"none": (0,), "half": (0, 2), "quarter": (0, 1, 2, 3)}
#: The sides in the order in which a quarter turn anticlockwise carries each to the next.
ROUND = ("right", "top", "left", "bottom")


@dataclass(frozen=True)
class Shape:
    """A convex piece by its corners, anticlockwise, its box at 0, 0; its factory edges."""

    corners: tuple[Corner, ...]
    wants: frozenset[str] = frozenset()

    @property
    def size(self) -> Corner:
        return max(x for x, _ in self.corners), max(y for _, y in self.corners)

    def wanting(self, *sides: str) -> "Shape":
        """Return the piece with these factory edges."""
        return Shape(self.corners, frozenset(sides))

    def turned(self) -> "Shape":
        """Return the piece after a quarter turn anticlockwise."""
        height = self.size[1]
        wants = frozenset(ROUND[(ROUND.index(side) + 1) % 4] for side in self.wants)
        return Shape(tuple((height - y, x) for x, y in self.corners), wants)


@dataclass(frozen=True)
class Tile:
    """A tile in steps of the grid, the saw's kerf in the same steps.

    `free` allows every straight cut, also those that the cutting model leaves out.
    """

    width: int
    height: int
    turn: str
    kerf: float
    free: bool = False


def places(shape: Shape, tile: Tile) -> list[shapely.Polygon]:
    """Return the piece at every place on the grid that its factory edges allow."""
    found = []
    for quarters in TURNS[tile.turn]:
        turned = shape
        for _ in range(quarters):
            turned = turned.turned()
        width, height = turned.size
        for x in _along(tile.width - width, "left" in turned.wants, "right" in turned.wants):
            for y in _along(tile.height - height, "bottom" in turned.wants, "top" in turned.wants):
                corners = [(px + x, py + y) for px, py in turned.corners]
                found.append(shapely.Polygon(corners))
    return found


def _along(free: int, low: bool, high: bool) -> Iterable[int]:
    if low and high:
        return [0] if free == 0 else []
    if free < 0:
        return []
    return [0] if low else [free] if high else range(free + 1)


def fit_one_tile(shapes: Sequence[Shape], tile: Tile) -> bool:
    """Tell whether the pieces come out of one tile."""
    known = [np.array(places(shape, tile), dtype=object) for shape in shapes]
    apart = {
        (i, j): _apart(known[i][:, None], known[j][None, :], tile.kerf)
        for i, j in combinations(range(len(shapes)), 2)
    }
    if any(not len(spots) for spots in known) or any(not table.any() for table in apart.values()):
        return False
    return any(
        _parted([known[at][spot] for at, spot in enumerate(chosen)], tile)
        for chosen in _chosen([len(spots) for spots in known], apart)
    )


def _apart(one: Any, other: Any, kerf: float) -> Any:
    """Tell for convex areas whether a straight cut parts them."""
    if kerf:
        return shapely.distance(one, other) >= kerf - CLOSE
    return shapely.area(shapely.intersection(one, other)) < CLOSE


def _chosen(
    counts: Sequence[int], apart: dict[tuple[int, int], NDArray[Any]]
) -> Iterator[list[int]]:
    """Yield a spot for each piece, any two of them apart."""

    def extended(chosen: list[int]) -> Iterator[list[int]]:
        at = len(chosen)
        if at == len(counts):
            yield chosen
            return
        free = np.ones(counts[at], bool)
        for before, spot in enumerate(chosen):
            free &= apart[before, at][spot]
        for spot in np.flatnonzero(free).tolist():
            yield from extended([*chosen, spot])

    yield from extended([])


def _parted(pieces: Sequence[shapely.Polygon], tile: Tile, nested: bool = False) -> bool:
    """Tell whether straight cuts, one after the other, part pieces into single ones.

    By the cutting model cuts along an axis come first; what they leave whole is a nest, which
    slanted cuts part piece by piece.
    """
    if len(pieces) < 2:
        return True
    for one, other in _halves(pieces):
        slanted = not _is_gap(one, other, tile)
        allowed = tile.free or (
            len(one) == 1 and _in_line(one, other, tile) if slanted else not nested
        )
        if not allowed or (slanted and not _apart(_hull(one), _hull(other), tile.kerf)):
            continue
        if _parted(one, tile) and _parted(other, tile, nested=slanted):
            return True
    return False


def _halves(pieces: Sequence[shapely.Polygon]) -> Iterator[tuple[Group, Group]]:
    for count in range(1, len(pieces) // 2 + 1):
        for first in combinations(range(len(pieces)), count):
            rest = [piece for at, piece in enumerate(pieces) if at not in first]
            yield [pieces[at] for at in first], rest
            if count == 1 and len(pieces) == 2:
                return


def _is_gap(one: Group, other: Group, tile: Tile) -> bool:
    """Tell whether a cut along an axis parts two sets."""
    left, low, right, top = shapely.total_bounds(one)
    left2, low2, right2, top2 = shapely.total_bounds(other)
    gap = max(left2 - right, left - right2, low2 - top, low - top2)
    return bool(gap >= tile.kerf - CLOSE)


def _in_line(one: Group, other: Group, tile: Tile) -> bool:
    """Tell whether two sets have a side of their boxes in line, or reach from end to end."""
    left, low, right, top = shapely.total_bounds(one)
    left2, low2, right2, top2 = shapely.total_bounds(other)
    across = max(right, right2) - min(left, left2) == tile.width
    up = max(top, top2) - min(low, low2) == tile.height
    return bool(left == left2 or right == right2 or low == low2 or top == top2 or across or up)


def _hull(pieces: Sequence[shapely.Polygon]) -> shapely.Geometry:
    return shapely.MultiPolygon(pieces).convex_hull


def fewest_tiles(shapes: Sequence[Shape], tile: Tile) -> int:
    """Return the fewest tiles over all ways to part the pieces into sets."""

    @cache
    def fits(chosen: frozenset[int]) -> bool:
        smaller = (chosen - {at} for at in chosen)
        if len(chosen) > 2 and not all(map(fits, smaller)):
            return False
        return fit_one_tile([shapes[at] for at in sorted(chosen)], tile)

    @cache
    def fewest(left: frozenset[int]) -> int:
        if not left:
            return 0
        first = min(left)
        sets = (
            frozenset({first, *more})
            for count in range(len(left))
            for more in combinations(sorted(left - {first}), count)
        )
        return min(1 + fewest(left - chosen) for chosen in sets if fits(chosen))

    return fewest(frozenset(range(len(shapes))))
