"""Properties of plans for random small requests: what holds whatever is asked."""

import copy
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutopt.check import check_plan
from cutopt.documents import Plan, Request, Total
from cutopt.errors import CannotBeMet
from cutopt.pipeline import plan
from cutopt.planning.pose import pose
from cutopt.solver.first_plan import first_plan
from cutopt.stop import MaxSeconds
from tests.properties.changes import Json, mirrored, scaled, transposed, with_kerf, with_turn
from tests.strategies import SIDES, requests

SECONDS = 10
ANY = requests()
SLANTED = requests(slanted=True)


def planned(request: Json, seed: int = 0) -> Plan:
    return plan(Request.of(request), MaxSeconds(SECONDS), seed)


def total(request: Json) -> Total:
    return planned(request).totals[0]


def never_more(one: Total, other: Total) -> bool:
    """Tell whether the first may need as few tiles as the second was found to."""
    return one.lower_bound <= other.tiles_needed


def as_many(one: Total, other: Total) -> bool:
    return never_more(one, other) and never_more(other, one)


@settings(max_examples=120)
@given(st.one_of(ANY, SLANTED))
def test_the_check_accepts_every_plan(request: Json) -> None:
    made = planned(request)
    assert check_plan(Request.of(request), Plan.read(made.text())) == ()


@settings(max_examples=80)
@given(ANY)
def test_small_jobs_are_proven(request: Json) -> None:
    assert total(request).proven_minimal


@settings(max_examples=60)
@given(st.one_of(ANY, SLANTED))
def test_bound_plan_and_first_plan_stand_in_order(document: Json) -> None:
    request = Request.of(document)
    only = total(document)
    posed = pose(request, request.tiles[0])
    first = first_plan(posed.problem, posed.problem.demands)
    opened = sum(cutting.count for cutting in first if cutting.sheet == 0)
    full = sum(piece.quantity for piece in posed.full)
    assert only.lower_bound <= only.tiles_needed <= full + opened
    assert only.counted_naively is not None
    assert only.tiles_needed <= only.counted_naively


@settings(max_examples=40)
@given(ANY)
def test_a_mirrored_job_needs_as_many(request: Json) -> None:
    assert as_many(total(request), total(mirrored(request)))


@settings(max_examples=40)
@given(ANY)
def test_a_job_on_its_side_needs_as_many(request: Json) -> None:
    assert as_many(total(request), total(transposed(request)))


@settings(max_examples=40)
@given(ANY, st.integers(2, 8))
def test_a_scaled_job_needs_as_many(request: Json, factor: int) -> None:
    assert as_many(total(request), total(scaled(request, factor)))


@settings(max_examples=50)
@given(ANY, st.lists(st.sampled_from([0, 0.5, 1, 2, 3, 4.5]), min_size=2, max_size=2, unique=True))
def test_a_wider_kerf_never_needs_fewer(request: Json, kerfs: list[float]) -> None:
    thin, wide = (total(with_kerf(request, kerf)) for kerf in sorted(kerfs))
    assert never_more(thin, wide)


@settings(max_examples=50)
@given(ANY)
def test_more_turning_never_needs_more(request: Json) -> None:
    none, half, quarter = (total(with_turn(request, turn)) for turn in ("none", "half", "quarter"))
    assert never_more(half, none)
    assert never_more(quarter, half)


@settings(max_examples=50)
@given(ANY, st.data())
def test_one_more_factory_edge_never_needs_fewer(request: Json, data: st.DataObject) -> None:
    wishing = copy.deepcopy(request)
    piece = data.draw(st.sampled_from(wishing["pieces"]))
    free = [side for side in SIDES if side not in piece["factory_edges"]]
    assume(free)
    piece["factory_edges"].append(data.draw(st.sampled_from(free)))
    try:
        more = total(wishing)
    except CannotBeMet:
        assume(False)
    assert never_more(total(request), more)


@settings(max_examples=40)
@given(ANY)
def test_offcuts_never_cost_a_tile(request: Json) -> None:
    bare: dict[str, Any] = {**request, "offcuts": []}
    assert never_more(total(request), total(bare))


@settings(max_examples=40)
@given(ANY)
def test_one_piece_less_never_needs_more(request: Json) -> None:
    assume(len(request["pieces"]) > 1)
    less = {**request, "pieces": request["pieces"][1:]}
    assert never_more(total(less), total(request))


@settings(max_examples=30)
@given(st.one_of(ANY, SLANTED), st.integers(0, 3))
def test_the_same_seed_gives_the_same_bytes(request: Json, seed: int) -> None:
    assert planned(request, seed).text() == planned(request, seed).text()


@settings(max_examples=30)
@given(ANY, st.integers(1, 3))
def test_the_seed_does_not_change_the_number(request: Json, seed: int) -> None:
    assert as_many(total(request), planned(request, seed).totals[0])
