"""The lower bound, verified by the prices that come with it, without any code of the solver."""

from dataclasses import replace

from cutopt.check.bound.verify import Verdict as Verdict
from cutopt.check.bound.verify import verdict_on
from cutopt.documents import Plan, Request


def check_bound(request: Request, plan: Plan) -> tuple[Verdict, ...]:
    """Return what the certificates of a plan prove, one verdict for each tile.

    Parameters
    ----------
    request : Request
        What the plan is for.
    plan : Plan
        A plan that has passed `check_plan`; of it only the totals are looked at.

    Returns
    -------
    tuple of Verdict
        A verdict without a fault certifies: no plan needs fewer new tiles than it proves.
    """
    tiles = {tile.id: tile for tile in request.tiles}
    verdicts = []
    for index, total in enumerate(plan.totals):
        verdict = verdict_on(total, request, tiles[total.tile])
        if fault := verdict.fault:
            placed = replace(fault, place=f"/totals/{index}{fault.place}")
            verdict = replace(verdict, fault=placed)
        verdicts.append(verdict)
    return tuple(verdicts)
