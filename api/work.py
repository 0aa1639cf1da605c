"""`cutopt work`: takes runs up from the queue, without serving: one more pair of hands."""

import argparse
import os
import signal
import threading
from collections.abc import Sequence

from api import logs, traces
from api.runs.child import Planner
from api.runs.desk import Desk
from api.runs.durable import DurableEngine
from api.settings import Settings, from_environment
from cutopt import pipeline
from cutopt.command.options import Parser
from cutopt.command.refused import DONE
from cutopt.command.terminal import tell


def main(argv: Sequence[str]) -> int:
    """Work until told to stop."""
    _parser().parse_args(argv)
    with from_environment("cutopt work") as settings:
        logs.set_up()
        traces.set_up(os.environ, "work")
        work(settings, pipeline.plan)
    return DONE


def work(settings: Settings, planner: Planner) -> None:
    """Take runs up until a signal says to stop; give back what is in hand then."""
    stop = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stop.set())
    engine = DurableEngine(settings.database_url, settings.benches, settings.look_seconds)
    desk = Desk(settings, engine, planner)
    desk.open(serving=False)
    tell(f"cutopt works as {desk.engine.name}; Ctrl-C stops it")
    stop.wait()
    desk.close()
    traces.send_the_rest()


def _parser() -> argparse.ArgumentParser:
    return Parser(
        prog="cutopt work",
        description="Takes runs up from the queue of a service, on this machine or, with "
        "PostgreSQL, on any. Environment variables CUTOPT_... as for cutopt serve.",
        allow_abbrev=False,
    )
