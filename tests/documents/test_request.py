"""The request: what is read, and what is said when a field is wrong."""

import copy
from typing import Any

import pytest

from cutopt.documents import Hole, Piece, Request, Tile, is_full_tile
from cutopt.documents.base import MOST_FAULTS
from cutopt.documents.request import (
    MOST_CORNERS,
    MOST_HOLES,
    MOST_OFFCUTS,
    MOST_PIECES,
    MOST_TILES,
    MOST_UNITS,
)
from cutopt.errors import Fault, InvalidInput
from cutopt.units import INCH, MM
from tests.wrong_requests import GOOD, WRONG, Wrong

Json = dict[str, Any]

SMALL: Json = {
    "tiles": [{"id": "field", "width": 600, "height": 300}],
    "pieces": [{"id": "end", "width": 250, "height": 300}],
}


def faults(data: object) -> list[Fault]:
    """Return what is said of a request; nothing when it is right."""
    try:
        Request.of(data)
    except InvalidInput as problem:
        return list(problem.faults)
    return []


def said(data: object) -> list[str]:
    return [str(fault) for fault in faults(data)]


def with_piece(**more: Any) -> Json:
    """Return a request for one piece of the tile of 600 x 300, changed so."""
    piece = {"id": "end", "width": 250, "height": 300, **more}
    return {**SMALL, "pieces": [piece]}


def with_tile(**more: Any) -> Json:
    return {**SMALL, "tiles": [{"id": "field", "width": 600, "height": 300, **more}]}


def test_every_field_has_its_place() -> None:
    request = Request.of(GOOD)
    tile, piece, offcut = request.tiles[0], request.pieces[0], request.offcuts[0]
    assert (tile.width, tile.height, tile.turn) == (600 * MM, 300 * MM, "half")
    assert (tile.per_box, tile.price) == (6, request.tiles[0].price)
    assert request.saw.kerf == 2 * MM
    assert piece.factory_edges == ("right", "top")
    assert piece.outline is not None
    assert piece.outline[3] == (100 * MM, 300 * MM)
    assert piece.holes[0] == Hole(x=180 * MM, y=100 * MM, diameter=35 * MM)
    assert offcut.factory_edges == ("left",)
    assert request.tile_of(piece) is request.tile_of(offcut) is tile


def test_what_may_be_left_out() -> None:
    request = Request.of(SMALL)
    assert request.format == "cutopt.request/1"
    assert (request.units, request.saw.kerf, request.offcuts) == ("mm", 2 * MM, ())
    assert (request.tiles[0].turn, request.tiles[0].per_box) == ("none", None)
    assert (request.pieces[0].quantity, request.pieces[0].factory_edges) == (1, ())
    assert request.tile_of(request.pieces[0]) is request.tiles[0]


def test_made_in_python_a_whole_number_is_a_length_as_it_is_held() -> None:
    tile = Tile(id="field", width=600 * MM, height=300 * MM)
    piece = Piece(id="end", width=250 * MM, height=300 * MM)
    assert Request(tiles=(tile,), pieces=(piece,)) == Request.of(SMALL)


def test_inches_count_the_bare_numbers_only() -> None:
    inches = {
        "units": "in",
        "tiles": [{"id": "field", "width": 24, "height": "1 ft"}],
        "saw": {"kerf": "2 mm"},
        "pieces": [{"id": "end", "width": 9.84375, "height": 12}],
    }
    request = Request.of(inches)
    assert (request.tiles[0].width, request.tiles[0].height) == (24 * INCH, 12 * INCH)
    assert request.saw.kerf == 2 * MM
    assert request.pieces[0].width == 630 * INCH // 64


def test_units_of_one_document_do_not_reach_the_next() -> None:
    wrong = {**SMALL, "units": "in", "pieces": [{"id": "end", "width": "?", "height": 1}]}
    assert faults(wrong)
    assert Request.of(SMALL).tiles[0].width == 600 * MM


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_request_gives_back_what_went_in(units: str) -> None:
    request = Request.of({**copy.deepcopy(GOOD), "units": "mm"})
    other = Request.read(request.model_copy(update={"units": units}).text())
    assert other.model_copy(update={"units": "mm"}) == request
    assert other.text() == Request.read(other.text()).text()


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_every_field_wrong_in_turn(wrong: Wrong) -> None:
    found = faults(wrong.request())
    assert any(
        fault.place == wrong.expected_place
        and wrong.value in fault.value
        and wrong.rule in fault.rule
        for fault in found
    ), [str(fault) for fault in found]


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_one_wrong_field_is_one_fault_save_where_several_share_it(wrong: Wrong) -> None:
    # A tile or piece that goes missing or changes its size is felt elsewhere too.
    places = {fault.place for fault in faults(wrong.request())}
    assert len(places) == 1 or wrong.at.split("/")[1] in ("tiles", "pieces", "offcuts")


