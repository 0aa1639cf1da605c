"""The order as a whole: boxes, money, returns, deliveries, faults, the same bytes twice."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom

from cutopt.documents import Request
from cutopt.documents.order import Order
from cutopt.errors import CannotBeMet, InvalidInput
from tests.buying.orders import (
    SOUND,
    TILE,
    breaking,
    job_data,
    ordered,
    planned,
    request_data,
    wall,
)

few = settings(max_examples=15, deadline=None)


def only(order: Order) -> tuple[int, int, int]:
    """Return the tiles needed, in reserve and wanted of the only tile."""
    (tile,) = order.tiles
    return tile.tiles_needed, tile.reserve.spares, tile.tiles_wanted


def test_whole_tiles_that_never_break_take_no_reserve() -> None:
    order = ordered(request_data((600, 300, 13), tiles=[SOUND]))
    assert only(order) == (13, 0, 13)
    assert (order.tiles[0].boxes, order.tiles[0].tiles_bought) == (3, 18)
    assert order.tiles[0].cost == 72
    assert order.tiles[0].chance_short == 0


@pytest.mark.parametrize(("tiles", "boxes"), [(12, 2), (13, 3)])
def test_a_box_just_is_enough_or_just_is_not(tiles: int, boxes: int) -> None:
    order = ordered(request_data((600, 300, tiles), tiles=[SOUND]))
    assert order.tiles[0].boxes == boxes


def test_the_reserve_of_whole_tiles_is_negative_binomial() -> None:
    """Forty whole tiles, 5 in 100 break when they are set: from scipy."""
    order = ordered(request_data((600, 300, 40), tiles=[breaking(whole=0.05)], service_level=0.9))
    reserve = order.tiles[0].reserve
    assert reserve.exact
    assert reserve.spares == nbinom.ppf(0.9, 40, 0.95)
    for row in reserve.table:
        assert math.isclose(row.chance_short, nbinom.sf(row.spares, 40, 0.95), abs_tol=1e-6)


def test_pieces_that_share_a_spare_tile_take_half_as_many() -> None:
    """Four halves, each broken once in two: two to a tile, whatever the plan leaves over."""
    order = ordered(request_data((299, 300, 4), tiles=[breaking(straight=0.5)], service_level=0.9))
    broken = nbinom.ppf(0.9, 4, 0.5)
    assert order.tiles[0].reserve.exact
    assert order.tiles[0].reserve.spares == math.ceil(broken / 2)


def test_what_goes_back_unopened() -> None:
    """Two whole tiles in boxes of two, each broken once in two: counted by hand."""
    data = request_data(
        (600, 300, 2), tiles=[{**breaking(whole=0.5), "per_box": 2}], service_level=0.8
    )
    (tile,) = ordered(data).tiles
    # 1/4 never break, 1/4 once, 3/16 twice: 2 spares for 68.75 %, 3 for 81.25 %; 5 tiles, 3 boxes.
    assert (tile.reserve.spares, tile.boxes) == (3, 3)
    none, one_or_two = 0.25, 0.25 + 3 / 16
    assert tile.boxes_back == pytest.approx(2 * none + one_or_two, abs=1e-3)
    assert tile.chance_of_box_back == pytest.approx(none + one_or_two, abs=1e-4)
    assert tile.money_back == pytest.approx(Decimal("7.5"))


def test_boxes_that_do_not_go_back() -> None:
    data = request_data((600, 300, 13), tiles=[{**SOUND, "unopened_boxes_go_back": False}])
    assert ordered(data).tiles[0].boxes_back is None


def test_savings_against_counting_naively() -> None:
    """Four pieces of 299 x 300 come from two tiles; naively from four: two at 4.00 saved."""
    order = ordered(request_data((299, 300, 4), tiles=[SOUND]))
    (tile,) = order.tiles
    assert (tile.tiles_needed, tile.counted_naively, tile.tiles_saved) == (2, 4, 2)
    assert tile.money_saved == 8
    assert order.costs is not None
    assert order.costs.saved == 8
    assert "adhesive" in order.costs.without_price


def test_the_cost_view() -> None:
    """A spare of 4.00 against running short at 150.00: worth it while it removes 1 in 37.5."""
    data = request_data((600, 300, 40), tiles=[breaking(whole=0.05)], cost_of_running_short=150)
    reserve = ordered(data).tiles[0].reserve
    costs = [4 * many + 150 * float(nbinom.sf(many, 40, 0.95)) for many in range(12)]
    assert reserve.cheapest == costs.index(min(costs))
    assert reserve.table[0].cost == pytest.approx(Decimal(costs[0]), abs=Decimal("0.01"))


def test_more_than_the_custom_is_said_not_added() -> None:
    order = ordered(request_data((350, 300, 8), tiles=[SOUND]))
    (tile,) = order.tiles
    assert (tile.tiles_wanted, tile.by_area, tile.percent_over_area) == (8, 5, 60.0)
    assert any("above the 3 to 15 %" in note for note in order.notes)


def test_all_tiles_together_run_short_more_often_than_each() -> None:
    data = request_data((600, 300, 40), tiles=[breaking(whole=0.05)], service_level=0.9)
    data["tiles"] = [TILE, {**TILE, "id": "u"}]
    data["pieces"] = [
        {"id": f"p{tile}", "tile": tile, "width": 600, "height": 300, "quantity": 40}
        for tile in ("t", "u")
    ]
    order = ordered(data)
    enough = float(nbinom.cdf(order.tiles[0].reserve.spares, 40, 0.95))
    assert order.chance_short == pytest.approx(1 - enough**2, abs=1e-6)
    assert order.chance_short_as_bought <= order.chance_short


def test_too_few_to_be_had_is_said_with_its_chance() -> None:
    data = request_data((600, 300, 40), tiles=[breaking(whole=0.05)])
    data["tiles"] = [{**TILE, "available": 42}]
    (note,) = [note for note in ordered(data).notes if "to be had" in note]
    assert f"{nbinom.sf(2, 40, 0.95):.1%}" in note
    data["tiles"] = [{**TILE, "available": 60}]
    assert not any("to be had" in note for note in ordered(data).notes)


def test_deliveries_are_the_boxes_of_the_order() -> None:
    data = job_data(
        [wall("A"), wall("B")], [wall("C", width=1500)], tiles=[{"keep": 2}], delivery="room"
    )
    order = ordered(data)
    (tile,) = order.tiles
    assert [one.room for one in order.deliveries] == ["room 1", "room 2"]
    assert sum(one.tiles for one in order.deliveries) == tile.tiles_needed
    assert sum(one.boxes or 0 for one in order.deliveries) == tile.boxes
    first = order.deliveries[0]
    assert first.tiles_delivered >= first.tiles + tile.reserve.spares
    assert ordered(job_data([wall("A")])).deliveries == ()


def test_settings_that_name_what_is_not_there() -> None:
    wrong = [{"tile": "other"}, {"tile": "t"}, {"tile": "t"}]
    with pytest.raises(InvalidInput) as refused:
        ordered(request_data((600, 300, 1), tiles=wrong))
    assert [fault.place for fault in refused.value.faults] == [
        "/order/tiles/0/tile",
        "/order/tiles/2/tile",
    ]


def test_no_reserve_for_what_nearly_always_breaks() -> None:
    with pytest.raises(CannotBeMet, match="pieces to cut again"):
        ordered(request_data((600, 300, 50), tiles=[breaking(whole=0.999)]))


@pytest.mark.parametrize(
    "order",
    [
        {"service_level": 1},
        {"tiles": [{"per_box": 0}]},
        {"tiles": [{"breakage": {"notch": 1.5}}]},
    ],
)
def test_what_no_order_can_be_made_of(order: dict[str, object]) -> None:
    with pytest.raises(InvalidInput):
        Request.of(request_data((600, 300, 1), **order))


def test_the_same_bytes_twice_and_read_back() -> None:
    data = job_data([wall("A"), wall("F", kind="floor")], simulated_jobs=2_000)
    text = ordered(data, seed=5).text()
    assert text == ordered(data, seed=5).text()
    assert Order.read(text).text() == text


def test_every_assumption_names_its_source_and_what_is_given_is_none() -> None:
    order = ordered(request_data((250, 300, 9)))
    assert all(one.source for one in order.assumptions)
    assert any("straight 0.015" in one.value for one in order.assumptions)
    given = ordered(request_data((250, 300, 9), tiles=[{"breakage": {"straight": 0.02}}]))
    assert not any("straight" in one.value for one in given.assumptions)
    assert given.tiles[0].reserve.cuts[0].given


@few
@given(
    st.lists(
        st.tuples(st.integers(60, 600), st.integers(60, 300), st.integers(1, 6)),
        min_size=1,
        max_size=4,
    ),
    st.integers(1, 12),
    st.sampled_from([0.8, 0.95, 0.99]),
)
def test_whatever_is_ordered_adds_up(
    pieces: list[tuple[int, int, int]], per_box: int, level: float
) -> None:
    buy = {"per_box": per_box, "keep": 3}
    data = request_data(*pieces, tiles=[buy], service_level=level, simulated_jobs=1_000)
    (tile,) = ordered(data).tiles
    assert tile.tiles_wanted == tile.tiles_needed + tile.reserve.spares + 3
    assert tile.boxes is not None
    assert tile.boxes * per_box == tile.tiles_bought
    assert 0 <= tile.tiles_bought - tile.tiles_wanted < per_box
    assert tile.cost == tile.tiles_bought * TILE["price"]  # type: ignore[operator]
    chances = [row.chance_short for row in tile.reserve.table]
    assert chances == sorted(chances, reverse=True)
    assert tile.chance_short <= 1 - level
    assert tile.reserve.low <= tile.reserve.spares <= (tile.reserve.high or tile.reserve.spares)


def test_the_plan_is_not_touched() -> None:
    data = request_data((250, 300, 9))
    _, made, _ = planned(data)
    assert made.totals[0].tiles_needed == ordered(data).tiles[0].tiles_needed
    assert "reserve" not in made.text()
