"""The chance of running short after some marks, where it can be told by hand."""

import pytest

from cutopt.documents import Request
from cutopt.documents.buying import OrderSettings
from cutopt.documents.progress import Broken, Counted, Done, Mark, Progress
from cutopt.progress import Need, replan
from cutopt.reports.still_needed import write_still_needed
from tests.building import planned, request

HALF = {
    "service_level": 0.9,
    "tiles": [{"faulty": 0, "breakage": {"straight": 0.5, "whole": 0, "long_thin": 0}}],
}


def breaking(*widths: int) -> Request:
    """Return pieces of one cut each, which breaks every other one."""
    wanted = request((600, 300), [(width, 300, 1) for width in widths], kerf=2)
    return wanted.model_copy(update={"order": OrderSettings.model_validate(HALF)})


def wanted_of(quantity: int) -> Request:
    """Return pieces that take a tile each."""
    return breaking(*[400 + at for at in range(quantity)])


def needs_of(wanted: Request, *marks: Mark) -> Need:
    (need,) = replan(wanted, planned(wanted), Progress(marks=marks)).needs
    return need


@pytest.mark.parametrize(("in_hand", "short"), [(0, 1), (1, 1 / 2), (2, 1 / 4), (4, 1 / 16)])
def test_one_piece_that_breaks_every_other_time(in_hand: int, short: float) -> None:
    chance = needs_of(wanted_of(1), Counted(tile="field", tiles=in_hand)).chance
    assert chance is not None
    assert (chance.short, chance.low, chance.high) == pytest.approx((short, short, short))
    assert (chance.level, chance.reserve) == (0.9, 3), "four tiles suffice in 15 of 16 cases"


def test_a_break_raises_it_and_a_finished_piece_lowers_it() -> None:
    """Two pieces: none breaks 1/4, one 1/4, two 3/16; then one piece alone."""
    wanted = wanted_of(2)
    counted = Counted(tile="field", tiles=3)
    before = needs_of(wanted, counted).chance
    assert before is not None
    assert before.short == pytest.approx(1 - 1 / 4 - 1 / 4)
    one_done = needs_of(wanted, counted, Done(cut_tile=1)).chance
    assert one_done is not None
    assert one_done.short == pytest.approx(1 / 4)
    one_broken = needs_of(wanted, counted, Broken(cut_tile=1, part=0)).chance
    assert one_broken is not None
    assert one_broken.short == pytest.approx(1 - 1 / 4)


def test_a_tile_under_way_may_still_break() -> None:
    """An end piece is cut off; the middle one has two sawn sides, the other end one: 1 - 1/8."""
    wanted = breaking(100, 200, 296)
    first_cut = Done(cut_tile=1, cut=1)
    need = needs_of(wanted, Counted(tile="field", tiles=1), first_cut)
    assert (need.tiles, need.in_hand) == (0, 0)
    assert need.chance is not None
    assert need.chance.short == pytest.approx(1 - 1 / 8)
    all_cut = needs_of(wanted, Counted(tile="field", tiles=1), Done(cut_tile=1)).chance
    assert all_cut is not None
    assert all_cut.short == 0


def test_nothing_is_left_to_break() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    chance = needs_of(wanted, Counted(tile="field", tiles=0), Done(cut_tile=1)).chance
    assert chance is not None
    assert (chance.short, chance.reserve) == (0, 0)


def test_nobody_counted() -> None:
    chance = needs_of(wanted_of(1)).chance
    assert chance is not None
    assert (chance.short, chance.reserve) == (None, 3)


def test_it_is_said_plainly() -> None:
    wanted = wanted_of(1)

    def said(*marks: Mark) -> str:
        found = replan(wanted, planned(wanted), Progress(marks=marks))
        return " ".join(write_still_needed(found.request, found.plan, 0, found.needs).split())

    assert "2 in hand suffice, 1 over" in said(Counted(tile="field", tiles=2))
    assert "the chance to run short is 25 %; for 90 % certainty have 3 over." in said(
        Counted(tile="field", tiles=2)
    )
    assert "0 in hand do NOT suffice: 1 short." in said(Counted(tile="field", tiles=0))
    assert "As pieces may break, for 90 % certainty have 3 over." in said()
    assert "no source" in said()