@pytest.mark.parametrize(
    ("wrong", "near"),
    [
        ({"peices": []}, "pieces"),
        ({"offcut": []}, "offcuts"),
        ({"tiles": [{"id": "a", "widht": 3}]}, "width"),
        ({"tiles": [{"id": "a", "perbox": 3}]}, "per_box"),
        ({"saw": {"Kerf": 2}}, "kerf"),
        ({"pieces": [{"id": "a", "factory_edge": []}]}, "factory_edges"),
        ({"pieces": [{"id": "a", "quantitiy": 3}]}, "quantity"),
        ({"pieces": [{"id": "a", "holes": [{"diametre": 3}]}]}, "diameter"),
        ({"offcuts": [{"id": "a", "hieght": 3}]}, "height"),
    ],
)
def test_the_nearest_name_is_suggested(wrong: Json, near: str) -> None:
    assert any(fault.rule.endswith(f"did you mean '{near}'?") for fault in faults(wrong))


def test_no_name_is_suggested_from_afar() -> None:
    (fault,) = faults({**SMALL, "colour": "red"})
    assert fault == Fault("/colour", "'red'", "no field has this name")


def test_a_pointer_escapes_what_means_something_in_it() -> None:
    assert [fault.place for fault in faults({**SMALL, "a/b~c": 1})] == ["/a~1b~0c"]


def test_all_faults_are_told_at_once() -> None:
    wrong = {
        "units": "cm",
        "tiles": [{"id": "field", "width": 0}],
        "saw": {"kerf": -1},
        "pieces": [{"id": "end", "width": 250, "height": 300, "quantity": 0}],
    }
    assert [fault.place for fault in faults(wrong)] == [
        "/units",
        "/tiles/0/width",
        "/tiles/0/height",
        "/saw/kerf",
        "/pieces/0/quantity",
    ]


def test_faults_beyond_the_first_are_counted() -> None:
    wrong = [{"id": f"p{number}", "width": -1, "height": 5} for number in range(MOST_FAULTS + 7)]
    found = faults({**SMALL, "pieces": wrong})
    assert len(found) == MOST_FAULTS + 1
    assert found[-1] == Fault("", "7 more faults", "only the first are listed")


def test_a_long_value_is_shown_in_part() -> None:
    (fault,) = faults({**SMALL, "title": "x" * 100_000})
    assert len(fault.value) == 80
    assert fault.value.endswith("…")


@pytest.mark.parametrize("field", ["width", "height"])
def test_sides_of_a_tile_between_half_a_millimetre_and_ten_metres(field: str) -> None:
    def tile(side: float | str) -> list[str]:
        return [one for one in said(with_tile(**{field: side})) if f"/tiles/0/{field}" in one]

    assert tile(10_000) == tile(0.5) == []
    rule = "a tile's side lies between 0.5 mm and 10000 mm"
    assert tile(10_000.001) == [f"/tiles/0/{field}: 10000.001 mm: {rule}"]
    assert tile(0.499) == [f"/tiles/0/{field}: 0.499 mm: {rule}"]


def test_limits_in_inches_are_limits_that_pass() -> None:
    inches = {"units": "in", **with_tile(width=24, height=12)}
    inches["pieces"] = [{"id": "end", "width": "1/32 in", "height": 12}]
    assert said(inches) == []
    inches["pieces"] = [{"id": "end", "width": "1/64 in", "height": 12}]
    assert said(inches) == [
        "/pieces/0/width: 1/64 in: a piece's side lies between 1/32 in and 393 11/16 in"
    ]
    inches["pieces"] = [{"id": "end", "width": "393 11/16 in", "height": 12}]
    assert said(inches) == []


def test_a_piece_is_not_a_thousandth_of_its_tile() -> None:
    assert said(with_piece(width=0.6)) == []
    assert said(with_piece(width=0.599)) == [
        "/pieces/0/width: 0.599 mm: a tile's side is at most 1000 times a piece's"
    ]


