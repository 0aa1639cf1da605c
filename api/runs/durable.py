"""The engine that outlives its processes: tickets are workflows of dbos, in a database."""

import logging
import os
import secrets
import socket
import threading

from dbos import DBOS, DBOSConfig, SetEnqueueOptions, SetWorkflowID

from api.runs.engine import Ticket, Work

_QUEUE = "cutopt-runs"
_POLL_SECONDS = 0.1
#: Tickets of every version are worked on by every version: a ticket is a run's id, no more.
_VERSION = "1"
_MOST_URGENT, _LEAST_URGENT = 1, 2**31 - 1

_log = logging.getLogger("cutopt.runs")


class DurableEngine:
    """Tickets in SQLite (one machine) or PostgreSQL (any number of them).

    dbos knows one engine per process, so there is one of these at a time.
    """

    def __init__(self, url: str, places: int, look_seconds: float = _POLL_SECONDS) -> None:
        self.name = f"{socket.gethostname()[:30]}-{os.getpid()}-{secrets.token_hex(4)}"
        self._places = places
        self._look_seconds = look_seconds
        self._work: Work | None = None
        self._closed = threading.Event()
        self._hush()
        DBOS(config=self._config(url))

        @DBOS.workflow(name="cutopt.run", max_recovery_attempts=None)
        def ticket(run: str) -> None:
            if self._work is not None:
                self._work(run)

        self._ticket = ticket
        if not places:
            DBOS.listen_queues([])

    def _config(self, url: str) -> DBOSConfig:
        return {
            "name": "cutopt",
            "system_database_url": url,
            "application_version": _VERSION,
            "executor_id": self.name,
            "run_migrations": True,
            "enable_otlp": False,
            "log_level": "WARNING",
            "max_executor_threads": 2 * self._places + 8,
        }

    def _hush(self) -> None:
        """Let dbos log where everything else does, instead of to a handler of its own."""
        log = logging.getLogger("dbos")
        if not log.handlers:
            log.addHandler(logging.NullHandler())
        log.propagate = True

    def start(self, work: Work) -> None:
        """Begin to hand out tickets to this process."""
        self._work = work
        DBOS.launch()
        DBOS.register_queue(
            _QUEUE,
            worker_concurrency=max(self._places, 1),
            polling_interval_sec=self._look_seconds,
            on_conflict="always_update",
        )

    def submit(self, ticket: Ticket) -> None:
        """Take a ticket; the same ticket again changes nothing."""
        priority = min(_MOST_URGENT + ticket.priority, _LEAST_URGENT)
        with SetWorkflowID(_name(ticket)), SetEnqueueOptions(priority=priority):
            DBOS.enqueue_workflow(_QUEUE, self._ticket, ticket.run)

    def withdraw(self, ticket: Ticket) -> None:
        """Do not start this ticket, if that has not happened yet."""
        DBOS.cancel_workflow(_name(ticket))

    def recover(self, worker: str) -> None:
        """Hand out again what a process that is no more had in hand."""
        lost = DBOS.list_workflows(
            status="PENDING", executor_id=worker, load_input=False, load_output=False
        )
        for workflow in lost:
            _log.warning("taken back from a worker that is gone: %s", workflow.workflow_id)
            DBOS.resume_workflow(workflow.workflow_id, queue_name=_QUEUE)

    def forget(self, ticket: Ticket) -> None:
        """Forget a ticket that has been worked on."""
        DBOS.delete_workflow(_name(ticket))

    def close(self) -> None:
        """Hand out no more."""
        if not self._closed.is_set():
            self._closed.set()
            DBOS.destroy(destroy_registry=True)


def _name(ticket: Ticket) -> str:
    return f"{ticket.run}.{ticket.submission}"
