"""`cutopt papers`: everything that is printed for a plan, as one PDF."""

import argparse
from typing import get_args

from cutopt.buying import make_order
from cutopt.command.files import check_outputs, name_of, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, Refused, about, lines_of
from cutopt.command.saw import add_plan_options, planned, read_request
from cutopt.command.takeoff import tell_findings, tell_written
from cutopt.command.terminal import tell
from cutopt.documents import Job, Plan
from cutopt.documents.order import Order
from cutopt.documents.sequence import By
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.papers import Bundle, Elevation
from cutopt.papers.bundle import Paper
from cutopt.reports.elevation import draw_elevation_pages
from cutopt.sequence import cut_order


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "papers",
        help="print everything: order list, elevations, cut sheets, cut list, labels",
        description="Writes one PDF: what to buy, the elevations of a job, the cut sheets, the "
        "cuts in order, and a label for every piece that is cut.",
        allow_abbrev=False,
    )
    add_plan_options(parser)
    parser.add_argument("--out", metavar="FILE.pdf", required=True, help="write the PDF here")
    parser.add_argument("--paper", choices=get_args(Paper), default="a4", help="usually a4")
    parser.add_argument(
        "--by",
        choices=get_args(By),
        default="fence",
        help="the order of cuts, as for cutopt saw (usually fence)",
    )
    parser.add_argument(
        "--link",
        metavar="URL",
        help="what comes before the name of a piece in the address that opens it on a phone; "
        "with it every label bears a code",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the papers of the plan that the options name."""
    check_outputs([options.out], [name for name in (options.file, options.plan) if name])
    if options.link is not None and not options.link.startswith(("http://", "https://")):
        raise Refused([f"{options.link}: a link begins with http:// or https://"])
    data = read_request(options)
    name = name_of(options.file)
    with about(name):
        found = taken_off(data)
        if not options.quiet:
            tell_findings(name, found.findings)
    plan = planned(options, found.request)
    with about(options.plan or name):
        order = cut_order(found.request, plan, options.by)
        bundle = Bundle(
            found.request,
            plan,
            order,
            tuple(_elevations(data, found, plan)),
            options.paper,
            options.link,
            _bought(data, found, plan, options),
        )
    write(options.out, bundle.printed())
    tell_written(options.quiet)(options.out)
    return DONE


def _bought(data: object, found: TakeOff, plan: Plan, options: argparse.Namespace) -> Order | None:
    """Return what to buy; what cannot be bought is told, and keeps no sheet from being printed."""
    try:
        return make_order(found, plan, Job.of(data) if found.surfaces else None, options.seed)
    except (CannotBeMet, InvalidInput) as problem:
        for line in lines_of(name_of(options.file), problem.faults):
            tell(f"{line} (no reserve is printed)")
        return None


def _elevations(data: object, found: TakeOff, plan: Plan) -> list[Elevation]:
    if not found.surfaces:
        return []
    job = Job.of(data)
    return [
        page
        for surface in found.surfaces
        for page in draw_elevation_pages(job, found, surface, plan)
    ]
