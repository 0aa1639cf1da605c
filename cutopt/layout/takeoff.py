"""The take-off: from measured surfaces to named pieces."""

from cutopt.documents import Job
from cutopt.errors import Fault, InvalidInput
from cutopt.layout.falls import fall_heights, findings_of_falls
from cutopt.layout.findings import findings_of
from cutopt.layout.ground import Ground, Narrow, ground_of
from cutopt.layout.model import TakeOff
from cutopt.layout.mosaic import joined
from cutopt.layout.pieces import laid
from cutopt.layout.request import request_of
from cutopt.layout.runs import soft_joints, trim_runs


def take_off(job: Job) -> TakeOff:
    """Return the pieces that a job takes: the request, where each lies, and what to mind.

    Parameters
    ----------
    job : Job
        The measured job.

    Returns
    -------
    TakeOff
        The request for the planner; every surface with its pieces, edges and joints; findings.

    Raises
    ------
    InvalidInput
        When the joints leave nothing of a surface or an opening, or the pieces are more than a
        request holds; every fault at once.
    """
    grounds: list[Ground] = []
    faults: list[Fault] = []
    for place, surface in job.surfaces:
        try:
            grounds.append(ground_of(place, surface, job.tile_of(surface), job.units))
        except Narrow as narrow:
            faults.append(narrow.fault)
    if faults:
        raise InvalidInput(faults)
    request, surfaces, merged = request_of(job, joined(job, [laid(ground) for ground in grounds]))
    falls = tuple(fall_heights(job))
    return TakeOff(
        request,
        surfaces,
        (*findings_of(job, grounds, surfaces, merged), *findings_of_falls(job, falls)),
        trim=tuple(trim_runs(surfaces)),
        soft_joints=tuple(soft_joints(job, surfaces)),
        falls=falls,
    )
