"""The OpenAPI document: our own body reader described by the models that it reads."""

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from api import examples
from api.problems import KINDS, MEDIA_TYPE, Problem, type_of
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
    described: list[type[BaseModel]] = [*DOCUMENTS.values(), Problem]
    _, models = models_json_schema(
        [(model, "validation") for model in described], ref_template=_REF
    )
    found["components"] = {"schemas": models["$defs"]}
    for path in found["paths"].values():
        for operation in path.values():
            _drop_foreign_error(operation["responses"])
    return found


def _drop_foreign_error(answers: dict[str, Any]) -> None:
    """Drop the error that FastAPI describes by itself; ours are problem documents."""
    if MEDIA_TYPE not in answers.get("422", {MEDIA_TYPE: {}}).get("content", {MEDIA_TYPE: {}}):
        del answers["422"]
