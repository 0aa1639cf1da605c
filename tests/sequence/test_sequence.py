"""The cut order: each step can be done when its turn comes, and says the right setting."""

import json
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.check.known import Known
from cutopt.check.replay import Bench
from cutopt.documents import Cut, Plan, Request
from cutopt.documents.sequence import By, Pace, Sequence
from cutopt.plane import Rect
from cutopt.reports.saw_steps import write_saw_steps
from cutopt.sequence import NoCuts, cut_order
from cutopt.units import MM
from tests.building import planned, request
from tests.strategies import Json, requests

ROOMS = Path(__file__).resolve().parents[2] / "benchmarks" / "instances" / "rooms"
ORDERS = get_args(By)


def replayed(wanted: Request, plan: Plan, order: Sequence) -> None:
    """Do the steps on the check's own bench; every part must lie there, as wide as the setting."""
    benches = {
        one.number: Bench(Rect(0, 0, one.width, one.height), Known(wanted))
        for one in plan.cut_tiles
    }
    cuts = {one.number: one.cuts or () for one in plan.cut_tiles}
    listed = {(step.cut_tile, step.cut) for step in order.steps}
    for step in order.steps:
        bench = benches[step.cut_tile]
        mine = cuts[step.cut_tile]
        _bring(
            step.part,
            bench,
            {n: cut for n, cut in enumerate(mine, 1) if (step.cut_tile, n) not in listed},
        )
        assert step.part in bench.parts
        if step.cut is None:
            continue
        cut = mine[step.cut - 1]
        if cut.way != "notch" or step.makes:
            assert bench.replay((cut,)) is None
        if step.guide == "fence" and cut.way in ("vertical", "horizontal"):
            first, second = cut.makes
            kept = first if step.edge in ("left", "bottom") else second
            assert kept is not None
            rect = bench.parts[kept].rect
            assert step.setting == (rect.width if cut.way == "vertical" else rect.height)


def _bring(part: int, bench: Bench, skipped: dict[int, Cut]) -> None:
    """Make the cuts that take nothing off, of which no step tells, until a part lies there."""
    for cut in skipped.values():
        if part in cut.makes and part not in bench.parts:
            _bring(cut.part, bench, skipped)
            assert bench.replay((cut,)) is None


@settings(max_examples=60)
@given(st.one_of(requests(), requests(slanted=True)), st.sampled_from(ORDERS))
def test_every_step_can_be_done_in_its_turn(document: Json, by: By) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    order = cut_order(wanted, plan, by)
    replayed(wanted, plan, order)
    labelled = sorted(
        (made.piece, step.cut_tile)
        for step in order.steps
        for made in step.makes
        if made.becomes == "piece"
    )
    assert labelled == sorted(
        (placed.piece, one.number) for one in plan.cut_tiles for placed in one.placements
    )
    assert Sequence.read(order.text()) == order


@settings(max_examples=40)
@given(requests())
def test_no_order_has_fewer_settings_than_by_fence(document: Json) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    fence, surface, risk = (
        cut_order(wanted, plan, by).workload for by in ("fence", "surface", "risk")
    )
    assert fence.least_settings is None or fence.least_settings <= fence.settings
    assert fence.settings <= min(surface.settings, risk.settings)
    assert fence.cuts == surface.cuts == risk.cuts
    assert fence.metres == surface.metres == risk.metres


def test_the_wanted_piece_lies_between_fence_and_blade() -> None:
    wanted = request((600, 300), [{"width": 250, "height": 300, "factory_edges": ["left"]}], kerf=2)
    (step,) = cut_order(wanted, planned(wanted)).steps
    assert (step.setting, step.edge, step.edge_is_factory) == (250 * MM, "left", True)
    assert [(made.becomes, made.width) for made in step.makes] == [
        ("piece", 250 * MM),
        ("leftover", 348 * MM),
    ]


def test_a_piece_at_the_far_end_lies_against_the_fence_with_its_far_edge() -> None:
    wanted = request(
        (600, 300), [{"width": 250, "height": 300, "factory_edges": ["right"]}], kerf=2
    )
    (step,) = cut_order(wanted, planned(wanted)).steps
    assert (step.setting, step.edge, step.edge_is_factory) == (250 * MM, "right", True)


