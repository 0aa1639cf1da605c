"""The record of every run: what is written here is what happened.

Each taking-up of a run has a number, its attempt. Progress and result count only from the latest
attempt, and only while the run has not ended, so a worker that was thought dead cannot end a run
twice.
"""

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, replace
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import sqlalchemy as sa

from api.runs.record import Ending, Order, Record, ordered
from api.runs.tables import DELIVERIES, RUNS, WORKERS, connect

_COLUMNS = tuple(RUNS.c)
_OPEN = RUNS.c.ended.is_(None)
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
                db.execute(_INSERT, record)
                if record["ended"] is not None:
                    _note_deliveries(db, [Record(**record)])
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
            if not self._end(db, _END.where(idle), Ending("cancelled")):
                db.execute(sa.update(RUNS).where((RUNS.c.id == run) & _OPEN).values(cancel=True))

    @_patient
    def open_of(self, tenant: str) -> int:
        """Return how many runs of a tenant have not ended."""
        with self.engine.connect() as db:
            return int(db.scalar(_OPEN_OF, {"of": tenant}) or 0)

    @_patient
    def counts(self) -> Mapping[str, int]:
        """Return how many runs are in each state."""
        chosen = sa.select(RUNS.c.state, sa.func.count()).group_by(RUNS.c.state)
        with self.engine.connect() as db:
            return {row[0]: int(row[1]) for row in db.execute(chosen)}

    @_patient
    def look_up(self, digest: str) -> tuple[Ending | None, int]:
        """Return how a request was answered before, if it was, and how many runs wait."""
        with self.engine.connect() as db:
            row = db.execute(_ANSWERED, {"asked": digest, "now": time.time()}).first()
            before = None if row is None else Ending("done", row.plan, row.proven)
            return before, int(db.scalar(_QUEUED) or 0)

    def reachable(self) -> None:
        """Return if the database answers; raise otherwise."""
        with self.engine.connect() as db:
            db.execute(sa.select(sa.literal(1)))

    # Workers

    @_patient
    def begin(self, run: str, owner: str) -> Record | None:
        """Take a run up and return it; None when it has ended or was cancelled meanwhile."""
        with self.engine.begin() as db:
            row = db.execute(_TAKE_UP, {"run": run, "me": owner, "now": time.time()}).first()
            if row is not None:
                return Record(**row._mapping)
            given_up = (RUNS.c.id == run) & RUNS.c.cancel & _free()
            self._end(db, _END.where(given_up), Ending("cancelled"))
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
    def finish(self, record: Record, ending: Ending) -> Record | None:
        """End a run and return it; None when another attempt has taken it up since."""
        with self.engine.begin() as db:
            attempt = {"run": record.id, "attempt": record.attempts}
            ended = self._end(db, _END_ATTEMPT, ending, attempt)
        if not ended:
            return None
        [end] = ended
        known = {"ended": end.ended, "expires": end.expires, "revision": end.revision}
        return replace(record, progress=end.progress, **known, **asdict(ending))

    @_patient
    def end_overdue(self, problem: str) -> list[Record]:
        """End the runs that nobody has taken up by their deadline; return them."""
        overdue = (RUNS.c.state == "queued") & (RUNS.c.deadline < time.time())
        with self.engine.begin() as db:
            ended = self._end(db, _END.where(overdue), Ending("failed", problem=problem))
            runs = sa.select(*_COLUMNS).where(RUNS.c.id.in_([row.id for row in ended]))
            return [Record(**row._mapping) for row in db.execute(runs)] if ended else []

    @_patient
    def release(self, record: Record, counted: bool) -> None:
        """Give a run back to the queue; `counted` when the attempt was at fault."""
        attempts = record.attempts if counted else record.attempts - 1
        with self.engine.begin() as db:
            db.execute(_AGAIN.where(_attempt(record)).values(attempts=attempts))

    def _end(
        self,
        db: sa.Connection,
        which: sa.UpdateBase,
        ending: Ending,
        chosen: Mapping[str, object] | None = None,
    ) -> Sequence[Any]:
        now = time.time()
        values = asdict(ending) | {"ended": now, "expires": now + self._keep} | dict(chosen or {})
        ended = db.execute(which, values).all()
        _note_deliveries(db, ended)
        return ended

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
            db.execute(_AGAIN.where((RUNS.c.owner == worker) & _OPEN))
            db.execute(sa.delete(WORKERS).where(WORKERS.c.id == worker))

    @_patient
    def unsubmitted(self) -> list[Record]:
        """Return the runs that no engine knows and nobody works on."""
        chosen = _OPEN & ~RUNS.c.submitted & RUNS.c.owner.is_(None)
        with self.engine.connect() as db:
            rows = db.execute(sa.select(*_COLUMNS).where(chosen).order_by(RUNS.c.id).limit(100))
            return [Record(**row._mapping) for row in rows]

    @_patient
    def submitted(self, record: Record) -> None:
        """Note that the engine has the next ticket of a run, unless that is no news any more."""
        # It may have been taken up already; then its owner stays.
        owner = sa.case((RUNS.c.state == "queued", sa.null()), else_=RUNS.c.owner)
        values = {"submitted": True, "submissions": record.submissions + 1, "owner": owner}
        unchanged = (RUNS.c.submissions == record.submissions) & ~RUNS.c.submitted
        with self.engine.begin() as db:
            db.execute(
                sa.update(RUNS).where((RUNS.c.id == record.id) & _OPEN & unchanged).values(values)
            )

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
            old = db.execute(sa.select(*_COLUMNS).where(RUNS.c.expires < now).limit(1000)).all()
            ids = [row.id for row in old]
            db.execute(sa.delete(DELIVERIES).where(DELIVERIES.c.run.in_(ids)))
            db.execute(sa.delete(RUNS).where(RUNS.c.id.in_(ids)))
        return [Record(**row._mapping) for row in old]


