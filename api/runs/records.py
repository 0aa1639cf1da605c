"""The record of every run: what is written here is what happened.

Each taking-up of a run has a number, its attempt. Progress and result count only from the latest
attempt, and only while the run has not ended, so a worker that was thought dead cannot end a run
twice.
"""

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import sqlalchemy as sa

from api.runs.record import Order, Record, ordered
from api.runs.tables import DELIVERIES, PLANS, RUNS, WORKERS, connect
from cutopt.documents.run import ENDED

_COLUMNS = tuple(RUNS.c)
_OPEN = RUNS.c.state.in_(("queued", "running"))
#: How long a lost database is asked for again before we give up.
_PATIENCE_SECONDS = 30.0

P = ParamSpec("P")
Found = TypeVar("Found")


class KeyTaken(Exception):  # noqa: N818 - it is news rather than an error
    """The idempotency key was used before, for this run."""

    def __init__(self, record: Record) -> None:
        super().__init__(record.id)
        self.record = record


def _patient(work: Callable[P, Found]) -> Callable[P, Found]:
    """Make a transaction be tried again while the database is away; each may come twice."""

    @wraps(work)
    def patiently(*args: P.args, **kwargs: P.kwargs) -> Found:
        until, pause = time.monotonic() + _PATIENCE_SECONDS, 0.05
        while True:
            try:
                return work(*args, **kwargs)
            except (sa.exc.OperationalError, sa.exc.InterfaceError):
                if time.monotonic() > until or args[0].closed:  # type: ignore[attr-defined]
                    raise
            time.sleep(pause)
            pause = min(2 * pause, 2.0)

    return patiently


