"""Load on loopback: clients that post bathrooms, bounded in number and in time.

`python -m benchmarks.service_load [REQUESTS] [CLIENTS]` measures throughput against the bare
planner on the same cores, latencies, memory, and how `/healthz` does meanwhile;
`benchmarks/results/service_load.json` holds what came of it. Nothing but 127.0.0.1 is ever called.
"""

import json
import os
import statistics
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import httpx2

from benchmarks.results import RESULTS, instances
from benchmarks.service import Service, serving
from cutopt import pipeline
from cutopt.documents import Request

_HEADERS = {"Content-Type": "application/json", "Prefer": "wait=110"}
_LONGEST_SECONDS = 240.0


def bathrooms(count: int) -> list[bytes]:
    """Return so many bathrooms, no two the same, so that no cache answers."""
    found = [path for path in instances("rooms") if path.name.startswith("bathroom")]
    rooms = [json.loads(path.read_text(encoding="utf-8")) for path in found]
    return [
        json.dumps({**rooms[number % len(rooms)], "title": f"Haus Lindenhof 7, {number}"}).encode()
        for number in range(count)
    ]


def bare(body: bytes) -> float:
    """Plan without any service; return the seconds."""
    since = time.perf_counter()
    pipeline.plan(Request.read(body))
    return time.perf_counter() - since


def post(client: httpx2.Client, body: bytes) -> float:
    """Post one bathroom; return the seconds that the plan took to come."""
    since = time.perf_counter()
    answer = client.post("/v1/plans", content=body, headers=_HEADERS)
    if answer.status_code != 200:
        raise SystemExit(f"{answer.status_code}: {answer.text}")
    return time.perf_counter() - since


def watched(address: str, ended: threading.Event) -> list[float]:
    """Ask for health ten times a second; return the seconds that each answer took."""
    found = []
    with httpx2.Client(base_url=address, timeout=30) as client:
        while not ended.wait(0.1):
            since = time.perf_counter()
            client.get("/healthz")
            found.append(time.perf_counter() - since)
    return found


def load(service: Service, bodies: list[bytes], clients: int) -> dict[str, object]:
    """Post all bodies from so many clients at a time; return what was measured."""
    ended, memory = threading.Event(), [service.resident_mib()]
    limits = httpx2.Limits(max_connections=clients)
    with (
        ThreadPoolExecutor(clients + 1) as threads,
        httpx2.Client(base_url=service.address, timeout=120, limits=limits) as client,
    ):
        health = threads.submit(watched, service.address, ended)
        since = time.perf_counter()
        taken = []
        for number, seconds in enumerate(threads.map(lambda body: post(client, body), bodies)):
            taken.append(seconds)
            if number % max(len(bodies) // 4, 1) == 0:
                memory.append(service.resident_mib())
            if time.perf_counter() - since > _LONGEST_SECONDS:
                raise SystemExit("this machine is too slow for so many requests")
        whole = time.perf_counter() - since
        ended.set()
        return {
            "per_second": round(len(bodies) / whole, 2),
            "latency_ms": _quantiles(taken),
            "healthz_ms": _quantiles(health.result()),
            "memory_mib": [round(mib, 1) for mib in [*memory, service.resident_mib()]],
        }


def _quantiles(seconds: list[float]) -> dict[str, float]:
    cuts = statistics.quantiles(seconds, n=100, method="inclusive")
    found = {"p50": cuts[49], "p99": cuts[98], "max": max(seconds)}
    return {name: round(value * 1000, 1) for name, value in found.items()}


def measured(work: Callable[[list[bytes]], object], bodies: list[bytes]) -> float:
    """Return how many bodies a second the work does."""
    since = time.perf_counter()
    work(bodies)
    return len(bodies) / (time.perf_counter() - since)


def main(requests: int, clients: int) -> None:
    """Measure and store."""
    bodies = bathrooms(requests)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(bare, bodies[:4]))  # imports are not what is measured
        alone = measured(lambda bodies: list(pool.map(bare, bodies)), bodies)
    with serving() as service:
        for body in bathrooms(2):
            with httpx2.Client(base_url=service.address, timeout=60) as client:
                post(client, body)
        found = load(service, bathrooms(requests), clients)
    found = {"requests": requests, "clients": clients, "bare_per_second": round(alone, 2), **found}
    text = json.dumps(found, indent=2) + "\n"
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / "service_load.json").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:3]]
    main(*(numbers + [400, 64][len(numbers) :]))
