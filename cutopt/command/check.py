"""`cutopt check`: replay a plan against its request, without any code of the solver."""

import argparse

from cutopt.check import JointVerdict, Verdict, check_bound, check_plan, check_together
from cutopt.command.files import name_of, read_json
from cutopt.command.options import Commands
from cutopt.command.refused import DONE, Refused, about, lines_of
from cutopt.command.terminal import say
from cutopt.documents import Plan, Request
from cutopt.formats import request_of


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "check",
        help="check a plan against its request",
        description="Replays a plan cut by cut and says what is wrong with it. The code "
        "shares nothing with the one that made the plan.",
        allow_abbrev=False,
    )
    parser.add_argument("request", metavar="REQUEST.json", help="the request; - for standard input")
    parser.add_argument("plan", metavar="PLAN.json", help="its plan; - for standard input")
    parser.add_argument(
        "--bound",
        action="store_true",
        help="verify the lower bound too, by the prices that the plan brings",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Check the plan that the options name."""
    if options.request == options.plan == "-":
        raise Refused(["standard input: the request and the plan cannot both be read from it"])
    wanted, made = read_json(options.request), read_json(options.plan)
    with about(name_of(options.request)):
        request = request_of(wanted)
    with about(name_of(options.plan)):
        plan = Plan.of(made)
    if faults := check_plan(request, plan):
        raise Refused(lines_of(name_of(options.plan), faults))
    verdicts = check_bound(request, plan) if options.bound else ()
    joint = check_together(request, plan) if options.bound else ()
    found = [one.fault for one in verdicts] + [one.fault for one in joint]
    if uncertain := [fault for fault in found if fault]:
        raise Refused(lines_of(name_of(options.plan), uncertain))
    say(f"{_verdict(request, plan)}\n")
    for verdict in verdicts:
        say(f"{_certain(verdict)}\n")
    for together in joint:
        say(f"{_certain_together(together)}\n")
    return DONE


def _certain(verdict: Verdict) -> str:
    return (
        f"The bound is certain: no plan needs fewer than {verdict.claimed} new tiles "
        f"'{verdict.tile}' (by prices at which no tile is worth more than one)."
    )


def _certain_together(verdict: JointVerdict) -> str:
    names = ", ".join(f"'{name}'" for name in verdict.tiles)
    least = "costs less" if verdict.objective == "cost" else "needs fewer new tiles"
    return (
        f"The bound is certain: no plan {least} than {verdict.claimed} for {names} together "
        "(by prices at which no tile is worth more than it may be)."
    )


def _verdict(request: Request, plan: Plan) -> str:
    tiles = sum(total.tiles_needed for total in plan.totals)
    pieces = sum(piece.quantity for piece in request.pieces)
    replayed = "every cut replayed"
    if any(cut_tile.cuts is None for cut_tile in plan.cut_tiles):
        replayed = "the pieces can be parted by straight cuts (not every tile lists its cuts)"
    return f"The plan is right: {pieces} pieces from {tiles} new tiles, {replayed}."