def test_kerf_up_to_twenty_millimetres() -> None:
    assert said({**SMALL, "saw": {"kerf": 0}}) == said({**SMALL, "saw": {"kerf": 20}}) == []
    assert said({**SMALL, "saw": {"kerf": 20.001}}) == [
        "/saw/kerf: 20.001 mm: a kerf is at most 20 mm"
    ]
    inches = {**with_tile(width="600 mm"), "units": "in", "saw": {"kerf": 1}}
    assert "/saw/kerf: 1 in: a kerf is at most 25/32 in" in said(inches)


def many(count: int, **more: Any) -> list[Json]:
    return [{"id": f"n{number}", "width": 250, "height": 300, **more} for number in range(count)]


@pytest.mark.parametrize(
    ("name", "most"), [("tiles", MOST_TILES), ("pieces", MOST_PIECES), ("offcuts", MOST_OFFCUTS)]
)
def test_so_many_and_no_more(name: str, most: int) -> None:
    tile = {"id": "field", "width": 600, "height": 300}
    request = {**SMALL, "tiles": [tile], name: many(most)}
    if name == "tiles":
        request["pieces"] = many(1, tile="n0")
    assert said(request) == []
    request[name] = many(most + 1)
    (fault,) = [fault for fault in faults(request) if fault.place == f"/{name}"]
    assert f"at most {most:,} items" in fault.rule


def test_so_many_units_in_all() -> None:
    half = MOST_UNITS // 2
    assert said({**SMALL, "pieces": many(2, quantity=half)}) == []
    pieces = [*many(2, quantity=half), {"id": "one", "width": 1, "height": 1}]
    (fault,) = faults({**SMALL, "pieces": pieces})
    assert fault == Fault(
        "/pieces", f"{MOST_UNITS + 1} pieces in all", f"at most {MOST_UNITS} are planned"
    )


def test_corners_and_holes_are_bounded() -> None:
    teeth = [[x, 10 if x % 2 else 0] for x in range(MOST_CORNERS - 2)]
    comb = [*teeth, [61, 300], [0, 300]]
    assert said(with_piece(width=61, outline=comb)) == []
    assert "at most 64 items" in said(with_piece(width=61, outline=[*comb, [0, 200]]))[0]
    hole = {"x": 100, "y": 100, "diameter": 5}
    assert said(with_piece(holes=[hole] * MOST_HOLES)) == []
    assert "at most 16 items" in said(with_piece(holes=[hole] * (MOST_HOLES + 1)))[0]


def test_with_several_tiles_each_piece_names_its_own() -> None:
    tiles = [{"id": name, "width": 600, "height": 300} for name in ("wall", "floor")]
    piece = {"id": "end", "width": 250, "height": 300}
    two = {"tiles": tiles, "pieces": [piece], "offcuts": [piece]}
    rule = "with several tiles each piece and offcut names its tile"
    assert said(two) == [
        f"/pieces/0/tile: 'nothing': {rule}",
        f"/offcuts/0/tile: 'nothing': {rule}",
    ]
    two = {"tiles": tiles, "pieces": [{**piece, "tile": "floor"}]}
    request = Request.of(two)
    assert request.tile_of(request.pieces[0]).id == "floor"


def test_the_same_id_is_told_at_each_place() -> None:
    pieces = [{"id": "end", "width": 250, "height": 300}] * 2
    assert [fault.place for fault in faults({**SMALL, "pieces": pieces})] == [
        "/pieces/0/id",
        "/pieces/1/id",
    ]
    shelf = [{"id": "end", "width": 250, "height": 300}]
    assert said({**SMALL, "offcuts": shelf}) == []


def test_sides_come_back_in_one_order() -> None:
    request = Request.of(with_piece(factory_edges=["bottom", "top", "left"]))
    assert request.pieces[0].factory_edges == ("left", "top", "bottom")


@pytest.mark.parametrize(
    ("turn", "size", "fits"),
    [
        ("none", (600, 300), True),
        ("none", (300, 600), False),
        ("half", (300, 600), False),
        ("quarter", (300, 600), True),
        ("quarter", (300, 601), False),
    ],
)
def test_an_offcut_is_no_larger_than_its_tile(turn: str, size: tuple[int, int], fits: bool) -> None:
    offcut = {"id": "shelf", "width": size[0], "height": size[1]}
    found = said({**with_tile(turn=turn), "offcuts": [offcut]})
    rule = "an offcut is no larger than its tile 'field'"
    assert found == ([] if fits else [f"/offcuts/0: {size[0]} mm x {size[1]} mm: {rule}"])


