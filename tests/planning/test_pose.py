"""Which pieces are cut alike, which offcuts are equal, and which pieces fit no tile."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.documents import ALL_SIDES, Side
from cutopt.errors import CannotBeMet
from cutopt.plane import turned
from cutopt.planning.misfits import reject_misfits
from cutopt.planning.pose import Posed, bits, pose
from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Sheet
from cutopt.units import MM
from tests.building import Json, planned, request, total

TILE = (600, 300)
NOTCHED_ABOVE = [[0, 0], [250, 0], [250, 200], [150, 200], [150, 300], [0, 300]]
NOTCHED_BELOW = [[100, 0], [250, 0], [250, 300], [0, 300], [0, 100], [100, 100]]


def piece(width: float | str = 250, height: float = 300, **more: Any) -> Json:
    return {"width": width, "height": height, **more}


def posed(*pieces: Json, turn: str = "none", offcuts: tuple[Json, ...] = ()) -> Posed:
    wanted = request(TILE, pieces, turn=turn, kerf=2, offcuts=offcuts)
    return pose(wanted, wanted.tiles[0])


def kinds(*pieces: Json, turn: str) -> list[list[tuple[str, int]]]:
    """Return the ids and turns of the pieces of each kind."""
    found = posed(*pieces, turn=turn)
    return [[(member.piece.id, member.turn) for member in members] for members in found.members]


def test_sides_as_bits() -> None:
    assert bits(()) == 0
    assert bits(("left",)) == LEFT
    assert bits(("right", "bottom")) == RIGHT | BOTTOM
    assert bits(ALL_SIDES) == LEFT | RIGHT | BOTTOM | TOP


def test_equal_pieces_are_one_kind_with_the_sum_of_their_quantities() -> None:
    found = posed(piece(quantity=3), piece(quantity=4), piece(width=251))
    assert found.problem.demands == (7, 1)
    assert [len(members) for members in found.members] == [2, 1]


def test_ends_of_a_course_are_alike_once_turned_upside_down() -> None:
    left, right = piece(factory_edges=["left"]), piece(factory_edges=["right"])
    assert kinds(left, right, turn="none") == [[("p0", 0)], [("p1", 0)]]
    assert kinds(left, right, turn="half") == [[("p0", 0), ("p1", 180)]]


def test_what_turning_does_not_make_alike_stays_apart() -> None:
    left, top = piece(factory_edges=["left"]), piece(factory_edges=["top"])
    assert len(kinds(left, top, turn="half")) == 2
    assert len(kinds(left, top, turn="quarter")) == 2
    assert len(kinds(left, piece(), turn="quarter")) == 2


def test_a_quarter_turn_makes_uprights_and_flats_alike() -> None:
    flat, upright = piece(250, 100), piece(100, 250)
    assert len(kinds(flat, upright, turn="half")) == 2
    (alike,) = kinds(flat, upright, turn="quarter")
    assert {turn % 180 for _, turn in alike} == {0, 90}


def test_after_a_quarter_turn_the_right_side_is_on_top() -> None:
    flat, upright = piece(250, 100, factory_edges=["right"]), piece(100, 250, factory_edges=["top"])
    (((_, one), (_, other)),) = kinds(flat, upright, turn="quarter")
    assert (one - other) % 360 == 90
    upright["factory_edges"] = ["bottom"]
    (((_, one), (_, other)),) = kinds(flat, upright, turn="quarter")
    assert (one - other) % 360 == 270


def test_notches_turn_with_their_piece() -> None:
    above, below = piece(outline=NOTCHED_ABOVE), piece(outline=NOTCHED_BELOW)
    assert len(kinds(above, below, turn="none")) == 2
    assert len(kinds(above, below, turn="half")) == 1
    mirrored = piece(outline=[[250 - x, y] for x, y in reversed(NOTCHED_ABOVE)])
    assert len(kinds(above, mirrored, turn="quarter")) == 2


@st.composite
def hung(draw: st.DrawFn) -> tuple[Json, Json]:
    """Draw a piece, and the same one hung turned."""
    width, height = draw(st.integers(100, 290)), draw(st.integers(100, 290))
    sides = draw(st.sets(st.sampled_from(ALL_SIDES)))
    bite = draw(st.tuples(st.integers(1, 90), st.integers(1, 90)))
    outline = [
        *((0, 0), (width, 0), (width, height - bite[1])),
        *((width - bite[0], height - bite[1]), (width - bite[0], height), (0, height)),
    ]
    turn = draw(st.sampled_from([0, 90, 180, 270]))
    ring: list[Side] = ["left", "bottom", "right", "top"]
    onto = {side: ring[(ring.index(side) + turn // 90) % 4] for side in ring}
    other = (width, height) if turn % 180 == 0 else (height, width)
    return (
        piece(width, height, outline=outline, factory_edges=sorted(sides)),
        piece(
            *other,
            outline=[turned(point, width, height, turn) for point in outline],
            factory_edges=sorted(onto[side] for side in sides),
        ),
    )


@given(hung())
def test_however_a_piece_hangs_it_is_one_kind(both: tuple[Json, Json]) -> None:
    wanted = request((300, 300), both, turn="quarter", kerf=2)
    assert len(pose(wanted, wanted.tiles[0]).problem.kinds) == 1


@pytest.mark.parametrize(("turn", "turns"), [("none", 1), ("half", 2), ("quarter", 4)])
def test_a_kind_may_lie_as_its_tile_may_be_turned(turn: str, turns: int) -> None:
    (kind,) = posed(piece(200, 100), turn=turn).problem.kinds
    assert len(kind.stands) == turns
    sizes = {(stand.width, stand.height) for stand in kind.stands}
    expected = {(200 * MM, 100 * MM)} | ({(100 * MM, 200 * MM)} if turns == 4 else set())
    assert sizes == expected


def test_equal_offcuts_are_one_sheet() -> None:
    shelf = (
        piece(quantity=2, factory_edges=["left"]),
        piece(quantity=3, factory_edges=["left"]),
        piece(factory_edges=["right"]),
    )
    found = posed(piece(100, 100), offcuts=shelf)
    assert found.problem.sheets == (
        Sheet(600 * MM, 300 * MM),
        Sheet(250 * MM, 300 * MM, LEFT, 5),
        Sheet(250 * MM, 300 * MM, RIGHT, 1),
    )
    assert [[offcut.id for offcut in offcuts] for offcuts in found.stock] == [
        [],
        ["o0", "o1"],
        ["o2"],
    ]


def test_a_full_tile_comes_straight_out_of_its_box() -> None:
    found = posed(piece(600, 300, quantity=5), piece())
    assert [full.id for full in found.full] == ["p0"]
    assert found.problem.demands == (1,)


def test_a_full_size_offcut_serves_a_full_tile() -> None:
    wanted = request(
        TILE, [piece(600, 300, quantity=2)], kerf=2, offcuts=[piece(600, 300), piece(599, 300)]
    )
    only = total(wanted)
    assert (only.tiles_needed, only.full_tiles, only.offcuts_used) == (1, 1, 1)
    assert (only.cut_tiles, only.cut_pieces, only.proven_minimal) == (0, 0, True)
    (cut_tile,) = planned(wanted).cut_tiles
    assert (cut_tile.stock, cut_tile.cuts) == ("o0", ())


def test_a_full_tile_that_wants_an_edge_passes_a_sawn_offcut_by() -> None:
    sawn = piece(600, 300, factory_edges=["left", "right", "top"])
    wanted = [piece(600, 300, factory_edges=["bottom"])]
    assert total(request(TILE, wanted, offcuts=[sawn])).tiles_needed == 1
    assert total(request(TILE, wanted, turn="half", offcuts=[sawn])).tiles_needed == 0


def misfits(*pieces: Json, turn: str = "none", units: str = "mm") -> list[str]:
    wanted = request(
        TILE if units == "mm" else (24, 12), pieces, turn=turn, kerf="2 mm", units=units
    )
    try:
        reject_misfits(wanted)
    except CannotBeMet as problem:
        return [str(fault) for fault in problem.faults]
    return []


def test_a_piece_as_large_as_its_tile_fits_and_a_larger_one_does_not() -> None:
    assert misfits(piece(600, 300)) == []
    assert misfits(piece(600.001, 300)) == [
        "/pieces/0: 'p0', 600.001 mm x 300 mm: the piece is larger than tile 'field' of "
        "600 mm x 300 mm, without a turn"
    ]


def test_a_quarter_turn_makes_room() -> None:
    rule = "'p0', 300 mm x 600 mm: the piece is larger than tile 'field' of 600 mm x 300 mm"
    assert misfits(piece(300, 600)) == [f"/pieces/0: {rule}, without a turn"]
    assert misfits(piece(300, 600), turn="half") == [
        f"/pieces/0: {rule}, turned by 0 or 180 degrees"
    ]
    assert misfits(piece(300, 600), turn="quarter") == []
    assert misfits(piece(301, 600), turn="quarter") == [
        "/pieces/0: 'p0', 301 mm x 600 mm: the piece is larger than tile 'field' of "
        "600 mm x 300 mm, in any turn"
    ]


def test_opposite_factory_edges_need_the_full_size() -> None:
    assert misfits(piece(600, 200, factory_edges=["left", "right"])) == []
    assert misfits(piece(599, 200, factory_edges=["left", "right", "top"])) == [
        "/pieces/0: 'p0', 599 mm x 200 mm: factory edges on opposite sides need the full size of "
        "tile 'field' of 600 mm x 300 mm; asked for: left, right, top"
    ]
    upright = piece(300, 200, factory_edges=["left", "right"])
    assert len(misfits(upright, turn="half")) == 1
    assert misfits(upright, turn="quarter") == []


def test_all_misfits_are_named_in_the_units_of_the_request() -> None:
    pieces = piece(25, 12), piece(23.625, 12), piece("24 1/64 in", 12)
    assert misfits(*pieces, units="in") == [
        "/pieces/0: 'p0', 25 in x 12 in: the piece is larger than tile 'field' of 24 in x 12 in, "
        "without a turn",
        "/pieces/2: 'p2', 24 1/64 in x 12 in: the piece is larger than tile 'field' of "
        "24 in x 12 in, without a turn",
    ]


def test_a_plan_of_misfits_is_never_begun() -> None:
    with pytest.raises(CannotBeMet):
        planned(request(TILE, [piece(601, 300)]))
