"""The one place where the service is put together."""

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api import health, openapi, plans, schemas
from api.benches import Benches
from api.edge import Edge
from api.metrics import Metrics
from api.problems import Refused, answer
from api.settings import Settings
from cutopt.errors import CannotBeMet, Fault, InvalidInput, shown


class Service(FastAPI):
    """The service, with the OpenAPI document that our own body reader calls for."""

    benches: Benches

    def openapi(self) -> dict[str, Any]:
        """Return the OpenAPI document."""
        if self.openapi_schema is None:
            self.openapi_schema = openapi.document(self)
        return self.openapi_schema


def create_app(settings: Settings) -> Service:
    """Return the service, ready to be run by any ASGI server."""
    benches, metrics = Benches(settings), Metrics()
    readiness = health.Readiness(benches)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        trial = asyncio.create_task(readiness.try_out())
        yield
        benches.close()
        await trial

    app = Service(
        title="cutopt",
        version=openapi.VERSION,
        description=openapi.DESCRIPTION,
        docs_url=None,  # those pages load scripts from elsewhere
        redoc_url=None,
        redirect_slashes=False,
        lifespan=lifespan,
    )
    app.benches = benches
    app.include_router(plans.routes(settings, benches, metrics))
    app.include_router(schemas.routes())
    app.include_router(health.routes(readiness, benches, metrics))
    app.add_middleware(Edge, metrics=metrics)
    _answer_with_problems(app)
    return app


def _answer_with_problems(app: FastAPI) -> None:
    """Make a problem document of everything that is raised on purpose."""

    @app.exception_handler(Refused)
    async def refused(_: HttpRequest, problem: Refused) -> Response:
        return answer(problem)

    @app.exception_handler(InvalidInput)
    async def invalid(_: HttpRequest, problem: InvalidInput) -> Response:
        return answer(Refused("invalid-input", _first(problem.faults), problem.faults))

    @app.exception_handler(CannotBeMet)
    async def cannot_be_met(_: HttpRequest, problem: CannotBeMet) -> Response:
        return answer(Refused("cannot-be-met", _first(problem.faults), problem.faults))

    @app.exception_handler(RequestValidationError)
    async def invalid_query(_: HttpRequest, problem: RequestValidationError) -> Response:
        faults = [_query_fault(error) for error in problem.errors()]
        return answer(Refused("invalid-input", _first(faults), faults))

    @app.exception_handler(HTTPException)
    async def by_status(http: HttpRequest, problem: HTTPException) -> Response:
        kind = {404: "unknown-path", 405: "wrong-method"}[problem.status_code]
        detail = f"{http.method} {http.url.path} is not answered; see /openapi.json."
        return answer(Refused(kind, detail, headers=problem.headers or {}))


def _first(faults: Sequence[Fault]) -> str:
    more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
    return f"{faults[0]}{more}"


def _query_fault(error: dict[str, Any]) -> Fault:
    name = error["loc"][-1]
    if error["type"] == "extra_forbidden":
        return Fault(f"?{name}", shown(error["input"]), "no parameter has this name")
    rule = error["msg"][:1].lower() + error["msg"][1:]
    return Fault(f"?{name}", shown(error["input"]), rule)