@pytest.mark.parametrize(
    ("turn", "piece", "full"),
    [
        ("none", {"width": 600, "height": 300}, True),
        ("none", {"width": 300, "height": 600}, False),
        ("quarter", {"width": 300, "height": 600}, True),
        ("none", {"width": 599.999, "height": 300}, False),
        (
            "none",
            {"width": 600, "height": 300, "outline": [[0, 0], [600, 0], [600, 300], [0, 300]]},
            True,
        ),
        ("none", {"width": 600, "height": 300, "outline": [[0, 0], [600, 0], [0, 300]]}, False),
        (
            "none",
            {"width": 600, "height": 300, "holes": [{"x": 99, "y": 99, "diameter": 9}]},
            False,
        ),
    ],
)
def test_a_full_tile_is_as_large_as_its_tile_with_nothing_cut_away(
    turn: str, piece: Json, full: bool
) -> None:
    request = Request.of({**with_tile(turn=turn), "pieces": [{"id": "end", **piece}]})
    assert is_full_tile(request.pieces[0], request.tiles[0]) is full


@pytest.mark.parametrize(
    ("hole", "inside"),
    [
        ({"x": 50, "y": 50, "diameter": 99.999}, True),
        ({"x": 50, "y": 50, "diameter": 100}, False),
        ({"x": 130, "y": 170, "diameter": 84}, True),
        ({"x": 130, "y": 170, "diameter": 85}, False),
        ({"outline": [[10, 10], [90, 10], [90, 90], [10, 90]]}, True),
        ({"outline": [[10, 10], [90, 10], [90, 90], [0, 90]]}, False),
        ({"outline": [[50, 150], [200, 150], [200, 180], [50, 180]]}, True),
        ({"outline": [[50, 250], [200, 250], [200, 280], [50, 280]]}, False),
    ],
)
def test_a_hole_lies_wholly_inside_its_piece(hole: Json, inside: bool) -> None:
    notched = [[0, 0], [250, 0], [250, 300], [100, 300], [100, 200], [0, 200]]
    found = [fault.place for fault in faults(with_piece(outline=notched, holes=[hole]))]
    assert found == ([] if inside else ["/pieces/0/holes/0"])


def test_too_few_corners_are_told_as_such_and_wrong_ones_one_by_one() -> None:
    (fault,) = faults(with_piece(outline=[[0, 0], [250, 0]]))
    assert fault.place == "/pieces/0/outline"
    assert "at least 3 items" in fault.rule
    wrong = faults(with_piece(outline=[[0, 0], ["?", 0], [250, 300]]))
    assert [fault.place for fault in wrong] == ["/pieces/0/outline/1/0"]


def test_the_outline_of_a_hole_crosses_itself_nowhere() -> None:
    bow = [[10, 10], [90, 90], [90, 10], [10, 90]]
    found = [fault.place for fault in faults(with_piece(holes=[{"outline": bow}]))]
    assert found == ["/pieces/0/holes/0/outline"]


@pytest.mark.parametrize(
    "hole", [{"x": 9, "y": 9}, {"diameter": 9}, {}, {"x": 9, "outline": [[1, 1], [5, 1], [5, 5]]}]
)
def test_a_hole_is_round_or_outlined(hole: Json) -> None:
    (fault,) = faults(with_piece(holes=[hole]))
    assert fault.rule == "a hole has either x, y and diameter, or an outline"


def test_numbers_that_python_itself_cannot_write_are_refused_by_their_place() -> None:
    vast = 10**5000
    for wrong in (with_piece(width=vast), with_piece(quantity=vast), with_tile(price=vast)):
        (fault,) = faults(wrong)
        assert fault.value == "a number of thousands of digits"


def test_an_offcut_cannot_be_called_what_a_plan_calls_a_new_tile() -> None:
    document = {
        "tiles": [{"id": "field", "width": 600, "height": 300}],
        "pieces": [{"id": "a", "width": 100, "height": 100}],
        "offcuts": [{"id": "new", "width": 300, "height": 300}],
    }
    with pytest.raises(InvalidInput) as caught:
        Request.of(document)
    assert [(fault.place, fault.value) for fault in caught.value.faults] == [
        ("/offcuts/0/id", "'new'")
    ]
