"""The slanted floors: stored as the generator writes them, and reported as they were measured."""

import pytest

from benchmarks import report_slanted
from benchmarks.make_slanted import FOLDER, JOBS, ORDERS, Order, job_of, text_of
from benchmarks.results import Row, instances
from cutopt.documents import Job, Request
from cutopt.layout import take_off
from tests.benchmarks.test_measuring import row

REQUESTS = {path.stem: Request.read(path.read_bytes()) for path in instances("slanted")}


def test_at_least_ten_diagonal_and_ten_herringbone_floors_are_stored() -> None:
    assert set(REQUESTS) == {order.name for order in ORDERS}
    herringbone = [order for order in ORDERS if order.bond == "herringbone"]
    diagonal = [order for order in ORDERS if order.bond != "herringbone"]
    assert min(len(herringbone), len(diagonal)) >= 10
    assert {order.angle for order in herringbone} == {0, 45}
    assert {order.angle for order in diagonal} >= {30, 45}
    assert sum(order.room == "column" for order in diagonal) >= 2


@pytest.mark.parametrize("order", ORDERS, ids=lambda order: order.name)
def test_the_generator_writes_the_stored_job_and_its_request(order: Order) -> None:
    job = job_of(order)
    stored = FOLDER / JOBS / f"{order.name}.json"
    assert stored.read_text(encoding="utf-8") == text_of(job)
    assert take_off(Job.of(job)).request == REQUESTS[order.name]


@pytest.mark.parametrize("name", [name for name in REQUESTS if not name.endswith("at-0")])
def test_most_cut_pieces_are_slanted(name: str) -> None:
    cut = [piece for piece in REQUESTS[name].pieces if not piece.id.endswith(" full")]
    assert 20 <= len(cut) <= 150
    assert sum(piece.outline is not None for piece in cut) > len(cut) / 2


def floor(name: str, tiles: int, bound: int) -> Row:
    """Return an invented measurement; a tile for every cut piece would be 14."""
    return row(name, tiles=tiles, bound=bound)


def test_the_section_tells_what_is_saved_and_what_is_open() -> None:
    rows = [floor("diagonal-a", 11, 10), floor("diagonal-b", 10, 10), floor("herringbone-a", 9, 9)]
    page = report_slanted.section(rows, ["diagonal-c"])
    assert "Proven minimal: **1 of 2** (gaps in tiles: `diagonal-a` 1). 7 of 28 tiles" in page
    assert "Proven minimal: **1 of 1**. 5 of 14 tiles fewer" in page
    assert "| **all** | 24 | 28 | 18 | 24 | 22 | **21** | 20 | |" in page
    assert "**Not measured (1):** diagonal-c." in page