class Records:
    """Runs, finished plans and workers in a database; safe from any thread and process."""

    def __init__(self, url: str, keep_seconds: float) -> None:
        self.engine = connect(url)
        self.closed = False
        self._keep = keep_seconds

    def close(self) -> None:
        """Let go of the database."""
        self.closed = True
        self.engine.dispose()

    # Callers

    @_patient
    def insert(self, order: Order, **values: Any) -> Record:
        """Return the record of a new run.

        Raises
        ------
        KeyTaken
            When the tenant has used this idempotency key before.
        """
        record = {**asdict(ordered(order)), **values}
        if order.key is not None and (before := self.by_key(order.tenant, order.key)):
            raise KeyTaken(before)
        try:
            with self.engine.begin() as db:
                db.execute(sa.insert(RUNS).values(record))
                if record["state"] in ENDED:
                    _note_delivery(db, record["id"])
        except sa.exc.IntegrityError:
            before = self.by_key(order.tenant, order.key or "")
            if before is None:
                raise
            raise KeyTaken(before) from None
        return Record(**record)

    @_patient
    def by_key(self, tenant: str, key: str) -> Record | None:
        """Return the run for which the tenant used this idempotency key."""
        with self.engine.connect() as db:
            return _one(db, (RUNS.c.tenant == tenant) & (RUNS.c.key == key))

    @_patient
    def find(self, run: str, tenant: str | None = None) -> Record | None:
        """Return a run, if it is this tenant's (anybody's when none is named)."""
        mine = RUNS.c.id == run
        with self.engine.connect() as db:
            return _one(db, mine if tenant is None else mine & (RUNS.c.tenant == tenant))

    @_patient
    def revisions(self, runs: Iterable[str]) -> Mapping[str, int]:
        """Return how often each of these runs has changed."""
        chosen = sa.select(RUNS.c.id, RUNS.c.revision).where(RUNS.c.id.in_(list(runs)))
        with self.engine.connect() as db:
            return {row.id: row.revision for row in db.execute(chosen)}

    @_patient
    def cancel(self, run: str) -> None:
        """Cancel a run: at once when nobody works on it, otherwise its worker hears of it."""
        with self.engine.begin() as db:
            idle = (RUNS.c.id == run) & (RUNS.c.state == "queued") & RUNS.c.owner.is_(None)
            if not self._end(db, idle, state="cancelled", cancel=True):
                db.execute(sa.update(RUNS).where((RUNS.c.id == run) & _OPEN).values(cancel=True))

    @_patient
    def open_of(self, tenant: str) -> int:
        """Return how many runs of a tenant have not ended."""
        return self._count((RUNS.c.tenant == tenant) & _OPEN)

    @_patient
    def queued(self) -> int:
        """Return how many runs wait to be taken up."""
        return self._count(RUNS.c.state == "queued")

    def _count(self, which: sa.ColumnElement[bool]) -> int:
        with self.engine.connect() as db:
            return int(db.scalar(sa.select(sa.func.count()).where(which)) or 0)

    @_patient
    def counts(self) -> Mapping[str, int]:
        """Return how many runs are in each state."""
        chosen = sa.select(RUNS.c.state, sa.func.count()).group_by(RUNS.c.state)
        with self.engine.connect() as db:
            return {row[0]: int(row[1]) for row in db.execute(chosen)}

    @_patient
    def cached(self, digest: str) -> tuple[str, bool] | None:
        """Return the finished plan of a request, and whether it is proven."""
        chosen = sa.select(PLANS.c.plan, PLANS.c.proven).where(
            (PLANS.c.digest == digest) & (PLANS.c.expires > time.time())
        )
        with self.engine.connect() as db:
            row = db.execute(chosen).first()
            return None if row is None else (row.plan, row.proven)

    def reachable(self) -> None:
        """Return if the database answers; raise otherwise."""
        with self.engine.connect() as db:
            db.execute(sa.select(sa.literal(1)))

    # Workers

    @_patient
    def begin(self, run: str, owner: str) -> Record | None:
        """Take a run up and return it; None when it has ended or was cancelled meanwhile."""
        with self.engine.begin() as db:
            now = time.time()
            taken = (
                sa.update(RUNS)
                .where((RUNS.c.id == run) & _OPEN & ~RUNS.c.cancel & _free_for(owner))
                .values(
                    state="running",
                    owner=owner,
                    attempts=RUNS.c.attempts + 1,
                    revision=RUNS.c.revision + 1,
                    started=sa.func.coalesce(RUNS.c.started, now),
                )
            )
            if db.execute(taken).rowcount:
                return _one(db, RUNS.c.id == run)
            given_up = (RUNS.c.id == run) & RUNS.c.cancel & _free_for(owner)
            self._end(db, given_up, state="cancelled")
            return None

    @_patient
    def progress(self, record: Record, progress: str | None) -> bool:
        """Note how far this attempt is; return whether it is to go on."""
        mine = _attempt(record)
        with self.engine.begin() as db:
            if progress is not None:
                news = {"progress": progress, "revision": RUNS.c.revision + 1}
                db.execute(sa.update(RUNS).where(mine).values(news))
            found = db.execute(sa.select(RUNS.c.cancel).where(mine)).first()
            return found is not None and not found.cancel

    @_patient
    def finish(self, record: Record, cache: bool = False, **result: Any) -> bool:
        """End a run with a result; False when another attempt has taken it up since."""
        with self.engine.begin() as db:
            if not self._end(db, _attempt(record), **result):
                return False
            if cache:
                values = {"digest": record.digest, "expires": time.time() + self._keep}
                values |= {"plan": result["plan"], "proven": result["proven"]}
                db.execute(sa.delete(PLANS).where(PLANS.c.digest == record.digest))
                db.execute(sa.insert(PLANS).values(values))
            return True

    @_patient
    def release(self, record: Record, counted: bool) -> None:
        """Give a run back to the queue; `counted` when the attempt was at fault."""
        attempts = record.attempts if counted else record.attempts - 1
        values = {"state": "queued", "owner": None, "submitted": False, "attempts": attempts}
        with self.engine.begin() as db:
            db.execute(
                sa.update(RUNS)
                .where(_attempt(record))
                .values(values | {"revision": RUNS.c.revision + 1})
            )

    def _end(self, db: sa.Connection, which: Any, **result: Any) -> bool:
        now = time.time()
        result |= {"ended": now, "expires": now + self._keep, "revision": RUNS.c.revision + 1}
        ended = sa.update(RUNS).where(which & _OPEN).values(result).returning(RUNS.c.id)
        found = db.execute(ended).scalars().all()
        for run in found:
            _note_delivery(db, run)
        return bool(found)

    # Housekeeping

    @_patient
    def beat(self, worker: str, gone: bool = False) -> None:
        """Note that a worker lives, or that it is about to go."""
        values = {"id": worker, "beat": 0.0 if gone else time.time()}
        with self.engine.begin() as db:
            known = sa.update(WORKERS).where(WORKERS.c.id == worker).values(values)
            if not db.execute(known).rowcount:
                db.execute(sa.insert(WORKERS).values(values))

    @_patient
    def silent(self, seconds: float) -> list[str]:
        """Return the workers that were not heard of for so long."""
        chosen = sa.select(WORKERS.c.id).where(WORKERS.c.beat < time.time() - seconds)
        with self.engine.connect() as db:
            return list(db.scalars(chosen))

    @_patient
    def forget_worker(self, worker: str) -> None:
        """Forget a worker, and give what it had in hand back to the queue."""
        with self.engine.begin() as db:
            again = {"owner": None, "state": "queued", "submitted": False}
            db.execute(
                sa.update(RUNS)
                .where((RUNS.c.owner == worker) & _OPEN)
                .values(again | {"revision": RUNS.c.revision + 1})
            )
            db.execute(sa.delete(WORKERS).where(WORKERS.c.id == worker))

    @_patient
    def unsubmitted(self) -> list[Record]:
        """Return the runs that no engine knows and nobody works on."""
        chosen = _OPEN & ~RUNS.c.submitted & RUNS.c.owner.is_(None)
        with self.engine.connect() as db:
            rows = db.execute(sa.select(*_COLUMNS).where(chosen).order_by(RUNS.c.id).limit(100))
            return [Record(**row._mapping) for row in rows]

    @_patient
    def submitted(self, run: str) -> None:
        """Note that the engine has a run."""
        # It may have been taken up already; then its owner stays.
        owner = sa.case((RUNS.c.state == "queued", sa.null()), else_=RUNS.c.owner)
        values = {"submitted": True, "submissions": RUNS.c.submissions + 1, "owner": owner}
        with self.engine.begin() as db:
            db.execute(sa.update(RUNS).where((RUNS.c.id == run) & _OPEN).values(values))

    @_patient
    def owned_by(self, worker: str) -> list[Record]:
        """Return the runs that a worker has in hand, as the records say."""
        chosen = (RUNS.c.owner == worker) & (RUNS.c.state == "running")
        with self.engine.connect() as db:
            return [
                Record(**row._mapping) for row in db.execute(sa.select(*_COLUMNS).where(chosen))
            ]

    @_patient
    def drop_expired(self) -> list[Record]:
        """Delete what is kept no longer; return the runs that were."""
        now = time.time()
        with self.engine.begin() as db:
            db.execute(sa.delete(PLANS).where(PLANS.c.expires < now))
            old = db.execute(sa.select(*_COLUMNS).where(RUNS.c.expires < now).limit(1000)).all()
            ids = [row.id for row in old]
            db.execute(sa.delete(DELIVERIES).where(DELIVERIES.c.run.in_(ids)))
            db.execute(sa.delete(RUNS).where(RUNS.c.id.in_(ids)))
        return [Record(**row._mapping) for row in old]


def _attempt(record: Record) -> sa.ColumnElement[bool]:
    mine = (RUNS.c.id == record.id) & (RUNS.c.attempts == record.attempts)
    return mine & (RUNS.c.state == "running")


def _free_for(owner: str) -> sa.ColumnElement[bool]:
    """Whether nobody who lives works on a run, or its new owner has set it aside for itself."""
    nobody = RUNS.c.owner.is_(None) | RUNS.c.owner.not_in(sa.select(WORKERS.c.id))
    return nobody | ((RUNS.c.owner == owner) & (RUNS.c.state == "queued"))


def _one(db: sa.Connection, which: Any) -> Record | None:
    row = db.execute(sa.select(*_COLUMNS).where(which)).first()
    return None if row is None else Record(**row._mapping)


def _note_delivery(db: sa.Connection, run: str) -> None:
    """Note the callback of a run that has ended in the same transaction, so that none is lost."""
    chosen = sa.select(RUNS.c.id, RUNS.c.callback, sa.literal(0), sa.literal(time.time())).where(
        (RUNS.c.id == run) & RUNS.c.callback.is_not(None)
    )
    db.execute(sa.insert(DELIVERIES).from_select(["run", "url", "attempts", "due"], chosen))
