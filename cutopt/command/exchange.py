"""`cutopt import` and `cutopt dxf`: tables and drawings in, drawings out."""

import argparse
from typing import get_args

from cutopt.command.files import check_outputs, name_of, read_text, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, Refused, about
from cutopt.command.saw import add_plan_options, planned, read_request
from cutopt.command.takeoff import tell_written
from cutopt.command.terminal import emit, say, tell
from cutopt.exchange import Setup, read_outlines, read_table, read_tile, write_dxf
from cutopt.formats import request_of
from cutopt.units import Units


def add(commands: Commands) -> None:
    """Add the commands to the parser."""
    _add_import(commands)
    _add_dxf(commands)


def _add_import(commands: Commands) -> None:
    parser = commands.add_parser(
        "import",
        help="a request or a job from a table (CSV) or a drawing (DXF)",
        description="Reads pieces or surfaces from a table, or outlines from the closed "
        "polylines of a drawing, and writes the request or the job that they make.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="FILE", help="a .csv or .dxf file; - reads CSV")
    parser.add_argument(
        "--tile",
        metavar="SIZE",
        action="append",
        required=True,
        help="the tile, 600x300 or NAME=600x300; may be given again",
    )
    parser.add_argument("--turn", choices=("none", "half", "quarter"), default="none")
    parser.add_argument("--kerf", default="2 mm", help="of the saw (usually 2 mm)")
    parser.add_argument("--joint", default="2 mm", help="between tiles, for a job (usually 2 mm)")
    parser.add_argument("--units", choices=get_args(Units), default="mm", help="of bare numbers")
    parser.add_argument("--title", help="what the document is called")
    parser.add_argument(
        "--surfaces", action="store_true", help="the outlines of a drawing are surfaces, no pieces"
    )
    parser.add_argument(
        "--layer", metavar="NAME", help="only outlines on this layer of a drawing (usually all)"
    )
    parser.add_argument("--out", metavar="FILE.json", help="write the document to this file")
    parser.add_argument("--quiet", action="store_true", help="nothing on standard error")
    parser.set_defaults(run=run_import)


def _add_dxf(commands: Commands) -> None:
    parser = commands.add_parser(
        "dxf",
        help="the pieces of each cut tile as a drawing for other machines",
        description="Writes a DXF drawing of the cut tiles of a plan: outlines, holes, cuts.",
        allow_abbrev=False,
    )
    add_plan_options(parser)
    parser.add_argument("--tile", type=int, metavar="N", help="only the cut tile of this number")
    parser.add_argument("--out", metavar="FILE.dxf", required=True, help="write the drawing here")
    parser.set_defaults(run=run_dxf)


def run_import(options: argparse.Namespace) -> int:
    """Import the table or the drawing that the options name."""
    if options.out is not None:
        check_outputs([options.out], [options.file])
    try:
        tiles = [read_tile(text, options.units) for text in options.tile]
    except ValueError as rule:
        raise Refused([f"--tile: {' '.join(options.tile)}: {rule}"]) from None
    setup = Setup(
        tiles,
        options.turn,
        options.kerf,
        options.units,
        options.joint,
        options.title,
        options.layer,
    )
    text, name = read_text(options.file), name_of(options.file)
    with about(name):
        if options.file.lower().endswith(".dxf"):
            document, moved = read_outlines(text, setup, surfaces=options.surfaces)
        else:
            document, moved = read_table(text, setup), 0
    if moved and not options.quiet:
        tell(f"{name}: {moved} coordinates were moved to the nearest 0.001 mm")
    if options.out is None:
        emit(document.text())
    else:
        write(options.out, document.text())
        tell_written(options.quiet)(options.out)
    return DONE


def run_dxf(options: argparse.Namespace) -> int:
    """Draw the cut tiles of the plan that the options name."""
    check_outputs([options.out], [name for name in (options.file, options.plan) if name])
    data = read_request(options)
    with about(name_of(options.file)):
        request = request_of(data)
    plan = planned(options, request)
    with about(options.plan or name_of(options.file)):
        drawing = write_dxf(request, plan, options.tile)
    write(options.out, drawing)
    say(f"{len(plan.cut_tiles) if options.tile is None else 1} cut tiles drawn\n")
    tell_written(options.quiet)(options.out)
    return DONE
