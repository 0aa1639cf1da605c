"""Two tenants, one flooding: `python -m benchmarks.service_sharing [JOBS] [CLIENTS]`.

One tenant posts a small bathroom now and then; in turn nobody else calls and the other tenant posts
bathrooms from so many clients without a pause; at last it posts searches of four seconds. What is
stored: how long the small job took in each case, and its ratio to quiet times.
"""

import json
import os
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import httpx2

from benchmarks.results import RESULTS, instances
from benchmarks.service import ROOT, circumstances, serving
from benchmarks.service_load import bathrooms, post, quantiles

_KEYS = "import sys; from api.keys_command import main; sys.exit(main(sys.argv[1:]))"
_ROUNDS = 4
_PAUSE = 0.05
_LONG = "diagonal-kitchen-200x200-at-45"


def key(database: str, tenant: str) -> dict[str, str]:
    """Return the header of a new key."""
    made = subprocess.run(
        [sys.executable, "-c", _KEYS, "make", tenant],
        env={**os.environ, "PYTHONPATH": str(ROOT), "CUTOPT_DATABASE": database},
        capture_output=True,
        text=True,
        check=True,
    )
    return {"Authorization": f"Bearer {made.stdout.strip()}"}


def long_searches() -> Iterator[bytes]:
    """Yield requests whose search ends when its time does, no two alike."""
    [path] = [path for path in instances("slanted") if path.stem == _LONG]
    floor = json.loads(path.read_text(encoding="utf-8"))
    for number in count():
        yield json.dumps({**floor, "title": f"Haus Lindenhof 7, flood {number}"}).encode()


def push(client: httpx2.Client, body: bytes) -> None:
    """Post what may take its time; its plan need not be there when the answer is."""
    headers = {"Content-Type": "application/json", "Prefer": "wait=10"}
    answer = client.post("/v1/plans?seconds=4", content=body, headers=headers)
    if answer.status_code not in (200, 202):
        raise SystemExit(f"{answer.status_code}: {answer.text}")


@contextmanager
def flood(client: httpx2.Client, bodies: Iterator[bytes], clients: int) -> Iterator[None]:
    """Post without a pause from so many clients."""
    ended, lock = threading.Event(), threading.Lock()

    def go() -> None:
        while not ended.is_set():
            with lock:
                body = next(bodies)
            push(client, body)

    with ThreadPoolExecutor(clients) as threads:
        going = [threads.submit(go) for _ in range(clients)]
        time.sleep(2)
        try:
            yield
        finally:
            ended.set()
            for one in going:
                one.result()


def small_jobs(client: httpx2.Client, numbers: Iterator[int], jobs: int) -> list[float]:
    """Post small bathrooms, one at a time; return the seconds of each."""
    found = []
    for body in bathrooms([next(numbers) for _ in range(jobs)], smallest=True):
        found.append(post(client, body))
        time.sleep(_PAUSE)
    return found


def main(jobs: int, clients: int) -> None:
    """Measure and store."""
    taken: dict[str, list[float]] = {"quiet": [], "bathrooms": [], "long searches": []}
    with TemporaryDirectory() as folder:
        database = str(Path(folder) / "runs.sqlite")
        loud, calm = key(database, "loud"), key(database, "calm")
        with (
            serving(CUTOPT_DATABASE=database, CUTOPT_KEYS="on") as service,
            httpx2.Client(base_url=service.address, timeout=120, headers=calm) as small,
            httpx2.Client(
                base_url=service.address,
                timeout=120,
                headers=loud,
                limits=httpx2.Limits(max_connections=clients),
            ) as other,
        ):
            numbers, own = count(1), count(1_000_000)
            floods = {
                "bathrooms": (body for number in own for body in bathrooms([number])),
                "long searches": long_searches(),
            }
            small_jobs(small, numbers, 5)
            for _ in range(_ROUNDS):
                taken["quiet"] += small_jobs(small, numbers, jobs)
                with flood(other, floods["bathrooms"], clients):
                    taken["bathrooms"] += small_jobs(small, numbers, jobs)
            # Last, as what it leaves in the queue is worked on for a while.
            with flood(other, floods["long searches"], clients):
                taken["long searches"] += small_jobs(small, numbers, jobs * _ROUNDS)
    quiet = statistics.median(taken["quiet"])
    found: dict[str, object] = {"jobs": jobs * _ROUNDS, "clients_of_the_flood": clients}
    for name, seconds in taken.items():
        ratio = round(statistics.median(seconds) / quiet, 2)
        found[name] = {"ms": quantiles(seconds), "times_quiet": ratio}
    text = json.dumps(found | circumstances(), indent=2) + "\n"
    (RESULTS / "service_sharing.json").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:3]]
    main(*(given + [20, 64][len(given) :]))
