"""Works on a run: takes it up, sees it through on a bench, and writes down how it ended."""

import json
import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from api import traces
from api.problems import Refused, problem_of
from api.runs.bench import Bench, Broken, Crashed, Deaf, Unfit
from api.runs.child import Planned
from api.runs.record import Ending, Record
from api.runs.records import Records
from cutopt.documents.run import State

#: A run that took its worker down so often is given up.
MOST_ATTEMPTS = 3
#: The record is asked whether to go on, and told of progress, so often.
_ASKED_EVERY = 0.2

_log = logging.getLogger("cutopt.runs")


@dataclass(frozen=True, slots=True)
class Waited:
    """Somebody waits for the answer: when we must leave, the best plan so far will do.

    Attributes
    ----------
    budget : float
        A search that takes more seconds than this is given back to the queue.
    request : bytes
        The request as it was read for this caller, so that it is not read again.
    """

    budget: float
    request: bytes


class Worker:
    """What one process has in hand."""

    def __init__(self, records: Records, name: str) -> None:
        self._records = records
        self.name = name
        self.in_hand: set[str] = set()
        self.leaving = threading.Event()
        self.on_end: Callable[[Record, str, Planned | None, float], None] = lambda *_: None

    def do(self, run: str, bench: Bench, waited: Waited | None = None) -> Record | None:
        """Work on a run; return it when it has ended here, None when it goes on elsewhere."""
        if self.leaving.is_set() and waited is None:
            return None
        record = self._records.begin(run, self.name)
        if record is None:
            return None
        self.in_hand.add(run)
        try:
            with traces.attempt(record) as span:
                ended = self._see_through(record, bench, waited)
                span.set_attribute("cutopt.state", ended.state if ended else "given back")
                return ended
        finally:
            self.in_hand.discard(run)

    def end_overdue(self) -> None:
        """End the runs that nobody took up before their deadline."""
        detail = "Nobody could take it up by then."
        for record in self._records.end_overdue(_told(Refused("too-late", detail))):
            self._say(record, None, 0.0)

    def _see_through(self, record: Record, bench: Bench, waited: Waited | None) -> Record | None:
        watch = Watching(self._records, record, self.leaving, waited)
        try:
            planned = self._planned(record, bench, waited, watch)
        except Refused as fate:
            return self._fail(record, watch, fate)
        except Crashed:
            _log.warning("a child ended in the middle of a run", extra={"run": record.id})
            self._records.release(record, counted=True)
            return None
        except Deaf:
            return self._ended_without_plan(record, watch)
        return self._ended_with_plan(record, watch, planned)

    def _planned(
        self, record: Record, bench: Bench, waited: Waited | None, watch: "Watching"
    ) -> Planned:
        """Return the plan; raises `Refused` when there will be none."""
        seconds = record.seconds_left
        if record.attempts > MOST_ATTEMPTS:
            raise Refused("own-fault", "The run took its worker down again and again.")
        if seconds <= 0:
            raise Refused("too-late", "It was taken up too late.")
        try:
            request = waited.request if waited else record.request
            return bench.plan(request, record.seed, seconds, watch)
        except Unfit as unfit:
            raise Refused(unfit.kind, "", unfit.faults) from None
        except Broken as problem:
            _log.error("a run failed: %s", problem, extra={"run": record.id})
            raise Refused("own-fault", "Sorry, this is a fault of ours. It was logged.") from None

    def _ended_with_plan(
        self, record: Record, watch: "Watching", planned: Planned
    ) -> Record | None:
        if planned.stopped == "cancelled" and watch.gives_back():
            self._records.release(record, counted=False)
            return None
        state: State = "cancelled" if watch.cancelled else "done"
        reusable = planned.stopped == "done"
        ending = Ending(state, planned.plan, planned.proven, reusable=reusable)
        return self._end(record, watch, ending, planned)

    def _ended_without_plan(self, record: Record, watch: "Watching") -> Record | None:
        if watch.cancelled:
            return self._end(record, watch, Ending("cancelled"))
        if watch.gives_back():
            self._records.release(record, counted=False)
            return None
        fate = Refused("too-much-work", "The search did not stop when its time was over.")
        return self._fail(record, watch, fate)

    def _fail(self, record: Record, watch: "Watching", fate: Refused) -> Record | None:
        return self._end(record, watch, Ending("failed", problem=_told(fate)))

    def _end(
        self, record: Record, watch: "Watching", ending: Ending, planned: Planned | None = None
    ) -> Record | None:
        ended = self._records.finish(record, ending)
        if ended is not None:
            self._say(ended, planned, watch.seconds())
        return ended

    def _say(self, record: Record, planned: Planned | None, seconds: float) -> None:
        """Say that a run has ended: once, whatever happened to it on its way."""
        more = {"run": record.id, "state": record.state, "attempts": record.attempts}
        _log.info("ended", extra=more | {"tenant": record.tenant, "seconds": round(seconds, 3)})
        self.on_end(record, record.state, planned, seconds)


class Watching:
    """Passes progress on, and says whether the search is to go on."""

    def __init__(
        self, records: Records, record: Record, leaving: threading.Event, waited: Waited | None
    ) -> None:
        self._records = records
        self._record = record
        self._leaving = leaving
        self._since = time.monotonic()
        self._waited = waited is not None
        self._budget = float("inf") if waited is None else waited.budget
        self._asked = self._since
        self.cancelled = False

    def gives_back(self) -> bool:
        """Return whether the run is better taken up by somebody else, or later."""
        leaves = self._leaving.is_set() and not self._waited
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


def _told(refused: Refused) -> str:
    return json.dumps(problem_of(refused).model_dump(mode="json"))
