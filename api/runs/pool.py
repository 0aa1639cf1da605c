"""So many benches, and a queue before them in which every tenant has the same standing."""

import asyncio
from collections import Counter, deque
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from itertools import count
from typing import TypeVar

from api.runs.bench import Bench

Found = TypeVar("Found")

#: When each tenant was last served is remembered for so many.
_REMEMBERED = 10_000


class FairGate:
    """So many places; a free one goes to the tenant that holds the fewest of them."""

    def __init__(self, places: int) -> None:
        self._free = places
        self._held: Counter[str] = Counter()
        self._turn = count()
        self._served: dict[str, int] = {}
        self._waiting: dict[str, deque[asyncio.Future[None]]] = {}

    @property
    def waiting(self) -> int:
        """Return how many wait for a place."""
        return sum(map(len, self._waiting.values()))

    async def enter(self, tenant: str, seconds: float) -> None:
        """Take a place; raises `TimeoutError` when none became free in time."""
        if self._free:
            self._take(tenant)
            return
        turn: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._waiting.setdefault(tenant, deque()).append(turn)
        try:
            async with asyncio.timeout(seconds):
                await turn
        except BaseException:
            if turn.done() and not turn.cancelled():  # called up just when the time was over
                self.leave(tenant)
            else:
                self._waiting[tenant].remove(turn)
            raise

    def leave(self, tenant: str) -> None:
        """Give a place back."""
        self._held -= Counter({tenant: 1})
        self._free += 1
        if (following := self._following()) is not None:
            self._take(following)
            self._waiting[following].popleft().set_result(None)

    def _following(self) -> str | None:
        """Return whose turn it is: of those with the fewest places, who was served longest ago."""
        self._waiting = {tenant: turns for tenant, turns in self._waiting.items() if turns}

        def standing(tenant: str) -> tuple[int, int]:
            return self._held[tenant], self._served.get(tenant, -1)

        return min(self._waiting, key=standing, default=None)

    def _take(self, tenant: str) -> None:
        self._free -= 1
        self._held[tenant] += 1
        if len(self._served) > _REMEMBERED:
            self._served.clear()
        self._served[tenant] = next(self._turn)


class Pool:
    """Warm benches, each used by one caller at a time, off the event loop."""

    def __init__(self, size: int, new_bench: Callable[[], Bench]) -> None:
        self._gate = FairGate(size)
        self._all = [new_bench() for _ in range(size)]
        self._idle = list(self._all)
        self._threads = ThreadPoolExecutor(size, thread_name_prefix="bench")

    @property
    def busy(self) -> int:
        """Return how many benches are in use."""
        return len(self._all) - len(self._idle)

    @property
    def waiting(self) -> int:
        """Return how many wait for a bench."""
        return self._gate.waiting

    @asynccontextmanager
    async def bench(self, tenant: str, seconds: float) -> AsyncIterator["Seat"]:
        """Lend a bench; raises `TimeoutError` when none became free in time."""
        await self._gate.enter(tenant, seconds)
        seat = Seat(self._idle.pop(), self._threads)
        try:
            yield seat
        finally:
            # The bench is given back once it is through, even if nobody waits for it any more.
            seat.when_free(lambda: self._give_back(seat.bench, tenant))

    def _give_back(self, bench: Bench, tenant: str) -> None:
        self._idle.append(bench)
        self._gate.leave(tenant)

    def warm_up(self) -> None:
        """Start every child before it is needed."""
        for bench in self._all:
            self._threads.submit(bench.warm_up)

    def close(self) -> None:
        """Kill the children, once those that are at work have ended."""
        self._threads.shutdown(wait=True)
        for bench in self._all:
            bench.close()


class Seat:
    """A bench in the hands of a caller on the event loop."""

    def __init__(self, bench: Bench, threads: ThreadPoolExecutor) -> None:
        self.bench = bench
        self._threads = threads
        self._running: asyncio.Future[object] | None = None

    async def do(self, errand: Callable[[Bench], Found]) -> Found:
        """Return what the errand brings; it goes on when its caller goes away."""
        loop = asyncio.get_running_loop()
        running = loop.run_in_executor(self._threads, errand, self.bench)
        self._running = running  # type: ignore[assignment]
        return await asyncio.shield(running)

    def when_free(self, then: Callable[[], None]) -> None:
        """Call back when nothing is running here, at once if so."""
        if self._running is None or self._running.done():
            then()
        else:
            self._running.add_done_callback(lambda _: then())
