"""The one place where the service is put together."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api import events, health, openapi, plans, run, schemas, set_outs
from api.door import Door
from api.edge import Edge
from api.keys import Keys
from api.limits import Limits
from api.metrics import Metrics
from api.page import front, site
from api.page.jobs import Jobs
from api.problems import NothingMore, Refused, answer
from api.runs.child import Planned, Planner
from api.runs.desk import Desk
from api.runs.durable import DurableEngine
from api.runs.engine import Engine
from api.runs.record import Record
from api.settings import Settings
from api.webhooks import Deliverer
from cutopt import pipeline
from cutopt.errors import Fault, shown


class Service(FastAPI):
    """The service, with the OpenAPI document that our own body reader calls for."""

    desk: Desk

    def openapi(self) -> dict[str, Any]:
        """Return the OpenAPI document."""
        if self.openapi_schema is None:
            self.openapi_schema = openapi.document(self)
        return self.openapi_schema


def create_app(
    settings: Settings, engine: Engine | None = None, planner: Planner = pipeline.plan
) -> Service:
    """Return the service, ready to be run by any ASGI server.

    Parameters
    ----------
    settings : Settings
        How it runs.
    engine : Engine, optional
        What carries runs; the durable one when left out.
    planner : callable
        What plans; a function of a module, so that child processes find it.
    """
    engine = engine or DurableEngine(settings.database_url, settings.benches, settings.look_seconds)
    desk, metrics = Desk(settings, engine, planner), Metrics()
    desk.worker.on_end = _counting(metrics)
    secret, private = settings.callback_secret.encode(), settings.private_callbacks == "yes"
    deliverer = Deliverer(desk.records, secret, private)
    readiness = health.Readiness(desk)
    jobs = Jobs(settings, desk, planner)
    keys = Keys(desk.records.engine) if settings.asks_for_keys else None

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        await asyncio.to_thread(desk.open)
        deliverer.start()
        trial = asyncio.create_task(readiness.try_out())
        yield
        desk.leave()
        await trial
        await asyncio.to_thread(deliverer.close)
        await asyncio.to_thread(jobs.hands.close)
        await asyncio.to_thread(desk.close)

    app = Service(
        title="cutopt",
        version=openapi.VERSION,
        description=openapi.DESCRIPTION,
        docs_url=None,  # those pages load scripts from elsewhere
        redoc_url=None,
        redirect_slashes=False,
        lifespan=lifespan,
    )
    app.desk = desk
    app.include_router(plans.routes(settings, desk))
    app.include_router(run.routes(desk))
    app.include_router(set_outs.routes(settings, jobs.hands))
    app.include_router(events.routes(desk))
    app.include_router(schemas.routes())
    app.include_router(health.routes(readiness, desk, metrics))
    app.include_router(front.routes(jobs, keys, settings.most_body_bytes))
    app.include_router(site.routes(jobs))
    app.add_middleware(Door, keys=keys, limits=Limits(settings.per_minute))
    app.add_middleware(Edge, metrics=metrics)
    _answer_with_problems(app)
    return app


def _answer_with_problems(app: FastAPI) -> None:
    """Make a problem document of everything that is raised on purpose."""

    @app.exception_handler(Refused)
    async def refused(_: HttpRequest, problem: Refused) -> Response:
        return answer(problem)

    @app.exception_handler(NothingMore)
    async def nothing_more(_: HttpRequest, __: NothingMore) -> Response:
        return Response(status_code=204)

    @app.exception_handler(RequestValidationError)
    async def invalid_query(_: HttpRequest, problem: RequestValidationError) -> Response:
        faults = [_query_fault(error) for error in problem.errors()]
        return answer(Refused("invalid-input", "", faults))

    @app.exception_handler(HTTPException)
    async def by_status(http: HttpRequest, problem: HTTPException) -> Response:
        kind = {404: "unknown-path", 405: "wrong-method"}[problem.status_code]
        detail = f"{http.method} {http.url.path} is not answered; see /openapi.json."
        return answer(Refused(kind, detail, headers=problem.headers or {}))


def _counting(metrics: Metrics) -> Callable[[Record, str, Planned | None, float], None]:
    def count(_: Record, state: str, planned: Planned | None, seconds: float) -> None:
        metrics.count_run(state, seconds)
        if planned is not None:
            metrics.count_plan(planned.proven, planned.gap)

    return count


def _query_fault(error: dict[str, Any]) -> Fault:
    name = error["loc"][-1]
    if error["type"] == "extra_forbidden":
        return Fault(f"?{name}", shown(error["input"]), "no parameter has this name")
    rule = error["msg"][:1].lower() + error["msg"][1:]
    return Fault(f"?{name}", shown(error["input"]), rule)
