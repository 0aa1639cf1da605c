"""The check of a history refuses what cannot have been, each rule by a tiny case."""

import json
from typing import Any

import pytest

from cutopt.check.history import check_history
from cutopt.documents import Plan, Request
from cutopt.documents.progress import Broken, Done, Mark, Measured, Progress, Replanned, Undone
from cutopt.progress import Replan, replan
from cutopt.units import MM
from tests.building import planned, request

Json = dict[str, Any]


def begun() -> tuple[Request, Plan, Replan]:
    """Return two tiles of two pieces each, of which one is cut and half of it broken."""
    wanted = request((600, 300), [(290, 300, 4), (600, 300, 2)], kerf=2)
    plan = planned(wanted)
    parts = [placed.part for placed in plan.cut_tiles[0].placements]
    marks: tuple[Mark, ...] = (Done(cut_tile=1), Broken(cut_tile=1, part=parts[0]))
    return wanted, plan, replan(wanted, plan, Progress(marks=marks))


def refused(change: Any) -> str:
    """Return what the check says of the history with its new plan changed."""
    wanted, plan, found = begun()
    document = json.loads(found.progress.text())
    change(document["marks"][-1])
    return "\n".join(map(str, check_history(wanted, plan, Progress.of(document))))


def test_a_right_history_is_confirmed() -> None:
    wanted, plan, found = begun()
    assert check_history(wanted, plan, found.progress) == ()
    assert refused(lambda mark: mark) == ""


def test_a_finished_piece_is_not_planned_again() -> None:
    def one_more(mark: Json) -> None:
        mark["request"]["pieces"][0]["quantity"] += 1

    assert "1 there, 4 planned: it is wanted 4 times" in refused(one_more)


def test_no_piece_is_forgotten() -> None:
    def one_less(mark: Json) -> None:
        mark["request"]["pieces"][1]["quantity"] -= 1

    assert "it is wanted 2 times" in refused(one_less)


def test_no_offcut_comes_from_nowhere() -> None:
    def another(mark: Json) -> None:
        offcut = {"id": "found", "tile": "field", "width": 300, "height": 300}
        mark["request"]["offcuts"].append(offcut)

    assert "'found': no such offcut is there" in refused(another)


def test_a_piece_keeps_its_size_unless_it_was_measured() -> None:
    def narrower(mark: Json) -> None:
        mark["request"]["pieces"][0]["width"] = 289

    assert "as it was measured last" in refused(narrower)


def test_a_tile_under_way_is_no_tile_of_the_new_plan() -> None:
    def same_number(mark: Json) -> None:
        mark["plan"]["cut_tiles"][0]["number"] = 1

    assert "a tile of this number is under way" in refused(same_number)


def test_a_new_plan_is_replayed_cut_by_cut() -> None:
    def elsewhere(mark: Json) -> None:
        mark["plan"]["cut_tiles"][0]["cuts"][0]["at"] += 5

    assert "/marks/2/plan/cut_tiles/0/placements" in refused(elsewhere)


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ((Done(cut_tile=1, cut=1), Done(cut_tile=1, cut=1)), "parted by an earlier cut"),
        ((Done(cut_tile=7),), "no plan in force has this tile to cut"),
        ((Broken(cut_tile=1, part=3),), "does not lie on the bench"),
        ((Broken(offcut="o5"),), "no such offcut"),
        ((Measured(piece="p7", width=MM, height=MM),), "names no such piece"),
        ((Done(piece="p1", times=3),), "it is wanted 2 times"),
        ((Replanned(),), "it is wanted 4 times"),
    ],
)
def test_what_cannot_have_been(marks: tuple[Mark, ...], said: str) -> None:
    wanted, plan, _ = begun()
    faults = check_history(wanted, plan, Progress(marks=marks))
    assert said in "\n".join(map(str, faults))
    taken_back = tuple(Undone(mark=number) for number in range(1, len(marks) + 1))
    assert check_history(wanted, plan, Progress(marks=(*marks, *taken_back))) == ()
