"""What is printed for a job as it stands: the first plan, or the one in force. In a child."""

from api.page.history import history_of
from api.page.said import PlanSaid
from api.page.standing import Work, entries_of
from cutopt.documents import Job, Plan, Request, parse_json
from cutopt.documents.sequence import By
from cutopt.errors import Fault, InvalidInput
from cutopt.formats import taken_off
from cutopt.papers import Elevation, print_bundle
from cutopt.papers.bundle import Paper
from cutopt.reports.elevation import draw_elevation_pages
from cutopt.sequence import cut_order


def print_papers(work: Work, how: tuple[str, By, Paper, str]) -> bytes:
    """Return the papers of the plan in force.

    `how` is the job, the order of the cuts, the paper, and what comes before the name of a piece
    in the address that opens it.
    """
    document, by, paper, link = how
    request, plan = in_force(work)
    order = cut_order(request, plan, by)
    return print_bundle(request, plan, order, _elevations(document, plan), paper, link)


def in_force(work: Work) -> tuple[Request, Plan]:
    """Return the plan in force and what it is for.

    Raises
    ------
    InvalidInput
        When nothing was left to plan.
    """
    request, plan = Request.read(work.request), Plan.read(work.plan)
    later = [
        entry.said
        for entry in history_of(request, entries_of(work)).in_force
        if isinstance(entry.said, PlanSaid)
    ]
    if not later:
        return request, plan
    if later[-1].request is None or later[-1].plan is None:
        raise InvalidInput([Fault("", "the plan in force", "nothing is left to be printed")])
    return Request.read(later[-1].request), Plan.read(later[-1].plan)


def progress_text(work: Work) -> str:
    """Return what was done as a progress document, for the command."""
    return history_of(Request.read(work.request), entries_of(work)).progress.text()


def _elevations(document: str, plan: Plan) -> list[Elevation]:
    data = parse_json(document)
    found = taken_off(data)
    if not found.surfaces:
        return []
    job = Job.of(data)
    return [
        page
        for surface in found.surfaces
        for page in draw_elevation_pages(job, found, surface, plan)
    ]
