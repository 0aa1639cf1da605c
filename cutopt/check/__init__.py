"""The independent check: replays a plan against its request, sharing no code with the solver."""

from collections.abc import Iterator
from dataclasses import replace

from cutopt.check import totals
from cutopt.check.bound import JointVerdict as JointVerdict
from cutopt.check.bound import Verdict as Verdict
from cutopt.check.bound import check_bound as check_bound
from cutopt.check.bound import check_together as check_together
from cutopt.check.known import Known
from cutopt.check.tile import faults_of_cut_tile
from cutopt.check.together import faults_of_together
from cutopt.check.tools import faults_of_tools
from cutopt.documents import Plan, Request
from cutopt.errors import Fault


def check_plan(request: Request, plan: Plan) -> tuple[Fault, ...]:
    """Return what is wrong with a plan, nothing when it is right.

    Every cut tile is replayed from its stock, cut by cut; where a plan lists no cuts, straight
    cuts and notches that free its pieces are looked for. Then pieces, offcuts and totals are
    counted. Whether `lower_bound` is a true bound is for `check_bound` to decide.

    Parameters
    ----------
    request : Request
        What the plan is for.
    plan : Plan
        The plan, made by cutopt or by anyone else.

    Returns
    -------
    tuple of Fault
        Each with a JSON pointer into the plan.
    """
    return tuple(_faults(plan, Known(request)))


def _faults(plan: Plan, known: Known) -> Iterator[Fault]:
    yield from totals.faults_of_numbers(plan)
    for index, cut_tile in enumerate(plan.cut_tiles):
        faults = tuple(faults_of_cut_tile(cut_tile, known))
        for fault in faults or faults_of_tools(cut_tile, known):
            yield replace(fault, place=f"/cut_tiles/{index}{fault.place}")
    yield from totals.faults_of_offcuts(plan, known)
    yield from totals.faults_of_pieces(plan, known)
    if plan.preferred is not None and plan.preferred != known.prefer:
        rule = f"the request prefers {', '.join(known.prefer or ()) or 'nothing'}"
        yield Fault("/preferred", ", ".join(plan.preferred), rule)
    of_totals = tuple(totals.faults_of_totals(plan, known))
    yield from of_totals or faults_of_together(plan, known)
