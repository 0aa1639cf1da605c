"""`cutopt plan`: from a request to a plan, its cut sheet and its cut list."""

import argparse

from cutopt import pipeline, reports
from cutopt.command.elevations import add_option, check_folder, write_elevations
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, bounded
from cutopt.command.refused import DONE, about
from cutopt.command.takeoff import tell_findings, tell_written
from cutopt.command.terminal import emit, say
from cutopt.command.watch import ProgressLine, interrupts, watched
from cutopt.documents import Plan, Request
from cutopt.effort import USUAL_SECONDS, read_seconds, read_seed
from cutopt.formats import taken_off
from cutopt.layout import TakeOff


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "plan",
        help="plan a request or a job: the fewest tiles, cut by cut",
        description="Plans how the pieces of a request or a job are cut from the fewest tiles. "
        "Ctrl-C ends the search early with the best plan so far.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "file", metavar="FILE", help="the request or the job; - reads standard input"
    )
    parser.add_argument("--out", metavar="PLAN.json", help="write the plan to this file")
    parser.add_argument("--sheet", metavar="FILE.svg", help="write the cut sheet, a drawing")
    parser.add_argument("--list", metavar="FILE.csv", help="write the cut list, a table")
    add_option(parser)
    parser.add_argument(
        "--seconds",
        type=bounded(read_seconds),
        default=USUAL_SECONDS,
        help=f"search at most so long (at most 3600; usually {USUAL_SECONDS:g})",
    )
    parser.add_argument(
        "--seed",
        type=bounded(read_seed),
        default=0,
        help="the same request and seed give the same plan (usually 0)",
    )
    parser.add_argument(
        "--json", action="store_true", help="print the plan document and nothing else"
    )
    parser.add_argument("--quiet", action="store_true", help="no progress on standard error")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan the request or the job that the options name."""
    outputs = [name for name in (options.out, options.sheet, options.list) if name is not None]
    check_outputs(outputs, [options.file])
    data = read_json(options.file)
    found, name = _taken_off(options, data)
    request = found.request
    check_folder(options.elevations, found, [options.file, *outputs])
    with about(name), interrupts() as cancel:
        plan = watched(
            lambda stop: pipeline.plan(request, stop, options.seed),
            options.seconds,
            cancel,
            ProgressLine(options.quiet),
        )
        _write_files(options, request, plan)
        if options.elevations is not None:
            told = tell_written(options.quiet)
            write_elevations(options.elevations, data, found, plan, told)
    if options.json:
        emit(plan.text())
    else:
        say(reports.write_summary(request, plan).rstrip("\n") + "\n")
    return DONE


def _taken_off(options: argparse.Namespace, data: object) -> tuple[TakeOff, str]:
    """Return the take-off and what its request is called: a job's is not what the file holds."""
    name = name_of(options.file)
    with about(name):
        found = taken_off(data)
    if not options.quiet:
        tell_findings(name, found.findings)
    return found, f"{name}, taken off" if found.surfaces else name


def _write_files(options: argparse.Namespace, request: Request, plan: Plan) -> None:
    if options.out is not None:
        _put(options, options.out, plan.text())
    if options.sheet is not None:
        _put(options, options.sheet, reports.draw_cut_sheet(request, plan))
    if options.list is not None:
        _put(options, options.list, reports.write_cut_list(request, plan))


def _put(options: argparse.Namespace, file: str, text: str) -> None:
    write(file, text)
    tell_written(options.quiet)(file)
