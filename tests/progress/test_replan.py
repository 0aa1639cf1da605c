"""New plans for what is left: properties after any marks, and small cases by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.check import check_plan
from cutopt.check.history import check_history
from cutopt.documents import Offcut, Request
from cutopt.documents.progress import (
    Broken,
    Counted,
    Done,
    Mark,
    Measured,
    Progress,
    Undone,
    Usable,
)
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.progress import State, replan, state_of
from cutopt.reports.still_needed import write_still_needed
from cutopt.units import MM
from tests.building import planned, request
from tests.progress.histories import histories
from tests.strategies import Json, requests


def tiles_open(state: State) -> int:
    """Return how many new tiles the plan in force still opens."""
    cut = sum(
        one.count - state.begun(one.number) for one in state.open.values() if one.stock == "new"
    )
    in_plan = sum(
        (one.count - state.begun(one.number)) * len(one.placements) for one in state.open.values()
    )
    missing = sum(piece.quantity for piece in state.remaining())
    return cut + max(0, missing - in_plan)


@settings(max_examples=80)
@given(st.one_of(requests(), requests(slanted=True)), st.data())
def test_after_any_marks_the_history_holds(document: Json, data: st.DataObject) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    progress = data.draw(histories(wanted, plan))
    before = state_of(wanted, plan, progress)
    found = replan(wanted, plan, progress)
    assert check_history(wanted, plan, found.progress) == ()
    assert Progress.read(found.progress.text()) == found.progress
    after = state_of(wanted, plan, found.progress)
    assert after.kept() == before.kept()
    assert after.under_way.keys() == before.under_way.keys()
    if found.request is None or found.plan is None:
        assert not before.remaining()
        return
    assert check_plan(found.request, found.plan) == ()
    anew = planned(found.request)
    assert found.plan.totals[0].tiles_needed == anew.totals[0].tiles_needed


@settings(max_examples=80)
@given(requests(), st.data())
def test_at_most_one_tile_more_for_each_piece_that_broke(
    document: Json, data: st.DataObject
) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    progress = data.draw(histories(wanted, plan, plain=True))
    state = state_of(wanted, plan, progress)
    first = replan(wanted, plan, progress)
    assert sum(need.tiles for need in first.needs) <= tiles_open(state)


def test_a_tile_that_breaks_before_its_cuts_is_replaced() -> None:
    wanted = request((600, 300), [(290, 300, 4)], kerf=2)
    plan = planned(wanted)
    found = replan(wanted, plan, Progress(marks=(Broken(cut_tile=1, part=0),)))
    (need,) = found.needs
    assert (need.tiles, need.in_hand, need.suffices) == (2, None, None)


def test_what_is_usable_of_a_break_serves_again() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    plan = planned(wanted)
    break_ = Broken(cut_tile=1, part=0, usable=(Usable(width=295 * MM, height=300 * MM),))
    (need,) = replan(wanted, plan, Progress(marks=(break_,))).needs
    assert need.tiles == 1
    wide = Usable(width=582 * MM, height=300 * MM)
    both = break_.model_copy(update={"usable": (wide,)})
    (need,) = replan(wanted, plan, Progress(marks=(both,))).needs
    assert need.tiles == 0


def test_whether_the_tiles_in_hand_suffice() -> None:
    wanted = request((600, 300), [(290, 300, 4), (600, 300, 1)], kerf=2)
    plan = planned(wanted)
    for tiles, suffices in ((3, True), (2, False)):
        (need,) = replan(wanted, plan, Progress(marks=(Counted(tile="field", tiles=tiles),))).needs
        assert (need.tiles, need.suffices) == (3, suffices)
    marks: tuple[Mark, ...] = (
        Counted(tile="field", tiles=3),
        Done(piece="p1"),
        Done(cut_tile=1),
        Broken(tile="field"),
    )
    (need,) = replan(wanted, plan, Progress(marks=marks)).needs
    assert (need.tiles, need.in_hand, need.suffices) == (1, 0, False)


def test_tiles_not_begun_keep_their_plan_and_their_leftovers_serve() -> None:
    wanted = request((600, 300), [(400, 300, 1), (350, 300, 1), (180, 300, 1)], kerf=2)
    plan = planned(wanted)
    first = next(one for one in plan.cut_tiles if len(one.placements) == 2)
    other = next(one for one in plan.cut_tiles if len(one.placements) == 1)
    (part,) = (placed.part for placed in first.placements if placed.piece == "p2")
    assert part is not None
    marks = (Done(cut_tile=first.number), Broken(cut_tile=first.number, part=part))
    found = replan(wanted, plan, Progress(marks=marks))
    assert found.plan is not None
    (kept,) = found.plan.cut_tiles
    assert kept.placements[0] == other.placements[0]
    assert (kept.cuts or ())[: len(other.cuts or ())] == other.cuts
    assert {placed.piece for placed in kept.placements} == {other.placements[0].piece, "p2"}
    assert found.changed == (kept,)
    said = write_still_needed(found.request, found.plan, 0, found.needs, found.changed)
    assert f"  tile {kept.number}, a new tile: {other.placements[0].piece}, p2\n" in said
    unchanged = replan(wanted, plan, Progress())
    assert unchanged.changed == ()


def test_a_piece_measured_anew_is_cut_from_what_was_cut_too_large() -> None:
    wanted = request((600, 300), [(290, 300, 1)], kerf=2)
    plan = planned(wanted)
    smaller = Measured(piece="p0", width=287 * MM, height=300 * MM)
    found = replan(wanted, plan, Progress(marks=(Done(cut_tile=1), smaller)))
    assert found.request is not None
    assert found.request.pieces[0].width == 287 * MM
    assert found.needs[0].tiles == 0
    larger = Measured(piece="p0", width=700 * MM, height=300 * MM)
    with pytest.raises(CannotBeMet):
        replan(wanted, plan, Progress(marks=(larger,)))


def test_a_tile_with_a_piece_measured_anew_waits_for_a_new_plan() -> None:
    wanted = request((600, 300), [(290, 300, 1)], kerf=2)
    plan = planned(wanted)
    smaller = Measured(piece="p0", width=280 * MM, height=300 * MM)
    with pytest.raises(InvalidInput, match="plan anew"):
        state_of(wanted, plan, Progress(marks=(smaller, Done(cut_tile=1))))


def test_offcuts_are_those_that_were_counted() -> None:
    wanted = request((600, 300), [(290, 300, 1)], offcuts=[{"width": 300, "height": 300}])
    plan = planned(wanted)
    assert plan.totals[0].tiles_needed == 0
    none = Counted(tile="field", offcuts=())
    found = replan(wanted, plan, Progress(marks=(none,)))
    assert found.needs[0].tiles == 1


def test_undoing_brings_back_and_redoing_takes_away() -> None:
    wanted = request((600, 300), [(290, 300, 4)], kerf=2)
    plan = planned(wanted)
    marks: tuple[Mark, ...] = (Done(cut_tile=1), Undone(mark=1))
    assert not state_of(wanted, plan, Progress(marks=marks)).under_way
    again = Progress(marks=(*marks, Undone(mark=2)))
    assert len(state_of(wanted, plan, again).under_way) == 1
    with pytest.raises(InvalidInput, match="earlier mark"):
        Progress.of({"marks": [{"kind": "undone", "mark": 1}]})


def test_a_plan_is_undone_with_what_it_was_made_for() -> None:
    wanted = request((600, 300), [(290, 300, 4)], kerf=2)
    plan = planned(wanted)
    found = replan(wanted, plan, Progress(marks=(Done(cut_tile=1),)))
    with pytest.raises(InvalidInput, match="undo the plan as well"):
        state_of(wanted, plan, found.progress.with_mark(Undone(mark=1)))
    back = found.progress.with_mark(Undone(mark=2)).with_mark(Undone(mark=1))
    assert replan(wanted, plan, back).needs[0].tiles == 2


def test_nothing_is_left_to_plan() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    plan = planned(wanted)
    found = replan(wanted, plan, Progress(marks=(Done(cut_tile=1),)))
    assert (found.request, found.plan, found.needs) == (None, None, ())


@pytest.mark.parametrize(
    ("mark", "said"),
    [
        (Done(cut_tile=9), "no such tile"),
        (Done(cut_tile=1, which=9), "no such tile"),
        (Done(cut_tile=1, cut=9), "this cut is made already"),
        (Done(piece="p0"), "whole tile"),
        (Broken(cut_tile=1, part=7), "does not lie on the bench"),
        (Broken(tile="other"), "names a tile"),
        (Broken(offcut="o9"), "does not lie on the shelf"),
        (Measured(piece="p9", width=MM, height=MM), "names no such piece"),
        (Measured(piece="p0", width=1, height=MM), "a piece's side lies between"),
        (
            Broken(cut_tile=1, part=0, usable=(Usable(width=700 * MM, height=MM),)),
            "no larger than its tile",
        ),
        (
            Counted(tile="field", offcuts=(Offcut(id="o", width=700 * MM, height=MM),)),
            "no larger than its tile",
        ),
    ],
)
def test_marks_that_cannot_be_are_refused(mark: Mark, said: str) -> None:
    wanted = request((600, 300), [(290, 300, 4)], kerf=2)
    with pytest.raises(InvalidInput, match=said) as refused:
        state_of(wanted, planned(wanted), Progress(marks=(mark,)))
    assert refused.value.faults[0].place.startswith("/marks/0")


def test_so_many_as_the_request_says_are_in_hand_and_too_few_still_get_a_plan() -> None:
    wanted = request((600, 300), [(290, 300, 4)], kerf=2)
    (tile,) = wanted.tiles
    wanted = wanted.model_copy(update={"tiles": (tile.model_copy(update={"available": 2}),)})
    plan = planned(wanted)
    (need,) = replan(wanted, plan, Progress(marks=(Done(cut_tile=1),))).needs
    assert need.suffices
    found = replan(wanted, plan, Progress(marks=(Broken(cut_tile=1, part=0),)))
    (need,) = found.needs
    assert (need.tiles, need.in_hand, need.suffices) == (2, 1, False)
    assert found.plan is not None


def test_a_piece_is_planned_anew_without_the_one_that_goes_on_with_its_offcut() -> None:
    around = {"width": 250, "height": 300, "goes_on": "p1"}
    wanted = request((600, 300), [around, (346, 300, 1), (500, 300, 1)], kerf=2)
    plan = planned(wanted)
    (pair,) = (one for one in plan.cut_tiles if len(one.placements) == 2)
    part = next(placed.part for placed in pair.placements if placed.piece == "p0")
    marks = (Done(cut_tile=pair.number), Broken(cut_tile=pair.number, part=part))
    found = replan(wanted, plan, Progress(marks=marks))
    assert found.request is not None
    assert [(piece.id, piece.goes_on) for piece in found.request.pieces] == [
        ("p0", None),
        ("p2", None),
    ]
    whole = replan(wanted, plan, Progress(marks=(Broken(cut_tile=pair.number, part=0),)))
    assert whole.request is not None
    assert whole.request.pieces[0].goes_on == "p1"
    smaller = Measured(piece="p1", width=340 * MM, height=300 * MM)
    again = replan(wanted, plan, Progress(marks=(smaller, Counted(tile="field", tiles=2))))
    assert again.needs[0].suffices
