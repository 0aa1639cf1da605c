"""Part of a plan from the columns of the relaxation; the rest is planned from scratch."""

from collections.abc import Callable, Sequence
from contextlib import suppress

from cutopt.solver.extras import made_by, without_extras
from cutopt.solver.first_plan import Short, first_plan, uses
from cutopt.solver.patterns import Pattern, cuttings_of
from cutopt.solver.problem import Cutting, Problem

#: Plans so many of each kind in another way, if it can.
Planner = Callable[[Sequence[int]], list[Cutting] | None]


def filled_up(
    problem: Problem, columns: Sequence[Pattern], amounts: Sequence[int], otherwise: Planner
) -> list[Cutting] | None:
    """Return a plan that uses each column so often; None where too few sheets are left for it.

    The rest is planned largest first or otherwise, whichever costs less.
    """
    cuttings = without_extras(problem, cuttings_of(columns, amounts))
    if cuttings is None:
        return None
    made = made_by(cuttings)
    rest = tuple(wanted - made[kind] for kind, wanted in enumerate(problem.demands))
    left = tuple(
        None if sheet.limit is None else sheet.limit - uses(cuttings, number)
        for number, sheet in enumerate(problem.sheets)
    )
    plans = [otherwise(rest)]
    with suppress(Short):
        plans.append(first_plan(problem, rest, left))
    best = min((plan for plan in plans if plan is not None), key=problem.cost_of, default=None)
    return None if best is None else cuttings + best
