"""The command line as a whole: which command, and how it ends."""

import os
import sys
import traceback
from collections.abc import Sequence
from importlib.metadata import EntryPoint, entry_points

from cutopt.command import (
    check,
    exchange,
    formats,
    mark,
    order,
    papers,
    plan,
    replan,
    saw,
    schema,
    set_out,
    takeoff,
)
from cutopt.command.options import Parser
from cutopt.command.refused import INTERRUPTED, OWN_FAULT, PIPE_CLOSED, Refused
from cutopt.command.terminal import let_go_of_output, tell
from cutopt.errors import BrokenPlan
from cutopt.version import VERSION


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command that the arguments name and return its exit status."""
    try:
        return _run(list(sys.argv[1:] if argv is None else argv))
    except Refused as refused:
        for line in refused.lines:
            tell(line)
        return refused.status
    except BrokenPipeError:
        let_go_of_output()
        return PIPE_CLOSED
    except KeyboardInterrupt:
        return INTERRUPTED
    except SystemExit as ended:  # --help and --version
        return ended.code if isinstance(ended.code, int) else 0
    except Exception as fault:
        _apologise(fault)
        return OWN_FAULT


def _run(argv: list[str]) -> int:
    added = _added_commands()
    if argv and argv[0] in added:
        return int(added[argv[0]].load()(argv[1:]))
    options = _parser(list(added)).parse_args(argv)
    return int(options.run(options))


def _added_commands() -> dict[str, EntryPoint]:
    """Return the commands that other packages add, such as the service's `serve`."""
    return {entry.name: entry for entry in entry_points(group="cutopt.commands")}


def _parser(added: Sequence[str]) -> Parser:
    parser = Parser(
        prog="cutopt",
        description="From the tile and the pieces to the provably fewest tiles, cut by cut.",
        epilog="Exit status: 0 done; 1 a fault of ours; 2 the input is wrong; "
        "3 the request cannot be met.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"cutopt {VERSION}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True, parser_class=Parser)
    offered = (
        plan,
        takeoff,
        set_out,
        formats,
        check,
        saw,
        order,
        papers,
        mark,
        replan,
        exchange,
        schema,
    )
    for command in offered:
        command.add(commands)
    for name in added:
        commands.add_parser(name, help=f"see cutopt {name} --help", add_help=False)
    return parser


def _apologise(fault: Exception) -> None:
    if os.environ.get("CUTOPT_DEBUG") == "1":
        traceback.print_exception(fault, file=sys.stderr)
    if isinstance(fault, BrokenPlan):
        what = f"what came out failed our own check ({len(fault.faults)} faults)"
    else:
        what = type(fault).__name__
    tell(f"cutopt: sorry, this is a fault of ours: {what}; CUTOPT_DEBUG=1 shows more")
