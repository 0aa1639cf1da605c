"""`cutopt order`: what to buy for a plan: tiles with their reserve, trim, materials, work."""

import argparse
from typing import get_args

from cutopt.buying import make_order
from cutopt.command.files import check_outputs, name_of, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, about
from cutopt.command.saw import add_plan_options, planned, read_request
from cutopt.command.takeoff import tell_findings, tell_written
from cutopt.command.terminal import emit, say
from cutopt.documents import Job
from cutopt.formats import taken_off
from cutopt.papers import Paper, print_order
from cutopt.reports.order_text import write_order
from cutopt.reports.spares_plot import draw_spares


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "order",
        help="what to buy: tiles with a computed reserve, boxes, trim, materials, plan of work",
        description="Says what a plan takes: tiles with spares for breakage at the chosen service "
        "level, in boxes; trim out of bars; adhesive, grout and sealant; and when what is set. "
        "The settings stand under `order` in the request or job.",
        allow_abbrev=False,
    )
    add_plan_options(parser)
    parser.add_argument("--out", metavar="ORDER.json", help="write the order to this file")
    parser.add_argument("--plot", metavar="FILE.svg", help="draw the chance of running short")
    parser.add_argument("--print", metavar="FILE.pdf", help="write the order as pages to print")
    parser.add_argument("--paper", choices=get_args(Paper), default="a4", help="usually a4")
    parser.add_argument(
        "--json", action="store_true", help="print the order document and nothing else"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the order of the plan that the options name."""
    outputs = [one for one in (options.out, options.plot, options.print) if one is not None]
    check_outputs(outputs, [name for name in (options.file, options.plan) if name])
    data = read_request(options)
    name = name_of(options.file)
    with about(name):
        found = taken_off(data)
    if not options.quiet:
        tell_findings(name, found.findings)
    plan = planned(options, found.request)
    with about(name):
        job = Job.of(data) if found.surfaces else None
        order = make_order(found, plan, job, options.seed)
    told = tell_written(options.quiet)
    if options.out is not None:
        write(options.out, order.text())
        told(options.out)
    if options.plot is not None:
        write(options.plot, draw_spares(order)[0])
        told(options.plot)
    if options.print is not None:
        write(options.print, print_order(order, options.paper))
        told(options.print)
    if options.json:
        emit(order.text())
    else:
        say(write_order(order))
    return DONE
