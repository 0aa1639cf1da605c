"""Plane geometry in whole numbers, by small facts and against shapely."""

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from cutopt.plane import (
    Outline,
    Point,
    Rect,
    box_of,
    circle_within,
    doubled_area,
    edges,
    is_inside,
    is_simple,
    outline_within,
    segments_meet,
    turned,
)

SQUARE: Outline = [(0, 0), (4, 0), (4, 4), (0, 4)]
L_SHAPE: Outline = [(0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4)]
POINTS = st.tuples(st.integers(0, 6), st.integers(0, 6))
OUTLINES = st.lists(POINTS, min_size=3, max_size=7, unique=True)


def simple(corners: list[Point]) -> shapely.Polygon:
    """Return a polygon that is sound, or give the example up."""
    polygon = shapely.Polygon(corners)
    assume(polygon.is_valid and polygon.area > 0)
    return polygon


def test_a_rectangle_knows_its_sides() -> None:
    rect = Rect(1, 2, 30, 40)
    assert (rect.right, rect.top) == (31, 42)
    assert rect.corners == ((1, 2), (31, 2), (31, 42), (1, 42))
    assert box_of(rect.corners) == rect


def test_edges_run_round_and_close() -> None:
    assert all(a[1] == b[0] for a, b in pairwise(edges(SQUARE)))
    assert edges(SQUARE)[-1] == ((0, 4), (0, 0))


@given(OUTLINES)
def test_area_has_the_sign_of_the_sense(corners: list[Point]) -> None:
    polygon = simple(corners)
    assert abs(doubled_area(corners)) == 2 * polygon.area
    assert (doubled_area(corners) > 0) == polygon.exterior.is_ccw
    assert doubled_area(corners[::-1]) == -doubled_area(corners)


@given(OUTLINES)
def test_box_is_the_smallest(corners: list[Point]) -> None:
    box = box_of(corners)
    assert (box.x, box.y, box.right, box.top) == shapely.MultiPoint(corners).bounds


@given(POINTS, POINTS, POINTS, POINTS)
def test_segments_meet_as_shapely_says(a: Point, b: Point, c: Point, d: Point) -> None:
    assume(a != b and c != d)
    meet = shapely.LineString([a, b]).intersects(shapely.LineString([c, d]))
    assert segments_meet(a, b, c, d) == meet


@given(OUTLINES)
def test_simple_is_what_shapely_calls_valid(corners: list[Point]) -> None:
    assert is_simple(corners) == shapely.Polygon(corners).is_valid


@pytest.mark.parametrize(
    "outline",
    [
        pytest.param([(0, 0), (4, 0)], id="two corners"),
        pytest.param([(0, 0), (4, 0), (4, 4), (4, 0)], id="a corner twice"),
        pytest.param([(0, 0), (4, 0), (2, 0)], id="folded onto itself"),
        pytest.param([(0, 0), (4, 4), (4, 0), (0, 4)], id="crossed"),
        pytest.param([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], id="a corner on an edge"),
        pytest.param([(0, 0), (4, 0), (4, 4), (4, 2)], id="a spike back along an edge"),
    ],
)
def test_outlines_that_are_not_simple(outline: Outline) -> None:
    assert not is_simple(outline)


def test_a_corner_on_a_straight_edge_is_no_fault() -> None:
    assert is_simple([(0, 0), (2, 0), (4, 0), (4, 4), (0, 4)])


@given(OUTLINES, POINTS)
def test_inside_is_as_shapely_says(corners: list[Point], point: Point) -> None:
    assert is_inside(point, corners) == simple(corners).contains(shapely.Point(point))


@given(OUTLINES, OUTLINES)
def test_within_is_inside_and_touching_nowhere(inner: list[Point], outer: list[Point]) -> None:
    assert outline_within(inner, outer) == simple(outer).contains_properly(simple(inner))


@given(OUTLINES, POINTS, st.integers(1, 12))
def test_a_circle_within(corners: list[Point], centre: Point, diameter: int) -> None:
    polygon, point = simple(corners), shapely.Point(centre)
    clear = polygon.exterior.distance(point) - diameter / 2
    assume(not math.isclose(clear, 0, abs_tol=1e-9))
    expected = polygon.contains(point) and clear > 0
    assert circle_within(centre, diameter, corners) == expected


@pytest.mark.parametrize(
    ("diameter", "fits"), [(3, True), (4, False), (5, False)], ids=["clear", "touches", "crosses"]
)
def test_a_circle_that_touches_an_edge_is_not_within(diameter: int, fits: bool) -> None:
    assert circle_within((2, 2), diameter, SQUARE) is fits


def test_a_circle_keeps_clear_of_an_inner_corner() -> None:
    big = [(100 * x, 100 * y) for x, y in L_SHAPE]
    assert circle_within((100, 100), 199, big)
    assert not circle_within((150, 150), 142, big)
    assert circle_within((150, 150), 141, big)


@given(st.integers(1, 9), st.integers(1, 9), st.data())
def test_turns_add_up(width: int, height: int, data: st.DataObject) -> None:
    point = data.draw(st.tuples(st.integers(0, width), st.integers(0, height)))
    quarter = turned(point, width, height, 90)
    assert turned(point, width, height, 0) == point
    assert turned(quarter, height, width, 90) == turned(point, width, height, 180)
    half = turned(point, width, height, 180)
    assert turned(half, width, height, 90) == turned(point, width, height, 270)
    assert turned(turned(point, width, height, 270), height, width, 90) == point


def test_a_quarter_turn_is_anticlockwise() -> None:
    # The lower right corner comes up to the upper right.
    assert turned((4, 0), 4, 2, 90) == (2, 4)
    assert turned((4, 0), 4, 2, 180) == (0, 2)
    assert turned((4, 0), 4, 2, 270) == (0, 0)
