"""The lower bound, verified by the prices that come with it, without any code of the solver."""

from dataclasses import replace

from cutopt.check.bound.jointly import JointVerdict as JointVerdict
from cutopt.check.bound.jointly import check_together as check_together
from cutopt.check.bound.verify import Verdict as Verdict
from cutopt.check.bound.verify import verdict_on
from cutopt.documents import Plan, Request


def check_bound(request: Request, plan: Plan) -> tuple[Verdict, ...]:
    """Return what the certificates of a plan prove, one verdict for each tile planned by itself.

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
    joined = {name for one in plan.together or () for name in one.tiles}
    verdicts = []
    for index, total in enumerate(plan.totals):
        if total.tile in joined:
            continue  # what is proven of it is said of all together: `check_together`
        verdict = verdict_on(total, request, tiles[total.tile])
        if fault := verdict.fault:
            placed = replace(fault, place=f"/totals/{index}{fault.place}")
            verdict = replace(verdict, fault=placed)
        verdicts.append(verdict)
    return tuple(verdicts)