def test_equal_tiles_are_cut_at_one_setting() -> None:
    wanted = request((600, 300), [(290, 300, 8)], kerf=2)
    order = cut_order(wanted, planned(wanted), "fence")
    assert (order.workload.settings, order.workload.proven_fewest) == (2, True)
    assert order.workload.cuts == 2 * 4
    assert order.workload.metres == pytest.approx(2 * 4 * 0.3)


def test_time_is_the_sum_of_the_paces() -> None:
    wanted = request((600, 300), [(250, 300, 1)], kerf=2)
    pace = Pace(set_fence=10, per_cut=20, per_metre=100)
    order = cut_order(wanted, planned(wanted), pace=pace)
    assert order.workload.minutes == pytest.approx((10 + 20 + 100 * 0.3) / 60, abs=0.05)


def test_a_notch_is_two_cuts_that_stop_at_the_corner() -> None:
    outline = [[0, 0], [200, 0], [200, 300], [50, 300], [50, 200], [0, 200]]
    wanted = request((200, 300), [{"width": 200, "height": 300, "outline": outline}], kerf=2)
    first, second = cut_order(wanted, planned(wanted)).steps
    assert (first.setting, first.edge, first.corner) == (150 * MM, "right", "top-left")
    assert (second.setting, second.edge) == (200 * MM, "bottom")
    assert (first.length, second.length) == (100, 50)
    assert "inside corner" in first.words
    assert not first.makes


def test_holes_and_slots_come_after_the_cuts() -> None:
    slot = [[0, 0], [60, 0], [60, 80], [90, 80], [90, 0], [200, 0], [200, 300], [0, 300]]
    holes = [{"x": 100, "y": 200, "diameter": 35}, {"x": 150, "y": 250, "diameter": 60}]
    piece = {"width": 200, "height": 300, "outline": slot, "holes": holes}
    wanted = request((600, 300), [piece], kerf=2)
    order = cut_order(wanted, planned(wanted))
    cut, *shaped = order.steps
    assert cut.makes[0].becomes == "part"
    assert [step.guide for step in shaped] == ["shape"] * 3
    assert "slot" in shaped[0].words
    assert "diameter 35" in shaped[1].words
    assert [made.piece for made in shaped[-1].makes] == ["p0"]
    assert order.workload.shapings == 3


def test_risky_tiles_come_first() -> None:
    strip = {"width": 600, "height": 20}
    wanted = request((600, 300), [(500, 300, 1), strip], kerf=2)
    by_risk = cut_order(wanted, planned(wanted), "risk").steps
    by_surface = cut_order(wanted, planned(wanted), "surface").steps
    assert by_risk[0].makes[0].piece == "p1" or "narrow" in by_risk[0].words
    assert "narrow" not in by_surface[0].words


def test_an_offcut_of_the_right_size_is_taken_as_it_is() -> None:
    wanted = request((600, 300), [(100, 100, 1)], offcuts=[{"width": 100, "height": 100}])
    (step,) = cut_order(wanted, planned(wanted)).steps
    assert (step.guide, step.stock) == ("shape", "o0")
    assert [made.piece for made in step.makes] == ["p0"]


def test_pieces_wait_for_those_before_them() -> None:
    """Cut in the order p1, p0 of two tiles: the one that is laid second waits once."""
    wanted = request((600, 300), [(400, 300, 1), (400, 200, 1)], kerf=2)
    plan = planned(wanted)
    assert cut_order(wanted, plan, "surface").workload.most_waiting == 0
    turned = Request.of(
        {
            **json.loads(wanted.text()),
            "pieces": [json.loads(wanted.text())["pieces"][at] for at in (1, 0)],
        }
    )
    assert cut_order(turned, plan, "fence").workload.most_waiting in (0, 1)


