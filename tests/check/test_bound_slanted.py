"""Certificates over slanted pieces: against every placement on a grid, and what cutopt plans."""

import random
from itertools import combinations

import pytest

from cutopt.check import check_bound
from cutopt.pipeline import plan
from tests.check.test_bound import claim
from tests.solver.slanted import Shape, Tile, fit_one_tile
from tests.solver.test_slanted_brute_force import CASES, _drawn, request_of, trapezoid, triangle


@pytest.mark.parametrize("name", CASES)
def test_by_hand(name: str) -> None:
    """Each piece is worth one: the best tile holds all of them, or one less than is wanted."""
    shapes, tile, tiles = CASES[name]
    wanted = request_of(shapes, tile)
    prices = {f"p{at}": 1 for at in range(len(shapes))}
    (verdict,) = check_bound(wanted, plan(wanted))
    assert verdict.fault is None
    together = claim(wanted, len(shapes) - 1, prices, {}, 2)
    assert (together.fault is None) == (tiles > 1)


def test_a_trapezoid_upside_down_beside_another() -> None:
    """Two trapezoids of 5 and 3 by 4 make up a tile of 8 by 4; a third leaves no room."""
    tile = Tile(8, 4, "half", 0)
    wanted = request_of([trapezoid(5, 3, 4)] * 3, tile)
    prices = {f"p{at}": 1 for at in range(3)}
    assert claim(wanted, 2, prices, {}, 2).fault is None
    refused = claim(wanted, 1, prices, {}, 3)
    assert "1 x 'p0', 1 x 'p1'" in str(refused.fault)


def test_a_piece_that_is_worth_nothing_may_still_part_others() -> None:
    """Every piece counts for what nests, whatever its price."""
    tile = Tile(8, 8, "half", 0)
    wanted = request_of([triangle(8), triangle(8)], tile)
    assert claim(wanted, 1, {"p0": 1}, {}, 1).fault is None
    assert claim(wanted, 1, {"p0": 1, "p1": 1}, {}, 2).fault is not None


def most_on_the_grid(shapes: list[Shape], prices: list[int], tile: Tile) -> int:
    """Return the most that pieces are worth which come out of one tile, laid on the grid."""
    chosen = (group for many in range(1, 5) for group in combinations(range(len(shapes)), many))
    worths = ((sum(prices[at] for at in group), group) for group in chosen)
    for worth, group in sorted(worths, reverse=True):
        if fit_one_tile([shapes[at] for at in group], tile):
            return worth
    return 0


@pytest.mark.parametrize("seed", range(26))
def test_no_prices_are_certified_that_a_placement_on_the_grid_exceeds(seed: int) -> None:
    rng = random.Random(seed)
    shapes, tile = _drawn(rng)
    prices = [rng.randrange(1, 8) for _ in shapes]
    named = {f"p{at}": price for at, price in enumerate(prices)}
    most = most_on_the_grid(shapes, prices, tile)
    wanted = request_of(shapes, tile)
    for scale in (most - 1, most):
        if scale > 0:
            verdict = claim(wanted, scale, named, {}, -(-sum(prices) // scale))
            if scale < most:
                assert verdict.fault is not None
            elif not tile.kerf:
                # Without a kerf, pieces with slants of 45 degrees touch on the grid.
                assert verdict.fault is None


@pytest.mark.parametrize("seed", range(40, 48))
def test_what_cutopt_plans_is_certified(seed: int) -> None:
    shapes, tile = _drawn(random.Random(seed))
    wanted = request_of(shapes, tile)
    (verdict,) = check_bound(wanted, plan(wanted))
    assert verdict.fault is None
