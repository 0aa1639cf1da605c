"""Searches run off the event loop, each on a bench of its own; only so many at once."""

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from api.problems import RETRY_AFTER, Refused
from api.settings import Settings
from cutopt.stop import Cancelled, MaxSeconds, Stop, first_of

Found = TypeVar("Found")


class Benches:
    """So many threads, each with one search, and a short queue before them."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._threads = ThreadPoolExecutor(settings.benches, thread_name_prefix="bench")
        self._free = asyncio.Semaphore(settings.benches)
        self._waiting = 0
        self._cancels: set[threading.Event] = set()
        self._closing = False

    @property
    def running(self) -> int:
        """Return how many searches run now."""
        return len(self._cancels)

    async def search(
        self, work: Callable[[Stop], Found], seconds: float, cancel: threading.Event
    ) -> Found:
        """Return what the work finds, on the next free bench.

        Raises
        ------
        Refused
            "busy", when no bench becomes free in time or too many wait already.
        """
        await self._take_bench()
        self._cancels.add(cancel)
        if self._closing:
            cancel.set()
        stop = first_of(MaxSeconds(seconds), Cancelled(cancel))
        search = asyncio.get_running_loop().run_in_executor(self._threads, work, stop)
        search.add_done_callback(lambda _: self._leave_bench(cancel))
        try:
            # Shielded: a thread cannot be stopped from outside, so its bench stays taken
            # until it has heard of the end.
            return await asyncio.shield(search)
        finally:
            cancel.set()

    async def _take_bench(self) -> None:
        if self._free.locked() and self._waiting >= self._settings.waiting:
            raise _busy()
        self._waiting += 1
        try:
            async with asyncio.timeout(self._settings.wait_seconds):
                await self._free.acquire()
        except TimeoutError:
            raise _busy() from None
        finally:
            self._waiting -= 1

    def _leave_bench(self, cancel: threading.Event) -> None:
        self._cancels.discard(cancel)
        self._free.release()

    def end_all(self) -> None:
        """Ask every search to end with the best plan that it has, later ones too."""
        self._closing = True
        for cancel in self._cancels:
            cancel.set()

    def close(self) -> None:
        """End all searches and let go of the threads."""
        self.end_all()
        self._threads.shutdown(wait=False)


def _busy() -> Refused:
    return Refused(
        "busy", "All benches are taken; ask again later.", headers={"Retry-After": RETRY_AFTER}
    )
