"""The search against trying every start of a grid."""

from functools import cache

import pytest

from benchmarks.small_walls import (
    FLOOR,
    SHARP,
    best_of_grid,
    searched,
    small_wall,
    tiles_of,
    too_small,
)
from cutopt.documents import Job
from cutopt.layout import take_off
from cutopt.setting_out.search import Search
from cutopt.setting_out.space import Space
from cutopt.units import MM

#: The whole table, with both directions on a 1 mm grid, is measured by benchmarks/.
ONE_WAY = [seed for seed in range(60) if small_wall(seed)["setting_out"][0]["move"] != "both"][:20]
BOTH_WAYS = [s for s in range(60) if small_wall(s)["setting_out"][0]["move"] == "both"][:5]


@cache
def found(seed: int) -> tuple[Search, Space]:
    return searched(Job.of(small_wall(seed)))


@pytest.mark.parametrize("seed", ONE_WAY)
def test_as_good_as_every_start_on_a_1_mm_grid(seed: int) -> None:
    search, space = found(seed)
    share = search.options.eased.get("/rooms/0/surfaces/0", FLOOR)
    tiles, _ = best_of_grid(space, share)
    assert search.best is not None
    assert search.bound == search.best.tiles
    assert tiles is None or search.best.tiles <= tiles


@pytest.mark.parametrize("seed", SHARP[:5])
def test_better_where_the_grid_misses_a_critical_start(seed: int) -> None:
    search, space = found(seed)
    tiles, _ = best_of_grid(space, search.options.eased.get("/rooms/0/surfaces/0", FLOOR))
    assert search.best is not None
    assert search.bound == search.best.tiles
    assert tiles is None or search.best.tiles < tiles


@pytest.mark.parametrize("seed", BOTH_WAYS)
def test_both_ways_as_good_as_a_coarse_grid(seed: int) -> None:
    search, space = found(seed)
    share = search.options.eased.get("/rooms/0/surfaces/0", FLOOR)
    tiles, _ = best_of_grid(space, share, 7 * MM)
    assert search.best is not None
    assert search.bound == search.best.tiles
    assert tiles is None or search.best.tiles <= tiles


@pytest.mark.parametrize("seed", [*ONE_WAY, *BOTH_WAYS])
def test_the_start_found_takes_these_tiles_and_keeps_the_rules(seed: int) -> None:
    search, space = found(seed)
    assert search.best is not None
    laid = take_off(space.job_at(search.best.values))
    assert tiles_of(laid, {}) == search.best.tiles
    share = search.options.eased.get("/rooms/0/surfaces/0", FLOOR)
    axes = [variable.axis for variable in space.variables]
    assert not list(too_small(laid, share, MM, axes))
