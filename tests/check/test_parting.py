"""Slanted pieces without cuts: any straight cut may part them, a kerf wide."""

from fractions import Fraction
from itertools import product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutopt.check.lines import convex_hull
from cutopt.plane import Point, cross, edges, segments_meet
from tests.check.nests import Corners, Shapes, slanted
from tests.check.plans import changed, places, rules, without_cuts

LEAST = 0.000125  # 1/8000 mm, the grid of all lengths
PLACED = "/cut_tiles/0/placements"


def test_a_slanted_piece_hosts_nothing_in_its_corner() -> None:
    """An L with a slanted foot; what lies in its corner lies within its hull."""
    shape: Corners = [(20, 0), (400, 0), (400, 300), (200, 300), (200, 150), (0, 150)]
    shapes: Shapes = {
        "l": (None, shape),
        "inner": (None, [(50, 210), (198, 210), (198, 300), (50, 300)]),
    }
    request, plan = slanted(shapes, [])
    assert places(request, without_cuts(plan)) == [f"{PLACED}/1"]


def test_rectangles_alone_are_parted_along_the_axes() -> None:
    """Corner to corner they lie 1.5 apart either way, 2.1 on the slant; the kerf is 2."""
    a: Corners = [(0, 0), (100, 0), (100, 100), (0, 100)]
    b: Corners = [(101.5, 101.5), (200, 101.5), (200, 200), (101.5, 200)]
    request, plan = slanted({"a": (None, a), "b": (None, b)}, [])
    assert rules(request, without_cuts(plan)) == [
        "/cut_tiles/0/placements: 2 pieces: no straight cut parts these pieces: a, b"
    ]


def test_a_cut_may_run_along_the_corners_of_two_pieces() -> None:
    """Found by trying many: no cut along an edge or between two tips parts these four."""
    shapes: Shapes = {
        "a": (None, [(10, 2), (15, 6), (24, 20)]),
        "b": (None, [(26, 14), (38, 34), (31, 30)]),
        "c": (None, [(21, 8), (37, 10), (33, 15)]),
        "d": (None, [(3, 38), (18, 23), (12, 35)]),
    }
    request, plan = slanted(shapes, [], width=41, height=41)
    assert rules(request, without_cuts(plan)) == []


def test_a_slanted_pinwheel_is_parted_by_no_straight_cut() -> None:
    """Four trapezoids turn around a square, each with a slanted end."""
    shapes: Shapes = {
        "south": (None, [(0, 0), (198, 0), (188, 98), (0, 98)]),
        "east": (None, [(202, 0), (300, 0), (300, 198), (202, 188)]),
        "north": (None, [(102, 202), (300, 202), (300, 300), (112, 300)]),
        "west": (None, [(0, 102), (98, 112), (98, 300), (0, 300)]),
        "middle": (None, [(102, 102), (198, 102), (198, 198), (102, 198)]),
    }
    request, plan = slanted(shapes, [], width=300)
    assert rules(request, without_cuts(plan))[0].endswith(
        "no straight cut parts these pieces: south, east, north, west, middle"
    )


def test_a_cut_may_run_along_no_single_piece() -> None:
    """Two triangles point at each other: the blade goes between their tips, and just so."""
    left: Corners = [(0, 0), (297, 146), (0, 150)]
    right: Corners = [(300, 150), (600, 150), (600, 300)]
    request, plan = slanted({"left": (None, left), "right": (None, right)}, [], kerf=5)
    assert rules(request, without_cuts(plan)) == []  # 3 and 4: the tips are 5 apart
    more = changed(request, **{"saw/kerf": 5 + LEAST})
    assert places(more, without_cuts(plan)) == [f"{PLACED}/1"]


def test_a_triangle_in_the_notch_of_another_piece() -> None:
    shapes: Shapes = {
        "l": (None, [(0, 0), (400, 0), (400, 300), (200, 300), (200, 150), (0, 150)]),
        "inner": (None, [(0, 152), (198, 152), (0, 300)]),
    }
    request, plan = slanted(shapes, [])
    assert rules(request, without_cuts(plan)) == []
    lower = changed(without_cuts(plan), **{"cut_tiles/0/placements/1/y": 152 - LEAST})
    assert places(request, lower) == [f"{PLACED}/1"]


triangle = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=3, unique=True
)


def _squared_distance(a: tuple[Point, ...], b: tuple[Point, ...]) -> Fraction:
    """Return the squared distance of two convex outlines, from every corner to every edge."""
    if any(segments_meet(*one, *other) for one, other in product(edges(a), edges(b))):
        return Fraction(0)
    if any(
        all(cross(*edge, inner[0]) > 0 for edge in edges(outer))
        for outer, inner in ((a, b), (b, a))
    ):
        return Fraction(0)
    pairs = [(corner, edge) for corner, edge in product(a, edges(b))]
    pairs += [(corner, edge) for corner, edge in product(b, edges(a))]
    return min(_from_edge(corner, *edge) for corner, edge in pairs)


def _from_edge(point: Point, a: Point, b: Point) -> Fraction:
    dx, dy = b[0] - a[0], b[1] - a[1]
    along_edge = Fraction((point[0] - a[0]) * dx + (point[1] - a[1]) * dy, dx * dx + dy * dy)
    along_edge = max(Fraction(0), min(Fraction(1), along_edge))
    return (a[0] + along_edge * dx - point[0]) ** 2 + (a[1] + along_edge * dy - point[1]) ** 2


@settings(deadline=None)
@given(triangle, triangle, st.integers(1, 12))
def test_two_triangles_are_parted_exactly_when_they_lie_a_kerf_apart(
    first: list[Point], second: list[Point], kerf: int
) -> None:
    a, b = convex_hull(first), convex_hull(second)
    for hull in (a, b):
        assume(len(hull) == 3)
        assume(len({x for x, _ in hull}) == 3 or len({y for _, y in hull}) == 3)
    case = slanted({"a": (None, [*a]), "b": (None, [*b])}, [], width=60, height=60, kerf=kerf)
    apart = _squared_distance(a, b) >= kerf**2
    assert (places(case[0], without_cuts(case[1])) == []) is apart
