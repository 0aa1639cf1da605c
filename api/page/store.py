"""Jobs and what was said of them, in the database of the service; nothing is overwritten."""

import json
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from api.page.said import Entry
from api.runs.record import new_id
from api.runs.tables import ENTRIES, JOBS


@dataclass(frozen=True)
class JobRow:
    """A job; `run` is the search for its first plan, `plan` is there once that has ended."""

    id: str
    tenant: str
    title: str
    document: str
    form: str | None
    request: str
    run: str | None
    plan: str | None
    created: float
    put_away: float | None


class Moved(Exception):  # noqa: N818 - it is news rather than an error
    """Somebody else has said something meanwhile."""


class Store:
    """The jobs of all tenants."""

    def __init__(self, engine: sa.Engine) -> None:
        self._engine = engine

    def add(self, tenant: str, title: str, document: str, form: str | None, request: str) -> str:
        """Return the id of a new job."""
        job = new_id()
        values = {"id": job, "tenant": tenant, "title": title, "document": document, "form": form}
        with self._engine.begin() as db:
            values |= {"request": request, "created": time.time()}  # type: ignore[dict-item]
            db.execute(sa.insert(JOBS).values(values))
        return job

    def searches(self, job: str, run: str) -> None:
        """Note which run searches for the first plan."""
        with self._engine.begin() as db:
            db.execute(
                sa.update(JOBS).where((JOBS.c.id == job) & JOBS.c.plan.is_(None)).values(run=run)
            )

    def planned(self, job: str, plan: str) -> None:
        """Keep the first plan; a later one changes nothing."""
        with self._engine.begin() as db:
            db.execute(
                sa.update(JOBS).where((JOBS.c.id == job) & JOBS.c.plan.is_(None)).values(plan=plan)
            )

    def put_away(self, job: str, away: bool) -> None:
        """Put a job away, or take it out again."""
        with self._engine.begin() as db:
            when = time.time() if away else None
            db.execute(sa.update(JOBS).where(JOBS.c.id == job).values(put_away=when))

    def find(self, job: str, tenant: str) -> JobRow | None:
        """Return a job of a tenant."""
        chosen = sa.select(JOBS).where((JOBS.c.id == job) & (JOBS.c.tenant == tenant))
        with self._engine.connect() as db:
            row = db.execute(chosen).first()
            return None if row is None else JobRow(**row._mapping)

    def all(self, tenant: str, most: int = 200) -> list[JobRow]:
        """Return the jobs of a tenant, the latest first, without those put away."""
        mine = (JOBS.c.tenant == tenant) & JOBS.c.put_away.is_(None)
        chosen = sa.select(JOBS).where(mine).order_by(JOBS.c.created.desc()).limit(most)
        with self._engine.connect() as db:
            return [JobRow(**row._mapping) for row in db.execute(chosen)]

    def entries(self, job: str) -> list[dict[str, Any]]:
        """Return all entries of a job, the first first."""
        chosen = sa.select(ENTRIES).where(ENTRIES.c.job == job).order_by(ENTRIES.c.number)
        with self._engine.connect() as db:
            return [
                {
                    "number": row.number,
                    "id": row.id,
                    "made": row.made,
                    "said": json.loads(row.said),
                    "refused": row.refused,
                }
                for row in db.execute(chosen)
            ]

    def append(
        self,
        job: str,
        after: int,
        entries: Sequence[tuple[Entry, str | None]],
        plan: str | None,
        made: float,
    ) -> None:
        """Append entries, and the plan that was made for them, all or none.

        Raises
        ------
        Moved
            When the job has other entries than the `after` that were looked at.
        """
        rows = [
            {"id": entry.id, "said": entry.said.model_dump_json(), "refused": refused}
            for entry, refused in entries
        ]
        if plan is not None:
            number = after + len(rows) + 1
            rows.append({"id": f"plan-{number}", "said": plan, "refused": None})
        numbered = [
            {**row, "job": job, "number": number, "made": made}
            for number, row in enumerate(rows, start=after + 1)
        ]
        try:
            with self._engine.begin() as db:
                last = sa.select(sa.func.max(ENTRIES.c.number)).where(ENTRIES.c.job == job)
                if (db.scalar(last) or 0) != after:
                    raise Moved
                if numbered:
                    db.execute(sa.insert(ENTRIES), numbered)
        except sa.exc.IntegrityError:
            raise Moved from None
