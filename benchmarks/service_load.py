"""Load on loopback: clients that post bathrooms, bounded in number and in time.

`python -m benchmarks.service_load [REQUESTS] [CLIENTS] [ROUNDS]` plans so many bathrooms with the
bare planner and then has as many posted to a service, in turn, round after round, so that whatever
else the machine does meets both. What is stored: plans a second of both, the time of processors
that a plan takes with and without the service, latencies, and how `/healthz` does meanwhile, asked
from a process of its own.
Nothing but 127.0.0.1 is ever called.
"""

import json
import os
import statistics
import sys
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event

import httpx2

from api.runs.pool import GIVES_WAY
from benchmarks.results import RESULTS, instances
from benchmarks.service import Service, children, circumstances, cpu_seconds, serving
from cutopt import pipeline
from cutopt.documents import Request

_HEADERS = {"Content-Type": "application/json", "Prefer": "wait=110"}
_LONGEST_SECONDS = 1800.0


def bathrooms(numbers: Iterable[int], smallest: bool = False) -> list[bytes]:
    """Return the bathrooms of these numbers, no two the same, so that no cache answers."""
    found = [path for path in instances("rooms") if path.name.startswith("bathroom")]
    rooms = [json.loads(path.read_text(encoding="utf-8")) for path in found]
    if smallest:
        rooms = sorted(rooms, key=lambda room: len(room["pieces"]))[:1]
    return [
        json.dumps({**rooms[number % len(rooms)], "title": f"Haus Lindenhof 7, {number}"}).encode()
        for number in numbers
    ]


def bare(body: bytes) -> float:
    """Plan without any service; return the seconds of the processor."""
    since = time.process_time()
    pipeline.plan(Request.read(body))
    return time.process_time() - since


def post(client: httpx2.Client, body: bytes) -> float:
    """Post one bathroom; return the seconds that the plan took to come."""
    since = time.perf_counter()
    answer = client.post("/v1/plans", content=body, headers=_HEADERS)
    if answer.status_code != 200:
        raise SystemExit(f"{answer.status_code}: {answer.text}")
    return time.perf_counter() - since


@contextmanager
def health_watched(address: str, found: list[float]) -> Iterator[None]:
    """Have health asked for all the while; add the seconds that each answer took.

    The one who asks is a process of its own: beside the threads of the clients it would wait for
    them, and what it waited would be taken for the service's.
    """
    processes = get_context("spawn")
    ended, pipe = processes.Event(), processes.Pipe(duplex=False)
    asking = processes.Process(target=_ask, args=(address, ended, pipe[1]))
    asking.start()
    pipe[1].close()  # so that nobody waits for one who died
    pipe[0].recv()  # starting is not what is measured
    try:
        yield
    finally:
        ended.set()
        found += pipe[0].recv()
        asking.join()


def _ask(address: str, ended: Event, told: Connection) -> None:
    """Ask for health twenty times a second; tell the seconds that each answer took."""
    found: list[float] = []
    told.send("about to ask")
    with httpx2.Client(base_url=address, timeout=30) as client:
        client.get("/healthz")  # connecting is not what is measured
        while not ended.wait(0.05):
            since = time.perf_counter()
            client.get("/healthz")
            found.append(time.perf_counter() - since)
    told.send(found)


def quantiles(seconds: list[float]) -> dict[str, float]:
    """Return what most answers took, in milliseconds."""
    cuts = statistics.quantiles(seconds, n=100, method="inclusive")
    found = {"p50": cuts[49], "p99": cuts[98], "max": max(seconds)}
    return {name: round(value * 1000, 1) for name, value in found.items()}


@dataclass
class Load:
    """A service, so many clients of it, and what was measured of both."""

    service: Service
    clients: int
    taken: list[float] = field(default_factory=list)
    health: list[float] = field(default_factory=list)
    server_cpu: float = 0.0
    children_cpu: float = 0.0
    clients_cpu: float = 0.0

    def go(self, bodies: list[bytes]) -> float:
        """Post all bodies, so many at a time; return how many a second were answered."""
        limits = httpx2.Limits(max_connections=self.clients)
        address = self.service.address
        with (
            ThreadPoolExecutor(self.clients) as threads,
            httpx2.Client(base_url=address, timeout=120, limits=limits) as client,
            health_watched(address, self.health),
        ):
            before, since = self._cpu(), time.perf_counter()
            self.taken += threads.map(lambda body: post(client, body), bodies)
            whole, after = time.perf_counter() - since, self._cpu()
        self.server_cpu += after[0] - before[0]
        self.children_cpu += after[1] - before[1]
        self.clients_cpu += after[2] - before[2]
        return len(bodies) / whole

    def _cpu(self) -> tuple[float, float, float]:
        below = sum(map(cpu_seconds, children(self.service.pid)))
        return cpu_seconds(self.service.pid), below, time.process_time()


def main(requests: int, clients: int, rounds: int) -> None:
    """Measure and store."""
    alone, served, shares, cpu = [], [], [], 0.0
    began = time.monotonic()
    with ProcessPoolExecutor(os.cpu_count(), initializer=os.nice, initargs=(GIVES_WAY,)) as pool:
        list(pool.map(bare, bathrooms(range(8))))  # imports are not what is measured
        with serving() as service:
            Load(service, clients).go(bathrooms(range(16)))
            load = Load(service, clients)
            for number in range(rounds):
                bodies = bathrooms(range((number + 1) * requests, (number + 2) * requests))
                since = time.perf_counter()
                cpu += sum(pool.map(bare, bodies))
                alone.append(requests / (time.perf_counter() - since))
                served.append(load.go(bodies))
                shares.append(served[-1] / alone[-1])
                print(f"{alone[-1]:.1f} {served[-1]:.1f} {shares[-1]:.2f}", flush=True)
                if time.monotonic() - began > _LONGEST_SECONDS:
                    raise SystemExit("this machine is too slow for so many requests")
    plans = requests * rounds
    parts = {"server": load.server_cpu, "children": load.children_cpu, "clients": load.clients_cpu}
    found: dict[str, object] = {"requests": plans, "clients": clients, "rounds": rounds}
    found |= {
        "bare_per_second": round(statistics.median(alone), 1),
        "per_second": round(statistics.median(served), 1),
        "share_of_bare": round(statistics.median(shares), 2),
        "shares": [round(share, 2) for share in shares],
        "cpu_ms_bare": round(cpu / plans * 1000, 1),
        "cpu_ms": {name: round(taken / plans * 1000, 1) for name, taken in parts.items()},
        "cpu_share": round(cpu / sum(parts.values()), 2),
        "latency_ms": quantiles(load.taken),
        "healthz_ms": quantiles(load.health),
    }
    text = json.dumps(found | circumstances(), indent=2) + "\n"
    (RESULTS / "service_load.json").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:4]]
    main(*(numbers + [120, 64, 5][len(numbers) :]))
