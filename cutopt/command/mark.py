"""`cutopt mark`: one more mark on the work under way, told with what is written on the parts."""

import argparse
import re
from pathlib import Path
from typing import Any

from cutopt.check import check_plan
from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, Refused, about, lines_of
from cutopt.command.terminal import say
from cutopt.documents import Plan, Request
from cutopt.documents.progress import Progress
from cutopt.exchange.setup import length
from cutopt.formats import request_of
from cutopt.progress import state_of
from cutopt.reports.words import counted, plain
from cutopt.units import Units

Json = dict[str, Any]

_PART = re.compile(r"(?P<cut_tile>\d+)(/(?P<which>\d+))?(\.(?P<part>\d+))?")
_USABLE = re.compile(r"(?P<width>[^x×:]+)[x×](?P<height>[^x×:]+)(:(?P<edges>[a-z,]+))?")


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "mark",
        help="mark what was cut, what broke, what was measured anew or counted",
        description="Adds a mark to a progress file; a new file begins with the first mark. Parts "
        "go by what is written on them: 13.2 is part 2 of tile 13, 13/4.2 that of the fourth of "
        "equal tiles.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="FILE", help="the first request or job")
    parser.add_argument("plan", metavar="PLAN.json", help="its first plan")
    parser.add_argument("progress", metavar="PROGRESS.json", help="the marks; one is added")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--done", metavar="TILE", help="all cuts of a tile are made; or see --cut")
    what.add_argument("--laid", metavar="PIECE", help="a whole tile is laid")
    what.add_argument("--broken", metavar="PART", help="a part broke; 13.0 is tile 13 uncut")
    what.add_argument("--broken-tile", metavar="NAME", help="a tile out of the box broke")
    what.add_argument("--broken-offcut", metavar="NAME", help="an offcut on the shelf broke")
    what.add_argument("--measured", metavar="PIECE=SIZE", help="wanted anew, such as A2.5=250x300")
    what.add_argument("--counted", metavar="TILE=NUMBER", help="whole tiles really in hand")
    what.add_argument("--undo", metavar="NUMBER", type=int, help="take a mark back by its number")
    parser.add_argument("--cut", metavar="N", type=int, help="with --done: only this cut")
    parser.add_argument("--times", metavar="N", type=int, default=1, help="with --laid: so many")
    parser.add_argument(
        "--runs",
        metavar="'X,Y X,Y'",
        help="where it broke: two points, from the lower left corner of what broke",
    )
    parser.add_argument(
        "--usable",
        metavar="SIZE[:EDGES]",
        action="append",
        default=[],
        help="what is still usable, such as 250x300:left,top; may be given again",
    )
    parser.add_argument("--note", help="in words")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Add the mark that the options name."""
    check_outputs([options.progress], [options.file, options.plan])
    request, plan = _read(options)
    with about(name_of(options.progress)):
        before = Progress(units=request.units)
        if Path(options.progress).exists():
            before = Progress.of(read_json(options.progress))
        document = {**before.model_dump(mode="json", exclude_none=True), "units": before.units}
    made = _mark(options, before.units)
    if made["kind"] == "measured":
        _refuse_shapes(request, made["piece"])
    marks = [*document.get("marks", []), made]
    with about(name_of(options.progress)):
        after = Progress.of({**document, "marks": marks})
        state = state_of(request, plan, after)
    write(options.progress, after.text())
    say(f"Mark {len(marks)} is kept in {options.progress}.\n")
    kept = sum(state.kept().values())
    wanted = sum(piece.quantity for piece in state.wanted.values())
    say(f"{counted(kept, 'piece')} of {wanted:,} cut, laid or under way.\n")
    if marks[-1]["kind"] in ("broken", "measured", "undone"):
        say("Plan anew with cutopt replan before you go on.\n")
    return DONE


def _read(options: argparse.Namespace) -> tuple[Request, Plan]:
    with about(name_of(options.file)):
        request = request_of(read_json(options.file))
    with about(name_of(options.plan)):
        plan = Plan.of(read_json(options.plan))
    if faults := check_plan(request, plan):
        raise Refused(lines_of(name_of(options.plan), faults))
    return request, plan


def _mark(options: argparse.Namespace, units: Units) -> Json:
    """Return the mark as a document writes it."""
    note = {"note": options.note} if options.note else {}
    if options.done is not None:
        cut = {"cut": options.cut} if options.cut is not None else {}
        return {"kind": "done", **_part(options.done, "--done"), **cut, **note}
    if options.laid is not None:
        return {"kind": "done", "piece": options.laid, "times": options.times, **note}
    if options.measured is not None:
        piece, size = _pair(options.measured, "--measured", "A2.5=250x300")
        return {"kind": "measured", "piece": piece, **_size(size, "--measured", units), **note}
    if options.counted is not None:
        tile, number = _pair(options.counted, "--counted", "NAME=14")
        if not number.isdecimal():
            raise Refused([f"--counted: {number}: a number of tiles is a whole number"])
        return {"kind": "counted", "tile": tile, "tiles": int(number), **note}
    if options.undo is not None:
        return {"kind": "undone", "mark": options.undo, **note}
    return {"kind": "broken", **_what_broke(options), **_beside(options, units), **note}


def _refuse_shapes(request: Request, name: str) -> None:
    """Refuse a new size for a piece whose outline or holes it would drop without a word."""
    for piece in request.pieces:
        if piece.id == name and (piece.outline is not None or piece.holes):
            rule = "it has an outline or holes: write the mark into the file, with all of them"
            raise Refused([f"--measured: {plain(name)}: {rule}"])


def _what_broke(options: argparse.Namespace) -> Json:
    if options.broken_tile is not None:
        return {"tile": options.broken_tile}
    if options.broken_offcut is not None:
        return {"offcut": options.broken_offcut}
    return _part(options.broken, "--broken", needs_part=True)


def _beside(options: argparse.Namespace, units: Units) -> Json:
    found: Json = {}
    if options.runs is not None:
        places = re.split(r"[\s,]+", options.runs.strip())
        if len(places) != 4:
            raise Refused([f"--runs: {options.runs}: a break is two points: '200,0 210,300'"])
        x, y, a, b = (length(place, units) for place in places)
        found["runs"] = [[x, y], [a, b]]
    if options.usable:
        found["usable"] = [_size(text, "--usable", units) for text in options.usable]
    return found


def _part(text: str, option: str, *, needs_part: bool = False) -> Json:
    """Return the tile and the part that a name such as 13/4.2 means."""
    found = _PART.fullmatch(text.strip())
    if found is None or needs_part != (found["part"] is not None):
        name = "a part such as 13.2 or 13/4.2" if needs_part else "a tile such as 13 or 13/4"
        raise Refused([f"{option}: {text}: this is {name}"])
    return {name: int(value) for name, value in found.groupdict().items() if value is not None}


def _size(text: str, option: str, units: Units) -> Json:
    found = _USABLE.fullmatch(text.strip())
    if found is None:
        raise Refused([f"{option}: {text}: a size is written 250x300"])
    size: Json = {side: length(found[side], units) for side in ("width", "height")}
    return size | ({"factory_edges": found["edges"].split(",")} if found["edges"] else {})


def _pair(text: str, option: str, example: str) -> tuple[str, str]:
    name, equals, value = text.rpartition("=")
    if not equals:
        raise Refused([f"{option}: {text}: this is written {example}"])
    return name, value
