"""Second wishes of a request: followed without a tile more, named in the plan, checked."""

from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.check import check_plan
from cutopt.documents import Plan, Request
from cutopt.documents.wishes import Wish
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds
from tests.building import Json, planned
from tests.strategies import requests

WISHES = get_args(Wish)


def request(*widths: float, **more: Any) -> Request:
    pieces = [
        {"id": f"p{number}", "width": width, "height": 300} for number, width in enumerate(widths)
    ]
    tile = {"id": "field", "width": 600, "height": 300}
    return Request.of({"tiles": [tile], "saw": {"kerf": 0}, "pieces": pieces, **more})


def tiles_of(made: Plan) -> list[list[str]]:
    return sorted(sorted(one.piece for one in tile.placements) for tile in made.cut_tiles)


def test_what_is_not_asked_for_is_not_claimed() -> None:
    assert planned(request(300, 300)).preferred is None


def test_pieces_that_are_set_together_come_out_of_one_tile() -> None:
    # Any 301 goes with any 299; they are set in the order in which the request names them.
    made = planned(request(301, 290, 305, 295, prefer=["less waiting"]))
    assert tiles_of(made) == [["p0", "p1"], ["p2", "p3"]]
    assert made.preferred == ("less waiting",)


def test_fewer_settings_share_sizes() -> None:
    wishing = request(400, 300, 300, 200, 200, 400, prefer=["fewer settings"])
    made = planned(wishing)
    assert made.totals[0].tiles_needed == 3
    assert {cut.at for tile in made.cut_tiles for cut in tile.cuts or ()} <= {
        cut.at for tile in planned(request(400, 300)).cut_tiles for cut in tile.cuts or ()
    } | {cut.at for tile in planned(request(200, 300)).cut_tiles for cut in tile.cuts or ()}


def test_the_check_knows_what_was_asked_for() -> None:
    made = planned(request(300, 300, prefer=["less waiting"]))
    assert check_plan(request(300, 300, prefer=["less waiting"]), made) == ()
    (fault,) = check_plan(request(300, 300), made)
    assert (fault.place, fault.rule) == ("/preferred", "the request prefers nothing")


@pytest.mark.parametrize("wish", WISHES)
def test_every_wish_can_be_followed_with_slanted_and_notched_pieces(wish: str) -> None:
    triangle = {"id": "t", "width": 300, "height": 300, "outline": [[0, 0], [300, 0], [0, 300]]}
    notch = [[0, 0], [250, 0], [250, 300], [100, 300], [100, 200], [0, 200]]
    notched = {"id": "n", "width": 250, "height": 300, "outline": notch, "quantity": 3}
    made = planned(request(prefer=[wish], pieces=[{**triangle, "quantity": 2}, notched]))
    assert made.preferred == (wish,)


@settings(max_examples=25, deadline=None)
@given(requests(slanted=True), st.permutations(WISHES), st.integers(1, 5))
def test_no_wish_costs_a_tile(document: Json, order: list[str], many: int) -> None:
    plain = plan(Request.of(document), MaxSeconds(10)).totals[0]
    wishing = plan(Request.of({**document, "prefer": order[:many]}), MaxSeconds(10)).totals[0]
    assert wishing.lower_bound <= plain.tiles_needed
    assert plain.lower_bound <= wishing.tiles_needed
