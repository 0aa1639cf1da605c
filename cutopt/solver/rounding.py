"""Part of a plan from the columns of the relaxation; the rest is planned largest first."""

from collections.abc import Sequence

from cutopt.solver.extras import made_by, without_extras
from cutopt.solver.first_plan import Short, first_plan, uses
from cutopt.solver.patterns import Pattern, cuttings_of
from cutopt.solver.problem import Cutting, Problem


def filled_up(
    problem: Problem, columns: Sequence[Pattern], amounts: Sequence[int]
) -> list[Cutting] | None:
    """Return a plan that uses each column so often; None where too few sheets are left for it."""
    cuttings = without_extras(problem, cuttings_of(columns, amounts))
    if cuttings is None:
        return None
    made = made_by(cuttings)
    rest = tuple(wanted - made[kind] for kind, wanted in enumerate(problem.demands))
    left = tuple(
        None if sheet.limit is None else sheet.limit - uses(cuttings, number)
        for number, sheet in enumerate(problem.sheets)
    )
    try:
        return cuttings + first_plan(problem, rest, left)
    except Short:
        return None
