"""Saw and snap cutter of a request: which cut goes where, what is refused, and the check's view."""

from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutopt.check import Verdict, check_bound, check_plan
from cutopt.documents import Plan, Request
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.pipeline import plan
from cutopt.sequence import cut_order
from cutopt.stop import MaxProcessorSeconds
from cutopt.units import MM
from tests.building import Json, planned
from tests.strategies import requests

SNAP: Json = {"greatest_cut": 620, "least_strip": 15}
LONE: Json = {
    "saw": {"kerf": 0},
    "snap_cutter": {"greatest_cut": 650, "least_strip": 15, "alone": True},
}


def request(*sizes: tuple[float, float], saw: Json | None = None, **more: Any) -> Request:
    return Request.of(
        {
            "tiles": [{"id": "field", "width": 600, "height": 300, "turn": "half"}],
            "saw": saw or {"kerf": 2},
            "pieces": [
                {"id": f"p{number}", "width": width, "height": height}
                for number, (width, height) in enumerate(sizes)
            ],
            **more,
        }
    )


def tools(made: Plan) -> list[list[str | None]]:
    return [[cut.tool for cut in cut_tile.cuts or ()] for cut_tile in made.cut_tiles]


def test_no_tool_is_named_where_there_is_only_a_saw() -> None:
    assert tools(planned(request((250, 300)))) == [[None]]


def test_what_both_can_do_is_snapped() -> None:
    assert tools(planned(request((250, 300), snap_cutter=SNAP))) == [["snap cutter"]]


@pytest.mark.parametrize(("width", "tool"), [(585, "saw"), (583, "snap cutter")])
def test_too_narrow_a_strip_goes_to_the_saw(width: float, tool: str) -> None:
    assert tools(planned(request((width, 300), snap_cutter=SNAP))) == [[tool]]


def test_between_two_exact_pieces_lies_a_kerf_so_a_saw() -> None:
    assert tools(planned(request((250, 300), (348, 300), snap_cutter=SNAP))) == [["saw"]]


def test_a_notch_goes_to_the_saw() -> None:
    outline = [[0, 0], [250, 0], [250, 300], [100, 300], [100, 200], [0, 200]]
    notched = {"id": "n", "width": 250, "height": 300, "outline": outline}
    made = planned(request(snap_cutter=SNAP, pieces=[notched]))
    assert tools(made) == [["snap cutter", "saw"]]


def test_a_snap_cutter_alone_has_no_kerf() -> None:
    alone = {**SNAP, "alone": True}
    made = planned(request((300, 300), (300, 300), saw={"kerf": 0}, snap_cutter=alone))
    assert (made.totals[0].tiles_needed, tools(made)) == (1, [["snap cutter"]])
    with pytest.raises(InvalidInput, match="/saw: 2 mm: where a snap cutter is alone"):
        request((300, 300), snap_cutter=alone)


@pytest.mark.parametrize(
    ("piece", "said"),
    [
        (
            {"width": 250, "height": 300, "holes": [{"x": 99, "y": 99, "diameter": 9}]},
            "needs a saw",
        ),
        ({"width": 590, "height": 300}, "no saw or snap cutter of the request makes the cuts"),
        ({"width": 600, "height": 200}, "no saw or snap cutter of the request makes the cuts"),
    ],
)
def test_what_nothing_there_can_cut_is_refused(piece: Json, said: str) -> None:
    alone = {"greatest_cut": 599, "least_strip": 15, "alone": True}
    with pytest.raises(CannotBeMet, match=said):
        plan(request(saw={"kerf": 0}, snap_cutter=alone, pieces=[{"id": "p", **piece}]))


@pytest.mark.parametrize(("reach", "tiles"), [(600, 1), (599, 2)])
def test_a_short_saw_costs_a_tile(reach: float, tiles: int) -> None:
    # Two rows whose joints do not meet: the first cut runs along the whole tile.
    rows = [(400, 140), (198, 140), (250, 158), (348, 158)]
    made = planned(request(*rows, saw={"kerf": 2, "greatest_cut": reach}))
    assert (made.totals[0].tiles_needed, made.totals[0].proven_minimal) == (tiles, True)


