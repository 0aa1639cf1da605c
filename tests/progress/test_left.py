"""The steps that are left: none that was done, and each piece that is still to come."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.documents import Request
from cutopt.documents.progress import Broken, Done, Mark, Progress
from cutopt.progress import order_left, state_of
from tests.building import planned, request
from tests.progress.histories import histories
from tests.strategies import Json, requests


@settings(max_examples=60)
@given(st.one_of(requests(), requests(slanted=True)), st.data())
def test_each_piece_still_to_come_is_made_by_a_step(document: Json, data: st.DataObject) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    progress = data.draw(histories(wanted, plan))
    state = state_of(wanted, plan, progress)
    order = order_left(wanted, plan, progress, "fence")
    made: Counter[str] = Counter()
    for step in order.steps:
        tile = state.under_way.get((step.cut_tile, step.which or 1))
        is_begun = tile is not None and (step.which or tile.cut_tile.count == 1)
        if tile is not None and is_begun and step.cut is not None:
            assert step.cut in tile.left_to_do()
        for one in step.makes:
            if one.becomes == "piece":
                made[one.piece or ""] += step.times
    coming: Counter[str] = Counter()
    for tile in state.under_way.values():
        coming.update(name for name, part in tile.pieces() if part not in tile.lying)
    for cut_tile in state.open.values():
        if cut_tile.number not in state.stale:
            count = cut_tile.count - state.begun(cut_tile.number)
            coming.update({placed.piece: 0 for placed in cut_tile.placements})
            for placed in cut_tile.placements:
                coming[placed.piece] += count
    assert made == +coming
    assert [step.number for step in order.steps] == list(range(1, len(order.steps) + 1))


def test_a_tile_under_way_comes_first() -> None:
    wanted = request((600, 300), [(500, 300, 1), (290, 300, 1), (300, 300, 1)], kerf=2)
    plan = planned(wanted)
    pair = next(one for one in plan.cut_tiles if len(one.placements) == 2)
    assert order_left(wanted, plan, Progress(), "surface").steps[0].cut_tile != pair.number
    marks: tuple[Mark, ...] = (Done(cut_tile=pair.number, cut=1),)
    steps = order_left(wanted, plan, Progress(marks=marks)).steps
    assert next((step.cut_tile, step.cut) for step in steps) == (pair.number, 2)
    assert (pair.number, 1) not in [(step.cut_tile, step.cut) for step in steps]
    assert steps[0].sets_fence


def test_what_broke_is_cut_no_more() -> None:
    wanted = request((600, 300), [(500, 300, 1)], kerf=2)
    plan = planned(wanted)
    left = order_left(wanted, plan, Progress(marks=(Broken(cut_tile=1, part=0),)))
    assert left.steps == ()
    assert (left.workload.cuts, left.workload.minutes) == (0, 0)
