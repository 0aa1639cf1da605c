"""Side by side: four ways on one tiny instance, the model's answer, and the page."""

from pathlib import Path

import pytest
from ortools.sat.python import cp_model

from benchmarks import report_side_by_side as report
from benchmarks import side_by_side
from benchmarks.monolith import build, first_plan, hint, solve, units_of
from benchmarks.side_by_side import INSTANCES_ASKED, SECONDS, WAYS, Row, measure_all, read
from cutopt.documents import Request


def request(pieces: list[tuple[int, int, int]], turn: str = "none", kerf: int = 0) -> Request:
    """Return a request for tiles of 100 x 100; a piece is width, height and quantity."""
    return Request.of(
        {
            "tiles": [{"id": "field", "width": 100, "height": 100, "turn": turn}],
            "saw": {"kerf": kerf},
            "pieces": [
                {"id": f"p{at}", "width": width, "height": height, "quantity": quantity}
                for at, (width, height, quantity) in enumerate(pieces)
            ],
        }
    )


HALVES = [(100, 50, 4)]
#: Two pieces side by side only when one is turned.
MIXED = [(60, 100, 1), (100, 40, 1)]
#: Five pieces that fill a tile round a middle, and that no straight cut parts.
WINDMILL = [(60, 40, 2), (40, 60, 2), (20, 20, 1)]


@pytest.mark.parametrize("way", WAYS)
def test_every_way_finds_two_tiles_for_four_halves(way: str) -> None:
    found = WAYS[way](request(HALVES), 5.0)
    assert found.tiles == 2
    assert found.bound in (None, 2)


@pytest.mark.parametrize("way", WAYS)
def test_full_tiles_are_counted(way: str) -> None:
    assert WAYS[way](request([*HALVES, (100, 100, 3)]), 5.0).tiles == 5


@pytest.mark.parametrize(("turn", "tiles"), [("none", 2), ("half", 2), ("quarter", 1)])
def test_the_model_turns_pieces_where_the_tile_may_be_turned(turn: str, tiles: int) -> None:
    assert solve(request(MIXED, turn), 5) == (tiles, tiles)


@pytest.mark.parametrize(("kerf", "tiles"), [(0, 1), (1, 2)])
def test_the_model_adds_the_kerf(kerf: int, tiles: int) -> None:
    assert solve(request([(50, 100, 2)], kerf=kerf), 5) == (tiles, tiles)
    assert solve(request([(99, 50, 1), (99, 49, 1)], kerf=1), 5) == (1, 1)


def test_the_model_need_not_cut_from_edge_to_edge() -> None:
    assert solve(request(WINDMILL), 5).tiles == 1
    assert WAYS["cutopt"](request(WINDMILL), 5.0) == (2, 2)


def test_without_time_the_model_still_says_something_true() -> None:
    found = solve(request([(34, 51, 7), (45, 33, 9), (23, 61, 5)]), 0.0)
    assert found.bound <= found.tiles <= 21


@pytest.mark.parametrize("kerf", [0, 2])
@pytest.mark.parametrize("turn", ["none", "quarter"])
def test_the_model_accepts_the_plan_that_it_begins_with(turn: str, kerf: int) -> None:
    asked = request([(34, 51, 7), (51, 34, 2), (45, 33, 9), (23, 61, 5)], turn, kerf)
    (tile,), units, kerf = asked.tiles, units_of(list(asked.pieces)), asked.saw.kerf
    spots = first_plan(tile, units, kerf)
    most = 1 + max(spot.tile for spot in spots)
    model = build(tile, units, kerf, most)
    hint(model, units, spots, kerf)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    assert solver.solve(model.cp) == cp_model.OPTIMAL
    assert solver.objective_value == most


def row(name: str, way: str, tiles: int, bound: int | None) -> Row:
    return Row(
        name=name,
        way=way,
        allowed=5,
        pieces=20,
        tiles=tiles,
        bound=bound,
        seconds=0.5,
        peak_mib=80,
        made_by="cutopt",
        machine="a machine",
    )


ROOM, BIN, OTHER = INSTANCES_ASKED[0], INSTANCES_ASKED[-1], INSTANCES_ASKED[-2]
ROWS = [
    row(ROOM, "largest first", 12, None),
    row(ROOM, "one CP-SAT model", 11, 11),
    row(ROOM, "cutopt", 10, 10),
    row(BIN, "largest first", 10, None),
    row(BIN, "one CP-SAT model", 9, 8),
    row(BIN, "cutopt", 10, 7),
    row(OTHER, "one CP-SAT model", 9, 9),
    row(OTHER, "cutopt", 10, 10),
]


def test_the_models_bound_counts_for_bins_only() -> None:
    assert report.best_bounds(ROWS) == {ROOM: 10, BIN: 8, OTHER: 10}


def test_the_page_sums_up() -> None:
    page = report.page(ROWS)
    assert "| 5 | largest first | 2 | 0 | 22.50 % | – | 0.50 | 80 |" in page
    assert "| 5 | one CP-SAT model [^free] | 3 | 1 | 4.17 % | 2 | 0.50 | 80 |" in page
    assert "| 5 | **cutopt** | 3 | 2 | 8.33 % | 2 | 0.50 | 80 |" in page
    assert f"Only 8 of {len(SECONDS) * len(INSTANCES_ASKED) * len(WAYS)} are measured" in page
    assert f"| {OTHER} | 20 | 10 | not measured | not measured | 9 (9), 0.50 s, 80 |" in page
    assert "11 (11), 0.50 s, 80 | 10 (10), 0.50 s, 80 |" in page


def test_a_run_goes_on_where_it_stopped(tmp_path: Path) -> None:
    out, asked = tmp_path / "out.jsonl", list[str]()

    def measured(name: str, way: str, seconds: float) -> Row:
        asked.append(name)
        if len(asked) == 3:
            raise KeyboardInterrupt
        found = row(name, way, 10, 10)
        found["allowed"] = seconds
        return found

    with pytest.raises(KeyboardInterrupt):
        measure_all(out, measured)
    measure_all(out, measured)
    every = len(SECONDS) * len(INSTANCES_ASKED) * len(WAYS)
    assert (len(asked), len(read(out))) == (every + 1, every)


def test_every_instance_asked_for_is_there_and_simple() -> None:
    assert len(INSTANCES_ASKED) == len(set(INSTANCES_ASKED)) == 25
    for name in INSTANCES_ASKED:
        found = side_by_side.request_of(name)
        assert (len(found.tiles), found.offcuts) == (1, ())
