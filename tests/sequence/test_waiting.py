"""Fewer pieces wait at as few settings, and what waits is counted rightly."""

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.documents import Request
from cutopt.sequence.passes import Pass, passes_of
from cutopt.sequence.waiting import most_waiting, with_fewest_waiting
from cutopt.solver.sequencing import Task, changes, fewest_settings
from tests.building import planned, request
from tests.strategies import Json, requests


def test_a_piece_waits_until_all_before_it_are_there() -> None:
    assert most_waiting([[0], [1], [2]], {}) == 0
    assert most_waiting([[2], [1], [0]], {}) == 2
    assert most_waiting([[1], [2], [0]], {}) == 2
    assert most_waiting([[0, 2], [1]], {}) == 1
    assert most_waiting([[2], [1]], {0: 1}) == 1
    assert most_waiting([[1], [0]], {2: 3}) == 4, "three were there before, then one more"
    assert most_waiting([], {}) == 0


def test_equal_pieces_are_laid_one_by_one_but_make_way_together() -> None:
    assert most_waiting([[0], [1], [0]], {}) == 1
    assert most_waiting([[0], [0], [1]], {}) == 0


def passes_and_ranks(wanted: Request) -> tuple[list[Pass], dict[str, int]]:
    found: list[Pass] = []
    for one in planned(wanted).cut_tiles:
        if len(one.placements) == 1 and len(one.cuts or ()) == 1:
            found += passes_of(one, wanted.saw.kerf, wanted.units)
    return found, {piece.id: at for at, piece in enumerate(wanted.pieces)}


def test_visits_come_as_the_wall_asks() -> None:
    wanted = request((600, 300), [(560 - 20 * at, 300, 1) for at in range(6)], kerf=2)
    passes, rank = passes_and_ranks(wanted)
    assert len(passes) == 6
    backwards = list(reversed(range(6)))
    chosen = [one.settings[0].read for one in passes]
    assert with_fewest_waiting(passes, backwards, chosen, rank) == list(range(6))


@settings(max_examples=60)
@given(requests(), st.sampled_from([1, 2]))
def test_never_more_wait_and_never_more_settings(document: Json, skip: int) -> None:
    wanted = Request.of(document)
    passes: list[Pass] = []
    for one in planned(wanted).cut_tiles[::skip]:
        first = len(passes)
        for made in passes_of(one, wanted.saw.kerf, wanted.units):
            after = None if made.after is None else made.after + first
            passes.append(replace(made, after=after))
    rank = {piece.id: at for at, piece in enumerate(wanted.pieces)}
    best = fewest_settings(
        [Task(tuple(dict.fromkeys(s.read for s in one.settings)), one.after) for one in passes]
    )
    order = with_fewest_waiting(passes, best.order, best.chosen, rank)
    place = {number: at for at, number in enumerate(order)}
    assert sorted(order) == list(range(len(passes)))
    assert all(one.after is None or place[one.after] < place[at] for at, one in enumerate(passes))
    assert changes(best.chosen[number] for number in order) <= best.settings

    def waiting(numbers: Sequence[int]) -> int:
        return most_waiting([finished(passes[number], rank) for number in numbers], {})

    assert waiting(order) <= waiting(best.order)


def finished(one: Pass, rank: dict[str, int]) -> list[int]:
    made = [rank[made.piece] for made in one.makes if made.becomes == "piece" and made.piece]
    return made * one.cut_tile.count
