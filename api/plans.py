"""`/v1/plans`: a request in, its plan out, at once or when it is done."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api import openapi
from api.body import read_body
from api.openapi import problem_answers
from api.prefer import key_of, wait_of
from api.problems import Refused, problem_answer
from api.run import SOON, form_of, plan_answer, tenant_of
from api.runs.desk import Asked, Desk
from api.runs.record import Record
from api.settings import Settings
from api.webhooks import NotAllowed, check_url
from cutopt.documents.run import Problem
from cutopt.effort import LARGEST_SEED, LONGEST_SECONDS
from cutopt.errors import Fault, shown

_PROBLEMS = (
    "bad-header",
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
    deadline: float | None = Field(
        default=None,
        ge=1,
        allow_inf_nan=False,
        description="How many seconds from now the run has to have ended, whatever happens.",
    )
    callback: str | None = Field(
        default=None,
        max_length=2000,
        description="An address that is told, signed, when the run has ended.",
    )


def routes(settings: Settings, desk: Desk) -> APIRouter:
    """Return the routes of plans."""
    router = APIRouter(prefix="/v1/plans")

    @router.post(
        "",
        operation_id="plan",
        summary="Plan a request",
        response_class=Response,
        responses={
            200: openapi.PLAN_ANSWER,
            202: openapi.RUN_ACCEPTED,
            **problem_answers(*_PROBLEMS),
        },
        openapi_extra={**openapi.REQUEST_BODY, "parameters": openapi.POST_HEADERS},
    )
    async def post_plan(http: HttpRequest, effort: Annotated[Effort, Query()]) -> Response:
        """Answer with the plan that needs the fewest tiles, or say where it will be."""
        form = form_of(http)
        wait, key = wait_of(http.headers, settings), key_of(http.headers)
        seconds = _seconds(effort, settings)
        _check_callback(effort, settings)
        body = await read_body(http, settings.most_body_bytes)
        tenant, deadline = tenant_of(http), _deadline(effort, settings)
        asked = Asked(body, effort.seed, seconds, tenant, key, effort.callback, deadline)
        taken = await desk.take(asked)
        alone = taken.record if taken.packed is not None and key is None else None
        async with _cancelled_when_gone(http, desk, alone):
            record = await desk.see_through(taken, wait)
        return await _answer(desk, record, form)

    return router


async def _answer(desk: Desk, record: Record, form: str) -> Response:
    if record.plan is not None:
        return await plan_answer(desk, record, form)
    where = {"Location": f"/v1/plans/{record.id}"}
    if record.problem is not None:
        return problem_answer(Problem.model_validate_json(record.problem), where)
    if record.has_ended:
        raise Refused("no-plan", "The run was cancelled before it had one.", (), where)
    headers = where | {"Retry-After": SOON}
    return Response(record.text(), 202, headers, "application/json")


def _seconds(effort: Effort, settings: Settings) -> float:
    if effort.seconds is None:
        return min(settings.seconds, settings.most_seconds)
    if effort.seconds > settings.most_seconds:
        rule = f"this service searches for at most {settings.most_seconds:g} seconds"
        fault = Fault("?seconds", f"{effort.seconds:g}", rule)
        raise Refused("invalid-input", str(fault), [fault])
    return effort.seconds


def _deadline(effort: Effort, settings: Settings) -> float | None:
    if effort.deadline is not None and effort.deadline > settings.deadline_seconds:
        rule = f"this service gives a run at most {settings.deadline_seconds:g} seconds"
        fault = Fault("?deadline", f"{effort.deadline:g}", rule)
        raise Refused("invalid-input", str(fault), [fault])
    return effort.deadline


def _check_callback(effort: Effort, settings: Settings) -> None:
    if effort.callback is None:
        return
    try:
        if not settings.callback_secret:
            raise NotAllowed("this service makes no callbacks")
        check_url(effort.callback)
    except (NotAllowed, ValueError) as problem:
        fault = Fault("?callback", shown(effort.callback), str(problem))
        raise Refused("invalid-input", str(fault), [fault]) from None


@asynccontextmanager
async def _cancelled_when_gone(
    http: HttpRequest, desk: Desk, record: Record | None
) -> AsyncIterator[None]:
    """Cancel the run when the client hangs up: without a key it cannot ask for it again."""

    async def watch(record: Record) -> None:
        while (await http.receive())["type"] != "http.disconnect":
            pass
        await desk.cancel(record)

    if record is None or record.has_ended:
        yield
        return
    watcher = asyncio.create_task(watch(record))
    try:
        yield
    finally:
        watcher.cancel()
