"""Run a search beside the terminal: show how far it is, and end it early on Ctrl-C."""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import TextIO, TypeVar

from cutopt.command.refused import INTERRUPTED
from cutopt.command.terminal import one_line, tell
from cutopt.stop import Cancelled, MaxSeconds, Progress, Stop, Told, first_of

Found = TypeVar("Found")

#: Nothing is shown of a search that ends sooner.
_SILENT_SECONDS = 1.0
_REDRAWN_EVERY = 0.2
#: Where no terminal rewrites a line, lines come this far apart at the least, and at the most.
_LINES_APART = (1.0, 30.0)


@dataclass
class ProgressLine:
    """One line on standard error: rewritten on a terminal, repeated elsewhere."""

    quiet: bool = False
    stream: TextIO = field(default_factory=lambda: sys.stderr)
    since: float = field(default_factory=time.monotonic)
    _latest: Progress | None = None
    _shown: str = ""
    _shown_at: float = float("-inf")

    def tell(self, progress: Progress) -> None:
        """Take note of how far the search is; called from the thread that searches."""
        self._latest = progress

    def draw(self) -> None:
        """Show the latest news, if it is time to."""
        now = time.monotonic()
        if self.quiet or self._latest is None or now - self.since < _SILENT_SECONDS:
            return
        text = _sentence(self._latest)
        if self.stream.isatty():
            self._rewrite(f"{text}, {now - self.since:.0f} s")
        elif now - self._shown_at > _LINES_APART[text == self._shown]:
            self._shown, self._shown_at = text, now
            tell(f"{text}, {now - self.since:.0f} s")

    def clear(self) -> None:
        """Leave an empty line on a terminal."""
        if self._shown and self.stream.isatty():
            self._rewrite("")

    def _rewrite(self, text: str) -> None:
        line = one_line(text)[: _columns() - 1]
        with suppress(OSError):
            self.stream.write("\r" + line.ljust(len(self._shown)) + ("" if line else "\r"))
            self.stream.flush()
        self._shown = line


def _columns() -> int:
    try:
        return os.get_terminal_size(sys.stderr.fileno()).columns or 80
    except (OSError, ValueError):
        return 80


def _sentence(progress: Progress) -> str:
    tiles = "no plan yet" if progress.tiles is None else f"{progress.tiles} tiles"
    return f"{progress.tile}: {progress.step}: {tiles}, at least {progress.bound}"


def watched(
    search: Callable[[Stop], Found], seconds: float, cancel: threading.Event, line: ProgressLine
) -> Found:
    """Return what the search finds, in so many seconds or until it is cancelled.

    The search runs in a thread of its own, so that signals and the progress line are served
    while it is deep inside a solver.
    """
    stop = first_of(MaxSeconds(seconds), Cancelled(cancel), Told(line.tell))
    found: Future[Found] = Future()
    threading.Thread(target=_fill, args=(found, search, stop), daemon=True).start()
    noted = False
    while not wait([found], timeout=_REDRAWN_EVERY).done:
        if cancel.is_set() and not noted:
            noted = True
            line.clear()
            tell("stopping with the best plan so far; Ctrl-C again ends without it")
        line.draw()
    line.clear()
    return found.result()


def _fill(found: Future[Found], search: Callable[[Stop], Found], stop: Stop) -> None:
    try:
        found.set_result(search(stop))
    except BaseException as problem:
        found.set_exception(problem)


@contextmanager
def interrupts() -> Iterator[threading.Event]:
    """Yield an event that the first Ctrl-C sets; the second ends the process at once."""
    cancel = threading.Event()
    in_main_thread = threading.current_thread() is threading.main_thread()
    if not in_main_thread or signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        yield cancel
        return

    def on_interrupt(*_: object) -> None:
        if cancel.is_set():
            # The search may be deep inside a solver that hears nothing: leave without it.
            os._exit(INTERRUPTED)
        cancel.set()

    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield cancel
    finally:
        signal.signal(signal.SIGINT, before)
