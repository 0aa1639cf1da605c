"""What happens to a job: it is begun, planned, worked through; here all of it comes together."""

import asyncio
import json
import time
from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

from api.page.draft import Draft
from api.page.form import Form, form_kept
from api.page.hands import Hands
from api.page.said import Entry, Sent
from api.page.standing import Followed, Work, follow
from api.page.store import JobRow, Moved, Store
from api.problems import Refused
from api.runs.child import Planner
from api.runs.desk import Asked, Desk
from api.runs.record import Record
from api.settings import Settings
from cutopt.documents.sequence import By

Json = dict[str, Any]
#: A plan that is there so soon is shown at once.
_AT_ONCE = 2.0
#: So often two phones may get in each other's way before we give up.
_TRIES = 8


class Jobs:
    """The jobs of all tenants, and what can be done to them."""

    def __init__(self, settings: Settings, desk: Desk, planner: Planner) -> None:
        self._settings = settings
        self._desk = desk
        self.hands = Hands(settings, planner)
        self.store = Store(desk.records.engine)

    async def begin(self, tenant: str, draft: Draft, form: Form | None) -> str:
        """Return the id of a new job; the search for its plan has begun."""
        kept = json.dumps(form_kept(form)) if form else None
        title = draft.title or "without a name"
        job = await asyncio.to_thread(
            self.store.add, tenant, title, draft.document, kept, draft.request
        )
        await self.search(await self.find(job, tenant))
        return job

    async def search(self, job: JobRow) -> None:
        """Begin the search for the first plan of a job."""
        seconds = min(self._settings.seconds, self._settings.most_seconds)
        asked = Asked(job.request.encode(), 0, seconds, job.tenant)
        taken = await self._desk.take(asked)
        await asyncio.to_thread(self.store.searches, job.id, taken.record.id)
        await self._desk.see_through(taken, _AT_ONCE)

    async def find(self, job: str, tenant: str) -> JobRow:
        """Return a job of a tenant; raises `Refused` when there is none with this id."""
        found = await asyncio.to_thread(self.store.find, job, tenant)
        if found is None:
            raise Refused("unknown-path", "There is no such job, or it is not yours.")
        return found

    async def planned(self, job: JobRow) -> tuple[JobRow, Record | None]:
        """Return a job with its plan as soon as the search has one, and the search otherwise."""
        if job.plan is not None or job.run is None:
            return job, None
        try:
            record = await self._desk.find(job.run, job.tenant)
        except Refused:
            return job, None
        if not record.has_ended or record.plan is None:
            return job, record
        await asyncio.to_thread(self.store.planned, job.id, record.plan)
        return await self.find(job.id, job.tenant), None

    async def stop(self, job: JobRow) -> None:
        """End the search; the best plan so far is taken."""
        record = await self._desk.find(job.run or "", job.tenant)
        record = await self._desk.cancel(record)
        until = time.monotonic() + 6
        while not record.has_ended and (left := until - time.monotonic()) > 0:
            record = await self._desk.next(record, left)

    async def say(
        self, job: JobRow, entries: Sequence[Entry], by: By
    ) -> tuple[Json, dict[str, str]]:
        """Take what was said, plan anew if need be; return how the job stands, and what cannot be.

        What was said before, by its id, is not taken again.
        """
        for _ in range(_TRIES):
            rows = await asyncio.to_thread(self.store.entries, job.id)
            known = {str(row["id"]): row["refused"] for row in rows}
            new = [entry for entry in entries if entry.id not in known]
            made = time.time()
            found = await self._follow(job, rows, new, made, by)
            if new or found.plan:
                refused = dict(found.refused)
                told = [(entry, refused[entry.id]) for entry in new]
                try:
                    await asyncio.to_thread(
                        self.store.append, job.id, len(rows), told, found.plan, made
                    )
                except Moved:
                    continue
            answers = known | dict(found.refused)
            sent = {entry.id for entry in entries}
            return found.standing, {
                name: str(why) for name, why in answers.items() if why and name in sent
            }
        raise Refused("busy", "Too many work on this job at once; say it again.")

    async def _follow(
        self, job: JobRow, rows: list[Json], new: Sequence[Entry], made: float, by: By
    ) -> Followed:
        work = work_of(job, rows)
        return await self.hands.do(job.tenant, follow, work, tuple(new), made, by)

    async def standing(self, job: JobRow, by: By) -> Json:
        """Return how a job stands."""
        return (await self.say(job, (), by))[0]


def work_of(job: JobRow, rows: list[Json]) -> Work:
    """Return a job for a child; raises `Refused` when it has no plan yet."""
    if job.plan is None:
        raise Refused("no-plan", "This job has no plan yet.")
    return Work(job.request, job.plan, json.dumps(rows))


def sent_entries(body: bytes) -> tuple[Entry, ...]:
    """Return the entries that a phone sent; raises `Refused` when they are none."""
    try:
        return Sent.model_validate_json(body).entries
    except ValidationError as problem:
        first = problem.errors()[0]
        place = "/".join(map(str, first["loc"]))
        raise Refused("invalid-input", f"{place}: {first['msg']}") from None
