"""The tables of the service and how they come about: numbered steps, each applied once."""

import time
from collections.abc import Callable, Sequence

import sqlalchemy as sa

META = sa.MetaData()

RUNS = sa.Table(
    "cutopt_runs",
    META,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("tenant", sa.String(64), nullable=False),
    sa.Column("state", sa.String(12), nullable=False),
    sa.Column("request", sa.Text, nullable=False),
    sa.Column("digest", sa.String(64), nullable=False),
    sa.Column("seed", sa.BigInteger, nullable=False),
    sa.Column("seconds", sa.Double, nullable=False),
    sa.Column("deadline", sa.Double),
    sa.Column("created", sa.Double, nullable=False),
    sa.Column("started", sa.Double),
    sa.Column("ended", sa.Double),
    sa.Column("expires", sa.Double),
    sa.Column("owner", sa.String(64)),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("submissions", sa.Integer, nullable=False),
    sa.Column("submitted", sa.Boolean, nullable=False),
    sa.Column("cancel", sa.Boolean, nullable=False),
    sa.Column("revision", sa.Integer, nullable=False),
    sa.Column("progress", sa.Text),
    sa.Column("plan", sa.Text),
    sa.Column("proven", sa.Boolean),
    # Whether the plan answers the same request from now on.
    sa.Column("reusable", sa.Boolean),
    sa.Column("problem", sa.Text),
    sa.Column("callback", sa.Text),
    sa.Column("key", sa.String(255)),
    sa.Column("fingerprint", sa.String(64)),
    # The trace that the caller's request belongs to (W3C trace context).
    sa.Column("trace", sa.Text),
    sa.UniqueConstraint("tenant", "key"),
    sa.Index("cutopt_runs_by_state", "state", "tenant"),
    sa.Index("cutopt_runs_by_expiry", "expires"),
    sa.Index("cutopt_runs_by_digest", "digest"),
)
#: Every process that takes up runs, and when it was last heard of.
WORKERS = sa.Table(
    "cutopt_workers",
    META,
    sa.Column("id", sa.String(64), primary_key=True),
    sa.Column("beat", sa.Double, nullable=False),
)
KEYS = sa.Table(
    "cutopt_keys",
    META,
    sa.Column("id", sa.String(16), primary_key=True),
    sa.Column("hash", sa.String(64), nullable=False),
    sa.Column("tenant", sa.String(64), nullable=False),
    sa.Column("scopes", sa.Text, nullable=False),
    sa.Column("created", sa.Double, nullable=False),
    sa.Column("revoked", sa.Double),
)
#: Callbacks that wait to be delivered.
DELIVERIES = sa.Table(
    "cutopt_deliveries",
    META,
    sa.Column("run", sa.String(36), primary_key=True),
    sa.Column("url", sa.Text, nullable=False),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("due", sa.Double, nullable=False),
    sa.Column("outcome", sa.Text),
)
#: Tiling jobs that are worked on from the page: what is to be tiled, and its first plan.
JOBS = sa.Table(
    "cutopt_jobs",
    META,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("tenant", sa.String(64), nullable=False),
    sa.Column("title", sa.Text, nullable=False),
    sa.Column("document", sa.Text, nullable=False),
    sa.Column("form", sa.Text),
    sa.Column("request", sa.Text, nullable=False),
    sa.Column("run", sa.String(36)),
    sa.Column("plan", sa.Text),
    sa.Column("created", sa.Double, nullable=False),
    sa.Column("put_away", sa.Double),
    sa.Index("cutopt_jobs_by_tenant", "tenant", "created"),
)
#: What was said of a job at the saw: it only grows.
ENTRIES = sa.Table(
    "cutopt_entries",
    META,
    sa.Column("job", sa.String(36), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("id", sa.String(64), nullable=False),
    sa.Column("made", sa.Double, nullable=False),
    sa.Column("said", sa.Text, nullable=False),
    sa.Column("refused", sa.Text),
    sa.UniqueConstraint("job", "id"),
)
_VERSION = sa.Table(
    "cutopt_schema",
    META,
    sa.Column("version", sa.Integer, primary_key=True),
    sa.Column("applied", sa.Double, nullable=False),
)

#: So that two processes that start at the same time do not both migrate (PostgreSQL).
_LOCK = sa.text("SELECT pg_advisory_xact_lock(2086524)")


class Unreachable(Exception):  # noqa: N818 - as the database is
    """The database cannot be used; the message is one line that says why."""


def connect(url: str) -> sa.Engine:
    """Return a connection pool for a database, its schema brought up to date.

    Raises
    ------
    Unreachable
        When there is no such database, or it cannot be used.
    """
    try:
        # A file does not hang up; a server may have, unnoticed.
        engine = sa.create_engine(url, pool_pre_ping=not url.startswith("sqlite"))
        if engine.dialect.name == "sqlite":
            sa.event.listen(engine, "connect", _prepare_sqlite)
        _migrate(engine)
    except (sa.exc.SQLAlchemyError, ValueError) as problem:
        why = str(getattr(problem, "orig", None) or problem).strip().splitlines()[0]
        raise Unreachable(why) from problem
    return engine


def _prepare_sqlite(connection: object, _: object) -> None:
    # Writers queue up from the start of a transaction; whoever comes second waits and does
    # not fail. WAL lets readers go on meanwhile; it stays with the file.
    connection.isolation_level = "IMMEDIATE"  # type: ignore[attr-defined]
    for pragma in ("busy_timeout=30000", "journal_mode=WAL", "synchronous=NORMAL"):
        connection.execute(f"PRAGMA {pragma}")  # type: ignore[attr-defined]


def _migrate(engine: sa.Engine) -> None:
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(_LOCK)
        _VERSION.create(connection, checkfirst=True)
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(_LOCK)
        else:  # takes the write lock at once
            connection.execute(sa.delete(_VERSION).where(_VERSION.c.version < 0))
        done = connection.scalar(sa.select(sa.func.max(_VERSION.c.version))) or 0
        for number, step in enumerate(_STEPS[done:], start=done + 1):
            step(connection)
            connection.execute(sa.insert(_VERSION).values(version=number, applied=time.time()))


Step = Callable[[sa.Connection], None]


def _tables(*tables: sa.Table) -> Step:
    """Create tables as they are now: what later steps add to older ones is there already."""
    return lambda connection: META.create_all(connection, tables=tables)


def _keep_plans_with_their_runs(connection: sa.Connection) -> None:
    """Let a run's own row answer the same request again; note deadlines and traces."""
    there = {column["name"] for column in sa.inspect(connection).get_columns(RUNS.name)}
    kinds = {"deadline": "DOUBLE PRECISION", "reusable": "BOOLEAN", "trace": "TEXT"}
    for name in kinds.keys() - there:
        connection.execute(sa.text(f"ALTER TABLE {RUNS.name} ADD COLUMN {name} {kinds[name]}"))
    for index in RUNS.indexes:
        index.create(connection, checkfirst=True)
    connection.execute(sa.text("DROP TABLE IF EXISTS cutopt_plans"))


#: Step n brings the schema to version n. A step that was released is never changed; a later
#: version of the program adds its own.
_STEPS: Sequence[Step] = (
    _tables(RUNS, WORKERS, KEYS, DELIVERIES),
    _tables(JOBS, ENTRIES),
    _keep_plans_with_their_runs,
)
