"""Who may take up a run, and which tickets count, whatever the order in which things are noted."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from api.runs.record import Ending, Order, Record
from api.runs.records import Records


@pytest.fixture(params=["sqlite", "postgresql"])
def records(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Records]:
    url = f"sqlite:///{tmp_path / 'runs.sqlite'}"
    if request.param == "postgresql":
        url = request.getfixturevalue("postgresql")
    with closing(Records(url, 60)) as found:
        for worker in ("server", "worker"):
            found.beat(worker)
        yield found


def ordered(records: Records) -> Record:
    """Return a new run that the server has set aside for itself."""
    return records.insert(Order("{}", "digest", 0, 1.0), owner="server")


def waits(records: Records, run: Record) -> Record | None:
    """Return the run if it waits for a ticket."""
    return next((found for found in records.unsubmitted() if found.id == run.id), None)


def test_a_ticket_that_is_faster_than_its_note(records: Records) -> None:
    """A worker takes the run up before the server notes that it gave the ticket out."""
    run = ordered(records)
    taken = records.begin(run.id, "worker")
    assert taken
    records.submitted(run)
    assert records.begin(run.id, "server") is None, "whoever works on it lives"
    assert records.finish(taken, Ending("done", "{}", True))


def test_a_run_given_back_before_its_ticket_is_noted(records: Records) -> None:
    run = ordered(records)
    taken = records.begin(run.id, "worker")
    assert taken
    records.release(taken, counted=True)
    records.submitted(run)
    again = waits(records, run)
    assert again
    assert again.submissions == 1, "the next ticket is another one"


def test_two_keepers_give_out_the_same_ticket(records: Records) -> None:
    run = ordered(records)
    records.submitted(run)
    taken = records.begin(run.id, "worker")
    assert taken
    records.submitted(run)  # the other keeper, late: no news
    records.release(taken, counted=True)
    records.submitted(run)
    again = waits(records, run)
    assert again
    assert again.submissions == 1
    records.submitted(again)
    assert waits(records, run) is None


def test_a_worker_that_is_gone_gives_back_what_it_had(records: Records) -> None:
    run = ordered(records)
    records.submitted(run)
    assert records.begin(run.id, "worker")
    records.forget_worker("worker")
    again = waits(records, run)
    assert again
    assert (again.state, again.owner, again.attempts) == ("queued", None, 1)
    assert records.begin(run.id, "server")
