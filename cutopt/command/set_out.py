"""`cutopt set-out`: where to begin, so that the fewest tiles do; proposals and drawings."""

import argparse
from collections.abc import Iterator
from pathlib import Path

from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, add_search_options, bounded
from cutopt.command.refused import DONE, Refused, about
from cutopt.command.takeoff import tell_written
from cutopt.command.terminal import emit, say
from cutopt.command.watch import ProgressLine, interrupts, watched
from cutopt.documents import Job
from cutopt.documents.set_out import SetOut
from cutopt.reports.choice import Proposed, draw_choice
from cutopt.reports.elevation import draw_elevation
from cutopt.reports.proposals import write_proposals
from cutopt.setting_out import Found, find, joint_changes, set_out_of


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "set-out",
        help="where to begin: the start of all surfaces that takes the fewest tiles",
        description="Looks for the best start of all surfaces of a job within its rules, proves "
        "it, and proposes others worth considering.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="JOB.json", help="the job; - reads standard input")
    parser.add_argument("--out", metavar="SET-OUT.json", help="write the proposals to this file")
    parser.add_argument("--job", metavar="JOB.json", help="write the job with the chosen start")
    parser.add_argument(
        "--choose",
        type=bounded(_read_number),
        default=1,
        metavar="N",
        help="which proposal goes into the job (usually 1, the fewest tiles)",
    )
    parser.add_argument(
        "--elevations", metavar="DIR", help="write a drawing of each surface and proposal: 1-A.svg"
    )
    parser.add_argument(
        "--sheet", metavar="FILE.svg", help="write one drawing of all proposals, side by side"
    )
    add_search_options(parser)
    parser.add_argument("--json", action="store_true", help="print the proposals as a document")
    parser.set_defaults(run=run)


def _read_number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 99):
        raise ValueError("the number of a proposal, from 1")
    return int(text)


def run(options: argparse.Namespace) -> int:
    """Set out the job that the options name."""
    outputs = [file for file in (options.out, options.job, options.sheet) if file is not None]
    check_outputs(outputs, [options.file])
    data = read_json(options.file)
    with about(name_of(options.file)):
        job = Job.of(data)
    _make_folder(options.elevations)
    with about(name_of(options.file)), interrupts() as cancel:
        found = watched(
            lambda stop: find(job, stop, options.seed),
            options.seconds,
            cancel,
            ProgressLine(options.quiet),
        )
        document = set_out_of(found, options.seed, joint_changes(job))
    if options.choose > len(found.chosen):
        raise Refused([f"--choose {options.choose}: there are {len(found.chosen)} proposals"])
    told = tell_written(options.quiet)
    if options.out is not None:
        write(options.out, document.text())
        told(options.out)
    if options.job is not None:
        write(options.job, found.chosen[options.choose - 1].job.text())
        told(options.job)
    if options.sheet is not None:
        write(options.sheet, draw_choice(document, _proposed(document, found)))
        told(options.sheet)
    if options.elevations is not None:
        for file, drawing in _drawn(options.elevations, found):
            write(file, drawing)
            told(file)
    if options.json:
        emit(document.text())
    else:
        say(write_proposals(document))
    return DONE


def _make_folder(folder: str | None) -> None:
    if folder is None:
        return
    try:
        Path(folder).mkdir(exist_ok=True)
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise Refused([f"{folder}: cannot be written: {reason}"]) from None


def _proposed(document: SetOut, found: Found) -> list[Proposed]:
    pairs = zip(document.proposals, found.chosen, strict=True)
    return [Proposed(proposal, chosen.job, chosen.taken_off) for proposal, chosen in pairs]


def _drawn(folder: str, found: Found) -> Iterator[tuple[str, str]]:
    """Yield the elevations of every proposal: file and drawing."""
    for number, chosen in enumerate(found.chosen, start=1):
        for surface in chosen.taken_off.surfaces:
            drawing = draw_elevation(chosen.job, chosen.taken_off, surface, chosen.plan)
            yield str(Path(folder) / f"{number}-{surface.mark}.svg"), drawing
