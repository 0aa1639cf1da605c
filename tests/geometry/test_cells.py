"""Bonds cover the plane: each lattice has the density it must have, and no two cells overlap."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutopt.documents import Job
from cutopt.geometry import Cells, Courses, Frame
from cutopt.geometry.lattice import Lattice
from cutopt.layout.bonds import cells_of_bond
from cutopt.plane import Rect
from cutopt.units import MM
from tests.layout.jobs import BONDS, job, surface

sizes = st.integers(1, 20)
places = st.integers(-60, 60)


def boxes(cells: Cells) -> list[tuple[int, ...]]:
    return sorted(row[:4] for row in cells.rows())


@given(sizes, sizes, st.integers(1, 4), st.tuples(places, places), st.lists(sizes, max_size=3))
def test_courses_have_every_cell_that_reaches_into_the_box(
    width: int, height: int, joint: int, origin: tuple[int, int], shifts: list[int]
) -> None:
    box = Rect(-7, 3, 50, 40)
    courses = Courses((width, height), joint, origin, (0, *shifts))
    found = courses.cells(box)
    expected = []
    for row in range(-120, 121):
        y = origin[1] + row * (height + joint)
        shift = (0, *shifts)[row % (1 + len(shifts))]
        for step in range(-120, 121):
            x = origin[0] + shift + step * (width + joint)
            if x < box.right and x + width > box.x and y < box.top and y + height > box.y:
                expected.append((x, y, width, height))
    assert boxes(found) == sorted(expected)
    if len(found):
        assert found.course.min() >= 1
        assert found.position.min() == 1


@pytest.mark.parametrize("kind", ["herringbone", "basket weave"])
@pytest.mark.parametrize("tile", [(202, 100), (100, 202), (304, 100)])
def test_woven_bonds_leave_their_joint_and_nothing_more(kind: str, tile: tuple[int, int]) -> None:
    read = job(surface(bond=kind), tile={"width": tile[0], "height": tile[1]})
    field = Rect(0, 0, 3000 * MM, 2000 * MM)
    cells = cells_in(read, field)
    shapes = shapely.box(cells.x, cells.y, cells.x + cells.width, cells.y + cells.height)
    near = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=2 * MM - 1)
    assert (near[0] == near[1]).all()
    grown = shapely.box(
        cells.x - MM, cells.y - MM, cells.x + cells.width + MM, cells.y + cells.height + MM
    )
    covered = shapely.union_all(grown)
    assert covered.contains(shapely.box(0, 0, 3000 * MM, 2000 * MM))


def cells_in(read: Job, field: Rect) -> Cells:
    ((_, laid),) = read.surfaces
    return cells_of_bond(laid, read.tile_of(laid), Frame(), field, 8).cells(field)


@given(st.integers(30, 300), st.integers(30, 300), st.integers(1, 9), places)
def test_herringbone_of_any_tile_agrees_with_brute_force(
    width: int, height: int, joint: int, place: int
) -> None:
    data = surface(bond="herringbone", joint=joint, start={"x": place % 30, "y": 5})
    read = job(data, tile={"width": width, "height": height})
    field = Rect(100 * MM, 50 * MM, 900 * MM, 1100 * MM)
    cells = cells_in(read, field)
    a, b = (side * MM + joint * MM for side in (max(width, height), min(width, height)))
    tall, wide = a - joint * MM, b - joint * MM
    lattice = Lattice(
        [(0, 0, tall, wide, 0), (a, b - a, wide, tall, 0)],
        (b, b),
        (a, -a),
        ((place % 30) * MM, 5 * MM),
    )
    _, expected = lattice.cells((field.x, field.y, field.right, field.top))
    assert boxes(cells) == sorted(map(tuple, expected.tolist()))


@given(BONDS, st.integers(130, 400), st.integers(60, 300))
def test_course_and_position_name_a_cell(bond: dict[str, object], width: int, height: int) -> None:
    if bond["kind"] == "basket weave":
        width = 2 * height + 2
    if bond.get("along") == "columns":
        height = max(height, 130)
    read = job(surface(bond=bond), tile={"width": width, "height": height})
    field = Rect(0, 0, 2000 * MM, 2000 * MM)
    cells = cells_in(read, field)
    names = np.stack([cells.course, cells.position], 1)
    assert len(np.unique(names, axis=0)) == len(cells)
    assert names.min() == 1
