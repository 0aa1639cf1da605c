"""The OpenAPI document: our own body reader described by the models that it reads."""

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from api import examples
from api.problems import KINDS, MEDIA_TYPE, type_of
from cutopt.documents.run import PlanRun, Problem
from cutopt.formats import DOCUMENTS

VERSION = "1"
DESCRIPTION = (
    "Plans how tile pieces are cut from the fewest tiles, with a proven lower bound. Lengths "
    "are exact; errors are problem documents (RFC 9457) whose faults name place, value and rule."
)
_REF = "#/components/schemas/{model}"

#: The body of `POST /v1/plans`.
REQUEST_BODY: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {
                "schema": {
                    "anyOf": [
                        {"$ref": _REF.format(model="Request")},
                        {"$ref": _REF.format(model="Job")},
                    ]
                },
                "examples": {
                    "request": {"summary": "Both ends of a wall", "value": examples.REQUEST},
                    "job": {"summary": "A measured wall", "value": examples.JOB},
                },
            }
        },
    }
}

#: The body of `POST /v1/set-outs`.
JOB_BODY: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {
                "schema": {"$ref": _REF.format(model="Job")},
                "examples": {"job": {"summary": "A measured wall", "value": examples.JOB}},
            }
        },
    }
}

#: The good answer of `POST /v1/set-outs`.
SET_OUT_ANSWER: dict[str, Any] = {
    "description": "Proposals, the fewest tiles first; with `choose` the job, one written in.",
    "content": {
        "application/json": {
            "schema": {
                "anyOf": [{"$ref": _REF.format(model="SetOut")}, {"$ref": _REF.format(model="Job")}]
            }
        }
    },
}

#: The good answer of `POST /v1/plans`, in each of its forms.
PLAN_ANSWER: dict[str, Any] = {
    "description": "The plan, in the form that `Accept` asks for.",
    "headers": {"Vary": {"schema": {"type": "string", "const": "Accept"}}},
    "content": {
        "application/json": {
            "schema": {"$ref": _REF.format(model="Plan")},
            "examples": {"request": {"summary": "Both ends of a wall", "value": examples.PLAN}},
        },
        "image/svg+xml": {"schema": {"type": "string", "description": "The cut sheet."}},
        "text/csv": {"schema": {"type": "string", "description": "The cut list."}},
        "text/plain": {"schema": {"type": "string", "description": "The summary."}},
    },
}

_RUN = {
    "application/json": {
        "schema": {"$ref": _REF.format(model="PlanRun")},
        "examples": {"running": {"summary": "A run under way", "value": examples.RUN}},
    }
}

#: The answer when the plan is not there within the wait.
RUN_ACCEPTED: dict[str, Any] = {
    "description": "The search goes on; `Location` says where to ask for it.",
    "headers": {
        "Location": {"schema": {"type": "string"}},
        "Retry-After": {"schema": {"type": "string"}},
    },
    "content": _RUN,
}

#: A run as it is now.
RUN_ANSWER: dict[str, Any] = {"description": "The run as it is now.", "content": _RUN}

#: The headers that `POST /v1/plans` heeds.
POST_HEADERS: list[dict[str, Any]] = [
    {
        "name": "Prefer",
        "in": "header",
        "description": "RFC 7240: `wait=N`, how many seconds the answer may wait for the plan; "
        "`respond-async`, not at all.",
        "schema": {"type": "string"},
        "example": "wait=10",
    },
    {
        "name": "Idempotency-Key",
        "in": "header",
        "description": "The same key and the same body are the same run, however often sent.",
        "schema": {"type": "string", "minLength": 1, "maxLength": 255, "pattern": "^[ -~]+$"},
        "example": "wall-7-first-try",
    },
]


def problem_answers(*kinds: str) -> dict[int | str, dict[str, Any]]:
    """Return the descriptions of the problems that a route may answer with."""
    return {KINDS[kind][0]: _problem_answer(kind) for kind in kinds}


def _problem_answer(kind: str) -> dict[str, Any]:
    status, title = KINDS[kind]
    example: dict[str, Any] = {"type": type_of(kind), "title": title, "status": status}
    example["detail"] = f"{title}."
    if kind == "invalid-input":
        example["faults"] = [examples.FAULT]
    content = {"schema": {"$ref": _REF.format(model="Problem")}, "example": example}
    return {"description": title, "content": {MEDIA_TYPE: content}}


def document(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of the service."""
    found = get_openapi(
        title=app.title, version=app.version, description=app.description, routes=app.routes
    )
    described: list[type[BaseModel]] = [*DOCUMENTS.values(), Problem, PlanRun]
    _, models = models_json_schema(
        [(model, "validation") for model in described], ref_template=_REF
    )
    run = models["$defs"]["PlanRun"]["properties"]
    run["plan"] = {"$ref": _REF.format(model="Plan"), "description": "The plan, once it is there."}
    found["components"] = {"schemas": models["$defs"]}
    for path in found["paths"].values():
        for operation in path.values():
            _drop_foreign_error(operation["responses"])
    return found


def _drop_foreign_error(answers: dict[str, Any]) -> None:
    """Drop the error that FastAPI describes by itself; ours are problem documents."""
    if MEDIA_TYPE not in answers.get("422", {MEDIA_TYPE: {}}).get("content", {MEDIA_TYPE: {}}):
        del answers["422"]
