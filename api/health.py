"""Whether the service is alive, ready and how it does."""

import asyncio
import json
import logging

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from api.metrics import MEDIA_TYPE, Metrics
from api.openapi import problem_answers
from api.problems import RETRY_AFTER, Refused
from api.runs.bench import Bench
from api.runs.desk import Desk
from cutopt.documents import Plan

_log = logging.getLogger("cutopt.api")

#: One piece from one tile: the least that a service which works can plan.
_TRIAL = {
    "tiles": [{"id": "field", "width": 600, "height": 300}],
    "pieces": [{"id": "end", "width": 250, "height": 300}],
}
_TRIAL_SECONDS = 30.0
_DATABASE_SECONDS = 5.0


class Readiness:
    """Whether a trial request was really planned since the start."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.state = "the trial is still running"
        self.planned = False

    async def try_out(self) -> None:
        """Plan the trial request."""
        try:
            async with self._desk.quick.bench("trial", _TRIAL_SECONDS) as seat:
                plan = Plan.read(await seat.do(_trial))
            self.planned = [total.tiles_needed for total in plan.totals] == [1]
            self.state = "ready" if self.planned else "the trial came out wrong"
        except Exception:
            _log.exception("the trial failed")
            self.state = "the trial failed"

    async def why_not(self) -> str | None:
        """Return why the service cannot do its work now, or None."""
        if not self.planned:
            return self.state
        if self._desk.worker.leaving.is_set():
            return "the service is stopping"
        try:
            async with asyncio.timeout(_DATABASE_SECONDS):
                await asyncio.to_thread(self._desk.records.reachable)
        except Exception:
            return "the database does not answer"
        return None


def _trial(bench: Bench) -> str:
    reading = bench.read(json.dumps(_TRIAL).encode(), 0)
    return bench.plan(reading.request, 0, _TRIAL_SECONDS, lambda _: True).plan


def routes(readiness: Readiness, desk: Desk, metrics: Metrics) -> APIRouter:
    """Return the routes that those who run the service ask."""
    router = APIRouter()

    @router.get(
        "/healthz",
        operation_id="alive",
        summary="Is the service alive?",
        response_class=PlainTextResponse,
    )
    async def healthz() -> Response:
        """Answer at once."""
        return PlainTextResponse("alive\n")

    @router.get(
        "/readyz",
        operation_id="ready",
        summary="Can the service plan?",
        response_class=PlainTextResponse,
        responses=problem_answers("not-ready"),
    )
    async def readyz() -> Response:
        """Answer whether a one-piece request was planned, and whether the database answers."""
        if reason := await readiness.why_not():
            raise Refused("not-ready", reason, headers={"Retry-After": RETRY_AFTER})
        return PlainTextResponse("ready\n")

    @router.get(
        "/metrics",
        operation_id="metrics",
        summary="Counters, Prometheus text format",
        response_class=PlainTextResponse,
    )
    async def get_metrics() -> Response:
        """Answer with the counters since the start."""
        counts = await asyncio.to_thread(desk.records.counts)
        return Response(metrics.text(counts), media_type=MEDIA_TYPE)

    return router
