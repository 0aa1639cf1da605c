"""Keeps house in a thread: says that we live, takes over from those who do not, tidies up."""

import logging
import threading
import time

from api.runs.engine import Engine, Ticket
from api.runs.record import Record
from api.runs.records import Records
from api.runs.worker import Worker

_log = logging.getLogger("cutopt.runs")

BEAT_SECONDS = 1.0
#: A worker that was not heard of for so long is taken for dead. If it is not, its results are
#: refused and the work was done twice, nothing worse.
DEAD_SECONDS = 5.0
_TIDY_SECONDS = 60.0


class Keeper:
    """The house-keeping of one process."""

    def __init__(self, records: Records, engine: Engine, worker: Worker) -> None:
        self._records = records
        self._engine = engine
        self._worker = worker
        self._ended = threading.Event()
        self._tidied = 0.0
        self._suspect: set[str] = set()
        self._thread = threading.Thread(target=self._keep, name="keeper", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._records.beat(self._worker.name)
        self._thread.start()

    def close(self) -> None:
        """Say that we go, so that others need not wait to see it."""
        self._ended.set()
        self._thread.join()
        self._records.beat(self._worker.name, gone=True)

    def submit(self, record: Record) -> None:
        """Hand a run to the engine: the more a tenant has waiting, the later its next one."""
        priority = self._records.open_of(record.tenant)
        self._engine.submit(Ticket(record.id, record.submissions + 1, priority))
        self._records.submitted(record)

    def _keep(self) -> None:
        while not self._ended.wait(BEAT_SECONDS):
            try:
                self.keep()
            except Exception:
                _log.exception("house-keeping failed, and will be tried again")

    def keep(self) -> None:
        """Do what is due."""
        self._records.beat(self._worker.name)
        for worker in self._records.silent(DEAD_SECONDS):
            _log.warning("a worker is gone: %s", worker)
            self._engine.recover(worker)
            self._records.forget_worker(worker)
        self._take_back_what_we_dropped()
        self._worker.end_overdue()
        for record in self._records.unsubmitted():
            self.submit(record)
        if time.monotonic() > self._tidied + _TIDY_SECONDS:
            self._tidied = time.monotonic()
            for record in self._records.drop_expired():
                self._forget(record)

    def _take_back_what_we_dropped(self) -> None:
        """Release runs that are ours by the records, but that we do not work on, twice seen."""
        ours = {record.id: record for record in self._records.owned_by(self._worker.name)}
        dropped = set(ours) - self._worker.in_hand
        for run in dropped & self._suspect:
            self._records.release(ours[run], counted=True)
        self._suspect = dropped

    def _forget(self, record: Record) -> None:
        for number in range(1, record.submissions + 2):  # one may have gone unnoted
            self._engine.forget(Ticket(record.id, number, 0))
