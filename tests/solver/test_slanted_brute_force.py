"""Slanted pieces against every placement on a grid: no way is found that needs fewer tiles."""

import random
from dataclasses import replace
from typing import Any

import pytest
import shapely

from cutopt.documents import Request
from cutopt.pipeline import plan
from tests.solver.slanted import ROUND, Shape, Tile, fewest_tiles, fit_one_tile

#: A step of the grid in mm.
STEP = 25


def request_of(shapes: list[Shape], tile: Tile) -> Request:
    pieces: list[dict[str, Any]] = []
    for at, shape in enumerate(shapes):
        width, height = shape.size
        pieces.append(
            {
                "id": f"p{at}",
                "width": width * STEP,
                "height": height * STEP,
                "outline": [[x * STEP, y * STEP] for x, y in shape.corners],
                "factory_edges": sorted(shape.wants),
            }
        )
    size = {"width": tile.width * STEP, "height": tile.height * STEP}
    return Request.of(
        {
            "format": "cutopt.request/1",
            "tiles": [{"id": "t", **size, "turn": tile.turn}],
            "saw": {"kerf": tile.kerf * STEP},
            "pieces": pieces,
        }
    )


def planned(shapes: list[Shape], tile: Tile) -> int:
    """Return the tiles that cutopt needs, proven."""
    (total,) = plan(request_of(shapes, tile)).totals
    assert total.proven_minimal
    return total.tiles_needed


def triangle(side: int) -> Shape:
    return Shape(((0, 0), (side, 0), (0, side)))


def trapezoid(low: int, high: int, height: int) -> Shape:
    return Shape(((0, 0), (low, 0), (high, height), (0, height)))


TURNED = Shape(((0, 0), (7, 0), (7, 7)))
CASES = {
    "two halves": ([triangle(8)] * 2, Tile(8, 8, "quarter", 0), 1),
    "two halves that may not turn": ([triangle(8)] * 2, Tile(8, 8, "none", 0), 2),
    "two halves and a kerf": ([triangle(8)] * 2, Tile(8, 8, "half", 0.08), 2),
    "room for the kerf": ([triangle(7)] * 2, Tile(8, 8, "half", 0.08), 1),
    "room for the kerf, turned": ([triangle(7), TURNED], Tile(8, 8, "quarter", 0.08), 1),
    "factory edges": ([triangle(7).wanting("left")] * 2, Tile(8, 8, "half", 0.08), 1),
    "factory edges that cross": ([triangle(7).wanting("left")] * 2, Tile(8, 8, "none", 0.08), 2),
    "four in a strip": ([triangle(4)] * 4, Tile(8, 4, "half", 0), 1),
    "five in the strip of four": ([triangle(4)] * 5, Tile(8, 4, "half", 0), 2),
    "trapezoids": ([trapezoid(5, 3, 4)] * 2, Tile(8, 4, "half", 0), 1),
    "trapezoids and a kerf": ([trapezoid(5, 3, 4)] * 2, Tile(8, 4, "half", 0.08), 2),
    "trapezoids too long": ([trapezoid(6, 3, 4)] * 2, Tile(8, 4, "half", 0), 2),
    "corner by a trapezoid": ([trapezoid(6, 3, 3), triangle(3)], Tile(6, 3, "half", 0), 1),
}


@pytest.mark.parametrize("name", CASES)
def test_by_hand(name: str) -> None:
    shapes, tile, tiles = CASES[name]
    assert fewest_tiles(shapes, tile) == tiles
    assert planned(shapes, tile) == tiles


def test_what_the_model_leaves_out() -> None:
    """Four quarters of a square round its middle: two nests, parted by a slanted cut."""
    quarters = [Shape(((0, 0), (8, 0), (4, 4)))] * 4
    tile = Tile(8, 8, "quarter", 0)
    assert fewest_tiles(quarters, replace(tile, free=True)) == 1
    assert fewest_tiles(quarters, tile) == 2


def test_a_pinwheel_is_no_straight_cut() -> None:
    """Four rectangles round a hole are apart two by two, yet no cut parts them."""
    bars = [Shape(((0, 0), (4, 0), (4, 3), (0, 3)))] * 4
    pinwheel = [(0, 0, 4, 3), (4, 0, 7, 4), (3, 4, 7, 7), (0, 3, 3, 7)]
    boxes = [shapely.box(*corners) for corners in pinwheel]
    assert shapely.union_all(boxes).area == sum(box.area for box in boxes) == 48
    assert fit_one_tile(bars[:3], Tile(7, 7, "quarter", 0))
    assert fewest_tiles(bars, Tile(7, 7, "quarter", 0, free=True)) == 2


def _drawn(rng: random.Random) -> tuple[list[Shape], Tile]:
    """Return a few triangles and trapezoids with slants of 45 degrees, and a tile for them."""
    tile = Tile(
        rng.randrange(6, 10),
        rng.randrange(6, 10),
        rng.choice(["none", "half", "quarter"]),
        rng.choice([0, 0, 0.08]),
    )
    most = 4 if tile.width * tile.height <= 56 else 3
    return [_piece(rng, tile) for _ in range(rng.randrange(2, most + 1))], tile


def _piece(rng: random.Random, tile: Tile) -> Shape:
    most = min(tile.width, tile.height)
    kind, side = rng.randrange(4), rng.randrange(3, most)
    if kind == 0:
        shape = triangle(side)
    elif kind == 1:
        half = max(2, side // 2)
        shape = Shape(((0, 0), (2 * half, 0), (half, half)))
    elif kind == 2:
        height = rng.randrange(2, side)
        shape = trapezoid(side, side - height, height) if side > height else triangle(side)
    else:
        off = rng.randrange(1, side)
        shape = Shape(((0, 0), (side, 0), (side, side - off), (side - off, side), (0, side)))
    for _ in range(rng.randrange(4)):
        shape = shape.turned()
    wants = frozenset(rng.sample(ROUND, rng.choice([0, 0, 1])))
    return Shape(shape.corners, wants)


@pytest.mark.parametrize("seed", range(40))
def test_no_placement_on_the_grid_needs_fewer_tiles(seed: int) -> None:
    shapes, tile = _drawn(random.Random(seed))
    tiles, fewest = planned(shapes, tile), fewest_tiles(shapes, tile)
    assert tiles <= fewest
    if not tile.kerf:
        # Without a kerf, pieces with slants of 45 degrees touch on the grid.
        assert tiles == fewest
