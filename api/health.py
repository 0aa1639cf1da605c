"""Whether the service is alive, ready and how it does."""

import logging
import threading

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from api.benches import Benches
from api.metrics import MEDIA_TYPE, Metrics
from api.openapi import problem_answers
from api.problems import RETRY_AFTER, Refused
from cutopt import pipeline
from cutopt.documents import Request

_log = logging.getLogger("cutopt.api")

#: One piece from one tile: the least that a service which works can plan.
_TRIAL = {
    "tiles": [{"id": "field", "width": 600, "height": 300}],
    "pieces": [{"id": "end", "width": 250, "height": 300}],
}
_TRIAL_SECONDS = 30.0


class Readiness:
    """Whether a trial request was really planned since the start."""

    def __init__(self, benches: Benches) -> None:
        self._benches = benches
        self.state = "the trial is still running"
        self.is_ready = False

    async def try_out(self) -> None:
        """Plan the trial request."""
        try:
            request = Request.of(_TRIAL)
            plan = await self._benches.search(
                lambda stop: pipeline.plan(request, stop), _TRIAL_SECONDS, threading.Event()
            )
            self.is_ready = [total.tiles_needed for total in plan.totals] == [1]
            self.state = "ready" if self.is_ready else "the trial came out wrong"
        except Exception:
            _log.exception("the trial failed")
            self.state = "the trial failed"


def routes(readiness: Readiness, benches: Benches, metrics: Metrics) -> APIRouter:
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
        """Answer whether a one-piece request was planned since the start."""
        if not readiness.is_ready:
            raise Refused("not-ready", readiness.state, headers={"Retry-After": RETRY_AFTER})
        return PlainTextResponse("ready\n")

    @router.get(
        "/metrics",
        operation_id="metrics",
        summary="Counters, Prometheus text format",
        response_class=PlainTextResponse,
    )
    async def get_metrics() -> Response:
        """Answer with the counters since the start."""
        return Response(metrics.text(benches.running), media_type=MEDIA_TYPE)

    return router
