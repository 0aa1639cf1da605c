"""`/v1/plans/{id}`: how a run is, its plan in every form, and how it is cancelled."""

from fastapi import APIRouter
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api import openapi
from api.accept import preferred
from api.openapi import problem_answers
from api.problems import Refused
from api.runs.child import FORMS
from api.runs.desk import Desk
from api.runs.record import ANYBODY, Record

#: A run is worth another look after so many seconds.
SOON = "1"


def routes(desk: Desk) -> APIRouter:
    """Return the routes of one run."""
    router = APIRouter(prefix="/v1/plans")

    @router.get(
        "/{run}",
        operation_id="run",
        summary="How a run is, and its plan",
        response_class=Response,
        responses={200: openapi.RUN_ANSWER, **problem_answers("unknown-run")},
    )
    async def get_run(http: HttpRequest, run: str) -> Response:
        """Answer with state and progress, and with the plan once it is there."""
        record = await desk.find(run, tenant_of(http))
        headers = {} if record.has_ended else {"Retry-After": SOON}
        return Response(record.text(), headers=headers, media_type="application/json")

    @router.get(
        "/{run}/plan",
        operation_id="plan-of-run",
        summary="The plan of a run",
        response_class=Response,
        responses={
            200: openapi.PLAN_ANSWER,
            **problem_answers("unknown-run", "not-acceptable", "no-plan"),
        },
    )
    async def get_plan(http: HttpRequest, run: str) -> Response:
        """Answer with the plan alone, in the form that `Accept` asks for."""
        form = form_of(http)
        record = await desk.find(run, tenant_of(http))
        if record.plan is None:
            raise Refused("no-plan", f"The run is {record.state}.")
        return await plan_answer(desk, record, form)

    @router.delete(
        "/{run}",
        operation_id="cancel",
        summary="Cancel a run",
        response_class=Response,
        responses={200: openapi.RUN_ANSWER, **problem_answers("unknown-run")},
    )
    async def cancel_run(http: HttpRequest, run: str) -> Response:
        """Cancel; a search that runs ends soon after, and its best plan stays readable."""
        record = await desk.cancel(await desk.find(run, tenant_of(http)))
        return Response(record.text(), media_type="application/json")

    return router


def tenant_of(http: HttpRequest) -> str:
    """Return who asks."""
    return str(http.scope.get("cutopt.tenant", ANYBODY))


def form_of(http: HttpRequest) -> str:
    """Return the form of a plan that the client likes best."""
    form = preferred(",".join(http.headers.getlist("accept")), list(FORMS))
    if form is None:
        raise Refused("not-acceptable", f"A plan comes as {', '.join(FORMS)}.")
    return form


async def plan_answer(desk: Desk, record: Record, form: str) -> Response:
    """Return the plan of a run as an answer."""
    text = record.plan or ""
    if form != "application/json":
        text = await desk.draw(record, form)
    here = f"/v1/plans/{record.id}"
    headers = {"Vary": "Accept", "Content-Location": f"{here}/plan", "Link": f'<{here}>; rel="via"'}
    return Response(text, headers=headers, media_type=form)
