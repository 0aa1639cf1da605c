"""Cells cut in whole numbers agree with cells cut in floating point; nothing gets lost."""

from typing import Any

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutopt.geometry import Cells, Courses, Region, Shape
from cutopt.plane import Rect

SIDE = 40
coordinates = st.integers(-10, SIDE + 10)


def cells_of(*rects: Rect) -> Cells:
    x, y, width, height = np.array(rects, np.int64).T
    nothing = np.zeros_like(x)
    return Cells(x, y, width, height, nothing, nothing, nothing)


@st.composite
def rects(draw: st.DrawFn) -> Rect:
    return Rect(
        draw(coordinates), draw(coordinates), draw(st.integers(1, 30)), draw(st.integers(1, 30))
    )


def polygon(shape: Shape) -> shapely.Polygon:
    return shapely.Polygon(shape.outer, shape.holes)


def region(blocked: list[Any]) -> Region:
    return Region(Rect(0, 0, SIDE, SIDE).corners, blocked)


@given(st.lists(rects(), max_size=4), rects())
def test_cell_along_the_axes_is_cut_exactly(blocked: list[Rect], cell: Rect) -> None:
    """On a coarse grid edges coincide and corners touch all the time."""
    field = region([rect.corners for rect in blocked])
    if field.is_empty:
        return
    (shapes,) = field.shapes(cells_of(cell))
    expected: Any = shapely.box(0, 0, SIDE, SIDE)
    for rect in blocked:
        expected = shapely.difference(expected, shapely.Polygon(rect.corners))
    expected = shapely.intersection(expected, shapely.Polygon(cell.corners))
    # Where two parts touch in a point they are parted by a slit of 8 units, clipped by the part.
    found: Any = shapely.union_all([polygon(shape) for shape in shapes])
    assert shapely.difference(found, expected).area == 0
    lost = expected.area - found.area
    assert lost == sum(part.area for part in shapely.get_parts(shapely.difference(expected, found)))
    if all(shape.doubled_area > 0 for shape in shapes) and not lost:
        assert sum(shape.doubled_area for shape in shapes) == 2 * expected.area
    assert all(polygon(shape).is_valid for shape in shapes)


@given(st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=3, unique=True), rects())
def test_cell_on_a_slanted_border_keeps_its_area(corners: list[Any], cell: Rect) -> None:
    """A thousand times finer than the corners, rounding costs less than a unit per edge."""
    triangle = [(1000 * x, 1000 * y) for x, y in corners]
    shape = shapely.Polygon(triangle)
    if shape.area == 0:
        return
    if not shape.exterior.is_ccw:
        triangle.reverse()
    cell = Rect(*(1000 * side for side in cell))
    (shapes,) = Region(triangle, []).shapes(cells_of(cell))
    expected = shapely.intersection(shapely.Polygon(triangle), shapely.Polygon(cell.corners))
    found = sum(shape.doubled_area for shape in shapes) / 2
    assert abs(found - expected.area) <= 2 * (cell.width + cell.height) + 100


@given(st.lists(rects(), max_size=3), st.integers(1, 12), st.integers(1, 12))
def test_whole_cells_are_those_that_nothing_cuts(
    blocked: list[Rect], width: int, height: int
) -> None:
    field = region([rect.corners for rect in blocked])
    if field.is_empty:
        return
    cells = Courses((width, height), 1, (0, 0)).cells(Rect(0, 0, SIDE, SIDE))
    whole, cut = field.sorted_out(cells)
    area: Any = shapely.box(0, 0, SIDE, SIDE)
    for rect in blocked:
        area = shapely.difference(area, shapely.Polygon(rect.corners))
    boxes = shapely.box(cells.x, cells.y, cells.x + cells.width, cells.y + cells.height)
    assert len(whole) == int(shapely.covers(area, boxes).sum())
    inside = sum(s.doubled_area for shapes in field.shapes(cut) for s in shapes) / 2
    pinched = 4 * (2 * 4) ** 2 * len(blocked) * len(cut)
    together = float(shapely.area(shapely.intersection(boxes, area)).sum())
    assert together - pinched <= inside + len(whole) * width * height <= together
