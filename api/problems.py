"""What goes wrong, as problem documents (RFC 9457): one table, one shape, no internals."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import BaseModel, Field
from starlette.responses import Response

from cutopt.errors import Fault as CutoptFault

MEDIA_TYPE = "application/problem+json"
#: Seconds after which a caller may ask again.
RETRY_AFTER = "5"

#: Every kind of problem: the last part of its `type`, its status and its title.
KINDS: dict[str, tuple[int, str]] = {
    "no-json": (400, "The body is no JSON"),
    "unknown-path": (404, "Nothing is here"),
    "wrong-method": (405, "This path does not answer this method"),
    "not-acceptable": (406, "The plan does not come in this form"),
    "cannot-be-met": (409, "The request is well formed, but cannot be met"),
    "too-large": (413, "The body is too large"),
    "wrong-type": (415, "The body is not sent as JSON"),
    "invalid-input": (422, "The request breaks a rule"),
    "own-fault": (500, "A fault of ours"),
    "busy": (503, "All benches are busy"),
    "not-ready": (503, "The service is not ready"),
}


class Fault(BaseModel):
    """One thing that is wrong."""

    place: str = Field(
        description="JSON pointer into the body; `?name` is a parameter of the query."
    )
    value: str = Field(description="What was found there, shortened when long.")
    rule: str = Field(description="What should have been there.")


class Problem(BaseModel):
    """Why there is no plan (RFC 9457)."""

    type: str = Field(description="Stable name of the kind of problem.")
    title: str
    status: int
    detail: str
    faults: list[Fault] = Field(default=[], description="Every place that is wrong.")


@dataclass
class Refused(Exception):  # noqa: N818 - reads as the sentence it is
    """The request ends here, with a problem of this kind."""

    kind: str
    detail: str
    faults: Sequence[CutoptFault] = ()
    headers: Mapping[str, str] = field(default_factory=dict)


def type_of(kind: str) -> str:
    """Return the stable `type` of a kind of problem."""
    return f"urn:cutopt:problem:{kind}"


def answer(refused: Refused) -> Response:
    """Return the problem document that says why."""
    status, title = KINDS[refused.kind]
    problem = Problem(
        type=type_of(refused.kind),
        title=title,
        status=status,
        detail=refused.detail,
        faults=[
            Fault(place=fault.place, value=fault.value, rule=fault.rule) for fault in refused.faults
        ],
    )
    body = problem.model_dump_json(indent=2, exclude_defaults=True) + "\n"
    return Response(body, status, dict(refused.headers), MEDIA_TYPE)
