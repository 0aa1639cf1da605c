"""From a request to a checked plan: the whole way, on one screen."""

from cutopt.documents import Plan, Request
from cutopt.stop import MaxSeconds, Stop


def plan(request: Request, stop: Stop | None = None, seed: int = 0) -> Plan:
    """Return the plan with the fewest new tiles, checked.

    Parameters
    ----------
    request : Request
        Tiles, saw, pieces and offcuts.
    stop : Stop, optional
        When to stop searching; 60 seconds when left out. A plan comes back all the same, with
        its honest bound.
    seed : int
        The same request and seed give the same plan.

    Raises
    ------
    CannotBeMet
        When a piece fits no tile.
    BrokenPlan
        When the independent check refuses the plan: a bug of cutopt.
    """
    raise NotImplementedError
