"""Kill -9 again and again: `python -m benchmarks.service_kills [ROUNDS] [POSTGRESQL-ADDRESS]`.

Each round starts runs on a service and a worker, kills the one, the other or both in the middle of
them, starts what was killed, and waits until every run has ended. What is counted: runs that were
lost, runs that ended twice (by the logs of all processes), and the seconds from the kill until a
run that was under way was taken up again.
"""

import json
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.results import RESULTS
from cutopt.documents.run import PlanRun
from tests.service.test_kills import Cluster
from tests.service.test_runs import ASYNC, begun, until, waiting

#: As many as there are places, so that a lost one is not kept waiting by others.
_NAMES = ("one", "two")


def one_round(cluster: Cluster, folder: Path, victims: list[str]) -> tuple[list[PlanRun], float]:
    """Kill in the middle of runs; return how they ended, and the seconds until recovery."""
    processes = {"serve": cluster.serve(), "work": cluster.start("work")}
    runs = [
        cluster.client.post("/v1/plans", json=waiting(folder, name), headers=ASYNC).headers[
            "location"
        ]
        for name in _NAMES
    ]
    until(lambda: sum(begun(folder, name) for name in _NAMES) == 2, 60)
    for victim in victims:
        processes[victim].kill()
        processes[victim].wait()
    since = time.monotonic()
    for victim in victims:
        processes[victim] = cluster.serve() if victim == "serve" else cluster.start(victim)
    until(lambda: any(cluster.run(run).attempts > 1 for run in runs), 60)
    recovered = time.monotonic() - since
    for name in _NAMES:
        (folder / name).touch()
    until(lambda: all(cluster.run(run).has_ended for run in runs), 60)
    return [cluster.run(run) for run in runs], recovered


def main(rounds: int, database: str | None) -> None:
    """Kill, count and store."""
    lost = twice = 0
    seconds = []
    for number in range(rounds):
        victims = (["work"], ["serve"], ["work", "serve"])[number % 3]
        with TemporaryDirectory() as folder:
            cluster = Cluster(database or f"{folder}/runs.sqlite", Path(folder))
            try:
                ended, recovered = one_round(cluster, Path(folder), victims)
                endings = cluster.endings()
            finally:
                cluster.close()
        lost += sum(run.state != "done" for run in ended)
        twice += sum(endings[run.id] > 1 for run in ended)
        seconds.append(round(recovered, 2))
        print(number, victims, seconds[-1], "lost", lost, "twice", twice, flush=True)
    found: dict[str, object] = {"database": "postgresql" if database else "sqlite"}
    found |= {"rounds": rounds, "runs": rounds * len(_NAMES), "lost": lost, "ended_twice": twice}
    found |= {"recovery_seconds_median": sorted(seconds)[len(seconds) // 2]}
    found |= {"recovery_seconds_most": max(seconds)}
    file = RESULTS / f"service_kills_{found['database']}.json"
    file.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    given = sys.argv[1:]
    main(int(given[0]) if given else 100, given[1] if len(given) > 1 else None)
