"""What goes wrong, as problem documents (RFC 9457): one table, one shape, no internals."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from starlette.responses import Response

from cutopt.documents.run import Problem, ProblemFault
from cutopt.errors import Fault

MEDIA_TYPE = "application/problem+json"
#: Seconds after which a caller may ask again.
RETRY_AFTER = "5"

#: Every kind of problem: the last part of its `type`, its status and its title.
KINDS: dict[str, tuple[int, str]] = {
    "bad-header": (400, "A header breaks a rule"),
    "no-json": (400, "The body is no JSON"),
    "no-key": (401, "A key is needed"),
    "not-allowed": (403, "The key does not allow this"),
    "unknown-path": (404, "Nothing is here"),
    "unknown-run": (404, "There is no such run"),
    "wrong-method": (405, "This path does not answer this method"),
    "not-acceptable": (406, "The plan does not come in this form"),
    "cannot-be-met": (409, "The request is well formed, but cannot be met"),
    "no-plan": (409, "There is no plan yet"),
    "too-large": (413, "The body is too large"),
    "wrong-type": (415, "The body is not sent as JSON"),
    "invalid-input": (422, "The request breaks a rule"),
    "too-much-work": (422, "The request takes more than this service gives"),
    "too-late": (422, "The deadline came first"),
    "key-reused": (422, "The idempotency key was used for something else"),
    "too-many": (429, "Too many requests"),
    "own-fault": (500, "A fault of ours"),
    "busy": (503, "All benches are busy"),
    "not-ready": (503, "The service is not ready"),
}


@dataclass
class Refused(Exception):  # noqa: N818 - reads as the sentence it is
    """The request ends here, with a problem of this kind."""

    kind: str
    detail: str
    faults: Sequence[Fault] = ()
    headers: Mapping[str, str] = field(default_factory=dict)


class NothingMore(Exception):  # noqa: N818 - as above
    """There is nothing to add to what the client knows: 204."""


def type_of(kind: str) -> str:
    """Return the stable `type` of a kind of problem."""
    return f"urn:cutopt:problem:{kind}"


def problem_of(refused: Refused) -> Problem:
    """Return what is said of it."""
    status, title = KINDS[refused.kind]
    faults = [
        ProblemFault(place=fault.place, value=fault.value, rule=fault.rule)
        for fault in refused.faults
    ]
    return Problem(
        type=type_of(refused.kind),
        title=title,
        status=status,
        detail=refused.detail or said(refused.faults) or f"{title}.",
        faults=tuple(faults),
    )


def said(faults: Sequence[Fault]) -> str:
    """Return the first fault as a sentence, and how many more there are."""
    more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
    return f"{faults[0]}{more}" if faults else ""


def answer(refused: Refused) -> Response:
    """Return the problem document that says why."""
    return problem_answer(problem_of(refused), refused.headers)


def problem_answer(problem: Problem, headers: Mapping[str, str] | None = None) -> Response:
    """Return a problem document as an answer."""
    body = problem.model_dump_json(indent=2, exclude_defaults=True) + "\n"
    return Response(body, problem.status, dict(headers or {}), MEDIA_TYPE)
