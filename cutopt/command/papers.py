"""`cutopt papers`: everything that is printed for a plan, as one PDF."""

import argparse
from typing import get_args

from cutopt.command.files import check_outputs, name_of, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, Refused, about
from cutopt.command.saw import add_plan_options, planned, read_request
from cutopt.command.takeoff import tell_findings, tell_written
from cutopt.documents import Job, Plan
from cutopt.documents.sequence import By
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.papers import Elevation, print_bundle
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
        elevations = _elevations(data, found, plan)
        printed = print_bundle(found.request, plan, order, elevations, options.paper, options.link)
    write(options.out, printed)
    tell_written(options.quiet)(options.out)
    return DONE


def _elevations(data: object, found: TakeOff, plan: Plan) -> list[Elevation]:
    if not found.surfaces:
        return []
    job = Job.of(data)
    return [
        page
        for surface in found.surfaces
        for page in draw_elevation_pages(job, found, surface, plan)
    ]
