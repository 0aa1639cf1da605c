"""Planners that misbehave: the title of the request says how. Child processes import them."""

import os
import signal
import time
from pathlib import Path

from api.examples import PLAN
from cutopt import pipeline
from cutopt.documents import Plan, Request
from cutopt.stop import Progress, Stop


def plan(request: Request, stop: Stop, seed: int = 0) -> Plan:
    """Plan, after doing what the title says: a word, and a file where there is need of one."""
    word, _, file = (request.title or "").partition(" ")
    {"wait": _wait, "deaf": _deaf, "die": _die, "eat": _eat, "break": _break}.get(word, _nothing)(
        stop, Path(file)
    )
    return pipeline.plan(request, stop, seed)


def wrong(request: Request, stop: Stop, seed: int = 0) -> Plan:
    """Plan something else."""
    del request, stop, seed
    return Plan.of(PLAN)


def broken(request: Request, stop: Stop, seed: int = 0) -> Plan:
    """Fail."""
    raise ZeroDivisionError("secret")


def _nothing(stop: Stop, file: Path) -> None:
    del stop, file


def _wait(stop: Stop, file: Path) -> None:
    """Search until told to stop, or until the file is there; each start adds a line to another."""
    with file.with_suffix(".begun").open("a", encoding="utf-8") as begun:
        begun.write(f"{os.getpid()}\n")
    step = 0
    while not (file.exists() or stop.reason(Progress("field", f"step {step}", 50 - step % 40, 3))):
        time.sleep(0.02)
        step += 1


def _deaf(stop: Stop, file: Path) -> None:
    """Search, and hear nothing."""
    del stop, file
    time.sleep(600)


def _die(stop: Stop, file: Path) -> None:
    """Die, the first time or always."""
    del stop
    if not file.exists():
        if file.name.startswith("once"):
            file.touch()
        os.kill(os.getpid(), signal.SIGKILL)


def _eat(stop: Stop, file: Path) -> None:
    """Take ever more memory."""
    del stop, file
    eaten = []
    while True:
        eaten.append(bytearray(20_000_000))
        time.sleep(0.005)


def _break(stop: Stop, file: Path) -> None:
    """Fail."""
    raise ZeroDivisionError("secret")