ROWS = [(400, 140), (198, 140), (250, 158), (348, 158)]


def verdict(made: Plan, wanted: Request, **prices: int) -> Verdict:
    """Return what the bound is worth, after a change of some prices."""
    (total,) = made.totals
    assert total.certificate is not None
    certificate = total.certificate.model_copy(
        update={"pieces": {**total.certificate.pieces, **prices}}
    )
    tampered = total.model_copy(update={"certificate": certificate})
    (found,) = check_bound(wanted, made.model_copy(update={"totals": (tampered,)}))
    return found


@pytest.mark.parametrize("more", [{"saw": {"kerf": 2, "greatest_cut": 599}}, LONE])
def test_a_bound_with_a_saw_that_reaches_everywhere_is_certified_for_one_that_does_not(
    more: Json,
) -> None:
    wanted = request((310, 140), (310, 140), (310, 200), **more)
    made = planned(wanted)
    assert verdict(made, wanted).fault is None
    assert made.totals[0].proven_minimal
    assert "worth" in str(verdict(made, wanted, p0=99).fault)


def test_where_the_reach_costs_a_tile_the_certificate_says_that_it_proves_less() -> None:
    wanted = request(*ROWS, saw={"kerf": 2, "greatest_cut": 599})
    found = verdict(planned(wanted), wanted)
    assert (found.claimed, found.proven) == (2, 1)
    assert str(found.fault) == (
        "/totals/0/lower_bound: 2: not certified: the prices prove 1, with a saw that makes every "
        "cut; how far this one reaches is not in them"
    )


@settings(max_examples=20, deadline=None)
@given(requests(), st.integers(30, 130))
def test_with_any_reach_the_certificate_holds(document: Json, reach: int) -> None:
    saw = {**document["saw"], "greatest_cut": reach}
    wanted = Request.of({**document, "saw": saw})
    try:
        made = plan(wanted, MaxProcessorSeconds(2), 0)
    except CannotBeMet:
        assume(False)
    for found in check_bound(wanted, made):
        assert found.proven is not None
        assert found.fault is None or found.proven < found.claimed


def faults(changes: Json, made: Plan, **more: Any) -> list[str]:
    document = request((250, 300), **more).model_copy(update=changes)
    return [f"{fault.place}: {fault.rule}" for fault in check_plan(document, made)]


SAWN = planned(request((250, 300)))
SNAPPED = planned(request((250, 300), snap_cutter=SNAP))


def test_the_check_knows_how_far_the_saw_reaches() -> None:
    assert faults({}, SAWN, saw={"kerf": 2, "greatest_cut": 300}) == []
    (found,) = faults({}, SAWN, saw={"kerf": 2, "greatest_cut": 299})
    assert found.startswith(
        "/cut_tiles/0/cuts/0: the saw's longest cut is 299 mm; there is no snap"
    )


@pytest.mark.parametrize(
    ("cutter", "found"),
    [
        (SNAP, []),
        ({**SNAP, "greatest_cut": 300, "least_strip": 250}, []),
        ({**SNAP, "greatest_cut": 299}, ["the snap cutter's longest cut is 299 mm"]),
        ({**SNAP, "least_strip": 251}, ["a snapped strip is at least 251 mm wide, not 250 mm"]),
    ],
)
def test_the_check_knows_what_a_snap_cutter_can_do(cutter: Json, found: list[str]) -> None:
    assert [
        fault.removeprefix("/cut_tiles/0/cuts/0: ")
        for fault in faults({}, SNAPPED, snap_cutter=cutter)
    ] == found


