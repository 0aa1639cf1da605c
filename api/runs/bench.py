"""A bench: a child process from the parent's side. It is asked, watched and, if need be, killed."""

import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from api.runs.child import Limits, Planned, Planner, Reading, serve
from cutopt.errors import Fault

#: The child is heard, and its owner asked whether to go on, so often.
_HEARD_EVERY = 0.1
#: How long a child that was asked to stop may take to hand over its best plan.
STOP_SECONDS = 5.0
#: A child that holds more than this when its errand is done makes room for a fresh one.
_KEPT_BYTES = 300_000_000
#: Reading and drawing are bounded work; longer than this is a fault.
ERRAND_SECONDS = 60.0

_context = get_context("forkserver")

#: Asked with news (or None) again and again: False ends the search with its best plan.
Watch = Callable[[str | None], bool]


class Crashed(Exception):  # noqa: N818 - the child did, not we
    """The child ended, or had to be ended, before its errand did."""


class Broken(Exception):  # noqa: N818 - so is what we were told
    """The errand came upon a fault of ours; the message is its traceback."""


@dataclass
class Unfit(Exception):  # noqa: N818 - it is the input that is
    """The errand cannot be done with this input."""

    kind: str
    faults: list[Fault]


class Bench:
    """One child process, started when it is first needed and again after it was killed."""

    def __init__(self, planner: Planner, limits: Limits) -> None:
        self._planner = planner
        self._limits = limits
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None

    def read(self, body: bytes, seed: int) -> Reading:
        """Return a request as it was understood."""
        reading: Reading = self._errand(("read", body, seed), ERRAND_SECONDS)
        return reading

    def draw(self, request: str, plan: str, form: str) -> str:
        """Return a plan in another form."""
        text: str = self._errand(("draw", request, plan, form), ERRAND_SECONDS)
        return text

    def plan(self, request: str | bytes, seed: int, seconds: float, watch: Watch) -> Planned:
        """Return the plan of a request, as text or as it was read, after so many seconds."""
        planned: Planned = self._errand(("plan", request, seed, seconds), seconds, watch)
        return planned

    def work(self, task: Callable[..., Any], *arguments: Any) -> Any:
        """Return what a function of a module brings, done in the child."""
        return self._errand(("work", task, arguments), ERRAND_SECONDS)

    def warm_up(self) -> None:
        """Start the child before it is needed."""
        self._started()

    def close(self) -> None:
        """Kill the child, if there is one."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
            self._process = None
        if self._pipe is not None:
            self._pipe.close()
            self._pipe = None

    def _started(self) -> Connection:
        if self._process is None or not self._process.is_alive() or self._pipe is None:
            self.close()
            _context.set_forkserver_preload(["api.runs.child", "cutopt.pipeline"])
            self._pipe, end = _context.Pipe()
            process = _context.Process(
                target=serve, args=(end, self._planner, self._limits), daemon=True
            )
            process.start()
            self._process = process
            end.close()
        return self._pipe

    def _errand(self, errand: tuple[Any, ...], seconds: float, watch: Watch | None = None) -> Any:
        try:
            pipe = self._started()
            pipe.send(errand)
            kind, *rest = self._heard(pipe, seconds, watch)
        except (EOFError, OSError):
            self.close()
            raise Crashed from None
        except BaseException:
            self.close()
            raise
        if self._resident() > min(_KEPT_BYTES, self._limits.memory_bytes):
            self.close()
        if kind == "refused":
            if rest[0] == "too-much-work":  # it may be left with no memory for the next errand
                self.close()
            raise Unfit(rest[0], [Fault(*fault) for fault in rest[1]])
        if kind == "broken":
            raise Broken(rest[0])
        return rest[0]

    def _heard(self, pipe: Connection, seconds: float, watch: Watch | None) -> tuple[Any, ...]:
        """Return the child's answer; ask it to stop when told to or late, kill it when deaf."""
        late = time.monotonic() + seconds + 1
        killed = float("inf")
        while True:
            news = None
            if pipe.poll(_HEARD_EVERY):
                message: tuple[Any, ...] = pipe.recv()
                if message[0] != "progress":
                    return message
                news = message[1]
            self._check_memory()
            now = time.monotonic()
            goes_on = watch is None or watch(news)
            if killed == float("inf") and (now > late or not goes_on):
                pipe.send(("stop",))
                killed = now + STOP_SECONDS
            if now > killed:
                raise Deaf

    def _check_memory(self) -> None:
        if self._resident() > self._limits.memory_bytes:
            raise Unfit("too-much-work", [])

    def _resident(self) -> int:
        return 0 if self._process is None else _resident(self._process.pid)


class Deaf(Exception):  # noqa: N818 - as the child is
    """The child was asked to stop and did not; it has been killed."""


def _resident(pid: int | None) -> int:
    try:
        pages = Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1]
    except (OSError, IndexError):
        return 0
    return int(pages) * resource.getpagesize()
