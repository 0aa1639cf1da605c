"""The layout of the benchmark: nothing lost, nothing laid twice, joints where tiles meet."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.setting_out import Bond, Bonding, Circle, Laid, Surface, lay
from cutopt.plane import Rect, doubled_area


def area(laid: list[Laid]) -> float:
    outlines = sum(doubled_area(piece.outline) for piece in laid)
    return (outlines + sum(doubled_area(cutout) for piece in laid for cutout in piece.cutouts)) / 2


def joints(laid: list[Laid]) -> dict[str, set[str]]:
    return {piece.name: set(piece.joints) for piece in laid}


@settings(max_examples=60, deadline=None)
@given(
    st.integers(40, 200),
    st.integers(40, 200),
    st.sampled_from(["stack", "half", "third"]),
    st.integers(0, 59),
    st.integers(1, 30),
)
def test_without_joints_the_pieces_fill_the_surface(
    width: int, height: int, bond: Bond, start: int, side: int
) -> None:
    opening = Rect(5, 7, side, side)
    surface = Surface("wall", width, height, (opening,))
    laid = lay(surface, Bonding(60, 30, 0, bond), (start, start % 30))
    assert area(laid) == width * height - side * side
    for one, other in combinations(laid, 2):
        inside = [min(one.box.right, other.box.right) - max(one.box.x, other.box.x)]
        inside += [min(one.box.top, other.box.top) - max(one.box.y, other.box.y)]
        assert min(inside) <= 0 or len(one.outline) + len(other.outline) > 8


def test_joints_lie_between_tiles_and_not_at_the_ends() -> None:
    laid = lay(Surface("wall", 204, 50), Bonding(100, 100, 2, "stack"), (51, 0))
    assert [(piece.box.x, piece.box.width) for piece in laid] == [(0, 49), (51, 100), (153, 51)]
    assert joints(laid) == {
        "wall-1-1": {"right"},
        "wall-1-2": {"left", "right"},
        "wall-1-3": {"left"},
    }


def test_in_half_bond_every_other_course_is_moved_by_half_a_tile() -> None:
    laid = lay(Surface("wall", 150, 202), Bonding(100, 100, 2, "half"), (0, 0))
    places = [(piece.box.x, piece.box.width, piece.box.y) for piece in laid]
    assert places == [(0, 100, 0), (102, 48, 0), (0, 49, 102), (51, 99, 102)]
    assert joints(laid)["wall-1-1"] == {"right", "top"}


def test_the_corner_of_a_window_makes_a_notch() -> None:
    surface = Surface("wall", 100, 100, (Rect(60, 70, 40, 30),))
    (piece,) = lay(surface, Bonding(100, 100, 2, "stack"), (0, 0))
    assert piece.outline == [(0, 0), (100, 0), (100, 70), (60, 70), (60, 100), (0, 100)]
    assert piece.joints == ()


def test_an_opening_across_a_tile_leaves_two_pieces() -> None:
    surface = Surface("wall", 202, 100, (Rect(130, 0, 10, 100),))
    laid = lay(surface, Bonding(100, 100, 2, "stack"), (0, 0))
    assert [(piece.name, piece.box.x, piece.box.width) for piece in laid] == [
        ("wall-1-1", 0, 100),
        ("wall-1-2", 102, 28),
        ("wall-1-3", 140, 62),
    ]
    assert joints(laid) == {"wall-1-1": {"right"}, "wall-1-2": {"left"}, "wall-1-3": set()}


def test_no_joint_where_the_opening_begins_in_the_joint() -> None:
    surface = Surface("wall", 202, 100, (Rect(100, 0, 102, 100),))
    (piece,) = lay(surface, Bonding(100, 100, 2, "stack"), (0, 0))
    assert piece.joints == ()


def test_an_opening_inside_a_tile_is_a_cut_out() -> None:
    surface = Surface("wall", 100, 100, (Rect(40, 40, 20, 10),))
    (piece,) = lay(surface, Bonding(100, 100, 2, "stack"), (0, 0))
    assert len(piece.outline) == 4
    assert [sorted(cutout) for cutout in piece.cutouts] == [
        [(40, 40), (40, 50), (60, 40), (60, 50)]
    ]


@pytest.mark.parametrize(("x", "round_holes"), [(50, 1), (80, 1), (89, 1), (90, 0), (101, 0)])
def test_a_hole_stays_round_when_it_lies_within_one_tile(x: int, round_holes: int) -> None:
    surface = Surface("wall", 202, 100, holes=(Circle(x, 50, 20),))
    laid = lay(surface, Bonding(100, 100, 2, "stack"), (0, 0))
    assert sum(len(piece.holes) for piece in laid) == round_holes
    assert area(laid) == (2 * 100 * 100 if round_holes else area(laid))
    assert (area(laid) < 2 * 100 * 100) == (not round_holes)
