"""`GET /v1/plans/{id}/events`: how a run goes, as server-sent events, with resume."""

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Depends, Header
from fastapi.sse import EventSourceResponse, ServerSentEvent
from starlette.requests import Request as HttpRequest

from api.openapi import problem_answers
from api.problems import NothingMore
from api.run import tenant_of
from api.runs.desk import Desk
from api.runs.record import Record

#: Something is said at least so often, so that nobody in between takes the line for dead.
_SILENT_SECONDS = 15.0


def routes(desk: Desk) -> APIRouter:
    """Return the route of events."""
    router = APIRouter(prefix="/v1/plans")

    async def news(
        http: HttpRequest,
        run: str,
        last_event_id: Annotated[
            str | None, Header(description="The last event that was seen, to go on from there.")
        ] = None,
    ) -> tuple[Record, int]:
        record = await desk.find(run, tenant_of(http))
        known = last_event_id or ""
        seen = int(known) if known.isascii() and known.isdigit() and len(known) < 10 else -1
        if record.has_ended and seen >= record.revision:
            raise NothingMore
        return record, seen

    @router.get(
        "/{run}/events",
        operation_id="events",
        summary="How a run goes, as it goes",
        response_class=EventSourceResponse,
        responses={
            204: {"description": "The run has ended, and its last event was seen."},
            **problem_answers("unknown-run"),
        },
    )
    async def events(
        found: Annotated[tuple[Record, int], Depends(news)],
    ) -> AsyncIterator[ServerSentEvent]:
        """Send the run (without its plan) now and at each change, the last time when it has ended.

        An event's id is the revision of the run, and each says all that is known, so whoever
        comes back with `Last-Event-ID` misses nothing that matters.
        """
        record, seen = found
        while True:
            if record.revision > seen:
                seen = record.revision
                yield ServerSentEvent(event="run", id=str(seen), data=_news(record))
            else:
                yield ServerSentEvent(comment="still here")
            if record.has_ended:
                return
            record = await desk.next(record, _SILENT_SECONDS)

    return router


def _news(record: Record) -> object:
    return record.run().model_dump(mode="json", exclude_none=True)
