"""The stored instances: readable, in range, in pairs, and what the generator writes."""

from collections import Counter

import pytest

from benchmarks.make_instances import FOLDER, ORDERS, Order, documents, text_of
from benchmarks.results import instances
from cutopt.documents import Request, is_full_tile

REQUESTS = {path.stem: Request.read(path.read_bytes()) for path in instances("rooms")}


def test_each_room_is_stored_with_and_without_factory_edges() -> None:
    assert set(REQUESTS) == {
        f"{order.name}-{kind}" for order in ORDERS for kind in ("factory", "sawn")
    }
    assert len(REQUESTS) >= 48


@pytest.mark.parametrize("order", ORDERS[::8], ids=lambda order: order.name)
def test_the_generator_writes_the_stored_bytes(order: Order) -> None:
    for name, document in documents(order):
        assert (FOLDER / f"{name}.json").read_text(encoding="utf-8") == text_of(document)


@pytest.mark.parametrize("name", REQUESTS)
def test_an_instance_is_of_the_size_it_says(name: str) -> None:
    request = REQUESTS[name]
    cut = [piece for piece in request.pieces if not is_full_tile(piece, request.tile_of(piece))]
    sizes = {(piece.tile, piece.width, piece.height) for piece in cut}
    assert 20 <= sum(piece.quantity for piece in cut) <= 250
    assert len(sizes) >= 8
    assert max(Counter(tile for tile, _, _ in sizes).values()) <= 45


@pytest.mark.parametrize("name", [name for name in REQUESTS if name.endswith("-factory")])
def test_the_two_of_a_pair_differ_in_factory_edges_only(name: str) -> None:
    factory, sawn = REQUESTS[name], REQUESTS[name.replace("-factory", "-sawn")]
    assert any(piece.factory_edges for piece in factory.pieces)
    bare = [piece.model_copy(update={"factory_edges": ()}) for piece in factory.pieces]
    assert tuple(bare) == sawn.pieces
    assert (factory.tiles, factory.saw, factory.offcuts) == (sawn.tiles, sawn.saw, sawn.offcuts)


def test_the_instances_cover_bonds_turns_kerfs_units_and_shelves() -> None:
    assert {tiling.bond for order in ORDERS for tiling in order.tilings} == {
        "stack",
        "half",
        "third",
    }
    found = REQUESTS.values()
    assert {tile.turn for each in found for tile in each.tiles} == {"none", "half", "quarter"}
    assert {each.units for each in found} == {"mm", "in"}
    assert len({each.saw.kerf for each in found}) >= 4
    assert any(each.offcuts for each in found)
    assert any(len(each.tiles) > 1 for each in found)
