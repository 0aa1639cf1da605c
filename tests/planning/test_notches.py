"""Notches: what the corners of an outline leave for other pieces."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.plane import Point, turned
from cutopt.planning.notches import corner_pockets, is_rectilinear, slanted_hull
from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Pocket, Stand

CORNERS = (LEFT | BOTTOM, RIGHT | BOTTOM, LEFT | TOP, RIGHT | TOP)
KERF = 2


def bitten(width: int, height: int, bites: dict[int, tuple[int, int]]) -> list[Point]:
    """Return a box with a rectangle bitten out of some of its corners, anticlockwise."""
    a, b = bites.get(LEFT | BOTTOM, (0, 0))
    c, d = bites.get(RIGHT | BOTTOM, (0, 0))
    e, f = bites.get(RIGHT | TOP, (0, 0))
    g, h = bites.get(LEFT | TOP, (0, 0))
    ring = [
        *((0, b), (a, b), (a, 0)),
        *((width - c, 0), (width - c, d), (width, d)),
        *((width, height - f), (width - e, height - f), (width - e, height)),
        *((g, height), (g, height - h), (0, height - h)),
    ]
    return list(dict.fromkeys(ring))


def pocket(sides: int, width: int, height: int, kerf: int = KERF) -> Pocket:
    return Pocket(sides, width - kerf, height - kerf, width, height)


@pytest.mark.parametrize("sides", CORNERS)
def test_an_l_leaves_its_corner_less_a_kerf_each_way(sides: int) -> None:
    outline = bitten(100, 80, {sides: (30, 20)})
    assert corner_pockets(outline, KERF) == (pocket(sides, 30, 20),)


def test_a_t_leaves_two() -> None:
    outline = bitten(100, 80, {LEFT | BOTTOM: (30, 50), RIGHT | BOTTOM: (20, 60)})
    assert corner_pockets(outline, KERF) == (
        pocket(LEFT | BOTTOM, 30, 50),
        pocket(RIGHT | BOTTOM, 20, 60),
    )


def test_a_cross_leaves_four() -> None:
    outline = bitten(100, 80, dict.fromkeys(CORNERS, (30, 20)))
    assert corner_pockets(outline, 0) == tuple(pocket(sides, 30, 20, 0) for sides in CORNERS)


def test_a_u_leaves_none() -> None:
    u_shape = [(0, 0), (100, 0), (100, 80), (70, 80), (70, 30), (30, 30), (30, 80), (0, 80)]
    assert corner_pockets(u_shape, KERF) == ()


def test_a_box_leaves_none_however_many_corners_are_named() -> None:
    assert corner_pockets([(0, 0), (100, 0), (100, 80), (0, 80)], KERF) == ()
    assert corner_pockets([(0, 0), (50, 0), (100, 0), (100, 80), (0, 80)], KERF) == ()


@pytest.mark.parametrize(
    ("steps", "largest"), [((10, 60, 30, 40), (30, 40)), ((10, 60, 30, 10), (10, 60))]
)
def test_stairs_leave_their_largest_rectangle(
    steps: tuple[int, int, int, int], largest: tuple[int, int]
) -> None:
    first, high, second, low = steps
    stairs = [(second, 0), (100, 0), (100, 80), (0, 80), (0, high), (first, high), (first, low)]
    stairs.append((second, low))
    assert corner_pockets(stairs, KERF) == (pocket(LEFT | BOTTOM, *largest),)


def test_a_bite_under_an_overhang_is_no_corner() -> None:
    hook = [(0, 0), (100, 0), (100, 80), (40, 80), (40, 60), (70, 60), (70, 30), (0, 30)]
    assert corner_pockets(hook, KERF) == (pocket(LEFT | TOP, 40, 50),)


def test_what_the_kerf_eats_up_hosts_nothing() -> None:
    (narrow,) = corner_pockets(bitten(100, 80, {LEFT | BOTTOM: (2, 20)}), KERF)
    assert (narrow.width, narrow.notch_width) == (0, 2)
    (less,) = corner_pockets(bitten(100, 80, {LEFT | BOTTOM: (1, 20)}), KERF)
    assert (less.width, less.notch_width) == (-1, 1)


@st.composite
def bites(draw: st.DrawFn) -> dict[int, tuple[int, int]]:
    """Draw bites that leave each other room."""
    chosen = draw(st.sets(st.sampled_from(CORNERS)))
    return {sides: (draw(st.integers(1, 49)), draw(st.integers(1, 39))) for sides in chosen}


@given(bites(), st.integers(0, 4))
def test_pockets_turn_with_their_piece(taken: dict[int, tuple[int, int]], kerf: int) -> None:
    outline = bitten(100, 80, taken)
    quarter = [turned(point, 100, 80, 90) for point in outline]
    stand = Stand(100, 80, LEFT, corner_pockets(outline, kerf)).turned()
    assert stand.pockets == corner_pockets(quarter, kerf)
    assert (stand.width, stand.height, stand.wants, stand.turn) == (80, 100, BOTTOM, 90)


def test_a_slanted_edge_has_no_pocket_but_a_hull() -> None:
    triangle = [(0, 0), (100, 0), (0, 80)]
    assert not is_rectilinear(triangle)
    assert corner_pockets(triangle, KERF) == ()
    assert slanted_hull(triangle) == tuple(triangle)


def test_a_slanted_bite_out_of_a_side_leaves_the_box_its_hull() -> None:
    bite = [(0, 0), (100, 0), (100, 80), (60, 80), (50, 40), (40, 80), (0, 80)]
    assert slanted_hull(bite) is None
    assert slanted_hull(bitten(100, 80, {LEFT | BOTTOM: (30, 20)})) is None