def test_a_plan_without_cuts_has_no_order() -> None:
    wanted = request((600, 300), [(400, 300, 1)])
    document = json.loads(planned(wanted).text())
    for one in document["cut_tiles"]:
        del one["cuts"], one["leftovers"], one["placements"][0]["part"]
    with pytest.raises(NoCuts) as refused:
        cut_order(wanted, Plan.of(document))
    assert refused.value.faults[0].place == "/cut_tiles/0/cuts"


@pytest.mark.parametrize("name", ["shower-300x600-sawn", "tub-12x24in-factory"])
def test_rooms_are_proven_at_once(name: str) -> None:
    wanted = Request.read((ROOMS / f"{name}.json").read_text(encoding="utf-8"))
    plan = planned(wanted)
    order = cut_order(wanted, plan, "fence")
    replayed(wanted, plan, order)
    assert order.workload.proven_fewest
    assert order.text() == cut_order(wanted, plan, "fence").text()


def tapered(*more: Json, **changes: Any) -> tuple[Request, Sequence]:
    """Return a piece with one slanted side, others beside it, and the order of their cuts."""
    outline = [[0, 0], [399.5, 0], [400, 300], [0, 300]]
    piece = {"width": 400, "height": 300, "outline": outline, "factory_edges": ["left"]}
    wanted = request((600, 300), [{**piece, **changes}, *more], kerf=2)
    plan = planned(wanted)
    order = cut_order(wanted, plan)
    replayed(wanted, plan, order)
    return wanted, order


def test_a_slanted_cut_needs_no_straight_one_before_it() -> None:
    _, order = tapered()
    (step,) = order.steps
    assert (step.guide, step.way, step.cut, step.also) == ("mark", "slanted", 1, (2,))
    assert [(made.becomes, made.width) for made in step.makes] == [
        ("piece", None),
        ("leftover", 198 * MM),
    ]
    assert order.workload.settings == 0


def test_a_piece_beyond_the_wedge_gets_its_straight_edge() -> None:
    _, order = tapered({"width": 198, "height": 300})
    assert [step.guide for step in order.steps] == ["fence", "mark"]


def test_a_blade_that_would_run_into_what_is_left_over_takes_two_cuts() -> None:
    """At 45 degrees the blade reaches 0.8 mm further than across."""
    steep = [[0, 0], [100, 0], [400, 300], [0, 300]]
    _, order = tapered(outline=steep)
    assert [step.guide for step in order.steps] == ["fence", "mark"]


def test_settings_that_read_the_same_are_one() -> None:
    pieces = [(250, 300, 1), (250.04, 300, 1), (250.2, 300, 1)]
    wanted = request((300, 300), pieces, kerf=2)
    order = cut_order(wanted, planned(wanted), "fence")
    assert (order.workload.settings, order.workload.least_settings) == (2, 2)
    assert [step.setting for step in order.steps if not step.sets_fence] != [250 * MM] * 2
    assert {step.setting for step in order.steps} == {250 * MM, 250 * MM + 320, 250 * MM + 1600}


def test_a_snapped_cut_has_a_stop_of_its_own() -> None:
    document = json.loads(request((600, 300), [(290, 300, 3)], kerf=2).text())
    cutter = {"greatest_cut": 400, "least_strip": 15}
    wanted = Request.of({**document, "snap_cutter": cutter})
    order = cut_order(wanted, planned(wanted), "fence")
    tools = {(step.tool, step.setting) for step in order.steps}
    assert ("snap cutter", 290 * MM) in tools or ("snap cutter", 582 * MM) in tools
    assert ("saw", 290 * MM) in tools
    sawn = sum(step.length * step.times for step in order.steps if step.tool == "saw")
    assert order.workload.metres == pytest.approx(sawn / 1000)
    now, settings = None, 0
    for step in order.steps:
        settings += (step.tool, step.setting) != now
        now = step.tool, step.setting
    assert order.workload.settings == settings == order.workload.least_settings
    said = write_saw_steps(order)
    assert "SET THE SNAP CUTTER TO" in said
    assert "to the stop: score and snap" in " ".join(said.split())
    (snapped, *_) = (step for step in order.steps if step.tool == "snap cutter")
    assert snapped.seconds == Pace().per_cut + Pace().per_snap
