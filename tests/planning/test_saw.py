"""How a tree becomes cuts: what just fits and what just does not, shavings, leftovers, notches."""

import pytest

from cutopt.documents import Cut, CutTile, Plan
from cutopt.planning.saw import Bench
from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Join, Leaf, Sheet, Stand, Tree
from cutopt.units import MM
from tests.building import Json, Wanted, planned, proven, request

TILE = Sheet(600 * MM, 300 * MM)
KERF = 2 * MM


def leaf(width: float, height: float, wants: int = 0, kind: int = 0) -> Leaf:
    return Leaf(kind, Stand(int(width * MM), int(height * MM), wants))


def beside(first: Tree, second: Tree) -> Join:
    return Join(first, second, True, KERF)


def upon(first: Tree, second: Tree) -> Join:
    return Join(first, second, False, KERF)


def bench(tree: Tree, sheet: Sheet = TILE) -> Bench:
    return Bench(sheet, KERF).cut_up(tree)


def steps(tree: Tree, sheet: Sheet = TILE) -> list[str]:
    """Return the cuts in short: part, way and place, parts made."""
    return [_short(cut) for cut in bench(tree, sheet).cuts]


def _short(cut: Cut) -> str:
    place = "" if cut.at is None else f" {cut.at / MM:g}"
    return f"{cut.part}: {cut.way}{place} -> {cut.makes[0]}, {cut.makes[1]}"


def lying(tree: Tree) -> list[tuple[float, float, int]]:
    return [(one.x / MM, one.y / MM, one.part) for one in bench(tree).lying]


def test_a_whole_sheet_needs_no_cut() -> None:
    assert steps(leaf(600, 300)) == []
    assert lying(leaf(600, 300)) == [(0, 0, 0)]


def test_one_cut_parts_a_piece_from_the_rest() -> None:
    assert steps(leaf(250, 300)) == ["0: vertical 250 -> 1, 2"]
    (rest,) = bench(leaf(250, 300)).leftovers
    assert (rest.x, rest.width, rest.height) == (252 * MM, 348 * MM, 300 * MM)
    assert rest.factory_edges == ("right", "top", "bottom")


def test_a_shaving_no_wider_than_the_blade_makes_no_part() -> None:
    assert steps(leaf(598, 300)) == ["0: vertical 598 -> 1, None"]
    assert steps(leaf(599.5, 300)) == ["0: vertical 599.5 -> 1, None"]
    assert steps(leaf(597.999, 300)) == ["0: vertical 597.999 -> 1, 2"]


def test_a_wanted_edge_keeps_its_side_of_the_sheet() -> None:
    assert lying(leaf(250, 300, RIGHT)) == [(350, 0, 2)]
    assert steps(leaf(250, 300, RIGHT)) == ["0: vertical 348 -> 1, 2"]
    assert lying(leaf(250, 100, RIGHT | TOP))[0][:2] == (350, 200)
    assert lying(leaf(250, 100, LEFT | BOTTOM))[0][:2] == (0, 0)


def test_a_shaving_may_begin_beside_the_sheet() -> None:
    assert steps(leaf(599, 300, RIGHT)) == ["0: vertical -1 -> None, 1"]
    assert lying(leaf(599, 300, RIGHT)) == [(1, 0, 1)]


def test_the_larger_rest_is_parted_first() -> None:
    assert steps(leaf(250, 290)) == ["0: vertical 250 -> 1, 2", "1: horizontal 290 -> 3, 4"]
    assert steps(leaf(590, 100)) == ["0: horizontal 100 -> 1, 2", "1: vertical 590 -> 3, 4"]


def test_two_that_just_fit_take_one_cut() -> None:
    tree = beside(leaf(250, 300, LEFT), leaf(348, 300, RIGHT))
    assert steps(tree) == ["0: vertical 250 -> 1, 2"]
    assert lying(tree) == [(0, 0, 1), (252, 0, 2)]


def test_slack_lies_at_the_cut_when_both_ends_are_wanted() -> None:
    tree = beside(leaf(250, 300, LEFT), leaf(300, 300, RIGHT))
    assert steps(tree) == ["0: vertical 250 -> 1, 2", "2: vertical 298 -> 3, 4"]
    assert lying(tree) == [(0, 0, 1), (300, 0, 4)]


def test_slack_lies_at_the_far_end_when_nobody_wants_it() -> None:
    tree = beside(leaf(250, 300), leaf(300, 300))
    assert steps(tree) == ["0: vertical 552 -> 1, 2", "1: vertical 250 -> 3, 4"]


def test_strips_upon_each_other_that_want_opposite_ends() -> None:
    tree = upon(leaf(250, 149, LEFT | BOTTOM), leaf(300, 149, RIGHT | TOP))
    assert lying(tree) == [(0, 0, 3), (300, 151, 6)]
    assert len(steps(tree)) == 3


