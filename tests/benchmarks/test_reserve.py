"""The worked jobs: right on what can be reckoned by hand, and what the stored results say."""

import json
import math
from collections import Counter

import pytest
from scipy.stats import nbinom

from benchmarks.breakage import SIDES, Board, Trade, Work, holds, rest_of, spares_taken
from benchmarks.reserve import (
    LEVELS,
    ONE_SIDED,
    PAGE,
    THRIFTS,
    Tile,
    by_percentage,
    by_reserve,
    error_of,
    page_of,
    single,
    tally,
)
from benchmarks.results import RESULTS

TILE = Board(600, 300, frozenset(SIDES))


def trade(*works: Work, **fields: float) -> Trade:
    """Return a tile whose pieces are each cut from a tile of their own; nothing else breaks."""
    plain = {"full": 0, "new_cut": len(works), "breaks_whole": 0, "faulty": 0, "hidden": 0}
    told = {**plain, **fields}
    return Trade(
        tile=TILE,
        turns=(0, 2),
        kerf=2,
        works=tuple((work,) for work in works),
        full=int(told["full"]),
        new_cut=int(told["new_cut"]),
        shelf=(),
        breaks_whole=told["breaks_whole"],
        faulty=told["faulty"],
        hidden=told["hidden"],
    )


def board(width: int, height: int, edges: str = "") -> Board:
    return Board(width, height, frozenset(edges))


def test_what_a_board_holds() -> None:
    assert holds(TILE, board(600, 300, "LRTB"))
    assert not holds(TILE, board(599, 300, "LR"))
    assert holds(board(400, 300, "LTB"), board(400, 200, "L"))
    assert not holds(board(400, 300, "LTB"), board(400, 200, "R"))
    assert TILE.quarter_turned() == Board(300, 600, frozenset(SIDES))
    assert board(2, 1, "R").quarter_turned() == board(1, 2, "T")


def test_what_is_left_beside_a_piece() -> None:
    assert rest_of(TILE, board(250, 300, "RTB"), 2) == board(348, 300, "LTB")
    assert rest_of(TILE, board(600, 100), 2) == board(600, 198, "LRT")
    assert rest_of(TILE, board(599, 299), 2) is None


@pytest.mark.parametrize("thrift", THRIFTS)
def test_pieces_that_take_a_tile_each_follow_the_negative_binomial(thrift: str) -> None:
    """Twelve pieces as large as a tile, 1 in 5 breaks: from scipy, four standard deviations."""
    works = trade(*[Work(TILE, (0.2,))] * 12)
    jobs = 2_000
    taken = Counter(spares_taken(works, (1, job), thrift) for job in range(jobs))  # type: ignore[arg-type]
    for spares in range(8):
        short = sum(many for spent, many in taken.items() if spent > spares) / jobs
        truth = float(nbinom.sf(spares, 12, 0.8))
        assert abs(short - truth) <= 4 * math.sqrt(truth * (1 - truth) / jobs) + 1e-9


def test_faulty_tiles_are_cut_up_or_lost() -> None:
    jobs = 500
    hidden = trade(*[Work(TILE, (0.0,))] * 9, faulty=0.3, hidden=1)
    assert sum(spares_taken(hidden, (2, job), "once") for job in range(jobs)) == 0
    lost = trade(faulty=0.3, full=9)
    mean = sum(spares_taken(lost, (3, job), "once") for job in range(jobs)) / jobs
    assert abs(mean - float(nbinom.mean(9, 0.7))) < 4 * float(nbinom.std(9, 0.7)) / jobs**0.5


@pytest.fixture(scope="module")
def rows() -> list[Tile]:
    found: list[Tile] = json.loads((RESULTS / "reserve.json").read_text(encoding="utf-8"))
    return found


def test_the_page_is_that_of_the_stored_results(rows: list[Tile]) -> None:
    """Renew it: python -m benchmarks.reserve --page."""
    assert PAGE.read_text(encoding="utf-8") == "\n".join(page_of(rows)) + "\n"


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("thrift", THRIFTS)
def test_calibrated(rows: list[Tile], level: float, thrift: str) -> None:
    """Over 2,000 jobs not above what was asked beyond the error; above it with one spare fewer."""
    alone = single(rows)
    found = tally(alone, thrift, by_reserve(level))
    fewer = tally(alone, thrift, by_reserve(level, 1))
    asked = 1 - level
    assert found["jobs"] >= 2_000
    assert found["short"] / found["jobs"] <= asked + ONE_SIDED * error_of(asked, found["jobs"])
    assert fewer["short"] / fewer["jobs"] > asked


def test_the_percentages_are_short_more_often(rows: list[Tile]) -> None:
    ours = tally(rows, "once", by_reserve(0.95))
    for percent in (10, 15):
        theirs = tally(rows, "once", by_percentage(percent))
        assert theirs["short"] > 5 * ours["short"]
