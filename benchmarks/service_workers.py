"""Workers on PostgreSQL: `python -m benchmarks.service_workers [JOBS] [ROUNDS]`.

In turn one and two workers, with one search at a time each (one child with one computing thread, so
a single worker never takes more than one processor for planning), work off as many runs of a
slanted floor that takes about half a second. What is stored: runs a second, their ratio, and what
the queue costs besides the planning: the time of processors that a worker and the database
spend on a run of one piece, and in a second without any.
"""

import json
import secrets
import statistics
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager

from api.examples import REQUEST
from api.runs.record import Order, Record
from api.runs.records import Records
from api.settings import Settings
from benchmarks.results import INSTANCES, RESULTS
from benchmarks.service import children, circumstances, cpu_seconds, postgresql, working
from cutopt.documents import Request

_FLOOR = INSTANCES / "slanted" / "diagonal-hall-447x447-at-45.json"
_LONGEST_SECONDS = 600.0
_IDLE_SECONDS = 10.0


def worked_off(records: Records, request: Request, jobs: int) -> list[Record]:
    """Hand in so many runs and return them once all have ended."""
    text = request.text()
    runs = [
        records.insert(Order(text, secrets.token_hex(32), seed=0, seconds=60.0)).id
        for _ in range(jobs)
    ]
    until = time.monotonic() + _LONGEST_SECONDS
    while records.open_of("anybody"):
        if time.monotonic() > until:
            raise SystemExit("this machine is too slow for so many runs")
        time.sleep(0.1)
    ended = [found for found in map(records.find, runs) if found is not None]
    if [run.state for run in ended] != ["done"] * jobs:
        raise SystemExit("not every run was done")
    return ended


def per_second(runs: list[Record]) -> float:
    """Return how many runs a second ended, from the first that was taken up."""
    began = min(run.started or 0.0 for run in runs)
    return len(runs) / (max(run.ended or 0.0 for run in runs) - began)


@contextmanager
def workers(address: str, count: int) -> Iterator[list[int]]:
    """Run so many workers, one search at a time each."""
    with ExitStack() as stack:
        yield [
            stack.enter_context(working(CUTOPT_DATABASE=address, CUTOPT_SEARCHES="1"))
            for _ in range(count)
        ]


def cost(records: Records, address: str, database: int, jobs: int) -> dict[str, float]:
    """Return what the queue costs: milliseconds a run, and percent of a processor when idle."""
    one_piece = Request.of(REQUEST)
    with workers(address, 1) as [worker]:
        worked_off(records, one_piece, 3)

        def spent() -> tuple[float, float]:
            return cpu_seconds(worker), sum(map(cpu_seconds, children(database)))

        before = spent()
        time.sleep(_IDLE_SECONDS)
        idle = spent()
        since = time.monotonic()
        worked_off(records, one_piece, jobs)
        seconds, after = time.monotonic() - since, spent()
    found = {}
    for number, name in enumerate(("worker", "database")):
        resting = (idle[number] - before[number]) / _IDLE_SECONDS
        working_ = after[number] - idle[number] - resting * seconds
        found[f"{name}_ms_per_run"] = round(working_ / jobs * 1000, 1)
        found[f"{name}_idle_percent"] = round(resting * 100, 1)
    return found


def main(jobs: int, rounds: int) -> None:
    """Measure and store."""
    request = Request.read(_FLOOR.read_bytes())
    found: dict[int, list[float]] = {1: [], 2: []}
    with postgresql() as (address, pid):
        settings = Settings(database=address)
        with closing(Records(settings.database_url, settings.keep_hours * 3600)) as records:
            for _ in range(rounds):
                for count, measured in found.items():
                    with workers(address, count):
                        worked_off(records, Request.of(REQUEST), count)
                        measured.append(per_second(worked_off(records, request, jobs)))
                    print(count, round(measured[-1], 2), flush=True)
            engine = cost(records, address, pid, 3 * jobs)
    ratios = [two / one for one, two in zip(found[1], found[2], strict=True)]
    stored: dict[str, object] = {"runs": jobs, "rounds": rounds}
    stored |= {
        "one_worker_per_second": round(statistics.median(found[1]), 2),
        "two_workers_per_second": round(statistics.median(found[2]), 2),
        "ratio": round(statistics.median(ratios), 2),
        "ratios": [round(ratio, 2) for ratio in ratios],
        "queue": engine,
    }
    text = json.dumps(stored | circumstances(), indent=2) + "\n"
    (RESULTS / "service_workers.json").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:3]]
    main(*(given + [30, 3][len(given) :]))
