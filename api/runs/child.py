"""What runs in a child process: reading, planning and drawing, one errand after the other.

Parent and child speak in tuples over a pipe. The parent sends `(errand, *arguments)`, or
`("stop",)` while an errand goes on; the child sends any number of `("progress", text)` and
then one of

- `("done", result)`,
- `("refused", kind, faults)`, a kind of problem with its faults as (place, value, rule),
- `("broken", traceback)`, a fault of ours.

When the parent is gone, so is the child: nobody would hear of what it finds.
"""

import gc
import hashlib
import os
import pickle
import queue
import resource
import signal
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from cutopt import reports
from cutopt.documents import Plan, Request, parse_json
from cutopt.documents.run import RunProgress
from cutopt.errors import CannotBeMet, CutoptError, InvalidInput
from cutopt.formats import request_of
from cutopt.stop import Cancelled, MaxSeconds, Progress, Stop, Told, first_of
from cutopt.version import VERSION

Planner = Callable[[Request, Stop, int], Plan]

#: The forms in which a plan comes, the usual one first.
FORMS: dict[str, Callable[[Request, Plan], str]] = {
    "application/json": lambda request, plan: plan.text(),
    "image/svg+xml": reports.draw_cut_sheet,
    "text/csv": reports.write_cut_list,
    "text/plain": reports.write_summary,
}
#: Progress is told at most so often.
_TOLD_EVERY = 0.25


@dataclass(frozen=True, slots=True)
class Limits:
    """What a child may take: memory beyond what it starts with, and how much it gives way."""

    memory_bytes: int
    nice: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """A request as it was understood: our own text of it, and itself, packed for a child."""

    request: str
    packed: bytes
    digest: str
    pieces: int
    sizes: int


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan as text, and what is to be known of it without reading it."""

    plan: str
    proven: bool
    stopped: str
    gap: float


@dataclass
class Child:
    """The errands of one child process."""

    pipe: Connection
    planner: Planner
    stop: threading.Event = field(default_factory=threading.Event)

    def read(self, body: bytes, seed: int) -> Reading:
        """Read a request or a job."""
        try:
            data = parse_json(body)
        except InvalidInput as problem:
            raise NoJson(problem.faults) from None
        request = request_of(data)
        text = request.text()
        content = f"{VERSION}\n{seed}\n{text}".encode()
        return Reading(
            request=text,
            packed=pickle.dumps(request, pickle.HIGHEST_PROTOCOL),
            digest=hashlib.sha256(content).hexdigest(),
            pieces=sum(piece.quantity for piece in request.pieces),
            sizes=len(request.pieces),
        )

    def plan(self, asked: str | bytes, seed: int, seconds: float) -> Planned:
        """Plan a request that was read before, by us or by another child of the same parent."""
        request = Request.read(asked) if isinstance(asked, str) else pickle.loads(asked)
        told = Told(Teller(self.pipe).tell)
        stop = first_of(MaxSeconds(seconds), Cancelled(self.stop), told)
        plan = self.planner(request, stop, seed)
        return Planned(
            plan=plan.text(),
            proven=plan.is_proven,
            stopped=plan.stopped or "done",
            gap=plan.gap,
        )

    def draw(self, text: str, plan: str, form: str) -> str:
        """Write a plan in another form."""
        return FORMS[form](Request.read(text), Plan.read(plan))

    def work(self, task: Callable[..., object], arguments: tuple[Any, ...]) -> object:
        """Do what a function of a module does, apart from the server."""
        return task(*arguments)


class NoJson(CutoptError):  # noqa: N818 - as its base
    """The body is no JSON."""


class Teller:
    """Tells the parent how far a plan is, now and then."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._since = time.monotonic()
        self._last: tuple[float, Progress | None] = (self._since, None)

    def tell(self, progress: Progress) -> None:
        """Tell, unless that was just done or there is no news."""
        now = time.monotonic()
        if now - self._last[0] < _TOLD_EVERY or progress == self._last[1]:
            return
        self._last = (now, progress)
        tiles, bound = progress.tiles, progress.bound
        news = RunProgress(
            tile=progress.tile,
            step=progress.step,
            tiles=tiles,
            bound=bound,
            gap=max(tiles - bound, 0) / tiles if tiles else None,
            seconds=round(now - self._since, 3),
        )
        self._pipe.send(("progress", news.model_dump_json(exclude_none=True)))


def serve(pipe: Connection, planner: Planner, limits: Limits) -> None:
    """Run errands until the parent closes the pipe: all that a child process does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's to hear
    gc.freeze()  # what was there before us is not searched for garbage, nor copied by that
    os.nice(limits.nice)
    _bound_memory(limits.memory_bytes)
    child = Child(pipe, planner)
    errands: queue.SimpleQueue[tuple[Any, ...]] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(child, errands), daemon=True).start()
    while True:
        errand, *arguments = errands.get()
        pipe.send(_answer(getattr(child, errand), arguments))


def _listen(child: Child, errands: "queue.SimpleQueue[tuple[Any, ...]]") -> None:
    while True:
        try:
            message = child.pipe.recv()
        except (EOFError, OSError):
            os._exit(0)
        if message == ("stop",):
            child.stop.set()
        else:
            child.stop.clear()
            errands.put(message)


def _answer(errand: Callable[..., object], arguments: list[Any]) -> tuple[object, ...]:
    try:
        return ("done", errand(*arguments))
    except NoJson as problem:
        return _refusal("no-json", problem)
    except InvalidInput as problem:
        return _refusal("invalid-input", problem)
    except CannotBeMet as problem:
        return _refusal("cannot-be-met", problem)
    except MemoryError:
        return ("refused", "too-much-work", [])
    except Exception:
        return ("broken", traceback.format_exc())


def _refusal(kind: str, problem: CutoptError) -> tuple[object, ...]:
    faults = [(fault.place, fault.value, fault.rule) for fault in problem.faults]
    return ("refused", kind, faults)


def _bound_memory(more_bytes: int) -> None:
    """Let the address space grow by so much and no more, where that can be told."""
    pages = Path("/proc/self/statm")
    if pages.exists():
        taken = int(pages.read_text().split()[0]) * resource.getpagesize()
        most = taken + more_bytes
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
