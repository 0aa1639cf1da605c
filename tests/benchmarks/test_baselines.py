"""Every baseline on cases small enough to count by head."""

from typing import Any

import pytest

from benchmarks import baselines
from cutopt.documents import Request

Json = dict[str, Any]


def request(*pieces: Json, tile: Json | None = None, kerf: float = 2, **more: Any) -> Request:
    """Return a request for a 600 x 300 tile that may not be turned."""
    field = {"id": "field", "width": 600, "height": 300, "turn": "none"} | (tile or {})
    numbered = [{"id": f"p{number}"} | piece for number, piece in enumerate(pieces)]
    return Request.of({"tiles": [field], "saw": {"kerf": kerf}, "pieces": numbered} | more)


def piece(width: float, height: float = 300, *edges: str, **more: Any) -> Json:
    return {"width": width, "height": height, "factory_edges": list(edges)} | more


PLANS = ["by_hand", "largest_first", "general_packer"]


def count(name: str, asked: Request) -> int:
    return baselines.ALL[name](asked)["field"]


# Each plan on two pieces side by side.


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize(("width", "tiles"), [(298, 1), (298.001, 2), (299, 2)])
def test_two_pieces_and_a_kerf_just_fit_a_tile(name: str, width: float, tiles: int) -> None:
    assert count(name, request(piece(300), piece(width))) == tiles


@pytest.mark.parametrize("name", PLANS)
def test_without_kerf_three_pieces_fill_a_tile(name: str) -> None:
    assert count(name, request(piece(200, quantity=3), kerf=0)) == 1


@pytest.mark.parametrize("name", PLANS)
def test_full_tiles_are_counted_and_leave_nothing(name: str) -> None:
    assert count(name, request(piece(300), piece(600, quantity=4), piece(298))) == 5


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize(("turn", "tiles"), [("none", 2), ("half", 2), ("quarter", 1)])
def test_a_quarter_turn_is_used_where_it_is_allowed(name: str, turn: str, tiles: int) -> None:
    # 400 x 300 leaves 198 x 300: the second piece fits only on its side.
    pieces = [piece(400), piece(300, 198)]
    assert count(name, request(*pieces, tile={"turn": turn})) == tiles


@pytest.mark.parametrize("name", PLANS)
def test_an_offcut_on_the_shelf_is_used_first_and_costs_nothing(name: str) -> None:
    shelf = [{"id": "s", "width": 350, "height": 300, "factory_edges": ["left"]}]
    assert count(name, request(piece(340), piece(500), offcuts=shelf)) == 1


@pytest.mark.parametrize("name", PLANS)
def test_an_offcut_too_small_stays_on_the_shelf(name: str) -> None:
    shelf = [{"id": "s", "width": 339, "height": 300, "factory_edges": ["left"]}]
    assert count(name, request(piece(340), piece(500), offcuts=shelf)) == 2


@pytest.mark.parametrize("name", PLANS)
def test_a_piece_with_a_hole_takes_the_tile_it_fills(name: str) -> None:
    holed = piece(600, holes=[{"x": 300, "y": 150, "diameter": 100}])
    assert count(name, request(holed, piece(100))) == 2


@pytest.mark.parametrize("name", PLANS)
def test_a_piece_larger_than_its_tile_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="fits no tile"):
        count(name, request(piece(601)))


# Factory edges: the greedies honour them, the general packer cannot.

ENDS = [piece(300, 300, "left"), piece(298, 300, "right")]
LEFTS = [piece(300, 300, "left"), piece(298, 300, "left")]


@pytest.mark.parametrize("name", ["by_hand", "largest_first"])
def test_a_tile_gives_one_left_end_and_one_right_end(name: str) -> None:
    assert count(name, request(*ENDS)) == 1
    assert count(name, request(*LEFTS)) == 2
    assert count(name, request(*LEFTS, tile={"turn": "half"})) == 1


def test_the_general_packer_does_not_see_factory_edges() -> None:
    assert count("general_packer", request(*LEFTS)) == 1


@pytest.mark.parametrize("name", ["by_hand", "largest_first"])
def test_an_offcut_serves_a_piece_only_with_the_edges_it_has(name: str) -> None:
    shelf = [{"id": "s", "width": 340, "height": 300, "factory_edges": ["left"]}]
    assert count(name, request(piece(340, 300, "left"), offcuts=shelf)) == 0
    assert count(name, request(piece(340, 300, "right"), offcuts=shelf)) == 1


# What tells the two greedies apart.


def test_by_hand_knows_only_the_last_offcut() -> None:
    # 350 leaves 248; 400 opens a tile and leaves 198, now at hand; so 240 opens a third.
    assert count("by_hand", request(piece(350), piece(400), piece(240))) == 3
    assert count("largest_first", request(piece(350), piece(400), piece(240))) == 2


def test_by_hand_keeps_the_larger_part_only() -> None:
    # 400 x 200 leaves 198 x 300 and 400 x 98; the second is thrown away.
    pieces = [piece(400, 200), piece(390, 90)]
    assert count("by_hand", request(*pieces)) == 2
    assert count("largest_first", request(*pieces)) == 1


def test_by_hand_cuts_on_from_what_the_offcut_leaves() -> None:
    assert count("by_hand", request(piece(150, quantity=3))) == 1
    assert count("by_hand", request(piece(199), piece(199), piece(198))) == 1
    assert count("by_hand", request(piece(199), piece(199), piece(199))) == 2


def test_a_tile_that_leaves_nothing_does_not_take_the_offcut_from_hand() -> None:
    assert count("by_hand", request(piece(300), piece(600), piece(298))) == 2


def test_largest_first_opens_tiles_for_the_largest() -> None:
    # In the order of the document 250 + 250 would share a tile and leave 340 alone.
    pieces = [piece(250, quantity=2), piece(340, quantity=2)]
    assert count("by_hand", request(*pieces)) == 3
    assert count("largest_first", request(*pieces)) == 2


# The two counts.


def test_area_plus_ten_rounds_up_once_for_all_pieces() -> None:
    # 3 x 300 x 300 = 1.5 tiles, 1.65 with the ten per cent.
    assert count("area_plus_ten", request(piece(300, quantity=3))) == 2
    assert count("area_plus_ten", request(piece(600, quantity=10))) == 11
    assert count("area_plus_ten", request(piece(600, quantity=10), piece(1, 1))) == 12


def test_area_plus_ten_leaves_notches_out() -> None:
    half = [[0, 0], [600, 0], [600, 150], [300, 150], [300, 151], [0, 151]]
    assert count("area_plus_ten", request(piece(600, 151, outline=half, quantity=20))) == 12


def test_a_tile_for_every_piece() -> None:
    assert count("one_per_cut_piece", request(piece(600, quantity=4), piece(10, quantity=3))) == 7


@pytest.mark.parametrize("name", list(baselines.ALL))
def test_each_kind_of_tile_is_counted_for_itself(name: str) -> None:
    asked = Request.of(
        {
            "tiles": [
                {"id": "wall", "width": 200, "height": 400},
                {"id": "floor", "width": 300, "height": 300},
            ],
            "pieces": [
                {"id": "a", "tile": "wall", "width": 200, "height": 400, "quantity": 2},
                {"id": "b", "tile": "floor", "width": 300, "height": 300, "quantity": 3},
            ],
        }
    )
    expected = {"wall": 3, "floor": 4} if name == "area_plus_ten" else {"wall": 2, "floor": 3}
    assert baselines.ALL[name](asked) == expected
