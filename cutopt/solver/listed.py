"""Listed patterns at prices: the best of a sheet, and those worth more than it costs."""

from collections.abc import Callable, Sequence

import numpy as np

from cutopt.solver.area import most_by_area
from cutopt.solver.blocks import Blocks
from cutopt.solver.master import Prices, bound_by, usefulness
from cutopt.solver.patterns import Pattern, pattern_of
from cutopt.solver.problem import Problem, Proof

#: Columns that one round of pricing adds.
PER_ROUND = 200


def proof_by_listed(problem: Problem, blocks: Sequence[Blocks], prices: Prices) -> Proof:
    """Return what prices prove where every pattern of every sheet is listed."""
    worths = tuple(best_listed(one, prices) for one in blocks)
    return Proof(prices.of_kind, worths, bound_by(problem, prices, worths))


def best_listed(blocks: Blocks, prices: Prices) -> int:
    """Return what the best block of a sheet is worth."""
    worths = np.array(prices.of_kind, np.int64)
    sums = [worths[level.members].sum(axis=1) for level in blocks.levels if len(level)]
    return max((int(worth.max()) for worth in sums), default=0)


def most_listed(blocks: Blocks, prices: Prices) -> int:
    """Return no less than any block is worth: by area where not all blocks or nests are listed."""
    if blocks.complete:
        return best_listed(blocks, prices)
    return most_by_area(blocks.problem, blocks.sheet, prices.of_kind)


def better_listed(
    listed: Sequence[Blocks], prices: Prices, is_known: Callable[[int, tuple[int, ...]], bool]
) -> list[Pattern]:
    """Return listed patterns that are worth more than their sheet and not known yet."""
    found: list[tuple[int, int, int, int]] = []
    worths = np.array(prices.of_kind, np.int64)
    for number, blocks in enumerate(listed):
        for depth, level in enumerate(blocks.levels):
            if not len(level):
                continue
            worth = worths[level.members].sum(axis=1)
            rows = np.flatnonzero(worth > prices.of_sheet[number])
            rows = rows[np.argsort(-worth[rows], kind="stable")][:PER_ROUND]
            found += [(-int(worth[row]), number, depth, int(row)) for row in rows]
    chosen: list[Pattern] = []
    for _, number, depth, row in sorted(found):
        kinds = tuple(listed[number].levels[depth].members[row].tolist())
        if not is_known(number, kinds) and len(chosen) < PER_ROUND:
            chosen.append(pattern_of(number, listed[number].tree(depth, row)))
    return chosen


def useful_ones(
    listed: Sequence[Blocks], patterns: list[Pattern], prices: Prices | None, cost: int
) -> list[Pattern]:
    """Return the patterns that a plan of a given cost can use at all (`usefulness`)."""
    if not prices:
        return patterns
    worths = [best_listed(blocks, prices) for blocks in listed]
    return list(filter(usefulness(listed[0].problem, prices, worths, cost), patterns))