def test_what_is_too_narrow_to_keep_is_no_leftover() -> None:
    assert len(bench(leaf(573, 300)).leftovers) == 1
    assert len(bench(leaf(573.001, 300)).leftovers) == 0


def test_an_offcut_gives_on_only_the_edges_it_has() -> None:
    shelf = Sheet(340 * MM, 300 * MM, LEFT | TOP, 1)
    (rest,) = bench(leaf(100, 300, LEFT), shelf).leftovers
    assert rest.factory_edges == ("top",)


def notched(kerf: float = 2) -> Json:
    """Return a piece of 400 x 300 with 200 x 150 out of its upper right corner."""
    corners = [[0, 0], [400, 0], [400, 150], [200, 150], [200, 300], [0, 300]]
    return {"width": 400, "height": 300, "outline": corners}


def fits_in_the_notch(width: float, height: float, **more: object) -> bool:
    """Tell whether a piece comes out of the notch of a piece as large as its tile."""
    piece = {"width": width, "height": height, **more}
    return proven(request((400, 300), [notched(), piece], kerf=2)) == 1


@pytest.mark.parametrize(
    ("width", "height", "fits"),
    [(198, 148, True), (198.001, 148, False), (198, 148.001, False), (100, 20, True)],
)
def test_a_notch_hosts_what_is_a_kerf_smaller_each_way(
    width: float, height: float, fits: bool
) -> None:
    assert fits_in_the_notch(width, height) is fits


def test_a_notch_keeps_the_two_factory_edges_of_its_corner() -> None:
    assert fits_in_the_notch(198, 148, factory_edges=["right", "top"])
    assert fits_in_the_notch(100, 100, factory_edges=["right", "top"])
    assert not fits_in_the_notch(100, 100, factory_edges=["left"])
    assert not fits_in_the_notch(100, 100, factory_edges=["bottom"])


def test_cuts_in_a_notch_come_after_it() -> None:
    pieces = [notched(), {"width": 98, "height": 148, "quantity": 2}]
    (cut_tile,) = planned(request((400, 300), pieces, kerf=2)).cut_tiles
    assert [_short(cut) for cut in cut_tile.cuts or ()] == [
        "0: notch -> 1, 2",
        "2: vertical 300 -> 3, 4",
    ]
    assert [(one.piece, one.part) for one in cut_tile.placements] == [
        ("p0", 1),
        ("p1", 3),
        ("p1", 4),
    ]
    notch = (cut_tile.cuts or ())[0]
    assert (notch.corner, notch.width, notch.height) == ("top-right", 200 * MM, 150 * MM)


def test_a_notch_that_the_kerf_eats_up_leaves_nothing() -> None:
    corners = [[0, 0], [400, 0], [400, 298], [200, 298], [200, 300], [0, 300]]
    piece = {"width": 400, "height": 300, "outline": corners}
    (cut_tile,) = planned(request((400, 300), [piece], kerf=2)).cut_tiles
    assert [_short(cut) for cut in cut_tile.cuts or ()] == ["0: notch -> 1, None"]
    assert cut_tile.leftovers == ()


@pytest.mark.parametrize(
    ("pieces", "tiles"),
    [
        ([(299, 300, 2)], 1),
        ([(299.001, 300, 2)], 2),
        ([(198.666, 300, 3)], 1),
        ([(198.667, 300, 3)], 2),
        ([(299, 149, 4)], 1),
        ([(299, 149.001, 4)], 2),
        ([(100, 300, 1), (498, 300, 1)], 1),
        ([(100, 300, 1), (498.001, 300, 1)], 2),
    ],
)
def test_what_just_fits_and_what_just_does_not(pieces: list[Wanted], tiles: int) -> None:
    assert proven(request((600, 300), pieces, kerf=2)) == tiles


def only_tile(plan: Plan) -> CutTile:
    (cut_tile,) = plan.cut_tiles
    return cut_tile


def test_a_middle_strip_between_two_ends() -> None:
    pieces: list[Wanted | Json] = [
        {"width": 100, "height": 300, "factory_edges": ["left"]},
        {"width": 200, "height": 300},
        {"width": 296, "height": 300, "factory_edges": ["right"]},
    ]
    cut_tile = only_tile(planned(request((600, 300), pieces, kerf=2)))
    assert {one.piece: one.x // MM for one in cut_tile.placements} == {
        "p0": 0,
        "p1": 102,
        "p2": 304,
    }
    assert len(cut_tile.cuts or ()) == 2


@pytest.mark.parametrize(("sides", "tiles"), [(["left"], 2), ([], 1)])
def test_two_left_ends_do_not_come_out_of_one_tile(sides: list[str], tiles: int) -> None:
    end = {"width": 250, "height": 300, "quantity": 2, "factory_edges": sides}
    assert proven(request((600, 300), [end], kerf=2)) == tiles
    assert proven(request((600, 300), [end], kerf=2, turn="half")) == 1
