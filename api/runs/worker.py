"""Works on a run: takes it up, sees it through on a bench, and writes down how it ended."""

import json
import logging
import threading
import time
from collections.abc import Callable

from api.problems import Refused, problem_of
from api.runs.bench import Bench, Broken, Crashed, Deaf, Unfit
from api.runs.child import Planned
from api.runs.record import Record
from api.runs.records import Records

#: A run that took its worker down so often is given up.
MOST_ATTEMPTS = 3
#: The record is asked whether to go on, and told of progress, so often.
_ASKED_EVERY = 0.2

_log = logging.getLogger("cutopt.runs")


class Worker:
    """What one process has in hand."""

    def __init__(self, records: Records, name: str) -> None:
        self._records = records
        self.name = name
        self.in_hand: set[str] = set()
        self.leaving = threading.Event()
        self.on_end: Callable[[Record, str, Planned | None, float], None] = lambda *_: None

    def do(self, run: str, bench: Bench, budget: float | None = None, waited: bool = False) -> None:
        """Work on a run until it has ended or was given back to the queue.

        Parameters
        ----------
        run : str
            The run's id.
        bench : Bench
            Where the work is done.
        budget : float, optional
            A run that takes longer is given back to the queue.
        waited : bool
            Somebody waits for the answer: when we must leave, the best plan will do.
        """
        if self.leaving.is_set() and not waited:
            return
        record = self._records.begin(run, self.name)
        if record is None:
            return
        self.in_hand.add(run)
        since = time.monotonic()
        try:
            self._see_through(record, bench, budget, waited)
        finally:
            self.in_hand.discard(run)
            seconds = round(time.monotonic() - since, 3)
            _log.info("worked on", extra={"run": run, "seconds": seconds})

    def _see_through(
        self, record: Record, bench: Bench, budget: float | None, waited: bool
    ) -> None:
        if record.attempts > MOST_ATTEMPTS:
            self._fail(record, "own-fault", "The run took its worker down again and again.")
            return
        watch = Watching(self._records, record, self.leaving, budget)
        try:
            planned = bench.plan(record.request, record.seed, record.seconds, watch)
        except Unfit as problem:
            self._fail(record, problem.kind, "", problem)
        except Broken as problem:
            _log.error("a run failed: %s", problem, extra={"run": record.id})
            self._fail(record, "own-fault", "Sorry, this is a fault of ours. It was logged.")
        except Crashed:
            _log.warning("a child ended in the middle of a run", extra={"run": record.id})
            self._records.release(record, counted=True)
        except Deaf:
            self._ended_without_plan(record, watch, waited)
        else:
            if planned.stopped == "cancelled" and watch.gives_back(waited):
                self._records.release(record, counted=False)
            else:
                self._succeed(record, planned, watch)

    def _succeed(self, record: Record, planned: Planned, watch: "Watching") -> None:
        state = "cancelled" if watch.cancelled else "done"
        ended = self._records.finish(
            record,
            cache=planned.stopped == "done",
            state=state,
            plan=planned.plan,
            proven=planned.proven,
        )
        if ended:
            self._say(record, state, planned, watch.seconds())

    def _ended_without_plan(self, record: Record, watch: "Watching", waited: bool) -> None:
        if watch.cancelled:
            if self._records.finish(record, state="cancelled"):
                self._say(record, "cancelled", None, watch.seconds())
        elif watch.gives_back(waited):
            self._records.release(record, counted=False)
        else:
            self._fail(record, "too-much-work", "The search did not stop when its time was over.")

    def _fail(self, record: Record, kind: str, detail: str, unfit: Unfit | None = None) -> None:
        refused = Refused(kind, detail, unfit.faults if unfit else ())
        problem = json.dumps(problem_of(refused).model_dump(mode="json"))
        if self._records.finish(record, state="failed", problem=problem):
            self._say(record, "failed", None, 0.0)

    def _say(self, record: Record, state: str, planned: Planned | None, seconds: float) -> None:
        """Say that a run has ended: once, whatever happened to it on its way."""
        more = {"run": record.id, "state": state, "attempts": record.attempts}
        _log.info("ended", extra=more | {"tenant": record.tenant, "seconds": round(seconds, 3)})
        self.on_end(record, state, planned, seconds)


class Watching:
    """Passes progress on, and says whether the search is to go on."""

    def __init__(
        self, records: Records, record: Record, leaving: threading.Event, budget: float | None
    ) -> None:
        self._records = records
        self._record = record
        self._leaving = leaving
        self._since = time.monotonic()
        self._budget = float("inf") if budget is None else budget
        self._asked = self._since
        self.cancelled = False

    def gives_back(self, waited: bool) -> bool:
        """Return whether the run is better taken up by somebody else, or later."""
        leaves = self._leaving.is_set() and not waited
        return not self.cancelled and (leaves or self.seconds() > self._budget)

    def seconds(self) -> float:
        """Return how long this attempt has taken."""
        return time.monotonic() - self._since

    def __call__(self, news: str | None) -> bool:
        """Note the news, and return whether to go on."""
        now = time.monotonic()
        if news is not None or now - self._asked > _ASKED_EVERY:
            self._asked = now
            self.cancelled = not self._records.progress(self._record, news) or self.cancelled
        return not (self.cancelled or self._leaving.is_set() or self.seconds() > self._budget)
