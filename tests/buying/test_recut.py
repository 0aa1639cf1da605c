"""What a broken piece can be cut again from: leftovers that hold it, spare tiles that two share."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.buying.breakage import chances_for
from cutopt.buying.recut import Box, box, fragile_pieces, halves_of, risk_of, turned_as_allowed
from cutopt.documents import Side, Tile
from cutopt.documents.buying import TileToBuy
from cutopt.documents.mosaic import Mosaic
from cutopt.units import MM
from tests.buying.orders import planned, request_data

SIDES: tuple[Side, ...] = ("left", "bottom", "right", "top")
sizes = st.integers(1, 12)
boxes = st.builds(box, sizes, sizes, st.sets(st.sampled_from(SIDES)))
turns = st.sampled_from(["none", "half", "quarter"])


def tile(width: int, height: int, turn: Any = "none") -> Tile:
    return Tile(id="t", width=width, height=height, turn=turn)


def share(one: Box, other: Box, on: Tile, kerf: int) -> bool:
    first, second = (halves_of(turned_as_allowed(piece, on), on, kerf) for piece in (one, other))
    assert first.fits_beside(second) == second.fits_beside(first)
    return first.fits_beside(second)


def test_a_quarter_turn_takes_left_to_bottom() -> None:
    assert box(3, 2, ["left", "top"]).turned(1) == box(2, 3, ["bottom", "left"])


@given(boxes, st.integers(0, 3), st.integers(0, 3))
def test_turns_add_up(one: Box, first: int, second: int) -> None:
    assert one.turned(first).turned(second) == one.turned((first + second) % 4)


@pytest.mark.parametrize(
    ("stock", "piece", "holds"),
    [
        (box(5, 3, ["left"]), box(5, 3, ["left"]), True),
        (box(5, 3, ["left"]), box(6, 3), False),
        (box(5, 3, ["left"]), box(4, 3, ["right"]), False),
        (box(5, 3, ["left", "right"]), box(5, 2, ["left", "right"]), True),
        (box(5, 3, ["left", "right"]), box(4, 2, ["left", "right"]), False),
        (box(5, 3, ["top", "bottom"]), box(2, 3, ["top", "bottom"]), True),
        (box(5, 3, ["top", "bottom"]), box(2, 2, ["top", "bottom"]), False),
    ],
)
def test_what_a_leftover_holds(stock: Box, piece: Box, holds: bool) -> None:
    assert stock.holds(piece) == holds


def test_two_pieces_just_share_a_tile_or_just_do_not() -> None:
    right = box(4, 6, ["right", "top", "bottom"])
    left = box(4, 6, ["left", "top", "bottom"])
    assert share(left, right, tile(10, 6), kerf=2)
    assert not share(left, right, tile(10, 6), kerf=3)
    assert not share(left, left, tile(10, 6), kerf=2)
    assert share(left, left, tile(10, 6, "half"), kerf=2)
    assert share(box(6, 4), box(6, 5), tile(6, 10, "none"), kerf=1)
    assert not share(box(6, 4), box(6, 5), tile(10, 8, "none"), kerf=1)


@given(boxes, boxes, sizes, sizes, turns, st.integers(0, 2))
def test_sharing_as_every_straight_cut_tried(
    one: Box, other: Box, width: int, height: int, turn: str, kerf: int
) -> None:
    on = tile(width, height, turn)
    tried = False
    for first, second in ((one, other), (other, one)):
        for a in turned_as_allowed(first, on):
            for b in turned_as_allowed(second, on):
                for at in range(1, width - kerf):
                    left = box(at, height, ["left", "top", "bottom"])
                    right = box(width - kerf - at, height, ["right", "top", "bottom"])
                    tried |= left.holds(a) and right.holds(b)
                for at in range(1, height - kerf):
                    low = box(width, at, ["left", "right", "bottom"])
                    high = box(width, height - kerf - at, ["left", "right", "top"])
                    tried |= low.holds(a) and high.holds(b)
    assert share(one, other, on, kerf) == tried


def test_the_risk_of_a_plan() -> None:
    """Three pieces of 400 x 300 take a tile each and leave 198 x 300; 190 x 290 fits there."""
    data = request_data((400, 300, 3), (600, 300, 2))
    data["tiles"][0] = {**data["tiles"][0], "turn": "none"}
    found, made, _ = planned(data)
    (of,) = found.request.tiles
    fragile = fragile_pieces(found.request, made, of, chances_for(of, TileToBuy()))
    risk = risk_of(found.request, made, of, fragile, (0.0, 0.0))
    assert risk.counts == (2, 3)
    assert (risk.needed, risk.cut) == (5, 3)
    assert risk.leftovers == (3,)
    assert risk.fits == ((), ())
    assert not risk.share_a_tile(1, 1)
    assert box(198 * MM, 300 * MM, SIDES).holds(box(190 * MM, 290 * MM))


def test_sheets_of_mosaic_break_only_when_that_is_said() -> None:
    sheet = Mosaic(chip_width=48 * MM, chip_height=48 * MM, joint=2 * MM)
    on = Tile(id="m", width=298 * MM, height=298 * MM, mosaic=sheet)
    assert set(chances_for(on, TileToBuy()).of_kind.values()) == {0.0}
    told = TileToBuy.model_validate({"breakage": {"straight": 0.03}})
    assert chances_for(on, told).of_kind["straight"] == 0.03
