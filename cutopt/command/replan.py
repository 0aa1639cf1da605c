"""`cutopt replan`: a new plan for what is left, after what the marks of a progress file say."""

import argparse

from cutopt.check import check_plan
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, add_search_options
from cutopt.command.refused import DONE, Refused, about, lines_of
from cutopt.command.takeoff import tell_written
from cutopt.command.terminal import emit, say
from cutopt.command.watch import ProgressLine, interrupts, watched
from cutopt.documents import Plan, Request
from cutopt.documents.progress import Progress
from cutopt.formats import request_of
from cutopt.progress import Replan, replan, state_of
from cutopt.reports.still_needed import write_still_needed


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "replan",
        help="a new plan for what is left, after a break or a new measure",
        description="Reads what was done, broken, measured anew and counted, and plans what is "
        "left from what is there. Tiles under way stay as they were planned.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="FILE", help="the first request or job")
    parser.add_argument("plan", metavar="PLAN.json", help="its first plan")
    parser.add_argument("progress", metavar="PROGRESS.json", help="the marks made since")
    parser.add_argument("--out", metavar="PLAN.json", help="write the new plan to this file")
    parser.add_argument(
        "--request-out", metavar="REQUEST.json", help="write the request of what is left"
    )
    parser.add_argument(
        "--progress-out",
        metavar="PROGRESS.json",
        help="write the marks with the new plan among them; later marks go on from there",
    )
    add_search_options(parser)
    parser.add_argument(
        "--json", action="store_true", help="print the marks with the new plan and nothing else"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan what is left of the work that the options name."""
    inputs = [options.file, options.plan, options.progress]
    outputs = [options.out, options.request_out, options.progress_out]
    check_outputs([name for name in outputs if name is not None], inputs)
    if inputs.count("-") > 1:
        raise Refused(["standard input: only one document can be read from it"])
    request, plan, progress = _read(options)
    with about(name_of(options.progress)), interrupts() as cancel:
        under_way = sum(
            bool(tile.left_to_do()) for tile in state_of(request, plan, progress).under_way.values()
        )
        found = watched(
            lambda stop: replan(request, plan, progress, stop, options.seed),
            options.seconds,
            cancel,
            ProgressLine(options.quiet),
        )
    _write_files(options, found)
    if options.json:
        emit(found.progress.text())
    else:
        say(write_still_needed(found.request, found.plan, under_way, found.needs, found.changed))
    return DONE


def _read(options: argparse.Namespace) -> tuple[Request, Plan, Progress]:
    with about(name_of(options.file)):
        request = request_of(read_json(options.file))
    with about(name_of(options.plan)):
        plan = Plan.of(read_json(options.plan))
    if faults := check_plan(request, plan):
        raise Refused(lines_of(name_of(options.plan), faults))
    with about(name_of(options.progress)):
        return request, plan, Progress.of(read_json(options.progress))


def _write_files(options: argparse.Namespace, found: Replan) -> None:
    documents = (
        (options.out, found.plan),
        (options.request_out, found.request),
        (options.progress_out, found.progress),
    )
    for name, document in documents:
        if name is not None and document is not None:
            write(name, document.text())
            tell_written(options.quiet)(name)
        elif name is not None and not options.quiet:
            say(f"Nothing is left to plan: {name} is not written.\n")
