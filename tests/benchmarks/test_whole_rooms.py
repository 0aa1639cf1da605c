"""The whole rooms: stored as the generator writes them, and reported as they were measured."""

import pytest

from benchmarks import report_whole
from benchmarks.make_instances import text_of
from benchmarks.make_whole_rooms import FOLDER, JOBS, Order, job_of, orders, requests
from benchmarks.results import instances
from benchmarks.whole_rooms import ROOMS
from cutopt.documents import Job, Request
from tests.benchmarks.test_measuring import row

ORDERS = orders()


def stored(name: str) -> str:
    return (FOLDER / f"{name}.json").read_text(encoding="utf-8")


def test_twice_as_many_are_stored_as_there_are_rooms_of_the_first_kind() -> None:
    names = {f"{order.name}-{edges}" for order in ORDERS for edges in ("factory", "sawn")}
    assert {path.stem for path in instances("whole_rooms")} == names
    assert len(names) == 2 * len(instances("rooms"))


@pytest.mark.parametrize("order", ORDERS[::5], ids=lambda order: order.name)
def test_the_generator_writes_the_stored_bytes(order: Order) -> None:
    job = job_of(order)
    assert stored(f"{JOBS}/{order.name}") == text_of(job)
    for edges, request in requests(job):
        assert stored(f"{order.name}-{edges}") == text_of(request)


@pytest.mark.parametrize("order", ORDERS[::11], ids=lambda order: order.name)
def test_the_two_of_a_pair_differ_in_factory_edges_only(order: Order) -> None:
    factory, sawn = (Request.read(stored(f"{order.name}-{edges}")) for edges in ("factory", "sawn"))
    assert any(piece.factory_edges for piece in factory.pieces)
    bare = [piece.model_copy(update={"factory_edges": ()}) for piece in factory.pieces]
    assert tuple(bare) == sawn.pieces
    assert (factory.tiles, factory.saw, factory.offcuts) == (sawn.tiles, sawn.saw, sawn.offcuts)


def test_every_room_has_a_floor_and_one_to_four_walls() -> None:
    jobs = [Job.of(job_of(order)) for order in ORDERS]
    kinds = [[surface.kind for _, surface in job.measured] for job in jobs]
    assert all(each.count("floor") == 1 for each in kinds)
    assert {each.count("wall") for each in kinds} == {1, 2, 3, 4}
    assert len({order.room for order in ORDERS}) == len(ROOMS)
    assert {len(job.tiles) for job in jobs} == {1, 2}
    assert any(job.offcuts for job in jobs)


def test_the_section_names_what_is_open_or_slow() -> None:
    rows = [row("a-factory"), row("b-factory", tiles=12, bound=10), row("a-sawn")]
    rows[0]["processor_seconds"] = 1.5
    page = report_whole.section(rows, ["b-sawn"])
    assert "| factory edges | 2 | 24 | **1 of 2** | 22 | 20 | 0.88 | 1.50 | 1.50 | 90 |" in page
    assert (
        "| sawn edges allowed | 1 | 12 | **1 of 1** | 10 | 10 | 0.25 | 0.25 | 0.25 | 90 |" in page
    )
    assert "| a-factory | 12 | 8 | 10 | 10 | 0 | 1.50 |" in page
    assert "| b-factory | 12 | 8 | 12 | 10 | 2 | 0.25 |" in page
    assert "| a-sawn |" not in page
    assert "**Not measured (1):** b-sawn." in page


def test_the_95th_of_a_hundred_is_not_the_slowest() -> None:
    assert report_whole.percentile(list(range(1, 101)), 95) == 95
    assert report_whole.percentile([3.0], 95) == 3
