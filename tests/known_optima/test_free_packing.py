"""A general solver as a reference: pieces laid anywhere without overlap, no kerf, no edges.

It may lay pieces as no straight cuts could part them, so it never needs more tiles. With at most
three pieces to a tile it never needs fewer: any three rectangles that do not overlap can be
parted by straight cuts (four is the least number that cannot, a pinwheel).
"""

import random

import pytest
from ortools.sat.python import cp_model

from tests.building import Wanted, proven, request


def fewest_free(
    tile: tuple[int, int], pieces: list[Wanted], turn: str, most: int | None = None
) -> int:
    """Return the fewest tiles for pieces laid freely, so many to a tile at the most."""
    boxes = [(int(width), int(height)) for width, height, many in pieces for _ in range(many)]
    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in boxes]
    inside: list[list[cp_model.IntVar]] = [[] for _ in boxes]
    across: list[list[cp_model.IntervalVar]] = [[] for _ in boxes]
    upwards: list[list[cp_model.IntervalVar]] = [[] for _ in boxes]
    for number, (width, height) in enumerate(boxes):
        ways = []
        sizes = [(width, height), (height, width)] if turn == "quarter" else [(width, height)]
        for bin_number in range(number + 1):
            for wide, high in sizes:
                if wide > tile[0] or high > tile[1]:
                    continue
                here = model.new_bool_var("")
                x = model.new_int_var(0, tile[0] - wide, "")
                y = model.new_int_var(0, tile[1] - high, "")
                across[bin_number].append(
                    model.new_optional_fixed_size_interval_var(x, wide, here, "")
                )
                upwards[bin_number].append(
                    model.new_optional_fixed_size_interval_var(y, high, here, "")
                )
                model.add_implication(here, used[bin_number])
                inside[bin_number].append(here)
                ways.append(here)
        model.add_exactly_one(ways)
    for one, other in zip(across, upwards, strict=True):
        model.add_no_overlap_2d(one, other)
    for laid in inside:
        model.add(sum(laid) <= (most or len(boxes)))
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def drawn(seed: int) -> tuple[tuple[int, int], list[Wanted]]:
    """Return a tile and some pieces whose sides are a good share of it."""
    random_ = random.Random(seed)
    tile = random_.randint(50, 100), random_.randint(50, 100)
    pieces: list[Wanted] = [
        (
            tile[0] * random_.randint(20, 70) // 100,
            tile[1] * random_.randint(20, 70) // 100,
            random_.choice((1, 1, 1, 2)),
        )
        for _ in range(random_.randint(4, 6))
    ]
    return tile, pieces


@pytest.mark.parametrize("seed", range(16))
@pytest.mark.parametrize("turn", ["none", "quarter"])
def test_between_laid_freely_and_three_to_a_tile(turn: str, seed: int) -> None:
    tile, pieces = drawn(seed)
    tiles = proven(request(tile, pieces, turn=turn))
    assert fewest_free(tile, pieces, turn) <= tiles
    assert tiles <= fewest_free(tile, pieces, turn, most=3)


def test_a_pinwheel_takes_one_tile_more() -> None:
    """Four pieces around a hole lie in a square, but no straight cut begins to part them."""
    pieces: list[Wanted] = [(2, 1, 2), (1, 2, 2)]
    assert fewest_free((3, 3), pieces, "none") == 1
    assert fewest_free((3, 3), pieces, "none", most=3) == 2
    assert proven(request((3, 3), pieces)) == 2
