"""The field of a surface: what tiles cover, and what it leaves of each cell."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from cutopt.geometry.cells import Cells
from cutopt.geometry.offset import TaggedOutline
from cutopt.geometry.rectilinear import Grid, Segment, Shape, clipped, without_straight_corners
from cutopt.plane import Point, Rect, box_of

#: Overlays snap to whole units of 1/8000 mm. GEOS keeps whole numbers below 2**53 exactly, a
#: thousand times any surface.
GRID = 1.0
#: Cells are sorted out so many at a time, to bound the memory.
BATCH = 100_000
#: A corner that pinches a piece is opened by a square of this half side, 0.0005 mm.
SLIT = 4

Tag = int


@dataclass(frozen=True, slots=True)
class Border:
    """Edges of a field with the tag of what they belong to."""

    segments: tuple[Segment, ...]
    tags: tuple[Tag, ...]

    @classmethod
    def of(cls, outlines: Iterable[tuple[TaggedOutline, Callable[[int], Tag]]]) -> "Border":
        """Return the edges of outlines, each outline with the tags of its edges."""
        segments, tags = [], []
        for outline, tag_of in outlines:
            following = [*outline[1:], outline[0]]
            for (a, edge), (b, _) in zip(outline, following, strict=True):
                segments.append((*a, *b))
                tags.append(tag_of(edge))
        return cls(tuple(segments), tuple(tags))


class Region:
    """An area with holes on the grid, cut out of an outline.

    `pierced` are round holes: a cell that meets one counts as cut, but what is left of it is
    found without them.
    """

    def __init__(
        self,
        outline: Sequence[Point],
        blocked: Sequence[Sequence[Point]],
        pierced: Sequence[Sequence[Point]] = (),
    ) -> None:
        whole = shapely.Polygon(outline)
        self._area = _less(whole, blocked)
        self._pierced = _less(self._area, pierced)
        self._segments = _segments_of(self._area)
        lines: Any = shapely.linestrings(np.array(self._segments, float).reshape(-1, 2, 2))
        self._tree = shapely.STRtree(lines)
        self.box = box_of(outline)
        shapely.prepare(self._area)

    @property
    def is_empty(self) -> bool:
        """Tell whether nothing is left to tile."""
        return bool(self._area.is_empty)

    @property
    def doubled_area(self) -> int:
        """Return twice the area, rounded down."""
        return math.floor(2 * self._area.area)

    @property
    def segments(self) -> Sequence[Segment]:
        """Return the edges of the area, each as x and y of its two ends."""
        return self._segments

    def sorted_out(self, cells: Cells) -> tuple[Cells, Cells]:
        """Return the cells that lie wholly inside and those that the border cuts."""
        boundary = self._pierced.boundary
        shapely.prepare(boundary)
        shapely.prepare(self._pierced)
        whole, cut = np.zeros(len(cells), bool), np.zeros(len(cells), bool)
        for begin in range(0, len(cells), BATCH):
            part = slice(begin, begin + BATCH)
            here = cells.take(part)
            boxes = _boxes(here)
            met = shapely.intersects(boundary, boxes)
            # A cell that only touches the border from within is whole.
            met[met] = ~shapely.covers(self._pierced, boxes[met])
            middle_x, middle_y = here.x + here.width / 2, here.y + here.height / 2
            cut[part] = met
            whole[part] = ~met & shapely.contains_xy(self._pierced, middle_x, middle_y)
        return cells.take(whole), cells.take(cut)

    def shapes(self, cells: Cells) -> list[list[Shape]]:
        """Return what lies in the area of each cell: whole numbers, no area lost."""
        rects = [Rect(*row[:4]) for row in cells.rows()]
        boxes = _boxes(cells)
        near: list[list[Segment]] = [[] for _ in rects]
        for cell, edge in self._tree.query(boxes, predicate="intersects").T.tolist():
            near[cell].append(self._segments[edge])
        level = [all(ax == bx or ay == by for ax, ay, bx, by in edges) for edges in near]
        found: list[list[Shape]] = [[] for _ in rects]
        straight = [at for at, is_level in enumerate(level) if is_level]
        grids = [Grid.of(rects[at], near[at]) for at in straight]
        probes = np.array([grid.probe for grid in grids]).reshape(-1, 2)
        inside = shapely.contains_xy(self._area, probes[:, 0], probes[:, 1]).tolist()
        for at, grid, probe in zip(straight, grids, inside, strict=True):
            found[at] = _opened(clipped(grid, near[at], probe))
        slanted = [at for at, is_level in enumerate(level) if not is_level]
        parts = shapely.intersection(boxes[slanted], self._area, grid_size=GRID)
        for at, part in zip(slanted, parts, strict=True):
            found[at] = _opened(_shapes_of(part))
        return found


def less(shape: Shape, blocked: Sequence[Sequence[Point]]) -> list[Shape]:
    """Return what is left of a shape without some areas."""
    return _opened(_shapes_of(_less(shapely.Polygon(shape.outer, shape.holes), blocked)))


class Nearest:
    """Finds the edge of a border that a point lies on."""

    def __init__(self, border: Border) -> None:
        self._tags = np.array(border.tags, np.int64)
        lines: Any = shapely.linestrings(np.array(border.segments, float).reshape(-1, 2, 2))
        self._tree = shapely.STRtree(lines)

    def tags(self, points: Sequence[tuple[float, float]], within: float) -> list[Tag | None]:
        """Return for each point the tag of the nearest edge, or None when all are further."""
        if not points:
            return []
        places = shapely.points(np.array(points, float))
        (_, edges), distances = self._tree.query_nearest(
            places, return_distance=True, all_matches=False
        )
        tags: list[int] = self._tags[edges].tolist()
        return [
            tag if distance <= within else None
            for tag, distance in zip(tags, distances.tolist(), strict=True)
        ]


def _less(area: BaseGeometry, blocked: Sequence[Sequence[Point]]) -> BaseGeometry:
    if not blocked:
        return area
    union = shapely.union_all([shapely.Polygon(points) for points in blocked], grid_size=GRID)
    return shapely.difference(area, union, grid_size=GRID)


def _boxes(cells: Cells) -> NDArray[Any]:
    return shapely.box(cells.x, cells.y, cells.x + cells.width, cells.y + cells.height)


def _segments_of(area: BaseGeometry) -> list[Segment]:
    segments = []
    for ring in _rings_of(area):
        for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
            segments.append((ax, ay, bx, by))
    return segments


def _rings_of(area: BaseGeometry) -> list[list[Point]]:
    return [
        _whole(ring.coords)
        for polygon in _polygons_of(area)
        for ring in (polygon.exterior, *polygon.interiors)
    ]


def _polygons_of(area: BaseGeometry) -> list[shapely.Polygon]:
    parts = shapely.get_parts(area, return_index=False)
    return [part for part in parts if isinstance(part, shapely.Polygon) and not part.is_empty]


def _whole(coordinates: Iterable[Sequence[float]]) -> list[Point]:
    """Return the corners of a closed ring as whole numbers; an overlay on the grid gives them."""
    points = [(int(x), int(y)) for x, y in coordinates]
    assert all(p[0] == x and p[1] == y for p, (x, y) in zip(points, coordinates, strict=True))
    return points[:-1]


def _shapes_of(area: BaseGeometry) -> list[Shape]:
    shapes = []
    for polygon in _polygons_of(area):
        upright = shapely.geometry.polygon.orient(polygon)
        outer = without_straight_corners(_whole(upright.exterior.coords))
        holes = (without_straight_corners(_whole(ring.coords)) for ring in upright.interiors)
        if len(outer) >= 3:
            shapes.append(Shape(outer, tuple(hole for hole in holes if len(hole) >= 3)))
    return shapes


def _opened(shapes: list[Shape]) -> list[Shape]:
    """Open what is pinched in a point, where two parts of a tile would hold by no width."""
    return [part for shape in shapes for part in _opened_shape(shape)]


def _opened_shape(shape: Shape) -> list[Shape]:
    corners = [*shape.outer, *(corner for hole in shape.holes for corner in hole)]
    pinched = {corner for corner in corners if corners.count(corner) > 1}
    if shape.holes:
        pinched |= _touching(shape)
    if not pinched:
        return [shape]
    squares = [Rect(x - SLIT, y - SLIT, 2 * SLIT, 2 * SLIT).corners for x, y in pinched]
    polygon = shapely.make_valid(shapely.Polygon(shape.outer, shape.holes))
    return _shapes_of(_less(polygon, squares))


def _touching(shape: Shape) -> set[Point]:
    """Return the corners of rings that lie on another ring."""
    rings = [shapely.LinearRing(ring) for ring in (shape.outer, *shape.holes)]
    return {
        corner
        for at, points in enumerate((shape.outer, *shape.holes))
        for corner in points
        for other, ring in enumerate(rings)
        if other != at and ring.intersects(shapely.Point(corner))
    }
