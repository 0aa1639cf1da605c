"""Where the blade runs: along the middle of its kerf, within its part."""

from typing import Any

import pytest

from cutopt.documents import Plan
from cutopt.reports.bench import saw_runs
from cutopt.units import MM
from tests.reports.samples import one_tile

Ends = tuple[tuple[float, float], tuple[float, float]]


def runs(*cuts: dict[str, Any], kerf: int = 2) -> list[list[Ends]]:
    laid = [{"piece": "any", "x": 0, "y": 0, "turn": 0}]
    (cut_tile,) = Plan.of(one_tile(list(cuts), laid)).cut_tiles
    return [
        [(in_mm(run.start), in_mm(run.end)) for run in sawn.runs]
        for sawn in saw_runs(cut_tile, kerf * MM)
    ]


def in_mm(corner: tuple[float, float]) -> tuple[float, float]:
    return round(corner[0] / MM, 6), round(corner[1] / MM, 6)


def vertical(part: int, at: float, *makes: int | None) -> dict[str, Any]:
    return {"part": part, "way": "vertical", "at": at, "makes": makes}


def horizontal(part: int, at: float, *makes: int | None) -> dict[str, Any]:
    return {"part": part, "way": "horizontal", "at": at, "makes": makes}


def test_straight_cuts_end_at_earlier_ones() -> None:
    assert runs(vertical(0, 250, 1, 2), horizontal(2, 100, 3, 4), horizontal(1, 50, 5, 6)) == [
        [((251, 0), (251, 300))],
        [((252, 101), (600, 101))],
        [((0, 51), (250, 51))],
    ]


def test_a_blade_partly_beside_its_part_runs_where_it_meets_it() -> None:
    assert runs(vertical(0, 250, 1, 2), vertical(2, 251, None, 3))[1] == [
        ((252.5, 0), (252.5, 300))
    ]
    assert runs(vertical(0, 599, 1, None)) == [[((599.5, 0), (599.5, 300))]]


def test_without_a_kerf_it_runs_on_the_line() -> None:
    assert runs(vertical(0, 250, 1, 2), kerf=0) == [[((250, 0), (250, 300))]]


@pytest.mark.parametrize(
    ("corner", "upright", "level", "cut_in_rest"),
    [
        ("bottom-left", ((199, 0), (199, 150)), ((0, 149), (200, 149)), ((0, 51), (198, 51))),
        ("bottom-right", ((401, 0), (401, 150)), ((400, 149), (600, 149)), ((402, 51), (600, 51))),
        ("top-left", ((199, 150), (199, 300)), ((0, 151), (200, 151)), None),
        ("top-right", ((401, 150), (401, 300)), ((400, 151), (600, 151)), None),
    ],
)
def test_a_notch(corner: str, upright: Ends, level: Ends, cut_in_rest: Ends | None) -> None:
    notch = {"part": 0, "way": "notch", "corner": corner, "width": 200, "height": 150}
    at = 50 if cut_in_rest else 250
    first, second = runs({**notch, "makes": [1, 2]}, horizontal(2, at, 3, 4))
    assert first == [upright, level]
    (start, end) = second[0]
    assert cut_in_rest is None or (start, end) == cut_in_rest
    assert end[0] - start[0] == 198, "the rest is a kerf narrower than the notch"


def test_a_slanted_cut_runs_half_a_kerf_right_of_its_line() -> None:
    # A 3-4-5 triangle: the line from (300, 0) to (0, 225) falls 4 for 3; the blade's middle
    # lies 2 mm further along its normal (0.6, 0.8), so its ends move by 2/0.6 and 2/0.8.
    slanted = {"part": 0, "way": "slanted", "line": [[300, 0], [0, 225]], "makes": [1, 2]}
    ((start, end),) = runs(slanted, kerf=4)[0]
    assert sorted([start, end]) == [(0, 227.5), (pytest.approx(303.333333), 0)]


def test_parts_of_a_slanted_cut_bound_later_ones() -> None:
    slanted = {"part": 0, "way": "slanted", "line": [[300, 0], [0, 300]], "makes": [1, 2]}
    below = runs(slanted, horizontal(1, 100, 3, 4), kerf=0)[1]
    beyond = runs(slanted, horizontal(2, 100, 3, 4), kerf=0)[1]
    assert below == [((0, 100), (200, 100))]
    assert beyond == [((200, 100), (600, 100))]


def test_no_cuts_listed() -> None:
    laid = [{"piece": "any", "x": 0, "y": 0, "turn": 0}]
    assert saw_runs(Plan.of(one_tile(None, laid)).cut_tiles[0], 2 * MM) == []
