"""Kill -9 again and again: `python -m benchmarks.service_kills [ROUNDS] [sqlite|postgresql]`.

Each round starts runs on a service and a worker and, in the middle of them, kills the one, the
other or both, or (PostgreSQL) ends every session of the database; starts what was killed, and waits
until the runs have ended. What is counted: runs that were lost, runs that ended twice (by the logs
of all processes), and the seconds from the kill until a run that was under way was taken up again
or, when only sessions were cut, until every run was heard of again.
"""

import json
import statistics
import sys
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import asdict, dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import sqlalchemy as sa

from benchmarks.results import RESULTS
from benchmarks.service import circumstances, postgresql
from cutopt.documents.run import PlanRun
from tests.service.test_kills import CUT_SESSIONS, Cluster
from tests.service.test_runs import ASYNC, begun, until, waiting

#: As many as there are places, so that a lost one is not kept waiting by others.
_NAMES = ("one", "two")
_PROCESSES = (("work",), ("serve",), ("work", "serve"))
_SESSIONS = ("sessions",)
#: A busy machine takes its time.
_PATIENCE = 180.0


class Trial:
    """A service and a worker that are killed again and again, on one database."""

    def __init__(self, cluster: Cluster, folder: Path) -> None:
        self.cluster = cluster
        self._folder = folder
        self._processes = {"serve": cluster.serve(), "work": cluster.start("work")}

    def round(self, number: int, victims: Sequence[str]) -> tuple[list[PlanRun], float]:
        """Kill in the middle of runs; return how they ended, and the seconds until recovery."""
        names = [f"{number}-{name}" for name in _NAMES]
        runs = [self._posted(name) for name in names]
        until(lambda: sum(begun(self._folder, name) for name in names) == len(names), _PATIENCE)
        before = {run: self.cluster.run(run).revision for run in runs}
        since = time.monotonic()
        if victims == _SESSIONS:
            _cut_sessions(self.cluster.url)
            until(
                lambda: all(self.cluster.run(run).revision > before[run] for run in runs), _PATIENCE
            )
        else:
            self._kill(victims)
            until(lambda: any(self.cluster.run(run).attempts > 1 for run in runs), _PATIENCE)
        seconds = time.monotonic() - since
        for name in names:
            (self._folder / name).touch()
        until(lambda: all(self.cluster.run(run).has_ended for run in runs), _PATIENCE)
        return [self.cluster.run(run) for run in runs], seconds

    def _posted(self, name: str) -> str:
        body = waiting(self._folder, name)
        answer = self.cluster.client.post("/v1/plans", json=body, headers=ASYNC)
        return answer.headers["location"]

    def _kill(self, victims: Sequence[str]) -> None:
        for victim in victims:
            self._processes[victim].kill()
            self._processes[victim].wait()
        for victim in victims:
            start = self.cluster.serve if victim == "serve" else lambda: self.cluster.start("work")
            self._processes[victim] = start()


def _cut_sessions(url: str) -> None:
    engine = sa.create_engine(
        url.replace("postgresql://", "postgresql+psycopg://"), poolclass=sa.NullPool
    )
    with engine.connect() as db:
        db.execute(CUT_SESSIONS)
    engine.dispose()


@dataclass
class Found:
    """What came of the rounds so far."""

    database: str
    rounds: int = 0
    runs: int = 0
    lost: int = 0
    ended_twice: int = 0
    seconds: dict[str, list[float]] = field(default_factory=dict)

    def add(self, way: str, ended: list[PlanRun], endings: Counter[str], seconds: float) -> None:
        """Count one round."""
        self.rounds += 1
        self.runs += len(ended)
        self.lost += sum(run.state != "done" for run in ended)
        self.ended_twice += sum(endings[run.id] > 1 for run in ended)
        self.seconds.setdefault(way, []).append(round(seconds, 2))

    def store(self) -> None:
        """Write it down: after each round, so that an end before the last one costs little."""
        found = asdict(self) | circumstances()
        found["recovery_seconds"] = {
            way: {"median": statistics.median(taken), "most": max(taken), "rounds": len(taken)}
            for way, taken in found.pop("seconds").items()
        }
        text = json.dumps(found, indent=2) + "\n"
        (RESULTS / f"service_kills_{self.database}.json").write_text(text, encoding="utf-8")


def main(rounds: int, kind: str) -> None:
    """Kill, count and store."""
    ways = (*_PROCESSES, _SESSIONS) if kind == "postgresql" else _PROCESSES
    found = Found(kind)
    with TemporaryDirectory() as place, ExitStack() as stack:
        address = f"{place}/runs.sqlite"
        if kind == "postgresql":
            address, _ = stack.enter_context(postgresql())
        cluster = Cluster(address, Path(place))
        stack.callback(cluster.close)
        trial = Trial(cluster, Path(place))
        for number in range(rounds):
            victims = ways[number % len(ways)]
            ended, recovered = trial.round(number, victims)
            found.add(" and ".join(victims), ended, cluster.endings(), recovered)
            found.store()
            print(number, victims, round(recovered, 2), found.lost, found.ended_twice, flush=True)


if __name__ == "__main__":
    given = sys.argv[1:]
    main(int(given[0]) if given else 100, given[1] if len(given) > 1 else "sqlite")
