"""`cutopt saw`: the cuts of a plan as steps, in the order that suits whoever cuts."""

import argparse
from typing import get_args

from cutopt import pipeline
from cutopt.check import check_plan
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, add_search_options
from cutopt.command.refused import DONE, Refused, about, lines_of
from cutopt.command.takeoff import tell_written
from cutopt.command.terminal import emit, say
from cutopt.command.watch import ProgressLine, interrupts, watched
from cutopt.documents import Plan, Request
from cutopt.documents.progress import Progress
from cutopt.documents.sequence import By, Sequence
from cutopt.formats import request_of
from cutopt.progress import order_left
from cutopt.reports.saw_steps import write_saw_steps
from cutopt.reports.step_list import write_step_list
from cutopt.sequence import cut_order


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "saw",
        help="the cuts of a plan as steps, with fence settings",
        description="Puts the cuts of a plan in order and says for each what the fence is set "
        "to, which edge lies against it, and what is written on the parts.",
        allow_abbrev=False,
    )
    add_plan_options(parser)
    parser.add_argument(
        "--by",
        choices=get_args(By),
        default="surface",
        help="surface: as the pieces are laid (usual); fence: fewest settings; risk: what "
        "breaks most easily first",
    )
    parser.add_argument(
        "--progress",
        metavar="PROGRESS.json",
        help="the marks made since: only the steps that are left; --plan is then the first plan",
    )
    parser.add_argument("--out", metavar="ORDER.json", help="write the cut order to this file")
    parser.add_argument("--list", metavar="FILE.csv", help="write the steps as a table")
    parser.add_argument(
        "--json", action="store_true", help="print the cut order document and nothing else"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Put the cuts of the plan that the options name in order."""
    outputs = [name for name in (options.out, options.list) if name is not None]
    check_outputs(outputs, [name for name in (options.file, options.plan) if name])
    data = read_request(options)
    with about(name_of(options.file)):
        request = request_of(data)
    plan = planned(options, request)
    order = _order(options, request, plan)
    if options.out is not None:
        write(options.out, order.text())
        tell_written(options.quiet)(options.out)
    if options.list is not None:
        write(options.list, write_step_list(order))
        tell_written(options.quiet)(options.list)
    if options.json:
        emit(order.text())
    else:
        say(write_saw_steps(order))
    return DONE


def _order(options: argparse.Namespace, request: Request, plan: Plan) -> Sequence:
    if options.progress is None:
        with about(options.plan or name_of(options.file)):
            return cut_order(request, plan, options.by)
    if options.plan is None:
        raise Refused(["--progress: marks belong to a plan: name it with --plan"])
    with about(name_of(options.progress)):
        progress = Progress.of(read_json(options.progress))
        return order_left(request, plan, progress, options.by)


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """Add what names a request or a job and its plan, or says how one is made."""
    parser.add_argument(
        "file", metavar="FILE", help="the request or the job; - reads standard input"
    )
    parser.add_argument(
        "--plan", metavar="PLAN.json", help="its plan; without one, a plan is made first"
    )
    add_search_options(parser)


def read_request(options: argparse.Namespace) -> object:
    """Return the parsed JSON of the request or job."""
    if options.file == options.plan == "-":
        raise Refused(["standard input: the request and the plan cannot both be read from it"])
    return read_json(options.file)


def planned(options: argparse.Namespace, request: Request) -> Plan:
    """Return the plan of a request: the one that the options name, checked, or a new one."""
    if options.plan is None:
        with about(name_of(options.file)), interrupts() as cancel:
            return watched(
                lambda stop: pipeline.plan(request, stop, options.seed),
                options.seconds,
                cancel,
                ProgressLine(options.quiet),
            )
    name = name_of(options.plan)
    with about(name):
        plan = Plan.of(read_json(options.plan))
    if faults := check_plan(request, plan):
        raise Refused(lines_of(name, faults))
    return plan
