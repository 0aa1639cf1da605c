"""What carries runs to those who work on them: one thin interface, and its twin in memory."""

import heapq
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import count
from typing import Protocol

#: Works on a run until it has ended or was given back; called in a thread of its own.
Work = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Ticket:
    """A run handed to the engine: the how-manieth time, and how urgent (less is sooner)."""

    run: str
    submission: int
    priority: int = field(compare=False)


class Engine(Protocol):
    """Starts every ticket that it is given at least once, unless it was withdrawn before.

    Which attempt counts is the business of the records, so an engine may start a ticket twice, but
    it may never lose one once `submit` has returned.
    """

    @property
    def name(self) -> str:
        """Return the name of this process among those that share the work."""

    def start(self, work: Work) -> None:
        """Begin to hand out tickets to this process."""

    def submit(self, ticket: Ticket) -> None:
        """Take a ticket; the same ticket again changes nothing."""

    def withdraw(self, ticket: Ticket) -> None:
        """Do not start this ticket, if that has not happened yet."""

    def recover(self, worker: str) -> None:
        """Hand out again what a process that is no more had in hand."""

    def forget(self, ticket: Ticket) -> None:
        """Forget a ticket that has been worked on."""

    def close(self) -> None:
        """Hand out no more; what is being worked on is asked to end by others."""


@dataclass
class MemoryEngine:
    """An engine that forgets everything when its process ends: for tests and trials."""

    places: int
    name: str = "memory"
    _queue: list[tuple[int, int, Ticket]] = field(default_factory=list)
    _known: set[Ticket] = field(default_factory=set)
    _withdrawn: set[Ticket] = field(default_factory=set)
    _changed: threading.Condition = field(default_factory=threading.Condition)
    _numbers: "count[int]" = field(default_factory=count)
    _closed: bool = False

    def start(self, work: Work) -> None:
        """Begin to hand out tickets to so many threads."""
        for _ in range(self.places):
            threading.Thread(target=self._hand_out, args=(work,), daemon=True).start()

    def submit(self, ticket: Ticket) -> None:
        """Take a ticket; the same ticket again changes nothing."""
        with self._changed:
            if ticket not in self._known:
                self._known.add(ticket)
                heapq.heappush(self._queue, (ticket.priority, next(self._numbers), ticket))
                self._changed.notify()

    def withdraw(self, ticket: Ticket) -> None:
        """Do not start this ticket, if that has not happened yet."""
        with self._changed:
            self._withdrawn.add(ticket)

    def recover(self, worker: str) -> None:
        """Do nothing: there is no other process."""

    def forget(self, ticket: Ticket) -> None:
        """Forget a ticket that has been worked on."""
        with self._changed:
            self._known.discard(ticket)
            self._withdrawn.discard(ticket)

    def close(self) -> None:
        """Hand out no more."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def _hand_out(self, work: Work) -> None:
        while (ticket := self._next()) is not None:
            work(ticket.run)

    def _next(self) -> Ticket | None:
        with self._changed:
            while not self._closed:
                while self._queue:
                    ticket = heapq.heappop(self._queue)[2]
                    if ticket not in self._withdrawn:
                        return ticket
                self._changed.wait()
            return None
