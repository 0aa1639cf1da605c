"""What a plan comes to: totals, numbers, what is echoed, why the search ended."""

import threading
from decimal import Decimal
from typing import Any

import pytest

from cutopt.documents import Plan, Request
from cutopt.pipeline import plan
from cutopt.stop import Cancelled, MaxProcessorSeconds, MaxSeconds, Progress, Told, first_of
from cutopt.version import MADE_BY
from tests.building import Json, planned

WALL: Json = {
    "id": "wall",
    "width": 600,
    "height": 300,
    "turn": "half",
    "per_box": 4,
    "price": Decimal("4.20"),
}
FLOOR: Json = {"id": "floor", "width": 300, "height": 300}


def made(*pieces: Json, **more: Any) -> Plan:
    wanted = {"tiles": [WALL, FLOOR], "pieces": list(pieces), **more}
    return planned(Request.of(wanted), seed=5)


def piece(name: str, width: float, height: float, quantity: int = 1, tile: str = "wall") -> Json:
    return {"id": name, "tile": tile, "width": width, "height": height, "quantity": quantity}


def test_a_total_counts_what_it_says() -> None:
    offcut = piece("shelf", 260, 300)
    plan = made(piece("full", 600, 300, 3), piece("end", 250, 300, 6), offcuts=[offcut])
    (total,) = plan.totals
    assert (total.tile, total.full_tiles, total.cut_tiles, total.tiles_needed) == ("wall", 3, 3, 6)
    assert (total.pieces, total.cut_pieces, total.counted_naively) == (9, 6, 9)
    assert (total.lower_bound, total.proven_minimal, total.offcuts_used) == (6, True, 1)
    assert total.cuts == sum(one.count * len(one.cuts or ()) for one in plan.cut_tiles)
    assert (total.boxes, total.cost) == (2, Decimal("25.20"))


@pytest.mark.parametrize(("tiles", "boxes"), [(4, 1), (5, 2), (8, 2), (9, 3)])
def test_boxes_are_whole(tiles: int, boxes: int) -> None:
    assert made(piece("full", 600, 300, tiles)).totals[0].boxes == boxes


def test_what_nobody_said_is_not_made_up() -> None:
    total = made(piece("full", 300, 300, tile="floor")).totals[0]
    assert (total.boxes, total.cost) == (None, None)


def test_each_tile_has_its_own_total_in_the_order_of_the_request() -> None:
    plan = made(piece("a", 100, 300, tile="floor"), piece("b", 250, 300), piece("c", 340, 300))
    assert [total.tile for total in plan.totals] == ["wall", "floor"]
    assert [(one.number, one.tile) for one in plan.cut_tiles] == [(1, "wall"), (2, "floor")]


def test_a_tile_that_no_piece_is_of_has_no_total() -> None:
    assert [total.tile for total in made(piece("a", 100, 300, tile="floor")).totals] == ["floor"]


def test_full_tiles_alone_take_no_cut() -> None:
    plan = made(piece("full", 600, 300, 7))
    assert plan.cut_tiles == ()
    assert plan.totals[0].cut_tiles == 0


def test_what_came_in_goes_out() -> None:
    plan = made(
        piece("a", 250, 300),
        title="Haus Lindenhof 7, bath",
        units="in",
        tiles=[{"id": "wall", "width": "600 mm", "height": "12 in"}],
        pieces=[{"id": "a", "width": 9, "height": 12}],
    )
    assert (plan.title, plan.units, plan.seed) == ("Haus Lindenhof 7, bath", "in", 5)
    assert (plan.made_by, plan.stopped) == (MADE_BY, "done")


def needed(wanted: Json, offcut: Json) -> int:
    """Return the new tiles for a piece with an offcut on the shelf."""
    return made(wanted, offcuts=[offcut]).totals[0].tiles_needed


def test_offcuts_are_used_before_a_tile_is_opened() -> None:
    ends = piece("end", 250, 300, 3)
    assert needed(ends, piece("shelf", 250, 300, 3)) == 0
    assert needed(ends, piece("shelf", 249, 300, 3)) == 2


def test_an_offcut_never_gives_an_edge_that_it_has_not() -> None:
    end = {**piece("end", 250, 300), "factory_edges": ["left"]}
    shelf = piece("shelf", 250, 300)
    right = {**shelf, "factory_edges": ["right"]}
    assert needed(end, shelf) == 1
    assert needed(end, right) == 0  # upside down it is the left
    assert needed({**end, "tile": "floor"}, {**right, "tile": "floor"}) == 1


def hard() -> Request:
    """Return a request that is not proven by a first look."""
    pieces = [piece(f"p{n}", 150 + 7 * n, 80 + 11 * (n % 7), 2) for n in range(12)]
    return Request.of({"tiles": [WALL], "pieces": pieces})


def test_out_of_time_at_once_means_a_valid_plan_with_an_honest_bound() -> None:
    cut_short, best = plan(hard(), MaxSeconds(0)), plan(hard(), MaxProcessorSeconds(30))
    total, fewest = cut_short.totals[0], best.totals[0]
    assert cut_short.stopped == "time"
    assert total.lower_bound <= fewest.tiles_needed <= total.tiles_needed
    assert total.proven_minimal == (total.lower_bound == total.tiles_needed)


def test_cancelled_at_once_means_the_same() -> None:
    event = threading.Event()
    event.set()
    stopped = plan(hard(), first_of(MaxProcessorSeconds(30), Cancelled(event)))
    assert stopped.stopped == "cancelled"
    assert stopped.totals[0].lower_bound <= stopped.totals[0].tiles_needed


def test_progress_tells_tile_step_and_how_far() -> None:
    told: list[Progress] = []
    best = plan(hard(), first_of(Told(told.append), MaxProcessorSeconds(30)))
    assert {one.tile for one in told} == {"wall"}
    assert all(one.step for one in told)
    tiles = [one.tiles for one in told if one.tiles is not None]
    bounds = [one.bound for one in told]
    assert tiles == sorted(tiles, reverse=True)
    assert bounds == sorted(bounds)
    assert tiles[-1] == best.totals[0].tiles_needed


def test_two_tiles_cut_short_are_said_to_be() -> None:
    pieces = [*(piece(f"w{n}", 150 + 7 * n, 80 + 11 * (n % 7)) for n in range(9))]
    pieces.append(piece("f", 300, 300, tile="floor"))
    request = Request.of({"tiles": [WALL, FLOOR], "pieces": pieces})
    assert plan(request, MaxSeconds(0)).stopped == "time"
