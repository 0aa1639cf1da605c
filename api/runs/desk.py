"""The desk: takes orders, sees small ones through at once, and hands the others to the engine."""

import asyncio
import contextlib
import gc
import hashlib
import time
from collections.abc import AsyncIterator
from dataclasses import asdict, dataclass

from api import traces
from api.problems import RETRY_AFTER, Refused
from api.runs.bench import Bench, Broken, Crashed, Deaf, Unfit
from api.runs.child import Limits, Planner, Reading
from api.runs.engine import Engine, Ticket
from api.runs.keeper import Keeper
from api.runs.pool import Pool, Seat
from api.runs.record import Order, Record
from api.runs.records import KeyTaken, Records
from api.runs.watchers import Watchers
from api.runs.worker import Waited, Worker
from api.settings import Settings

#: Searches of the queue give way to those that somebody waits for.
_NICE = 19
_READERS, _SPARE_READERS = 1, 1
#: Reading is short and every job begins with it: it goes before all searches but spare ones.
_READERS_NICE = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What came in, unread."""

    body: bytes
    seed: int
    seconds: float
    tenant: str
    key: str | None = None
    callback: str | None = None
    deadline: float | None = None

    @property
    def fingerprint(self) -> str:
        """Return what stands for all of it."""
        said = f"{self.seed} {self.seconds} {self.callback} {self.deadline}\n".encode()
        return hashlib.sha256(said + self.body).hexdigest()


@dataclass(frozen=True, slots=True)
class Taken:
    """The run of what was asked for; with the request as it was read when the run is new."""

    record: Record
    packed: bytes | None = None


class Desk:
    """All that a process needs to execute runs, put together."""

    def __init__(self, settings: Settings, engine: Engine, planner: Planner) -> None:
        self._settings = settings
        self._planner = planner
        self._memory = settings.memory_mb * 1_000_000
        self.records = Records(settings.database_url, settings.keep_hours * 3600)
        self.engine = engine
        self.worker = Worker(self.records, engine.name)
        self.keeper = Keeper(self.records, engine, self.worker)
        self.readers = Pool(_READERS, _SPARE_READERS, self._reader_bench)
        self.quick = Pool(settings.benches, settings.benches, self._bench)
        self._hands: list[Bench] = []
        self._watchers = Watchers(self.records)

    def _bench(self, nice: int) -> Bench:
        return Bench(self._planner, Limits(self._memory, nice))

    def _reader_bench(self, nice: int) -> Bench:
        return self._bench(min(nice, _READERS_NICE))

    def open(self, serving: bool = True) -> None:
        """Begin to work; `serving` when callers are to be expected."""
        self.keeper.start()
        self.engine.start(self._work)
        if serving:
            self.readers.warm_up()
            self.quick.warm_up()
        # What is there now stays: to look through it for garbage would hold up every answer.
        gc.collect()
        gc.freeze()

    def leave(self) -> None:
        """Ask every search to end: waited-for ones with their best plan, the others for later."""
        self.worker.leaving.set()

    def close(self) -> None:
        """End in good order."""
        self.leave()
        self.quick.close()
        self.readers.close()
        until = time.monotonic() + 10
        while self.worker.in_hand and time.monotonic() < until:
            time.sleep(0.05)
        self.engine.close()
        for bench in self._hands:
            bench.close()
        self.keeper.close()
        self.records.close()

    def _work(self, run: str) -> None:
        try:
            bench = self._hands.pop()
        except IndexError:  # all are at work
            bench = self._bench(_NICE)
        try:
            self.worker.do(run, bench)
        finally:
            self._hands.append(bench)

    async def take(self, asked: Asked) -> Taken:
        """Return the run of what is asked for.

        Raises
        ------
        Refused
            When the input is wrong, the key stands for something else, or too much waits.
        """
        if asked.key is not None:
            before = await asyncio.to_thread(self.records.by_key, asked.tenant, asked.key)
            if before is not None:
                return Taken(_same(before, asked))
        reading = await self._read(asked)
        try:
            record = await asyncio.to_thread(self._insert, asked, reading)
        except KeyTaken as taken:
            return Taken(_same(taken.record, asked))
        return Taken(record, reading.packed)

    def _insert(self, asked: Asked, reading: Reading) -> Record:
        order = Order(
            request=reading.request,
            digest=reading.digest,
            seed=asked.seed,
            seconds=asked.seconds,
            tenant=asked.tenant,
            key=asked.key,
            fingerprint=asked.key and asked.fingerprint,
            callback=asked.callback,
            deadline=time.time() + (asked.deadline or self._settings.deadline_seconds),
            trace=traces.current(),
        )
        before, queued = self.records.look_up(reading.digest)
        if before is None:
            self._check_room(asked.tenant, queued)
            return self.records.insert(order, owner=self.worker.name)
        now = time.time()
        until = now + self._settings.keep_hours * 3600
        return self.records.insert(order, **asdict(before), ended=now, expires=until, revision=1)

    def _check_room(self, tenant: str, queued: int) -> None:
        # Who has nothing in hand is let in even then: others filled the queue.
        if queued >= self._settings.queued and self.records.open_of(tenant):
            raise busy()
        most = self._settings.most_open
        if most and self.records.open_of(tenant) >= most:
            detail = f"At most {most} runs may be open at the same time; wait for one to end."
            raise Refused("too-many", detail, (), _AGAIN)

    async def _read(self, asked: Asked) -> Reading:
        async with self._reader(asked.tenant) as reader:
            return await reader.do(lambda bench: bench.read(asked.body, asked.seed))

    async def draw(self, record: Record, form: str) -> str:
        """Return the plan of a run in another form."""
        request, plan = record.request, record.plan or ""
        async with self._reader(record.tenant) as reader:
            return await reader.do(lambda bench: bench.draw(request, plan, form))

    @contextlib.asynccontextmanager
    async def _reader(self, tenant: str) -> AsyncIterator[Seat]:
        if self.readers.waiting() >= self._settings.waiting and self.readers.waiting(tenant):
            raise busy()
        try:
            async with self.readers.bench(tenant, self._settings.most_wait_seconds) as seat:
                yield seat
        except TimeoutError:
            raise busy() from None
        except Unfit as unfit:
            raise Refused(unfit.kind, "", unfit.faults) from None
        except (Crashed, Deaf):
            raise Refused("too-much-work", "") from None
        except Broken as fault:
            raise RuntimeError(str(fault)) from None

    async def see_through(self, taken: Taken, wait: float) -> Record:
        """Return the run as it is when it has ended, or after so many seconds."""
        until = time.monotonic() + wait
        record = taken.record
        if taken.packed is not None and not record.has_ended:
            record = await self._try_at_once(record, taken.packed, wait)
            if record.state == "queued" and not record.submitted:
                await asyncio.to_thread(self.keeper.submit, record)
        while not record.has_ended and (left := until - time.monotonic()) > 0:
            await self._watchers.changed(record.id, record.revision, left)
            record = await self._current(record)
        return record

    async def _try_at_once(self, record: Record, packed: bytes, wait: float) -> Record:
        if wait <= 0:
            return record
        waited = Waited(self._settings.quick_seconds, packed)
        with contextlib.suppress(TimeoutError):
            async with self.quick.bench(record.tenant, wait) as seat:
                work = asyncio.create_task(
                    seat.do(lambda bench: self.worker.do(record.id, bench, waited))
                )
                await asyncio.wait([work], timeout=wait)
                if work.done() and (ended := work.result()) is not None:
                    return ended
        return await self._current(record)

    async def _current(self, record: Record) -> Record:
        return await asyncio.to_thread(self.records.find, record.id) or record

    async def find(self, run: str, tenant: str) -> Record:
        """Return a run of this tenant; raises `Refused` when it has none with this id."""
        record = await asyncio.to_thread(self.records.find, run, tenant)
        if record is None:
            raise Refused("unknown-run", "It never was, is kept no longer, or is not yours.")
        return record

    async def next(self, record: Record, seconds: float) -> Record:
        """Return the run once it has changed, or as it is after so many seconds."""
        await self._watchers.changed(record.id, record.revision, seconds)
        return await self._current(record)

    async def cancel(self, record: Record) -> Record:
        """Cancel a run; return it as it is then."""
        await asyncio.to_thread(self._cancel, record)
        return await self._current(record)

    def _cancel(self, record: Record) -> None:
        self.records.cancel(record.id)
        if record.submissions and not record.has_ended:
            self.engine.withdraw(Ticket(record.id, record.submissions, 0))


def busy() -> Refused:
    """Return that too much waits already."""
    return Refused("busy", "Too much waits already; ask again later.", (), _AGAIN)


_AGAIN = {"Retry-After": RETRY_AFTER}


def _same(before: Record, asked: Asked) -> Record:
    if before.fingerprint != asked.fingerprint:
        raise Refused("key-reused", "This key came with another body or query before.")
    return before
