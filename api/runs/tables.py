"""The tables of the service and how they come about: numbered steps, each applied once."""

import time
from collections.abc import Sequence

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
    sa.Column("problem", sa.Text),
    sa.Column("callback", sa.Text),
    sa.Column("key", sa.String(255)),
    sa.Column("fingerprint", sa.String(64)),
    sa.UniqueConstraint("tenant", "key"),
    sa.Index("cutopt_runs_by_state", "state", "tenant"),
    sa.Index("cutopt_runs_by_expiry", "expires"),
)
#: Finished plans by what they answer: the same job and version, the same plan.
PLANS = sa.Table(
    "cutopt_plans",
    META,
    sa.Column("digest", sa.String(64), primary_key=True),
    sa.Column("plan", sa.Text, nullable=False),
    sa.Column("proven", sa.Boolean, nullable=False),
    sa.Column("expires", sa.Double, nullable=False),
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

#: Step n brings the schema to version n + 1. A step that was released is never changed; a later
#: version of the program adds its own, as SQL or as tables to create.
_STEPS: Sequence[Sequence[sa.Table]] = (
    (RUNS, PLANS, WORKERS, KEYS, DELIVERIES),
    (JOBS, ENTRIES),
)
#: So that two processes that start at the same time do not both migrate (PostgreSQL).
_LOCK = sa.text("SELECT pg_advisory_xact_lock(2086524)")


def connect(url: str) -> sa.Engine:
    """Return a connection pool for a database, its schema brought up to date."""
    # A file does not hang up; a server may have, unnoticed.
    engine = sa.create_engine(url, pool_pre_ping=not url.startswith("sqlite"))
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", _prepare_sqlite)
    _migrate(engine)
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
        for number, tables in enumerate(_STEPS[done:], start=done + 1):
            META.create_all(connection, tables=list(tables))
            connection.execute(sa.insert(_VERSION).values(version=number, applied=time.time()))
