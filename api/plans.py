"""`POST /v1/plans`: a request in, its plan out, as document, drawing, table or summary."""

import asyncio
import threading
import time
from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api.accept import preferred
from api.benches import Benches
from api.body import parse, read_body
from api.metrics import Metrics
from api.openapi import PLAN_ANSWER, REQUEST_BODY, problem_answers
from api.problems import Refused
from api.settings import Settings
from cutopt import pipeline, reports
from cutopt.documents import Plan, Request
from cutopt.effort import LARGEST_SEED, LONGEST_SECONDS
from cutopt.errors import Fault
from cutopt.formats import request_of
from cutopt.stop import Stop

#: The forms in which a plan comes, the usual one first.
FORMS: dict[str, Callable[[Request, Plan], str]] = {
    "application/json": lambda request, plan: plan.text(),
    "image/svg+xml": reports.draw_cut_sheet,
    "text/csv": reports.write_cut_list,
    "text/plain": reports.write_summary,
}

_PROBLEMS = (
    "no-json",
    "not-acceptable",
    "cannot-be-met",
    "too-large",
    "wrong-type",
    "invalid-input",
    "own-fault",
    "busy",
)


class Effort(BaseModel):
    """How the search is done."""

    model_config = ConfigDict(extra="forbid")

    seconds: float | None = Field(
        default=None,
        gt=0,
        le=LONGEST_SECONDS,
        allow_inf_nan=False,
        description="How long the search may take; the service has a usual time of its own.",
    )
    seed: int = Field(
        default=0, ge=0, le=LARGEST_SEED, description="The same seed gives the same plan."
    )


def routes(settings: Settings, benches: Benches, metrics: Metrics) -> APIRouter:
    """Return the routes of plans."""
    router = APIRouter(prefix="/v1/plans")

    @router.post(
        "",
        operation_id="plan",
        summary="Plan a request",
        response_class=Response,
        responses={200: PLAN_ANSWER, **problem_answers(*_PROBLEMS)},
        openapi_extra=REQUEST_BODY,
    )
    async def post_plan(http: HttpRequest, effort: Annotated[Effort, Query()]) -> Response:
        """Answer with the plan that needs the fewest tiles, or with a problem."""
        form = _form(http)
        seconds = _seconds(effort, settings)
        body = await read_body(http, settings.most_body_bytes)
        request = await asyncio.to_thread(lambda: request_of(parse(body)))

        def work(stop: Stop) -> tuple[Plan, str]:
            plan = pipeline.plan(request, stop, effort.seed)
            return plan, FORMS[form](request, plan)

        since = time.monotonic()
        cancel = threading.Event()
        watcher = asyncio.create_task(_cancel_when_gone(http, cancel))
        try:
            plan, text = await benches.search(work, seconds, cancel)
        finally:
            watcher.cancel()
        proven = all(total.proven_minimal for total in plan.totals)
        metrics.count_plan(proven, time.monotonic() - since)
        return Response(text, media_type=form, headers={"Vary": "Accept"})

    return router


def _form(http: HttpRequest) -> str:
    form = preferred(",".join(http.headers.getlist("accept")), list(FORMS))
    if form is None:
        raise Refused("not-acceptable", f"A plan comes as {', '.join(FORMS)}.")
    return form


def _seconds(effort: Effort, settings: Settings) -> float:
    if effort.seconds is None:
        return min(settings.seconds, settings.most_seconds)
    if effort.seconds > settings.most_seconds:
        rule = f"this service searches for at most {settings.most_seconds:g} seconds"
        fault = Fault("?seconds", f"{effort.seconds:g}", rule)
        raise Refused("invalid-input", str(fault), [fault])
    return effort.seconds


async def _cancel_when_gone(http: HttpRequest, cancel: threading.Event) -> None:
    """Cancel the search when the client hangs up: nobody waits for its plan any more."""
    while (await http.receive())["type"] != "http.disconnect":
        pass
    cancel.set()