def _attempt(record: Record) -> sa.ColumnElement[bool]:
    mine = (RUNS.c.id == record.id) & (RUNS.c.attempts == record.attempts)
    return mine & (RUNS.c.state == "running")


def _free() -> sa.ColumnElement[bool]:
    """Whether nobody who lives works on a run.

    One that is queued is free even when its owner has not noted yet that it gave out a ticket:
    a ticket that comes to nothing would not come again.
    """
    nobody = RUNS.c.owner.is_(None) | RUNS.c.owner.not_in(sa.select(WORKERS.c.id))
    return (RUNS.c.state == "queued") | nobody


def _one(db: sa.Connection, which: Any) -> Record | None:
    row = db.execute(sa.select(*_COLUMNS).where(which)).first()
    return None if row is None else Record(**row._mapping)


def _note_deliveries(db: sa.Connection, ended: Iterable[Any]) -> None:
    """Note the callbacks of runs that end in the same transaction, so that none is lost."""
    due = [
        {"run": run.id, "url": run.callback, "attempts": 0, "due": time.time()}
        for run in ended
        if run.callback is not None
    ]
    if due:
        db.execute(sa.insert(DELIVERIES), due)


# What every request asks is put together once: that costs as much as asking it.
_ME = sa.bindparam("me", type_=sa.String)
_INSERT = sa.insert(RUNS)
_QUEUED = sa.select(sa.func.count()).where(RUNS.c.state == "queued")
_OPEN_OF = sa.select(sa.func.count()).where((RUNS.c.tenant == sa.bindparam("of")) & _OPEN)
_ANSWERED = (
    sa.select(RUNS.c.plan, RUNS.c.proven)
    .where((RUNS.c.digest == sa.bindparam("asked")) & RUNS.c.reusable)
    .where(RUNS.c.expires > sa.bindparam("now"))
    .limit(1)
)
_TAKE_UP = (
    sa.update(RUNS)
    .where((RUNS.c.id == sa.bindparam("run")) & _OPEN & ~RUNS.c.cancel & _free())
    .values(
        state="running",
        owner=_ME,
        attempts=RUNS.c.attempts + 1,
        revision=RUNS.c.revision + 1,
        started=sa.func.coalesce(RUNS.c.started, sa.bindparam("now", type_=sa.Double)),
    )
    .returning(*_COLUMNS)
)
#: Back to the queue. The tickets that are out for the run, also one that is not noted yet, are
#: void: the next one has a number of its own.
_AGAIN = (
    sa.update(RUNS)
    .values(state="queued", owner=None, submitted=False, revision=RUNS.c.revision + 1)
    .values(submissions=RUNS.c.submissions + sa.case((RUNS.c.submitted, 0), else_=1))
)
_END = (
    sa.update(RUNS)
    .where(_OPEN)
    .values(revision=RUNS.c.revision + 1)
    .returning(
        *(RUNS.c.id, RUNS.c.revision, RUNS.c.progress),
        *(RUNS.c.callback, RUNS.c.ended, RUNS.c.expires),
    )
)
_END_ATTEMPT = _END.where(
    (RUNS.c.id == sa.bindparam("run"))
    & (RUNS.c.attempts == sa.bindparam("attempt"))
    & (RUNS.c.state == "running")
)
