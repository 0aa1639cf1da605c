"""Equal pieces and equal offcuts have names: who is meant, in the request's order."""

from collections import Counter

import pytest

from cutopt.planning.pose import pose
from cutopt.planning.shelf import Shelf
from tests.building import Json, planned, request

END: Json = {"width": 250, "height": 300}


def shelf(*quantities: int, offcuts: tuple[int, ...] = ()) -> Shelf:
    """Return a shelf for one kind of end, in so many pieces of so many each."""
    wanted = request(
        (600, 300),
        [{**END, "quantity": quantity} for quantity in quantities],
        kerf=2,
        offcuts=[{**END, "quantity": quantity} for quantity in offcuts],
    )
    return Shelf(pose(wanted, wanted.tiles[0]))


def taken(shelf: Shelf, kinds: list[int], sheet: int, most: int) -> tuple[list[str], str, int]:
    members, offcut, times = shelf.take(kinds, sheet, most)
    return [member.piece.id for member in members], offcut.id if offcut else "new", times


def test_one_name_as_long_as_it_lasts_then_the_next() -> None:
    ends = shelf(3, 5)
    assert taken(ends, [0], 0, 8) == (["p0"], "new", 3)
    assert taken(ends, [0], 0, 5) == (["p1"], "new", 5)


def test_pairs_of_one_name_then_one_of_each_then_the_next() -> None:
    ends = shelf(3, 5)
    assert taken(ends, [0, 0], 0, 4) == (["p0", "p0"], "new", 1)
    assert taken(ends, [0, 0], 0, 3) == (["p0", "p1"], "new", 1)
    assert taken(ends, [0, 0], 0, 2) == (["p1", "p1"], "new", 2)


def test_more_than_is_wanted_is_a_fault_of_ours() -> None:
    ends = shelf(3)
    with pytest.raises(LookupError):
        ends.take([0] * 4, 0, 1)


def test_equal_offcuts_go_one_by_one() -> None:
    ends = shelf(9, offcuts=(2, 3))
    assert taken(ends, [0], 1, 5) == (["p0"], "o0", 2)
    assert taken(ends, [0], 1, 3) == (["p0"], "o1", 3)
    assert taken(ends, [0], 0, 4) == (["p0"], "new", 4)


def test_every_unit_of_every_name_is_placed_once() -> None:
    pieces = [{**END, "quantity": quantity} for quantity in (1, 4, 2, 6)]
    offcuts = [{**END, "quantity": quantity} for quantity in (1, 2)]
    plan = planned(request((600, 300), pieces, kerf=2, offcuts=offcuts))
    placed: Counter[str] = Counter()
    stock: Counter[str] = Counter()
    for cut_tile in plan.cut_tiles:
        stock[cut_tile.stock] += cut_tile.count
        for placement in cut_tile.placements:
            placed[placement.piece] += cut_tile.count
    assert placed == {"p0": 1, "p1": 4, "p2": 2, "p3": 6}
    assert stock == {"o0": 1, "o1": 2, "new": 5}
    assert [cut_tile.number for cut_tile in plan.cut_tiles] == [*range(1, len(plan.cut_tiles) + 1)]