def test_the_check_knows_that_a_snapped_cut_takes_no_kerf() -> None:
    made = planned(request((250, 300), (348, 300), snap_cutter=SNAP))
    (tile,) = made.cut_tiles
    snapped = tuple(cut.model_copy(update={"tool": "snap cutter"}) for cut in tile.cuts or ())
    wrong = made.model_copy(update={"cut_tiles": (tile.model_copy(update={"cuts": snapped}),)})
    (fault,) = check_plan(request((250, 300), (348, 300), snap_cutter=SNAP), wrong)
    assert (
        fault.rule == "a snapped cut takes no kerf, so what is not measured is trimmed or left over"
    )


@pytest.mark.parametrize(
    ("edges", "side"), [(["left"], "left"), (["right"], "right"), ([], "left")]
)
def test_a_snapped_cut_is_measured_from_what_is_kept(edges: list[str], side: str) -> None:
    kept = {"id": "p", "width": 250, "height": 300, "factory_edges": edges}
    asked = request(snap_cutter=SNAP, pieces=[kept])
    asked = asked.model_copy(
        update={"tiles": (asked.tiles[0].model_copy(update={"turn": "none"}),)}
    )
    made = planned(asked)
    (cut,) = made.cut_tiles[0].cuts or ()
    assert (cut.tool, cut.measured_from) == ("snap cutter", side)
    other = cut.model_copy(update={"measured_from": "right" if side == "left" else "left"})
    tile = made.cut_tiles[0].model_copy(update={"cuts": (other,)})
    wrong = made.model_copy(update={"cut_tiles": (tile,)})
    assert [fault.place for fault in check_plan(asked, wrong)] == ["/cut_tiles/0/cuts/0"]


@pytest.mark.parametrize("edges", [["left"], ["right"]])
def test_what_only_the_snap_cutter_reaches_is_snapped_at_either_end(edges: list[str]) -> None:
    kept = {"id": "p", "width": 250, "height": 300, "factory_edges": edges}
    made = planned(request(saw={"kerf": 2, "greatest_cut": 100}, snap_cutter=SNAP, pieces=[kept]))
    assert tools(made) == [["snap cutter"]]


def test_a_plan_without_cuts_says_nothing_of_its_tools() -> None:
    (tile,) = SAWN.cut_tiles
    placed = [one.model_copy(update={"part": None}) for one in tile.placements]
    bare = tile.model_copy(update={"cuts": None, "leftovers": (), "placements": tuple(placed)})
    total = SAWN.totals[0].model_copy(update={"cuts": None})
    wrong = SAWN.model_copy(update={"cut_tiles": (bare,), "totals": (total,)})
    assert faults({}, wrong) == []
    assert faults({}, wrong, snap_cutter=SNAP)[0].startswith("/cut_tiles/0/cuts: where there is")


REACH = st.sampled_from([None, 30, 60, 90, 170])


@settings(max_examples=60, deadline=None)
@given(requests(slanted=True), REACH, st.sampled_from([None, 40, 80]), st.integers(0, 15))
def test_the_check_accepts_every_plan(
    document: Json, reach: int | None, snap: int | None, strip: int
) -> None:
    if reach:
        document["saw"]["greatest_cut"] = reach
    if snap:
        document["snap_cutter"] = {"greatest_cut": snap, "least_strip": strip}
    try:
        made = plan(
            Request.of(document), MaxProcessorSeconds(5)
        )  # raises BrokenPlan if the check refuses
    except CannotBeMet:
        assume(False)
    assert made.totals[0].lower_bound <= made.totals[0].tiles_needed


def test_the_step_at_the_cutter_is_measured_from_the_exact_side() -> None:
    pieces = [
        {"id": "a", "width": 310, "height": 300, "factory_edges": ["left"]},
        {"id": "b", "width": 250, "height": 300, "factory_edges": ["right"]},
    ]
    asked = request(saw={"kerf": 2, "greatest_cut": 100}, snap_cutter=SNAP, pieces=pieces)
    steps = cut_order(asked, planned(asked)).steps
    assert [(step.setting, step.edge, step.words) for step in steps] == [
        (310 * MM, "left", "on the snap cutter"),
        (250 * MM, "right", "on the snap cutter"),
    ]
