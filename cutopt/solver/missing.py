"""More new sheets than there are, at a price beyond all others: how many of them are missing."""

from dataclasses import replace

from cutopt.solver.problem import Problem, Solution

#: No missing sheet costs more than this, so that worths stay within 64 bits.
DEAREST = 10**9


def missing_cost(problem: Problem) -> int:
    """Return what a missing sheet costs: more than all that could be bought."""
    most = sum(
        cost * (sum(problem.demands) if sheet.limit is None else sheet.limit)
        for sheet, cost in zip(problem.sheets, problem.costs, strict=True)
    )
    return min(most + 1, DEAREST)


def with_missing(problem: Problem) -> Problem:
    """Return the problem with any number of every new sheet of which there are few, at a price."""
    dear = missing_cost(problem)
    more = [
        replace(sheet, limit=None, cost=dear)
        for sheet, cost in zip(problem.sheets, problem.costs, strict=True)
        if cost and sheet.limit is not None
    ]
    return replace(problem, sheets=(*problem.sheets, *more))


def missing_in(problem: Problem, solution: Solution) -> tuple[int, int]:
    """Return how many new sheets are missing in a solution, and in any at the least."""
    count = sum(one.count for one in solution.cuttings if one.sheet >= len(problem.sheets))
    dear = missing_cost(problem)
    return count, min(count, max(0, -(-(solution.bound - dear + 1) // dear)))
