"""`POST /v1/set-outs`: a job in, proposals for where to begin out, or the job with one of them."""

from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api import openapi
from api.body import read_body
from api.openapi import problem_answers
from api.page.hands import Hands
from api.run import tenant_of
from api.runs.child import NoJson
from api.settings import Settings
from cutopt.documents import Job, parse_json
from cutopt.effort import LARGEST_SEED
from cutopt.errors import Fault, InvalidInput
from cutopt.setting_out import find, joint_changes, set_out_of
from cutopt.stop import MaxSeconds

#: The answer comes while the client waits, so a search takes no longer than this.
MOST_SECONDS = 30.0
_PROBLEMS = (
    "no-json",
    "cannot-be-met",
    "too-large",
    "wrong-type",
    "invalid-input",
    "own-fault",
    "busy",
)


class Looking(BaseModel):
    """How long to look, and what to answer with."""

    model_config = ConfigDict(extra="forbid")

    seconds: float = Field(
        default=10.0,
        gt=0,
        le=MOST_SECONDS,
        allow_inf_nan=False,
        description="How long the search may take.",
    )
    seed: int = Field(default=0, ge=0, le=LARGEST_SEED, description="Seeds the search.")
    choose: int | None = Field(
        default=None,
        ge=1,
        le=99,
        description="Answer with the job in which the proposal of this number is written.",
    )


def routes(settings: Settings, hands: Hands) -> APIRouter:
    """Return the route of setting out."""
    router = APIRouter(prefix="/v1/set-outs")

    @router.post(
        "",
        operation_id="set-out",
        summary="Propose where to begin",
        response_class=Response,
        responses={200: openapi.SET_OUT_ANSWER, **problem_answers(*_PROBLEMS)},
        openapi_extra=openapi.JOB_BODY,
    )
    async def post_set_out(http: HttpRequest, looking: Annotated[Looking, Query()]) -> Response:
        """Answer with the proposals, or with the job in which one of them is written."""
        body = await read_body(http, settings.most_body_bytes)
        seconds = min(looking.seconds, settings.most_seconds)
        text = await hands.do(tenant_of(http), set_out, body, seconds, looking.seed, looking.choose)
        return Response(text, media_type="application/json")

    return router


def set_out(body: bytes, seconds: float, seed: int, choose: int | None) -> str:
    """Return the proposals for a job as JSON, or the job with one of them. Runs in a child.

    Raises
    ------
    NoJson
        When the body is no JSON.
    InvalidInput
        When the job breaks a rule, nothing may move, or there is no proposal of this number.
    CannotBeMet
        When no start lies within the rules.
    """
    try:
        data = parse_json(body)
    except InvalidInput as problem:
        raise NoJson(problem.faults) from None
    job = Job.of(data)
    found = find(job, MaxSeconds(seconds), seed)
    if choose is None:
        return set_out_of(found, seed, joint_changes(job)).text()
    if choose > len(found.chosen):
        rule = f"there are {len(found.chosen)} proposals"
        raise InvalidInput([Fault("?choose", str(choose), rule)])
    return found.chosen[choose - 1].job.text()
