"""Too few tiles of a batch: exactly enough is enough, one fewer says how many are missing."""

import pytest

from cutopt.check import check_plan
from cutopt.documents import Plan, Request
from cutopt.errors import CannotBeMet
from cutopt.pipeline import plan
from cutopt.planning.shortage import missing
from tests.building import Json, planned


def request(available: int, *, offcuts: int = 0) -> Request:
    shelf: Json = {"id": "shelf", "width": 400, "height": 300, "quantity": offcuts or 1}
    return Request.of(
        {
            "tiles": [{"id": "field", "width": 600, "height": 300, "available": available}],
            "pieces": [
                {"id": "full", "width": 600, "height": 300, "quantity": 2},
                {"id": "end", "width": 350, "height": 300, "quantity": 3},
            ],
            "offcuts": [shelf] if offcuts else [],
        }
    )


def test_as_many_as_there_are_will_do() -> None:
    assert planned(request(5)).totals[0].tiles_needed == 5


def test_one_fewer_is_refused_with_how_many_are_missing() -> None:
    with pytest.raises(CannotBeMet) as refused:
        plan(request(4))
    (fault,) = refused.value.faults
    assert (fault.place, fault.value) == ("/tiles/0/available", "4 of tile 'field'")
    assert fault.rule == "the pieces take 5, 1 more than there are; no plan takes fewer"


def test_an_offcut_stands_in_for_a_missing_tile() -> None:
    assert planned(request(4, offcuts=1)).totals[0].tiles_needed == 4


def test_nothing_there_is_a_limit_too() -> None:
    with pytest.raises(CannotBeMet, match="5 more than there are"):
        plan(request(0))


@pytest.mark.parametrize(
    ("least", "said"),
    [
        (41, "the pieces take 41, 3 more than there are; no plan takes fewer"),
        (39, "the pieces take 41, 3 more than there are; no plan takes fewer than 39"),
        (38, "the pieces take 41, 3 more than there are in the best plan found; that 38 do "),
    ],
)
def test_what_is_said_is_what_is_proven(least: int, said: str) -> None:
    assert missing(41, least, 38).startswith(said)


@pytest.mark.parametrize(("available", "places"), [(5, []), (4, ["/totals/0/tiles_needed"])])
def test_the_check_knows_the_limit(available: int, places: list[str]) -> None:
    made = Plan.read(planned(request(5)).text())
    assert [fault.place for fault in check_plan(request(available), made)] == places
