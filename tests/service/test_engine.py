"""What every engine promises, asked of each: the durable one on both databases, and its twin."""

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from api.runs.durable import DurableEngine
from api.runs.engine import Engine, MemoryEngine, Ticket
from api.runs.tables import connect

NewEngine = Callable[[int], Engine]


class Notes:
    """Work that notes what it was given, and can be held up."""

    def __init__(self) -> None:
        self.done: list[str] = []
        self.go = threading.Event()

    def __call__(self, run: str) -> None:
        self.done.append(run)
        self.go.wait(20)

    def wait_for(self, count: int) -> None:
        until = time.monotonic() + 20
        while len(self.done) < count:
            assert time.monotonic() < until, self.done
            time.sleep(0.01)


@pytest.fixture(params=["memory", "sqlite", "postgresql"])
def engine(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    """Return an engine with one place, not yet started."""
    made: Engine
    if request.param == "memory":
        made = MemoryEngine(1)
    else:
        url = f"sqlite:///{tmp_path / 'engine.sqlite'}"
        if request.param == "postgresql":
            url = request.getfixturevalue("postgresql")
        connect(url).dispose()
        made = DurableEngine(url, 1)
    yield made
    made.close()


def test_promises(engine: Engine) -> None:
    """Urgent first, each once, withdrawn ones never; a ticket given twice is one."""
    notes = Notes()
    engine.start(notes)
    engine.submit(Ticket("first", 1, 5))
    notes.wait_for(1)
    tickets = [Ticket("late", 1, 9), Ticket("soon", 1, 1), Ticket("never", 1, 0)]
    for ticket in tickets:
        engine.submit(ticket)
    engine.submit(Ticket("late", 1, 9))
    engine.withdraw(tickets[2])
    engine.recover("somebody who never was")
    time.sleep(0.4)
    assert notes.done == ["first"]
    notes.go.set()
    notes.wait_for(3)
    engine.submit(Ticket("soon", 1, 1))
    engine.submit(Ticket("soon", 2, 1))
    notes.wait_for(4)
    time.sleep(0.3)
    assert notes.done == ["first", "soon", "late", "soon"]
    for ticket in tickets:
        engine.forget(ticket)
