"""So many benches, and a queue before them in which every tenant has the same standing.

Besides the usual places there may be spare ones, for tenants that hold none: whoever floods the
usual places does not keep others waiting, and the benches of spare places go before the others.
"""

import asyncio
from collections import Counter, deque
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from enum import Enum
from itertools import count
from typing import TypeVar

from api.runs.bench import Bench

Found = TypeVar("Found")

#: How much (`nice`) the benches of usual places give way to those of spare ones and the server:
#: each step of `nice` is a factor of 1.25, so at 10 they count for 1/9. At 15 they
#: all but stood still beside other programs that keep the processors busy.
GIVES_WAY = 10
#: When each tenant was last served is remembered for so many.
_REMEMBERED = 10_000


class Place(Enum):
    """A kind of place."""

    USUAL = "usual"
    SPARE = "spare"


class FairGate:
    """So many places; a free one goes to the tenant that holds the fewest of them."""

    def __init__(self, places: int, spare: int = 0) -> None:
        self._free = {Place.USUAL: places, Place.SPARE: spare}
        self._held: Counter[str] = Counter()
        self._turn = count()
        self._served: dict[str, int] = {}
        self._waiting: dict[str, deque[asyncio.Future[Place]]] = {}

    def waiting(self, tenant: str | None = None) -> int:
        """Return how many wait for a place, all of them or those of a tenant."""
        if tenant is not None:
            return len(self._waiting.get(tenant, ()))
        return sum(map(len, self._waiting.values()))

    async def enter(self, tenant: str, seconds: float) -> Place:
        """Take a place and return its kind; raises `TimeoutError` when none was free in time."""
        for place in Place:
            if self._free[place] and self._may(tenant, place):
                return self._take(tenant, place)
        turn: asyncio.Future[Place] = asyncio.get_running_loop().create_future()
        self._waiting.setdefault(tenant, deque()).append(turn)
        try:
            async with asyncio.timeout(seconds):
                return await turn
        except BaseException:
            if turn.done() and not turn.cancelled():  # called up just when the time was over
                self.leave(tenant, turn.result())
            else:
                self._waiting[tenant].remove(turn)
            raise

    def leave(self, tenant: str, place: Place) -> None:
        """Give a place back."""
        self._held -= Counter({tenant: 1})
        self._free[place] += 1
        if (following := self._following(place)) is not None:
            self._take(following, place)
            self._waiting[following].popleft().set_result(place)

    def _may(self, tenant: str, place: Place) -> bool:
        return place is Place.USUAL or not self._held[tenant]

    def _following(self, place: Place) -> str | None:
        """Return whose turn it is: of those with the fewest places, who was served longest ago."""
        self._waiting = {tenant: turns for tenant, turns in self._waiting.items() if turns}
        eligible = [tenant for tenant in self._waiting if self._may(tenant, place)]

        def standing(tenant: str) -> tuple[int, int]:
            return self._held[tenant], self._served.get(tenant, -1)

        return min(eligible, key=standing, default=None)

    def _take(self, tenant: str, place: Place) -> Place:
        self._free[place] -= 1
        self._held[tenant] += 1
        if len(self._served) > _REMEMBERED:
            self._served.clear()
        self._served[tenant] = next(self._turn)
        return place


class Pool:
    """Warm benches, each used by one caller at a time, off the event loop."""

    def __init__(self, size: int, spare: int, new_bench: Callable[[int], Bench]) -> None:
        self._gate = FairGate(size, spare)
        self._idle = {
            Place.USUAL: [new_bench(GIVES_WAY) for _ in range(size)],
            Place.SPARE: [new_bench(0) for _ in range(spare)],
        }
        self._all = [bench for benches in self._idle.values() for bench in benches]
        self._threads = ThreadPoolExecutor(size + spare, thread_name_prefix="bench")

    def waiting(self, tenant: str | None = None) -> int:
        """Return how many wait for a bench, all of them or those of a tenant."""
        return self._gate.waiting(tenant)

    @asynccontextmanager
    async def bench(self, tenant: str, seconds: float) -> AsyncIterator["Seat"]:
        """Lend a bench; raises `TimeoutError` when none became free in time."""
        place = await self._gate.enter(tenant, seconds)
        seat = Seat(self._idle[place].pop(), self._threads)
        try:
            yield seat
        finally:
            # The bench is given back once it is through, even if nobody waits for it any more.
            seat.when_free(lambda: self._give_back(seat.bench, tenant, place))

    def _give_back(self, bench: Bench, tenant: str, place: Place) -> None:
        self._idle[place].append(bench)
        self._gate.leave(tenant, place)

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
