"""`cutopt takeoff`: from measured surfaces to the request."""

import argparse
from collections.abc import Callable, Iterable

from cutopt import reports
from cutopt.command.elevations import add_option, check_folder, write_elevations
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, about
from cutopt.command.terminal import emit, say, tell
from cutopt.documents import Job
from cutopt.formats import job_taken_off
from cutopt.layout import Finding, LaidSurface


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "takeoff",
        help="turn the measured surfaces of a job into a request",
        description="Lays the tiles of a job on its measured surfaces and writes down every "
        "piece that this takes. Without --out the request goes to standard output.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="JOB.json", help="the job; - reads standard input")
    parser.add_argument("--out", metavar="REQUEST.json", help="write the request to this file")
    parser.add_argument(
        "--parts", metavar="FILE.txt", help="write what the parts take: order of setting, trim"
    )
    add_option(parser)
    parser.add_argument("--quiet", action="store_true", help="no findings on standard error")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Take off the job that the options name."""
    outputs = [name for name in (options.out, options.parts) if name is not None]
    check_outputs(outputs, [options.file])
    data = read_json(options.file)
    with about(name_of(options.file)):
        found = job_taken_off(data)
    if not options.quiet:
        tell_findings(name_of(options.file), found.findings)
    if options.elevations is not None:
        check_folder(options.elevations, found, [options.file, *outputs])
        told = tell_written(options.quiet)
        with about(name_of(options.file)):
            write_elevations(options.elevations, data, found, None, told)
    if options.parts is not None:
        write(options.parts, reports.write_parts(Job.of(data), found))
    if options.out is None:
        emit(found.request.text())
    else:
        write(options.out, found.request.text())
        say("".join(f"{_sentence(surface)}\n" for surface in found.surfaces))
    return DONE


def tell_findings(file: str, findings: Iterable[Finding]) -> None:
    """Say on standard error what to mind before the first cut."""
    for found in findings:
        instead = f"; instead: {found.proposal}" if found.proposal else ""
        words = f"{found.value}: {found.rule} ({found.source}){instead}"
        tell(f"{file}: {found.place}: {found.level}: {words}")


def tell_written(quiet: bool) -> Callable[[str], None]:
    """Return what says on standard error that a file was written, or keeps quiet."""
    return lambda file: None if quiet else tell(f"written: {file}")


def _sentence(surface: LaidSurface) -> str:
    cut = sum(not piece.is_full for piece in surface.cut)
    return f"{surface.mark}: {surface.full_tiles} full tiles, {cut} cut pieces ({surface.place})"
