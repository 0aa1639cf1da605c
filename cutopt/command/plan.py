"""`cutopt plan`: from a request to a plan, its cut sheet and its cut list."""

import argparse

from cutopt import pipeline, reports
from cutopt.command.elevations import add_option, check_folder, write_elevations
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, add_search_options
from cutopt.command.refused import DONE, Refused, about
from cutopt.command.takeoff import tell_findings, tell_written
from cutopt.command.terminal import emit, say
from cutopt.command.watch import ProgressLine, interrupts, watched
from cutopt.documents import Job, Plan, Request
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
    parser.add_argument("--request", metavar="REQUEST.json", help="write the request of a job")
    parser.add_argument("--sheet", metavar="FILE.svg", help="write the cut sheet, a drawing")
    parser.add_argument("--list", metavar="FILE.csv", help="write the cut list, a table")
    parser.add_argument(
        "--parts", metavar="FILE.txt", help="write what a job's parts take: order of setting, trim"
    )
    add_option(parser)
    add_search_options(parser)
    parser.add_argument(
        "--json", action="store_true", help="print the plan document and nothing else"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan the request or the job that the options name."""
    named = (options.out, options.request, options.sheet, options.list, options.parts)
    outputs = [name for name in named if name is not None]
    check_outputs(outputs, [options.file])
    data = read_json(options.file)
    found, name = _taken_off(options, data)
    request = found.request
    job = Job.of(data) if found.surfaces else None
    if job is None and options.parts is not None:
        raise Refused([f"{options.parts}: a request has no parts: --parts is for a job"])
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
        if job is not None and options.parts is not None:
            _put(options, options.parts, reports.write_parts(job, found, plan))
    if options.json:
        emit(plan.text())
    else:
        travels = reports.travel_lines(job, found, plan) if job is not None else ()
        say(reports.write_summary(request, plan, travels).rstrip("\n") + "\n")
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
    if options.request is not None:
        _put(options, options.request, request.text())
    if options.sheet is not None:
        _put(options, options.sheet, reports.draw_cut_sheet(request, plan))
    if options.list is not None:
        _put(options, options.list, reports.write_cut_list(request, plan))


def _put(options: argparse.Namespace, file: str, text: str) -> None:
    write(file, text)
    tell_written(options.quiet)(file)
