"""Pieces that may be cut from any of several tiles: which costs least, limits, and the check."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.check import check_plan
from cutopt.documents import Plan, Request, Together
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds
from tests.building import Json, planned
from tests.strategies import requests

LARGE: Json = {"id": "large", "width": 600, "height": 600, "price": 9}
SMALL: Json = {"id": "small", "width": 600, "height": 300, "price": 4.2, "per_box": 6}


def piece(name: str, width: float, height: float, quantity: int = 1, **more: Any) -> Json:
    size: Json = {"id": name, "width": width, "height": height, "quantity": quantity}
    return size | (more or {"tiles": ["large", "small"]})


def request(*pieces: Json, **more: Any) -> Request:
    wanted: Json = {"tiles": [LARGE, SMALL], "saw": {"kerf": 0}, "objective": "cost", **more}
    return Request.of({**wanted, "pieces": list(pieces)})


def together(made: Plan) -> Together:
    assert made.together is not None
    (one,) = made.together
    return one


def needed(made: Plan) -> dict[str, int]:
    return {total.tile: total.tiles_needed for total in made.totals}


def test_the_example_in_the_docs_is_true() -> None:
    page = Path("docs/formats.md").read_text(encoding="utf-8")
    example = page.split("```json")[1].split("```")[0]
    made = planned(Request.read(example))
    assert needed(made) == {"large": 10, "small": 7}
    assert (together(made).needed, together(made).proven_minimal) == (Decimal("123.4"), True)


def test_the_tile_that_costs_least_is_chosen() -> None:
    made = planned(request(piece("strip", 600, 300, 3)))
    assert needed(made) == {"large": 0, "small": 3}
    assert together(made).needed == together(made).lower_bound == Decimal("12.6")
    assert together(made).proven_minimal
    assert (made.is_proven, made.gap) == (True, 0.0)


def test_a_plan_is_as_far_from_proven_as_what_is_least_together() -> None:
    made = planned(request(piece("strip", 600, 300, 3)))
    low = {"lower_bound": Decimal("6.3"), "proven_minimal": False}
    open_claim = together(made).model_copy(update=low)
    made = made.model_copy(update={"together": (open_claim,)})
    assert (made.is_proven, made.gap) == (False, 0.5)


def test_counted_in_tiles_the_large_one_is_chosen() -> None:
    made = planned(request(piece("strip", 600, 300, 3), objective="tiles"))
    assert sum(needed(made).values()) == together(made).needed == 2


def test_a_batch_that_runs_out_is_eked_out_with_the_dearer_one() -> None:
    few = {**SMALL, "available": 1}
    made = planned(request(piece("strip", 600, 300, 5), tiles=[LARGE, few]))
    assert needed(made) == {"large": 2, "small": 1}
    assert together(made).needed == Decimal("22.2")


def test_pieces_without_a_choice_stay_with_their_tile() -> None:
    whole = piece("whole", 600, 600, 2, tile="large")
    made = planned(request(whole, piece("strip", 600, 300, 1), piece("s", 300, 300, tile="large")))
    totals = {total.tile: total for total in made.totals}
    assert (totals["large"].full_tiles, totals["large"].cut_tiles) == (2, 1)
    # The strip comes out of the large tile that is cut anyhow.
    assert totals["small"].tiles_needed == 0
    assert (totals["large"].lower_bound, totals["large"].proven_minimal) == (3, True)
    assert (totals["small"].lower_bound, totals["small"].proven_minimal) == (0, True)
    assert (totals["large"].pieces, totals["large"].cut_pieces) == (4, 2)


def test_whole_tiles_with_a_choice_are_listed_with_their_tile() -> None:
    made = planned(request(piece("whole", 600, 300, 2)))
    assert [(one.tile, one.count, one.cuts) for one in made.cut_tiles] == [("small", 2, ())]
    assert all(total.chosen for total in made.totals)


def test_offcuts_are_free_of_whichever_tile() -> None:
    shelf = {"id": "shelf", "tile": "large", "width": 600, "height": 310, "quantity": 2}
    made = planned(request(piece("strip", 600, 300, 3), offcuts=[shelf]))
    assert (needed(made), together(made).needed) == ({"large": 0, "small": 1}, Decimal("4.2"))


def test_too_few_of_all_together_is_refused() -> None:
    few = [{**LARGE, "available": 1}, {**SMALL, "available": 2}]
    assert needed(planned(request(piece("s", 600, 300, 4), tiles=few))) == {"large": 1, "small": 2}
    with pytest.raises(CannotBeMet) as refused:
        plan(request(piece("strip", 600, 300, 7), tiles=few))
    assert [str(fault) for fault in refused.value.faults] == [
        "/tiles/0/available: 1 of tile 'large', 2 of tile 'small': "
        "the pieces take 2 more than there are; no plan takes fewer"
    ]


def test_a_piece_that_fits_one_of_its_tiles_is_cut_from_that() -> None:
    assert needed(planned(request(piece("square", 500, 500)))) == {"large": 1, "small": 0}
    with pytest.raises(
        CannotBeMet, match=r"larger than tile 'large'.*; .*larger than tile 'small'"
    ):
        plan(request(piece("square", 700, 500)))


@pytest.mark.parametrize(
    ("changes", "place", "rule"),
    [
        ({"tiles": ["large", "huge"]}, "/pieces/0/tiles/1", "names a tile of the request"),
        ({"tiles": ["large", "large"]}, "/pieces/0/tiles/1", "named once"),
        ({"tiles": ["large"]}, "/pieces/0/tiles", "at least 2 items"),
        ({"tiles": ["large", "small"], "tile": "large"}, "/pieces/0/tiles", "no other tile"),
        ({"tiles": ["large", "turned"]}, "/pieces/0/tiles/1", "turned alike"),
        ({"tiles": ["large", "free"]}, "/pieces/0/tiles/1", "a price above 0"),
    ],
)
def test_what_is_no_choice_is_refused(changes: Json, place: str, rule: str) -> None:
    turned = {**SMALL, "id": "turned", "turn": "half"}
    free = {**SMALL, "id": "free", "price": 0}
    with pytest.raises(InvalidInput, match=rule) as refused:
        request(piece("strip", 600, 300, **changes), tiles=[LARGE, SMALL, turned, free])
    assert [fault.place for fault in refused.value.faults] == [place]


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({}, None),
        ({"needed": 12}, "/together/0/needed"),
        ({"lower_bound": 13}, "/together/0/lower_bound"),
        ({"lower_bound": 12}, "/together/0/proven_minimal"),
        ({"objective": "tiles"}, "/together/0/objective"),
        ({"tiles": ["large", "large"]}, "/together/0/tiles"),
    ],
)
def test_the_check_knows_what_tiles_come_to_together(change: Json, place: str | None) -> None:
    wanted = request(piece("strip", 600, 300, 3))
    claim = together(planned(wanted)).model_copy(
        update={
            key: Decimal(value) if type(value) is int else value for key, value in change.items()
        }
    )
    made = planned(wanted).model_copy(update={"together": (claim,)})
    assert [fault.place for fault in check_plan(wanted, made)] == ([place] if place else [])


def test_the_check_knows_which_tiles_are_a_choice() -> None:
    only = request(piece("strip", 600, 300, tile="large"))
    made = planned(only)
    assert made.totals[0].chosen is None
    claim = made.totals[0].model_copy(update={"chosen": True})
    wrong = made.model_copy(update={"totals": (claim,)})
    assert [fault.place for fault in check_plan(only, wrong)] == ["/totals/0/chosen"]


def test_the_check_refuses_a_tile_that_is_no_choice() -> None:
    chosen = planned(request(piece("strip", 600, 300)))
    only = request(piece("strip", 600, 300, tile="large"), piece("x", 600, 300, 1))
    assert "/cut_tiles/0/placements/0/piece" in [one.place for one in check_plan(only, chosen)]


def choosing(document: Json, second: tuple[int, int], prices: tuple[int, int]) -> Json:
    """Return a request with a second tile that every plain piece may come of as well."""
    first = {**document["tiles"][0], "price": prices[0]}
    other = {**first, "id": "other", "price": prices[1]}
    other["width"], other["height"] = (max(side, 40) for side in second)
    choice = {"tiles": ["field", "other"]}
    pieces = [{**one, **choice} for one in document["pieces"]]
    offcuts = [{**one, "tile": "field"} for one in document["offcuts"]]
    return {
        **document,
        "tiles": [first, other],
        "pieces": pieces,
        "offcuts": offcuts,
        "objective": "cost",
    }


def least(document: Json) -> Together:
    made = plan(Request.of(document), MaxSeconds(10))  # raises BrokenPlan if the check refuses
    assert check_plan(Request.of(document), Plan.read(made.text())) == ()
    return together(made)


SIZES = st.tuples(st.integers(40, 120), st.integers(40, 120))


@settings(max_examples=25, deadline=None)
@given(requests(), SIZES, st.tuples(st.integers(2, 9), st.integers(2, 9)))
def test_a_price_cut_never_raises_the_cost(
    document: Json, second: tuple[int, int], prices: tuple[int, int]
) -> None:
    before = least(choosing(document, second, prices))
    after = least(choosing(document, second, (prices[0], prices[1] - 1)))
    assert after.lower_bound <= before.needed


@settings(max_examples=25, deadline=None)
@given(requests(), SIZES, st.integers(0, 3))
def test_a_lower_limit_never_lowers_the_cost(
    document: Json, second: tuple[int, int], limit: int
) -> None:
    free = choosing(document, second, (5, 3))
    few = {**free, "tiles": [free["tiles"][0], {**free["tiles"][1], "available": limit}]}
    assert least(free).lower_bound <= least(few).needed


@settings(max_examples=25, deadline=None)
@given(requests())
def test_the_same_tile_twice_at_one_price_takes_as_many_as_once(document: Json) -> None:
    only = document["tiles"][0]
    both = least(choosing(document, (only["width"], only["height"]), (1, 1)))
    alone = planned(Request.of(document)).totals[0]
    assert both.lower_bound <= alone.tiles_needed
    assert alone.lower_bound <= both.needed


def test_a_whole_tile_that_no_saw_need_cut_is_missing_all_the_same() -> None:
    none = [{**SMALL, "available": 0}, {**LARGE, "height": 610}]
    saw = {"kerf": 0, "greatest_cut": 100}
    with pytest.raises(CannotBeMet, match="the pieces take 1 more than there are"):
        plan(request(piece("whole", 600, 300), tiles=none, saw=saw))
